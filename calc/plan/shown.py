"""What an answer is made of: quantities and sentences, for a terminal or a page, in both unit systems."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calc import text, units
from calc.provenance import Grade


@dataclass(frozen=True)
class Shown:
    """A quantity in `unit`, with its range where it has one, shown in the unit `us` or `si`."""

    low: float
    value: float
    high: float
    unit: str
    us: str
    si: str
    grade: Grade
    digits: int = 3

    def symbol(self, system: str) -> str:
        """The unit shown in a unit system."""
        return self.us if system == "us" else self.si

    def ends(self, system: str) -> tuple[float, float, float]:
        """Low end, value and high end in the unit shown."""
        low, value, high = (
            units.convert(end, self.unit, self.symbol(system)) for end in (self.low, self.value, self.high)
        )
        return low, value, high

    def text(self, system: str) -> str:
        """The quantity as printed; a range as a range."""
        low, value, high = self.ends(system)
        symbol = self.symbol(system)
        if low == high:
            return text.quantity(value, symbol, self.digits, trim=symbol.startswith("money"))
        return text.span(low, high, symbol, self.digits)


@dataclass(frozen=True)
class Said:
    """A sentence in both unit systems."""

    us: str
    si: str

    @classmethod
    def by(cls, sentence: Callable[[str], str]) -> Said:
        """The sentence that a function writes for a unit system."""
        return cls(sentence("us"), sentence("si"))

    def text(self, system: str) -> str:
        """The sentence in a unit system."""
        return self.us if system == "us" else self.si


def point(value: float, unit: str, us: str, si: str, grade: Grade, digits: int = 3) -> Shown:
    """A quantity without a range."""
    return Shown(value, value, value, unit, us, si, grade, digits)


def as_json(item: Any, system: str) -> Any:
    """An answer for a terminal: numbers with unit and grade, sentences in the unit system."""
    if isinstance(item, Shown):
        low, value, high = item.ends(system)
        ranged = {"low": low, "high": high} if low != high else {}
        return {"value": value, **ranged, "unit": item.symbol(system), "grade": item.grade.value}
    return _mapped(item, lambda said: said.text(system), lambda inner: as_json(inner, system))


def as_page(item: Any) -> Any:
    """An answer for a page: every quantity and sentence as its text in both unit systems."""
    if isinstance(item, Shown):
        us, si = (item.text(system) for system in text.SYSTEMS)
        return {"us": us, "si": si, "grade": item.grade.value, "label": item.grade.label}
    return _mapped(item, lambda said: {"us": said.us, "si": said.si}, as_page)


def _mapped(item: Any, said: Callable[[Said], Any], inner: Callable[[Any], Any]) -> Any:
    if isinstance(item, Said):
        return said(item)
    if isinstance(item, Mapping):
        return {key: inner(value) for key, value in item.items()}
    if isinstance(item, list | tuple):
        return [inner(value) for value in item]
    return item
