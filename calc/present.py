"""Shows an answer: as JSON for a terminal, and as the texts of a page, the same ones at build and in the browser."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

from calc import registry, text, units
from calc.contract import Calculator, Choice, Input, Output, Quantity
from calc.evaluate import Answer, answer
from calc.reading import BadInput, Problem, Value, default_value, field_text, input_text


def output_text(output: Output, value: Value, system: str) -> str:
    """An output as shown: rounded to the digits it deserves, a range as a range."""
    if value.low is not None and value.high is None:
        symbol = output.shown_unit(system)
        least = text.inward(units.convert(value.low, output.unit, symbol), math.floor, output.digits)
        return f"from {text.with_unit(least, symbol)}, or {output.unbounded}"
    if value.value is None:
        return output.unbounded or "no answer"
    if output.unit == "text":
        return str(value.value)
    if output.unit == "bool":
        return "yes" if value.value else "no"
    symbol = output.shown_unit(system)
    if value.low is not None and value.high is not None:
        low, high = (units.convert(end, output.unit, symbol) for end in (value.low, value.high))
        return text.span(low, high, symbol, output.digits)
    return text.quantity(units.convert(value.value, output.unit, symbol), symbol, output.digits, trim=output.whole)


def as_json(result: Answer, system: str = "si") -> dict[str, Any]:
    """The terminal's JSON: numbers in the units shown in `system`, a range with `low` and `high` beside `value`."""
    kinds = {name: item.kind for name, item in result.calculator.inputs.items()}
    return {
        "calculator": result.calculator.id,
        "inputs": {name: _json_value(kinds[name], value, system) for name, value in result.inputs.items()},
        "outputs": {
            name: _json_value(result.calculator.outputs[name], value, system) for name, value in result.outputs.items()
        },
        "warnings": list(result.warnings),
        **({"enclosure": result.enclosure} if result.enclosure != "point" else {}),
    }


def _json_value(kind: Quantity | Choice | Output, value: Value, system: str) -> dict[str, Any]:
    if isinstance(kind, Choice) or kind.unit in ("text", "bool"):
        unit = "text" if isinstance(kind, Choice) else kind.unit
        return {"value": value.value, "unit": unit, "grade": value.grade.value}
    symbol = kind.shown_unit(system)

    def shown(number: Any) -> Any:
        if number is None:
            return None
        if isinstance(number, tuple):
            return [shown(one) for one in number]
        return units.convert(number, kind.unit, symbol)

    ends = {"low": shown(value.low), "high": shown(value.high)} if value.ranged else {}
    return {"value": shown(value.value), **ends, "unit": symbol, "grade": value.grade.value}


def describe(calculator: Calculator, system: str = "si") -> dict[str, Any]:
    """Everything a program needs to call the calculator, in the units shown in `system`."""
    return {
        "calculator": calculator.id,
        "title": calculator.title,
        "question": calculator.question,
        "inputs": {name: _described(item, system) for name, item in calculator.inputs.items()},
        "outputs": {
            name: {"unit": output.shown_unit(system), "name": output.name, "meaning": output.meaning}
            for name, output in calculator.outputs.items()
        },
        "formulas": [{"tex": formula.tex, "says": formula.says} for formula in calculator.formulas],
        "sources": [
            {
                "id": reference.id,
                "title": reference.title,
                "where": reference.where,
                "grade": reference.grade.value,
                "seen": reference.seen,
            }
            for reference in calculator.references
        ],
        "valid": calculator.valid,
        "grade": calculator.formula_grade.value,
    }


def _described(item: Input, system: str) -> dict[str, Any]:
    kind = item.kind
    shown = _json_value(kind, default_value(item), system)
    default = [shown["low"], shown["high"]] if "low" in shown else shown["value"]
    described = {"unit": shown["unit"], "default": default, "grade": kind.grade.value}
    if isinstance(kind, Choice):
        described |= {"options": dict(kind.options)}
    else:
        symbol = kind.shown_unit(system)
        described |= {
            "low": units.convert(kind.low, kind.unit, symbol),
            "high": units.convert(kind.high, kind.unit, symbol),
        }
    return described | {"name": kind.name, "meaning": kind.meaning}


