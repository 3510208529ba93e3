"""Every calculator gives the page what it gives this Python: generated inputs, run in both, compared to the last bit.

The text of a page must be equal in all cases. The numbers behind it are equal to the last bit wherever only arithmetic
and square roots are used, which IEEE 754 fixes: in about 99 of 100 answers. `pow`, `exp`, `log` and their like are
not fixed by it: the C library of the browser's runtime and the one of this computer may round them to different
neighbours, one unit in the last place (ulp) apart. A formula carries that into a few ulps, bounded by FORMULA_ULPS; a
calculator that solves an equation to a tolerance, or shows the small difference of two large results, into more of
them, bounded by SOLVED_ULPS, which is still only about one part in 10**11.
"""

from __future__ import annotations

import json
import math
import random
import struct
from pathlib import Path
from typing import Any

import pytest

from build_scripts import bundle
from calc import registry, units
from calc.contract import Choice, Input, Quantity, Readings
from calc.evaluate import answer
from calc.present import as_json, page_answer
from calc.reading import BadInput

CASES = 200
FORMULA_ULPS = 16
SOLVED_ULPS = 2**16
SOLVED = {"before-after", "engine-balance", "power-curve", "spool-time"}
UNREADABLE = ("", "x", "1e999", "-1", "62 furlongs", "3..2", "nan", "1,2,3", "<b>5</b>")

Call = tuple[str, dict[str, str], str]


def typed(item: Input, system: str, chance: random.Random) -> str:
    """Something a person could type into the field of an input."""
    kind = item.kind
    if isinstance(kind, Choice):
        return chance.choice(list(kind.options))
    if chance.random() < 0.02:
        return chance.choice(UNREADABLE)
    if isinstance(kind, Readings):
        count = chance.randint(kind.least, min(kind.most, kind.least + 6))
        return "; ".join(number(kind, item.default[0], system, chance) for _ in range(count))
    text = number(kind, item.default, system, chance)
    return f"{text} {kind.shown_unit(system)} [measured]" if chance.random() < 0.1 else text


def number(kind: Quantity, default: Any, system: str, chance: random.Random) -> str:
    """A number of the allowed range in the shown unit: mostly near the default, so that the values fit each other."""
    symbol = kind.shown_unit(system)
    low, high = sorted(units.convert(end, kind.unit, symbol) for end in (kind.low, kind.high))
    value = low + (high - low) * chance.random()
    if isinstance(default, int | float) and chance.random() < 0.7:
        around = units.convert(default, kind.unit, symbol)
        value = min(max(around + (value - around) * 0.1, low), high)
    return str(round(value)) if kind.whole else f"{value:.{chance.randint(3, 7)}g}"


def calls(identifier: str) -> list[Call]:
    """Calls of one calculator, the same in every run: one input or several or all, now and then a range."""
    chance = random.Random(identifier)
    inputs = registry.calculator(identifier).inputs
    made: list[Call] = [(identifier, {}, "us"), (identifier, {}, "si")]
    while len(made) < CASES + 2:
        system = chance.choice(("us", "si"))
        count = chance.choice((1, 1, 2, 3, 5, len(inputs)))
        given = {
            name: typed(inputs[name], system, chance) for name in chance.sample(list(inputs), min(count, len(inputs)))
        }
        name = next(iter(given))
        kind, default = inputs[name].kind, inputs[name].default
        if type(kind) is Quantity and not kind.whole and chance.random() < 0.1:
            given[name] = "..".join(sorted((number(kind, default, system, chance) for _ in range(2)), key=float))
        made.append((identifier, given, system))
    return made


def native(call: Call) -> tuple[Any, Any]:
    identifier, given, system = call
    try:
        numbers = as_json(answer(registry.calculator(identifier), given, system), system)
    except BadInput:
        numbers = None
    return page_answer(identifier, given, system), numbers


def ordered(value: float) -> int:
    """The place of a float among all floats, so that neighbours differ by one."""
    bits: int = struct.unpack("<q", struct.pack("<d", value))[0]
    return bits if bits >= 0 else -(bits & 0x7FFF_FFFF_FFFF_FFFF)


def ulps(here: Any, there: Any) -> int:
    """The largest distance in ulps between two equal structures; fails where they differ in anything but numbers."""
    if isinstance(here, float) and isinstance(there, float) and math.isfinite(here) and math.isfinite(there):
        return abs(ordered(here) - ordered(there))
    if isinstance(here, dict) and isinstance(there, dict):
        assert here.keys() == there.keys()
        return max((ulps(here[key], there[key]) for key in here), default=0)
    if isinstance(here, list) and isinstance(there, list):
        assert len(here) == len(there)
        return max((ulps(*pair) for pair in zip(here, there, strict=True)), default=0)
    assert here == there
    return 0


@pytest.fixture(scope="module")
def in_runtime(root: Path) -> dict[str, list[list[Any]]]:
    """The answers of all calls from the runtime of the page, started once, with the lean library and the wheel."""
    folder = bundle.prepared(root)
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    every = [call for identifier in registry.identifiers() for call in calls(identifier)]
    files = (folder / manifest[name] for name in ("runtime", "lean", "lock"))
    answers = json.loads(bundle.node("answer.mjs", *files, text=json.dumps(every)))
    assert len(answers) == len(every)
    by_calculator: dict[str, list[list[Any]]] = {identifier: [] for identifier in registry.identifiers()}
    for call, result in zip(every, answers, strict=True):
        by_calculator[call[0]].append(result)
    return by_calculator


@pytest.mark.parametrize("identifier", registry.identifiers())
def test_the_page_and_this_python_agree(identifier: str, in_runtime: dict[str, list[list[Any]]]) -> None:
    bound = SOLVED_ULPS if identifier in SOLVED else FORMULA_ULPS
    answered = identical = 0
    for call, (page, numbers) in zip(calls(identifier), in_runtime[identifier], strict=True):
        page_here, numbers_here = json.loads(json.dumps(native(call)))
        shares_here, shares = page_here.pop("shares", {}), page.pop("shares", {})
        assert page_here == page, call
        assert ulps(shares_here, shares) <= bound, call
        assert ulps(numbers_here, numbers) <= bound, call
        answered += page["ok"]
        identical += (shares_here, numbers_here) == (shares, numbers)
    assert answered >= CASES // 4, "too few inputs were answered for the comparison to mean anything"
    assert identical >= CASES * 0.85, "two C libraries would differ more rarely"
