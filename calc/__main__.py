"""The terminal: lists calculators, describes one, runs one.

    python -m calc                                  list the calculators
    python -m calc ID [name=value ...] [--json]     run one: python -m calc exhaust-back-pressure flow="48 lb/min"
    python -m calc ID --describe [--json]           inputs, outputs, formulas and sources of one

A value may carry a unit ("62 psi"), be a range ("430..460 hp") and end in how well it is known ("[measured]").
A bare number stands in the unit that --describe shows. Exit status 2 means an input could not be used.
"""

from __future__ import annotations

import argparse
import difflib
import json
import os
import sys

from calc import evaluate, present, reading, registry, text
from calc.contract import Calculator
from calc.plan import terminal as plan_terminal
from calc.reading import BadInput, Problem, allowed

PLANNER = "plan"


def main(arguments: list[str] | None = None) -> int:
    """Run the terminal on command-line arguments; the exit status is 0, or 2 for bad input with one line on stderr."""
    arguments = sys.argv[1:] if arguments is None else arguments
    try:
        if arguments[:1] == [PLANNER]:
            return plan_terminal.main(arguments[1:])
        return _calculator(arguments)
    except BrokenPipeError:
        # The reader of the output, such as `head`, has seen enough. Python must not complain about it while closing.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _calculator(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m calc", description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("calculator", nargs="?", help="id of a calculator; without it, they are listed")
    parser.add_argument("values", nargs="*", metavar="name=value", help='an input, such as flow="48 lb/min"')
    parser.add_argument("--json", action="store_true", help="answer in JSON")
    parser.add_argument("--describe", action="store_true", help="show inputs, outputs, formulas and sources")
    parser.add_argument("--units", choices=("si", "us"), default="si", help="unit system of bare numbers and answers")
    options = parser.parse_intermixed_args(arguments)
    try:
        print(_answer(options), flush=True)
    except BadInput as bad:
        more = f" (and {len(bad.problems) - 1} more inputs)" if len(bad.problems) > 1 else ""
        print(" ".join(f"{bad.problems[0].message}{more}".split()), file=sys.stderr)
        return 2
    return 0


def _answer(options: argparse.Namespace) -> str:
    if options.calculator is None:
        return _list(options.json)
    calculator = _find(options.calculator)
    if options.describe:
        described = present.describe(calculator, options.units)
        return _dumped(described) if options.json else _description(calculator, options.units)
    result = evaluate.answer(calculator, _given(calculator, options.values), options.units)
    return _dumped(present.as_json(result, options.units)) if options.json else _table(result, options.units)


def _dumped(content: object) -> str:
    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False)


def _list(as_json: bool) -> str:
    known = registry.calculators()
    if as_json:
        return _dumped([{"calculator": one.id, "title": one.title, "question": one.question} for one in known.values()])
    width = max(map(len, known), default=0)
    planner = f"{PLANNER:{width}}  Which parts reach a power goal, what do they cost, and what gives out first?"
    return "\n".join([*(f"{one.id:{width}}  {one.question}" for one in known.values()), planner])


def _find(identifier: str) -> Calculator:
    try:
        return registry.calculator(identifier)
    except KeyError:
        known = registry.identifiers()
        near = difflib.get_close_matches(identifier, known, 1)
        hint = f"no such calculator{f', did you mean {near[0]}?' if near else ''}"
        raise BadInput([Problem("calculator", identifier, ", ".join(known), hint)]) from None


def _given(calculator: Calculator, words: list[str]) -> dict[str, str]:
    given: dict[str, str] = {}
    for word in words:
        name, equals, value = word.partition("=")
        if not equals:
            raise BadInput([Problem(word, "", 'name=value, such as flow="48 lb/min"', "an input needs a value")])
        name = evaluate.resolve(calculator, name, value)
        if name in given:
            raise BadInput([Problem(name, value, allowed(calculator.inputs[name], "si"), "this input is given twice")])
        given[name] = value
    return given


def _table(result: evaluate.Answer, system: str) -> str:
    calculator = result.calculator
    rows = [calculator.title, "", "inputs"]
    width = max(map(len, (*calculator.inputs, *calculator.outputs)))
    for name, value in result.inputs.items():
        shown = reading.input_text(calculator.inputs[name], value, system)
        rows.append(f"  {name:{width}}  {shown:<24} {value.grade.label}")
    rows += ["", "outputs"]
    for name, value in result.outputs.items():
        rows.append(
            f"  {name:{width}}  {present.output_text(calculator.outputs[name], value, system):<24} {value.grade.label}"
        )
    if result.enclosure == "sampling":
        rows.append("  (ranges found by sampling; a value between the samples may lie a little outside)")
    rows += ["", *(f"warning: {warning}" for warning in result.warnings)] if result.warnings else []
    return "\n".join(rows).replace(text.NO_BREAK, " ")


def _description(calculator: Calculator, system: str) -> str:
    rows = [calculator.title, calculator.question, "", "inputs"]
    width = max(map(len, (*calculator.inputs, *calculator.outputs)))
    for name, item in calculator.inputs.items():
        default = reading.default_text(item, system) or "nothing"
        rows.append(f"  {name:{width}}  {item.kind.meaning} Default {default}; allowed {allowed(item, system)}.")
    rows += ["", "outputs"]
    rows += [f"  {name:{width}}  {o.meaning} In {o.shown_unit(system)}." for name, o in calculator.outputs.items()]
    rows += ["", "formulas (TeX)"]
    rows += [f"  {formula.tex}  [{formula.reference.title}]" for formula in calculator.formulas]
    rows += ["", f"valid: {calculator.valid}"]
    return "\n".join(rows).replace(text.NO_BREAK, " ")


if __name__ == "__main__":
    sys.exit(main())
