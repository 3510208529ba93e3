"""The pieces that a shown plan is made of: a tree of plain values, written as HTML by the build, as elements in a page.

A node is a text, a pair of texts `{"us", "si"}`, or `[tag, attributes, *nodes]`. No markup is parsed: texts stay texts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from calc import text
from calc.plan.shown import Said, Shown
from calc.provenance import Grade, weakest

Node = str | dict[str, str] | list[Any]


def el(tag: str, attributes: Mapping[str, Any] | None = None, *inside: Node | None) -> Node:
    """An element; attributes that are None or empty, and nodes that are None, are left out."""
    kept = {name: value for name, value in (attributes or {}).items() if value not in (None, "", {})}
    return [tag, kept, *(node for node in inside if node is not None)]


def pair(item: Shown | Said) -> dict[str, str]:
    """The texts of a quantity or a sentence in both unit systems."""
    return {"us": item.text("us"), "si": item.text("si")}


def said(item: Said | str) -> Node:
    """A sentence: in a box that lets it break over lines."""
    if isinstance(item, str):
        return item
    us, si = item.us, item.si
    return us if us == si else el("span", {"class": "hr-said"}, {"us": us, "si": si})


def classed(tag: str, name: str, *inside: Node | None) -> Node:
    """An element with a class."""
    return el(tag, {"class": name}, *inside)


@dataclass
class Notes:
    """Marks, and the notes that they open, each written once; `root` leads from the page to the site's first page."""

    root: str
    prefix: str = "plan-note"
    lines: dict[str, list[Node]] = field(default_factory=dict)

    def computed(self, grade: Grade) -> Node:
        """The mark behind a computed figure."""
        name = f"{self.prefix}-computed-{grade.value}"
        self.lines.setdefault(
            name,
            [
                el("span", {}, classed("b", "hr-note__what", "Computed"), " by the planner from the figures of the ",
                   self.link("figures/", "register"), "."),
                el("span", {}, "Formulas: the engine balance and the capacities of parts, see ",
                   self.link("sources/", "sources"), "."),
                el("span", {}, f"Weakest grade that went in: {grade.label}"),
            ],
        )  # fmt: skip
        return mark(grade, name, f"computed, weakest grade: {grade.label}", computed=True)

    def of(self, key: str, grade: Grade, *lines: Node) -> Node:
        """The mark behind a figure that has a note of its own under `key`."""
        name = f"{self.prefix}-{key}"
        self.lines.setdefault(name, [el("span", {}, line) for line in lines])
        return mark(grade, name, grade.label)

    def figure(self, item: Shown) -> Node:
        """A computed quantity with its mark."""
        return classed("span", "hr-figure", pair(item), self.computed(item.grade))

    def plain(self, item: Shown) -> Node:
        """A computed quantity whose mark opens nothing, for a place that is a button itself."""
        word = f"computed, weakest grade: {item.grade.label}"
        attributes = {"class": "hr-mark hr-computed", "data-grade": item.grade.value, "role": "img", "aria-label": word}
        return classed("span", "hr-figure", pair(item), el("span", attributes, item.grade.value[0].upper()))

    def sentence(self, item: Said | str, grade: Grade) -> Node:
        """A sentence that holds computed figures, with one mark at its end."""
        return el("span", {}, said(item), self.computed(grade))

    def link(self, place: str, words: Node) -> Node:
        """A link to a page of the site by its address below the first page."""
        return link(self.root, place, words)

    def all(self) -> list[Node]:
        """Every note, to stand behind the view."""
        return [
            el("div", {"class": "hr-note", "id": name, "popover": "auto"}, *lines) for name, lines in self.lines.items()
        ]


def link(root: str, place: str, words: Node) -> Node:
    """A link to a page of the site by its address below the first page, to which `root` leads."""
    return el("a", {"href": f"{root}{place}"}, words)


def mark(grade: Grade, note: str, words: str, *, computed: bool = False) -> Node:
    """The mark behind a figure; it opens the note with the id `note`."""
    attributes = {
        "type": "button",
        "class": "hr-mark hr-computed" if computed else "hr-mark",
        "data-grade": grade.value,
        "popovertarget": note,
        "aria-label": f"Source: {words}",
    }
    return el("button", attributes, grade.value[0].upper())


def badge(grade: Grade) -> Node:
    """A grade as shape, letter and words."""
    shape = el("span", {"class": "hr-mark", "data-grade": grade.value, "aria-hidden": "true"}, grade.value[0].upper())
    return classed("span", "hr-grade", shape, grade.label)


def grades_in(item: Any) -> Iterable[Grade]:
    """The grades of all quantities in a tree."""
    if isinstance(item, Shown):
        yield item.grade
    elif isinstance(item, Mapping):
        for inner in item.values():
            yield from grades_in(inner)
    elif isinstance(item, list | tuple):
        for inner in item:
            yield from grades_in(inner)


def weakest_in(*items: Any) -> Grade:
    """The weakest grade of all quantities in some trees; memory where there is none."""
    return weakest(list(grades_in(items)) or [Grade.MEMORY])


def table(label: str, head: Iterable[Node], rows: Iterable[Node], more: str = "") -> Node:
    """A table in a box that scrolls by keyboard as well."""
    box = {"class": "hr-scroll hr-cards", "tabindex": "0", "role": "region", "aria-label": label}
    titles = el("tr", {}, *(el("th", {"scope": "col"}, title) for title in head))
    return el(
        "div", box,
        el("table", {"class": f"hr-table {more}".strip()}, el("thead", {}, titles), el("tbody", {}, *rows)),
    )  # fmt: skip


def percent(value: float) -> str:
    """A share as per cent."""
    return text.with_unit(f"{100.0 * value:.0f}", "%")


def cell(label: str, *inside: Node | None, name: str = "") -> Node:
    """A cell that says its column's name where the table becomes cards."""
    return el("td", {"data-label": label, "class": name}, *inside)
