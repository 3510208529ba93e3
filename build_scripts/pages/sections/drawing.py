"""What a section drawing hands to its figure: pictures for a broad and a narrow place, and the table behind them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class Cell:
    """A number of the table by its key; without a key only the words, such as "none"."""

    key: str = ""
    words: str = ""


@dataclass(frozen=True)
class Row:
    """A row of the table: its name, where `key` is given with a number of its own, and the cells."""

    name: str
    cells: Sequence[Cell]
    key: str = ""


@dataclass(frozen=True)
class View:
    """One drawing, under a heading where there are several; `broad` is None where the narrow one serves everywhere."""

    heading: str
    broad: Markup | None
    narrow: Markup


@dataclass(frozen=True)
class Drawing:
    """A whole section: `title` over it, `spoken` for those who do not see it, `notes` under it."""

    title: str
    spoken: str
    views: Sequence[View]
    head: Sequence[str]
    rows: Sequence[Row]
    notes: Sequence[str]
