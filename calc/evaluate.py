"""Runs a calculator on what a person typed: understands, checks, computes, grades, and encloses ranges."""

from __future__ import annotations

import difflib
import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Any

from calc.contract import Calculator, Impossible, Input, Quantity
from calc.provenance import weakest
from calc.reading import BadInput, Problem, Value, allowed, default_text, default_value, doubt, input_text, read

# How often one question may run the formula. Corners alone then allow eight ranges, sampled ones five.
MOST_RUNS = 600
# Points along a sampled range, ends included: many where few are sampled, so that a kink between them hides little.
MOST_POINTS, FEWEST_POINTS = 33, 3


@dataclass(frozen=True)
class Answer:
    """What a calculator answers: its inputs as understood, its outputs with grades, its warnings.

    `enclosure` says how the ranges of the outputs were found: "point" (no input is a range), "corners" (every output
    is monotone in every ranged input, so the corners enclose) or "sampling" (corners and the inside were tried, and
    a value between the samples may lie a little outside).
    """

    calculator: Calculator
    inputs: Mapping[str, Value]
    outputs: Mapping[str, Value]
    warnings: tuple[str, ...]
    enclosure: str


def answer(calculator: Calculator, given: Mapping[str, str], system: str = "si") -> Answer:
    """The calculator's answer to the texts in `given`; inputs not given take their defaults.

    Raises BadInput, which names every input that cannot be used and why.
    """
    values = understand(calculator, given, system)
    found = compute(calculator, values, system)
    texts = {resolve(calculator, name): text for name, text in given.items()}
    doubts = (doubt(calculator.inputs[name], text, values[name], system) for name, text in texts.items())
    return replace(found, warnings=(*(sentence for sentence in doubts if sentence), *found.warnings))


def understand(calculator: Calculator, given: Mapping[str, str], system: str) -> dict[str, Value]:
    """Every input as a Value, given or default. Raises BadInput for all unusable inputs at once."""
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    for name, typed in given.items():
        try:
            texts[resolve(calculator, name, typed)] = typed
        except BadInput as bad:
            problems += bad.problems
    values: dict[str, Value] = {}
    for name, item in calculator.inputs.items():
        # A field left as it was shown means the default itself, not the default rounded to the digits shown.
        if name not in texts or texts[name].strip() == default_text(item, system):
            values[name] = default_value(item)
            continue
        try:
            values[name] = read(item, texts[name], system)
        except BadInput as bad:
            problems += bad.problems
    if problems:
        raise BadInput(problems)
    return values


def resolve(calculator: Calculator, name: str, typed: str = "") -> str:
    """The input that `name` means: its name, or whole words of it that no other input has (`flow` for `mass_flow`)."""
    plain = name.strip().replace("-", "_")
    if plain in calculator.inputs:
        return plain
    holding = [known for known in calculator.inputs if f"_{plain}_" in f"_{known}_"]
    if len(holding) == 1:
        return holding[0]
    near = holding or difflib.get_close_matches(plain, list(calculator.inputs), 3, 0.5)
    hint = f"no such input{', did you mean ' + ' or '.join(near) + '?' if near else ''}"
    raise BadInput([Problem(name.strip() or "(no name)", typed.strip()[:60], ", ".join(calculator.inputs), hint)])


