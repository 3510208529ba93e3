"""Parts in a row, each drawn in section with its numbers beside it: fuel and hydraulics."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from build_scripts.pages.sections import parts
from build_scripts.pages.sections.drawing import Cell, Drawing, Row, View
from build_scripts.pages.sections.parts import Draw, Numbers


@dataclass(frozen=True)
class Entry:
    """A number with the words that say what it is; `look` gives it a bar."""

    words: str
    key: str
    look: str = ""


@dataclass(frozen=True)
class Link:
    """A part of the chain."""

    name: str
    draw: Draw
    entries: Sequence[Entry]


def chain(numbers: Numbers, title: str, spoken: str, links: Sequence[Link], notes: Iterable[str]) -> Drawing:
    """The section of a chain; in the table every number has a row."""
    listed = ", ".join(link.name[:1].lower() + link.name[1:] for link in links)
    return Drawing(
        title=title,
        spoken=f"{spoken} Parts in the direction of flow: {listed}. The numbers of each stand in the table below.",
        views=[View("", _broad(numbers, links), _narrow(numbers, links))],
        head=("Part", "Number"),
        rows=[Row(f"{link.name}: {entry.words}", [Cell(entry.key)]) for link in links for entry in link.entries],
        notes=(*notes, "Bars of one quantity share one scale; a hatched end is a range. The drawing is not to scale."),
    )


# --- broad: the chain runs to the right, numbers under each part ------------------------------------------------------

_WIDTH, _AXIS, _BELOW, _ENTRY = 690.0, 46.0, 112.0, 38.0


def _broad(numbers: Numbers, links: Sequence[Link]) -> Markup:
    step = _WIDTH / len(links)
    drawn = Markup()
    for place, link in enumerate(links):
        x = place * step
        drawn += parts.moved(link.draw(0, step), x, _AXIS)
        drawn += parts.words(x + 4, _BELOW, link.name, "name")
        if place:
            drawn += parts.path(
                f"M{parts.number(x - 4)} {_BELOW - 10}v{parts.number(_rows(links) * _ENTRY + 10)}", "fine"
            )
        for row, entry in enumerate(link.entries):
            y = _BELOW + 17 + row * _ENTRY
            drawn += parts.words(x + 4, y, entry.words, "small")
            drawn += parts.value(numbers, entry.key, x + 4, y + 13, "strong")
            if entry.look:
                drawn += parts.bar(numbers, entry.key, x + 4, y + 17, step - 18, entry.look)
    return parts.svg(drawn, _WIDTH, _BELOW + 10 + _rows(links) * _ENTRY)


def _rows(links: Sequence[Link]) -> int:
    return max(len(link.entries) for link in links)


# --- narrow: the chain goes down, numbers beside each part ------------------------------------------------------------

_NARROW, _LEFT, _TEXT, _LEAST = 280.0, 46.0, 98.0, 78.0


def _narrow(numbers: Numbers, links: Sequence[Link]) -> Markup:
    drawn, top = Markup(), 4.0
    for link in links:
        y = top + 16
        drawn += parts.words(_TEXT, y, link.name, "name")
        for entry in link.entries:
            y += 18
            drawn += parts.words(_TEXT, y, entry.words, "small")
            y += 15
            drawn += parts.value(numbers, entry.key, _TEXT, y, "strong")
            if entry.look:
                drawn += parts.bar(numbers, entry.key, _TEXT, y + 4, _NARROW - _TEXT - 2, entry.look)
                y += 6
        end = max(y + 12, top + _LEAST)
        drawn += parts.moved(link.draw(0, end - top), _LEFT, top, turn=90)
        top = end
    return parts.svg(drawn, _NARROW, top + 6)
