"""What is wrong in a file that people write, told to the person who wrote it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

Steps = tuple[str | int, ...]


def dotted(path: Steps) -> str:
    """A path inside a record as people read it: "transmission.gear_ratios.2", list positions counted from 1."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


@dataclass(frozen=True, order=True)
class Problem:
    """One thing to mend: where it stands, what was found, what is allowed, and what was probably meant.

    `file` is relative to the project, `line` counts from 1 (0 for a file as a whole), `field` is the dotted path
    inside the record ("engine.bore.unit", list positions counted from 1). `suggestion` may be empty.
    """

    file: str
    line: int
    field: str
    found: str
    allowed: str
    suggestion: str = ""

    def __str__(self) -> str:
        """The problem on one line: `file:line: field: found X; allowed: Y. Did you mean Z?`"""
        place = f"{self.file}:{self.line}" if self.line else self.file
        subject = f"{self.field}: " if self.field else ""
        hint = f" Did you mean {self.suggestion}?" if self.suggestion else ""
        return " ".join(f"{place}: {subject}found {self.found}; allowed: {self.allowed}.{hint}".split())


class DataErrors(Exception):
    """Everything wrong with the data, at once. Nothing is built from data that raise this."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: list[Problem] = sorted(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


def closest(text: object, candidates: Iterable[str]) -> str:
    """The candidate that was probably meant by `text`, or an empty string."""
    known = {candidate.casefold(): candidate for candidate in candidates}
    found = difflib.get_close_matches(str(text).casefold(), known, n=1, cutoff=0.6)
    return known[found[0]] if found else ""
