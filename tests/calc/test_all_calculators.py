"""What holds for every calculator, found by folder: no bad value escapes, ranges enclose, grades travel.

A quick slice runs here. The long run, at least 100,000 random inputs for each calculator, is
`HEADROOM_INPUTS=100000 pytest tests/calc/test_all_calculators.py -k random`.
"""

import json
import math
import os
import random
from typing import Any

import pytest

from calc import curves, evaluate, present, registry, units
from calc.contract import Calculator, Choice, Impossible, Input, Quantity, Readings
from calc.evaluate import answer
from calc.provenance import Grade, weakest
from calc.reading import BadInput, Problem, Value, allowed, default_text, read

ALL = registry.calculators()
COUNT = int(os.environ.get("HEADROOM_INPUTS", "150"))
BAD = [
    "",
    " ",
    "nan",
    "inf",
    "-inf",
    "1e999",
    "-1e300",
    "1e300",
    "abc",
    "5 furlong",
    "1..2..3",
    "..",
    "0x1f",
    "<b>",
    "\x00",
    "9" * 999,
    "1e-400",
    "--1",
    "١٢",
    "1 [guess]",
    "[measured]",
    "true",
    "None",
    "1;2",
    "1/0",
]


def test_some_calculators_were_found() -> None:
    """The tests below are not empty."""
    assert "exhaust-back-pressure" in ALL


@pytest.fixture(params=ALL)
def calculator(request: pytest.FixtureRequest) -> Calculator:
    """Each calculator in turn."""
    return ALL[request.param]


def random_text(item: Input, source: random.Random) -> str:
    """A text that a person could type for this input: mostly in range, often at a bound, in either unit system."""
    kind = item.kind
    if isinstance(kind, Choice):
        return source.choice(list(kind.options))
    if item.optional and source.random() < 0.3:
        return ""
    symbol = source.choice([kind.us or kind.unit, kind.si or kind.unit])

    def one() -> str:
        share = source.choice([0.0, 1.0, source.random(), source.random(), source.random() ** 4])
        low = kind.low if source.random() < 0.5 or isinstance(item.default, tuple | None) else item.default
        value = low + (kind.high - low) * share
        value = float(round(value)) if kind.whole else value
        return f"{units.convert(value, kind.unit, symbol)!r} {'' if symbol == '1' else symbol}"

    if isinstance(kind, Readings):
        return "; ".join(one() for _ in range(source.randint(kind.least, min(kind.most, kind.least + 5))))
    if not kind.whole and source.random() < 0.02:
        return f"{one()}..{one()}"
    return one()


def test_random_inputs_never_escape(calculator: Calculator) -> None:
    """Any input that the form allows gives finite, graded numbers or a sentence; never a traceback, NaN or infinity."""
    source = random.Random(f"{calculator.id} {COUNT}")
    answered = 0
    for _ in range(COUNT):
        names = source.sample(list(calculator.inputs), source.randint(0, len(calculator.inputs)))
        given = {name: random_text(calculator.inputs[name], source) for name in names}
        try:
            result = answer(calculator, given, source.choice(["us", "si"]))
        except BadInput as bad:
            for problem in bad.problems:
                assert problem.message.isprintable() or "\xa0" in problem.message
                assert problem.allowed
            continue
        answered += 1
        text = json.dumps(present.as_json(result), allow_nan=False)
        assert "Infinity" not in text
    assert answered > COUNT / 20, "almost every random input was refused: the ranges do not describe the formula"


def test_bad_texts_name_the_input_and_what_is_allowed(calculator: Calculator) -> None:
    """Every input refuses nonsense in one line that names it and its range."""
    for name, item in calculator.inputs.items():
        for text in BAD:
            for problem in _problems(item, text):
                assert problem.name == name
                assert allowed(item, "us") in problem.message


def _problems(item: Input, text: str) -> list[Problem]:
    try:
        read(item, text, "us")
    except BadInput as bad:
        return bad.problems
    return []


def test_the_default_answer_is_complete(calculator: Calculator) -> None:
    """Without any input there is an answer, the same in both unit systems, with its grade."""
    shown = present.page_answer(calculator.id, {}, "us")
    assert shown["ok"], shown
    assert set(shown["slots"]) == set(calculator.outputs)
    assert shown["slots"] == present.page_answer(calculator.id, {}, "si")["slots"]
    grade = weakest([calculator.formula_grade, *(item.kind.grade for item in calculator.inputs.values())])
    assert {entry["id"] for entry in shown["grades"].values()} == {grade.value}


def test_defaults_lie_in_their_ranges(calculator: Calculator) -> None:
    """A default is an input like any other, and what its field shows is accepted."""
    for item in calculator.inputs.values():
        for system in ("us", "si"):
            shown = default_text(item, system)
            if shown or item.default is not None:
                read(item, shown, system)