def page_answer(identifier: str, given: Mapping[str, str], system: str = "us") -> dict[str, Any]:
    """What a page shows for typed texts: every text in both unit systems, so that build and browser print the same.

    With `ok` true: `slots` (output name to {"us", "si"} or to a plain text), `shares` (0 to 1, for outputs that are a
    part of another), `spans` (output name, or "given." and input name, to the ends of its range as shares of the
    largest on its scale), `grades` (output name to grade and its label), `warnings`, `enclosure`, and `inputs` (field
    text in each system and what was understood). With `ok` false: `problems`, each naming its input.
    """
    calculator = registry.calculator(identifier)
    try:
        result = answer(calculator, given, system)
    except BadInput as bad:
        return {"ok": False, "problems": [_page_problem(problem) for problem in bad.problems]}
    return {
        "ok": True,
        "slots": {name: _pair(calculator.outputs[name], value) for name, value in result.outputs.items()},
        "shares": _shares(result),
        "spans": _spans(result),
        "grades": {
            name: {"id": value.grade.value, "label": value.grade.label} for name, value in result.outputs.items()
        },
        "warnings": list(result.warnings),
        "enclosure": result.enclosure,
        "inputs": {name: _page_input(calculator, name, value) for name, value in result.inputs.items()},
    }


def _page_problem(problem: Problem) -> dict[str, str]:
    return {
        "input": problem.name,
        "given": problem.given,
        "allowed": problem.allowed,
        "message": f"{problem.why[:1].upper()}{problem.why[1:]}. Allowed: {problem.allowed}.",
    }


def _pair(output: Output, value: Value) -> dict[str, str] | str:
    us, si = (output_text(output, value, system) for system in text.SYSTEMS)
    return us if us == si else {"us": us, "si": si}


def _page_input(calculator: Calculator, name: str, value: Value) -> dict[str, str]:
    """The texts of an input; those of a default are made once, since most fields of a large form stay as they are."""
    if value == _default(calculator.id, name):
        return dict(_default_texts(calculator.id, name))
    return _input_texts(calculator.inputs[name], value)


@cache
def _default(identifier: str, name: str) -> Value:
    return default_value(registry.calculator(identifier).inputs[name])


@cache
def _default_texts(identifier: str, name: str) -> dict[str, str]:
    return _input_texts(registry.calculator(identifier).inputs[name], _default(identifier, name))


def _input_texts(item: Input, value: Value) -> dict[str, str]:
    return {system: field_text(item, value, system) for system in text.SYSTEMS} | {
        f"understood_{system}": input_text(item, value, system) for system in text.SYSTEMS
    }


def _shares(result: Answer) -> dict[str, float]:
    shares = {}
    for name, output in result.calculator.outputs.items():
        if output.part_of:
            whole = result.outputs[output.part_of].value
            shares[name] = max(0.0, min(1.0, result.outputs[name].value / whole)) if whole else 0.0
    return shares


def _spans(result: Answer) -> dict[str, list[float]]:
    """Low and high end of all that shares a scale, over the largest on it; nothing drawn where there is no answer."""
    scales: dict[str, dict[str, tuple[float, float]]] = {}
    for name, (along, value) in _on_scales(result).items():
        low = value.value if value.low is None else value.low
        high = value.value if value.high is None else value.high
        ends = (0.0, 0.0) if value.value is None else (max(low, 0.0), max(high, 0.0))
        scales.setdefault(along, {})[name] = ends
    return {
        name: [round(end / top, 4) if top else 0.0 for end in ends]
        for scale in scales.values()
        for top in [max(high for _, high in scale.values())]
        for name, ends in scale.items()
    }


def _on_scales(result: Answer) -> dict[str, tuple[str, Value]]:
    known = result.calculator
    inputs = {name: item.kind for name, item in known.inputs.items() if isinstance(item.kind, Quantity)}
    return {f"given.{name}": (kind.along, result.inputs[name]) for name, kind in inputs.items() if kind.along} | {
        name: (output.along, result.outputs[name]) for name, output in known.outputs.items() if output.along
    }
