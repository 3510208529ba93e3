"""Where a figure comes from, and how doubt travels through arithmetic."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal


class Grade(StrEnum):
    """How well a figure is supported, strongest first.

    A published standard stands before a single measurement: the standard was agreed by many, a measurement is one
    instrument on one day, with conditions that the reader must match.
    """

    STANDARD = "standard"
    MEASURED = "measured"
    PRACTICE = "practice"
    MEMORY = "memory"
    INVENTED = "invented"

    @property
    def label(self) -> str:
        """The words that a reader sees."""
        return _LABELS[self]

    @property
    def rank(self) -> int:
        """0 for the strongest grade, rising with doubt."""
        return _RANKS[self]


_LABELS = {
    Grade.STANDARD: "published standard",
    Grade.MEASURED: "measured",
    Grade.PRACTICE: "common practice",
    Grade.MEMORY: "recalled from memory",
    Grade.INVENTED: "invented for the demo",
}
_RANKS = {grade: rank for rank, grade in enumerate(Grade)}


def weakest(grades: Iterable[Grade]) -> Grade:
    """The weakest of the grades: what a result computed from all of them deserves.

    Raises ValueError when there are none, since a figure without a grade must not exist.
    """
    return max(grades, key=_RANKS.__getitem__)


@dataclass(frozen=True)
class Reference:
    """A standard, textbook, paper or habit of the trade that a formula or constant rests on.

    `grade` says what a figure taken from it deserves here: a book recalled without opening it is `MEMORY`, whatever
    its standing. `seen` says which copy was read: "original", "secondary" (a page that quotes it) or "none".
    """

    id: str
    title: str
    where: str = ""
    grade: Grade = Grade.MEMORY
    seen: Literal["original", "secondary", "none"] = "none"
    note: str = ""

    def __post_init__(self) -> None:
        if self.seen == "none" and self.grade in (Grade.STANDARD, Grade.MEASURED):
            raise ValueError(f"reference {self.id!r}: nobody has seen it, so its grade cannot be {self.grade.label}")
