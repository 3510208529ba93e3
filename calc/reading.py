"""Understands what a person typed: numbers with units, ranges, lists, options and how well they are known."""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from typing import Any

from calc import text, units
from calc.contract import Choice, Input, Quantity, Readings
from calc.provenance import Grade


@dataclass(frozen=True)
class Value:
    """An input or output as understood, in the coherent unit of its annotation: a point, or a range with its middle.

    A range with a low end and no high end has no upper bound.
    """

    value: Any
    grade: Grade
    low: float | None = None
    high: float | None = None

    @property
    def ranged(self) -> bool:
        """Whether it is a range rather than a point."""
        return self.low is not None


@dataclass(frozen=True)
class Problem:
    """Why an input cannot be used: which one, what was given, what is allowed, in one sentence each."""

    name: str
    given: str
    allowed: str
    why: str = ""

    @property
    def message(self) -> str:
        """One line for a terminal: names the input, what was given, what is allowed."""
        given = f"given {self.given!r}" if self.given else "given nothing"
        return f"{self.name}: {given}{f': {self.why}' if self.why else ''}; allowed: {self.allowed}"


class BadInput(ValueError):
    """One or more inputs that cannot be used; `problems` says why for each."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems


class _Unreadable(ValueError):
    """Why a text is no value, as the tail of a sentence."""


# A space separates thousands only where three digits follow: "3 1" is three of the unit one, not thirty-one.
_WHOLE = r"(?:\d{1,3}(?:[ \u00a0\u202f]\d{3})+(?!\d)|\d[\d,']*)"
_NUMBER = rf"[+\-−]?(?:{_WHOLE}(?:\.\d*)?|\.\d+)(?:[eE][+\-−]?\d+)?"
_AMOUNT = re.compile(rf"\s*(?P<sign>\$?)\s*(?P<number>{_NUMBER})\s*(?P<unit>1(?:/.+?)?|[^\d\s.].*?)?\s*")
_RANGE = re.compile(r"\s*(?P<low>.+?)\s*(?:\.\.|…|–|\bto\b)\s*(?P<high>.+?)\s*")
_GRADED = re.compile(r"(?P<text>.*?)\s*\[\s*(?P<grade>[^\[\]]*)\s*\]\s*", re.DOTALL)
LONGEST = 400


def allowed(item: Input, system: str) -> str:
    """What an input accepts, in words, with both unit systems where they differ."""
    kind = item.kind
    if isinstance(kind, Choice):
        return ", ".join(kind.options)
    first, second = (bounds(kind, shown) for shown in _both(system))
    low_high = first if first == second else f"{first} ({second})"
    if isinstance(kind, Readings):
        return f"{kind.least} to {kind.most} numbers, each {low_high}"
    blank = " or nothing" if item.optional else ""
    return f"{'a whole number, ' if kind.whole else ''}{low_high}{blank}"


def bounds(kind: Quantity, system: str) -> str:
    """The allowed range of a quantity in one unit system: 1.3 to 265 lb/min."""
    symbol = kind.shown_unit(system)
    low = text.inward(units.convert(kind.low, kind.unit, symbol), math.ceil)
    high = text.inward(units.convert(kind.high, kind.unit, symbol), math.floor)
    return text.with_unit(f"{low} to {high}", symbol)


def _both(system: str) -> tuple[str, str]:
    return ("us", "si") if system == "us" else ("si", "us")


def read(item: Input, given: str, system: str) -> Value:
    """The value that `given` means for this input; a bare number stands in the unit shown in `system`.

    A text may end in a grade in brackets, "48 lb/min [measured]"; without one it counts as recalled from memory.
    Raises BadInput with one Problem.
    """
    body, grade = given, Grade.MEMORY
    try:
        if len(given) > LONGEST:
            raise _Unreadable("this is too long to be a value")
        if graded := _GRADED.fullmatch(given):
            body, grade = graded["text"], _grade(graded["grade"])
        return _read(item, body.strip(), grade, system)
    except _Unreadable as problem:
        shortened = given if len(given) <= 60 else given[:57] + "..."
        raise BadInput([Problem(item.name, shortened.strip(), allowed(item, system), str(problem))]) from None


def _grade(word: str) -> Grade:
    for grade in Grade:
        if word.strip().casefold() in (grade.value, grade.label):
            return grade
    raise _Unreadable(f"{word!r} is no grade (one of {', '.join(Grade)})")


def _read(item: Input, body: str, grade: Grade, system: str) -> Value:
    kind = item.kind
    if isinstance(kind, Choice):
        return Value(_option(kind, body), grade)
    if not body:
        if item.optional:
            return Value(None, grade)
        raise _Unreadable("a value is needed")
    if isinstance(kind, Readings):
        return _readings(kind, body, grade, system)
    if ends := _RANGE.fullmatch(body):
        return _range(kind, ends["low"], ends["high"], grade, system)
    return Value(_checked(kind, _amount(kind, body, system)), grade)


def _option(kind: Choice, body: str) -> str:
    folded = body.casefold().replace("_", "-")
    for option, label in kind.options.items():
        if folded in (option.casefold(), label.casefold()):
            return option
    near = difflib.get_close_matches(folded, list(kind.options), 1)
    raise _Unreadable(
        f"no such option{f', did you mean {near[0]!r}?' if near else ''}" if body else "a choice is needed"
    )


def _readings(kind: Readings, body: str, grade: Grade, system: str) -> Value:
    parts = [part for part in re.split(r"[;\n]|,\s+|\s{2,}|(?<=\d)\s+(?=[\d.+\-])", body) if part.strip()]
    if not kind.least <= len(parts) <= kind.most:
        raise _Unreadable(f"{len(parts)} numbers were understood")
    trailing = _AMOUNT.fullmatch(parts[-1])
    unit = trailing["unit"] if trailing and trailing["unit"] else ""
    amounts = [_amount(kind, part, system, unit) for part in parts]
    return Value(tuple(_checked(kind, amount) for amount in amounts), grade)


def _range(kind: Quantity, low_text: str, high_text: str, grade: Grade, system: str) -> Value:
    trailing = _AMOUNT.fullmatch(high_text)
    unit = trailing["unit"] if trailing and trailing["unit"] else ""
    low = _checked(kind, _amount(kind, low_text, system, unit))
    high = _checked(kind, _amount(kind, high_text, system))
    if low > high:
        raise _Unreadable("the low end of the range lies above its high end")
    if low == high:
        return Value(low, grade)
    if kind.whole:
        raise _Unreadable("this input takes one whole number, not a range")
    return Value((low + high) / 2, grade, low, high)


def _amount(kind: Quantity, body: str, system: str, unit: str = "") -> float:
    match = _AMOUNT.fullmatch(body)
    if match is None:
        if body.strip().casefold().lstrip("+-") in ("nan", "inf", "infinity", "∞"):
            raise _Unreadable("this is not a finite number")
        raise _Unreadable("this is not a number with a unit")
    symbol = kind.shown_unit(system)
    if written := (match["unit"] or unit):
        try:
            symbol = units.find(written.strip(), units.unit(kind.unit).dimension).symbol
        except units.UnitError as problem:
            raise _Unreadable(f"unit {problem}") from None
    value = float(_plain(match["number"]))
    if not math.isfinite(value):
        raise _Unreadable("this is not a finite number")
    return units.convert(value, symbol, kind.unit)


def _plain(digits: str) -> str:
    """The text of a number as Python reads it, with thousands separators taken out and a decimal comma turned."""
    digits = re.sub(r"[ '\u00a0\u202f]", "", digits.replace("−", "-"))
    if "," not in digits:
        return digits
    whole = digits.partition(".")[0]
    if re.fullmatch(r"[+\-]?\d{1,3}(,\d{3})+", whole):
        return digits.replace(",", "")
    if digits.count(",") == 1 and "." not in digits:
        return digits.replace(",", ".")
    raise _Unreadable("the commas are neither thousands separators nor a decimal comma")


def _checked(kind: Quantity, value: float) -> float:
    # The shown bounds are rounded, so a value typed exactly at one may miss the bound by its last bits.
    slack = 1e-9 * max(abs(kind.low), abs(kind.high))
    if not kind.low - slack <= value <= kind.high + slack:
        raise _Unreadable(f"out of range{_share_hint(kind, value)}")
    if kind.whole and abs(value - round(value)) > 1e-9:
        raise _Unreadable("not a whole number")
    value = min(max(value, kind.low), kind.high)
    return float(round(value)) if kind.whole else value


def _share_hint(kind: Quantity, value: float) -> str:
    if "%" in (kind.us, kind.si) and 0 < abs(value) <= 0.01 and kind.low <= 100 * value <= kind.high:
        return f" (a share is given in percent: write {100 * value:.4g} as {10_000 * value:.4g} %)"
    return ""


def doubt(item: Input, given: str, value: Value, system: str) -> str:
    """A sentence when a share may have been typed as a fraction into a field of percent, else nothing.

    "0.85" in such a field is read as 0.85 %, which is legal and hardly ever meant.
    """
    kind = item.kind
    if not isinstance(kind, Quantity) or kind.shown_unit(system) != "%" or "%" in given or value.value is None:
        return ""
    bare = _AMOUNT.fullmatch(given)
    if bare is None or bare["unit"] or not 0 < abs(value.value) < 0.01:
        return ""
    return f"{kind.name} was read as {input_text(item, value, system)}; if you meant a fraction, write it in percent."


def default_value(item: Input) -> Value:
    """The default of an input, which is a range where its annotation says what is typical."""
    if isinstance(item.kind, Quantity) and item.kind.typical:
        return Value(item.default, item.kind.grade, *item.kind.typical)
    return Value(item.default, item.kind.grade)


def default_text(item: Input, system: str) -> str:
    """The default as it stands in a form field of the unit system, without its unit."""
    return field_text(item, default_value(item), system)


def field_text(item: Input, value: Value, system: str) -> str:
    """A value as it stands in a form field of the unit system, without its unit."""
    kind = item.kind
    if value.value is None:
        return ""
    if isinstance(kind, Choice):
        return str(value.value)
    symbol = kind.shown_unit(system)

    def shown(number: float) -> str:
        return text.typed(units.convert(number, kind.unit, symbol))

    if isinstance(kind, Readings):
        return "; ".join(shown(number) for number in value.value)
    if value.low is not None and value.high is not None:
        return f"{shown(value.low)}..{shown(value.high)}"
    return shown(value.value)


def input_text(item: Input, value: Value, system: str) -> str:
    """A value as a reader is told that it was understood, with its unit."""
    kind = item.kind
    if value.value is None:
        return "not given"
    if isinstance(kind, Choice):
        return kind.options[value.value]
    return text.with_unit(field_text(item, value, system).replace("..", " to "), kind.shown_unit(system))