def compute(calculator: Calculator, values: Mapping[str, Value], system: str = "si") -> Answer:
    """Run the calculator on understood values, enclosing ranges. Raises BadInput where no answer exists."""
    ranged = [name for name, value in values.items() if value.ranged]
    along = _points_along(calculator, ranged)
    if not along:
        item = calculator.inputs[ranged[-1]]
        raise BadInput([Problem(item.name, "a range", allowed(item, system), "too many ranges at once; fix some")])
    middle = {name: value.value for name, value in values.items()}
    central, warnings = _run(calculator, middle, values, system)
    grade = weakest((calculator.formula_grade, *(value.grade for value in values.values())))
    enclosure = "point"
    lows: dict[str, float] = {}
    highs: dict[str, float | None] = {}
    if ranged:
        sampled = not all(_monotone(calculator.inputs[name]) for name in ranged)
        enclosure = "sampling" if sampled else "corners"
        seen = [central]
        for point in itertools.product(*(_points(calculator.inputs[name], values[name], along) for name in ranged)):
            result, more = _run(calculator, middle | dict(zip(ranged, point, strict=True)), values, system)
            seen.append(result)
            warnings += [f"In part of the range: {warning}" for warning in more if warning not in warnings]
        for name, output in calculator.outputs.items():
            found = [result[name] for result in seen if result[name] is not None]
            if output.unit == "text":
                central[name] = " or ".join(dict.fromkeys(found)) or None
            elif output.unit == "bool":
                if len(set(found)) > 1:
                    warnings.append(f"{output.name}: yes in one part of the range, no in another.")
            elif len(found) == len(seen):
                lows[name], highs[name] = min(found), max(found)
            elif found and output.unbounded:
                lows[name], highs[name] = min(found), None
            elif found:
                central[name] = None
                warnings.append(f"{output.name}: part of the range has no answer, so none is given for the whole.")
    outputs = {
        name: Value(value, grade, lows[name], highs[name])
        if name in lows and lows[name] != highs[name]
        else Value(value, grade)
        for name, value in central.items()
    }
    return Answer(calculator, values, outputs, tuple(dict.fromkeys(warnings)), enclosure)


def _monotone(item: Input) -> bool:
    return isinstance(item.kind, Quantity) and item.kind.monotone


def _points_along(calculator: Calculator, ranged: list[str]) -> int:
    """How many points a sampled range gets, so that all of them together stay within `MOST_RUNS`; 0 is too many."""
    sampled = sum(not _monotone(calculator.inputs[name]) for name in ranged)
    runs = MOST_RUNS / 2 ** (len(ranged) - sampled)
    along = int(runs ** (1 / sampled)) if sampled else int(runs) + 1
    return min(along, MOST_POINTS) if along >= (FEWEST_POINTS if sampled else 2) else 0


def _points(item: Input, value: Value, along: int) -> list[float]:
    low, high = float(value.low or 0.0), float(value.high or 0.0)
    if _monotone(item):
        return [low, high]
    return [low + (high - low) * step / (along - 1) for step in range(along - 1)] + [high]


def _run(
    calculator: Calculator, arguments: Mapping[str, Any], values: Mapping[str, Value], system: str
) -> tuple[dict[str, Any], list[str]]:
    try:
        result = calculator.function(**arguments)
    except Impossible as impossible:
        names = impossible.inputs or tuple(calculator.inputs)[:1]
        raise BadInput(_impossible(calculator, names, values, str(impossible), system)) from None
    except (ArithmeticError, ValueError) as error:
        raise BadInput(_beyond(calculator, values, system)) from error
    outputs = {name: attrgetter(name)(result) for name in calculator.outputs}
    for value in outputs.values():
        if isinstance(value, float) and not math.isfinite(value):
            raise BadInput(_beyond(calculator, values, system))
    return outputs, list(getattr(result, "warnings", ()))


def _impossible(
    calculator: Calculator, names: Iterable[str], values: Mapping[str, Value], why: str, system: str
) -> list[Problem]:
    return [
        Problem(
            name,
            "" if values[name].value is None else input_text(calculator.inputs[name], values[name], system),
            allowed(calculator.inputs[name], system),
            why,
        )
        for name in names
    ]


def _beyond(calculator: Calculator, values: Mapping[str, Value], system: str) -> list[Problem]:
    changed = [name for name, value in values.items() if value.value != calculator.inputs[name].default]
    why = "together with the other values this lies beyond what the formula can answer"
    return _impossible(calculator, changed[:1] or tuple(calculator.inputs)[:1], values, why, system)