def test_fields_left_alone_give_the_default_answer(calculator: Calculator) -> None:
    """Sending every field as it stands changes nothing, not even the last bit."""
    plain = present.as_json(answer(calculator, {}))
    for system in ("us", "si"):
        fields = {name: default_text(item, system) for name, item in calculator.inputs.items()}
        assert present.as_json(answer(calculator, fields, system)) == plain


def test_the_weakest_input_grade_wins(calculator: Calculator) -> None:
    """An input said to be invented makes every output invented."""
    name, item = next((n, i) for n, i in calculator.inputs.items() if default_text(i, "si"))
    result = answer(calculator, {name: f"{default_text(item, 'si')} [invented]"})
    assert {value.grade.value for value in result.outputs.values()} == {"invented"}


def test_ranges_enclose(calculator: Calculator) -> None:
    """Values from inside a range give results inside the resulting range, where the corners are claimed to enclose.

    Where the page says "sampling", the results may lie a little outside; here at most 2 % of the range's width.
    """
    source = random.Random(calculator.id)
    ranged = [name for name, item in calculator.inputs.items() if _can_be_a_range(item)]
    tried = 0
    for _ in range(max(12, COUNT // 10)):
        names = source.sample(ranged, min(len(ranged), source.randint(1, 2)))
        ends = {name: _ends(calculator.inputs[name], source) for name in names}
        plain = evaluate.understand(calculator, {}, "si")
        ranges = {name: Value((low + high) / 2, Grade.MEMORY, low, high) for name, (low, high) in ends.items()}
        inside = {name: Value(source.uniform(low, high), Grade.MEMORY) for name, (low, high) in ends.items()}
        try:
            whole = evaluate.compute(calculator, plain | ranges)
            point = evaluate.compute(calculator, plain | inside)
        except BadInput:
            continue
        tried += 1
        for name, value in whole.outputs.items():
            found = point.outputs[name].value
            if isinstance(found, str | bool) or found is None or value.value is None:
                continue
            low = value.low if value.low is not None else value.value
            unbounded = value.low is not None and value.high is None
            high = math.inf if unbounded else value.high if value.high is not None else value.value
            slack = 1e-9 * max(abs(low), 1e-12) + (
                0.02 * (high - low) if whole.enclosure == "sampling" and not unbounded else 0
            )
            assert low - slack <= found <= high + slack, f"{name} for {ends} at {inside}"
    assert tried or not ranged


def _can_be_a_range(item: Input) -> bool:
    return (
        isinstance(item.kind, Quantity)
        and not isinstance(item.kind, Readings)
        and not item.kind.whole
        and item.default is not None
    )


def _ends(item: Input, source: random.Random) -> tuple[float, float]:
    assert isinstance(item.kind, Quantity)
    low = max(item.kind.low, item.default - abs(item.default) * source.uniform(0.01, 0.3))
    high = min(item.kind.high, item.default + abs(item.default) * source.uniform(0.01, 0.3))
    return low, high if high > low else item.kind.high


def test_curves_are_finite(calculator: Calculator) -> None:
    """Every chart has points, all finite, in both unit systems."""
    for system in ("us", "si"):
        for chart in curves.page_curves(calculator.id, {}, system):
            assert chart["rows"], chart["title"]
            assert all(math.isfinite(row["x"]) and math.isfinite(row["y"]) for row in chart["rows"])


def test_every_part_of_the_description_is_there(calculator: Calculator) -> None:
    """Question, formulas with symbols and reference, validity and meanings: a page without them must not be made."""
    assert calculator.question.endswith("?")
    assert calculator.formulas
    assert len(calculator.valid) > 20
    described: list[Any] = [*calculator.outputs.values(), *(item.kind for item in calculator.inputs.values())]
    for kind in described:
        assert kind.meaning.strip().endswith((".", "?")), kind.name
        assert kind.name[0].isupper() or not kind.name[0].isalpha(), kind.name
    json.dumps(present.describe(calculator), allow_nan=False)


def test_impossible_names_inputs_that_exist(calculator: Calculator) -> None:
    """A refusal points at fields of the form."""
    source = random.Random(calculator.id)
    named: set[str] = set()
    for _ in range(100):
        values = {
            name: source.uniform(item.kind.low, item.kind.high)
            for name, item in calculator.inputs.items()
            if isinstance(item.kind, Quantity) and not isinstance(item.kind, Readings) and not item.kind.whole
        }
        try:
            calculator.function(**values)
        except Impossible as impossible:
            named |= set(impossible.inputs)
        except ArithmeticError:
            continue
    assert named <= set(calculator.inputs)
