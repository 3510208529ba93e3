"""Two plans beside each other: what they share, where they differ, what gets worse as plainly as what gets better."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc import text
from calc.plan.nodes import Node, Notes, cell, classed, el, pair, percent, table, weakest_in
from calc.plan.records import Catalogue
from calc.plan.shown import Shown
from calc.plan.view import BANDS, share_bar, share_text
from calc.plan.wording import inside, listed
from calc.provenance import Grade

_NOTICED = 0.005
_POINT: Sequence[tuple[str, str]] = (
    ("boost", "Boost, gauge"),
    ("drive_ratio", "Drive pressure over boost"),
    ("egt", "Exhaust before the turbine"),
    ("lambda", "Lambda"),
    ("fuel", "Fuel at full load"),
    ("crank_power", "Power at the crankshaft"),
)


class Side:
    """One of the two: an answer, and which of its plans is meant; the first, or to do nothing, where there is none."""

    def __init__(self, answer: Mapping[str, Any], pick: str) -> None:
        self.answer = answer
        known = {plan["kind"]: plan for plan in answer["plans"]}
        chosen = known.get(pick) or (None if pick == "nothing" else next(iter(known.values()), None))
        nothing = answer["do_nothing"]
        self.kind = chosen["kind"] if chosen else "nothing"
        self.missing = bool(pick) and pick != self.kind
        self.title = str(chosen["title"] if chosen else nothing["title"])
        self.plan: Mapping[str, Any] = chosen or {
            "parts": [],
            "limits": nothing["limits"],
            "operating_point": None,
            "certainty": "",
        }
        self.limits = {limit["limit"]: limit for limit in self.plan["limits"]}
        self.parts = {part["id"]: part for part in self.plan["parts"]}
        self.power: Shown = chosen["goal"] if chosen else nothing["power"]
        self.cost: Shown = chosen["cost"] if chosen else nothing["cost"]

    def figure(self, key: str) -> Shown | None:
        """A quantity of the plan or of its operating point."""
        found = self.plan.get(key) or (self.plan["operating_point"] or {}).get(key)
        return found if isinstance(found, Shown) else None


def compared(sides: tuple[Side, Side], catalogue: Catalogue, root: str) -> list[Node]:
    """The comparison as nodes."""
    notes = Notes(root, "compare-note")
    one, two = sides
    found: list[Node | None] = [
        *(_missing(name, side) for name, side in zip("AB", sides, strict=True)),
        el("div", {"class": "hr-better"}, *_better_and_worse(one, two, notes)),
        _heads(sides, notes),
        el("h2", {}, "Parts"),
        _parts(one, two, catalogue, notes),
        el("h2", {}, "Limits"),
        _limits(one, two, notes),
        *notes.all(),
    ]
    return [node for node in found if node is not None]


def _missing(name: str, side: Side) -> Node | None:
    if not side.missing:
        return None
    return classed("p", "hr-quiet", f"Plan {name}: no plan of the kind asked for; shown is: {inside(side.title)}.")


def _better_and_worse(one: Side, two: Side, notes: Notes) -> list[Node]:
    better: list[Node] = []
    worse: list[Node] = []
    dearer = two.cost.value - one.cost.value
    grade = weakest_in(one.cost, two.cost)
    if abs(dearer) >= 1.0:
        words = f"costs {'more' if dearer > 0 else 'less'}: "
        (worse if dearer > 0 else better).append(
            el("span", {}, words, pair(two.cost), " against ", pair(one.cost), notes.computed(grade))
        )
    stronger = two.power.value - one.power.value
    if abs(stronger) >= 1.0:
        (better if stronger > 0 else worse).append(
            el("span", {}, f"{'more' if stronger > 0 else 'less'} power at the wheels: ", pair(two.power), " against ",
               pair(one.power), notes.computed(weakest_in(one.power, two.power)))
        )  # fmt: skip
    for key, limit in two.limits.items():
        before = one.limits.get(key)
        if before is None or limit["share"]["high"] is None or before["share"]["high"] is None:
            continue
        more = limit["share"]["high"] - before["share"]["high"]
        if abs(more) >= _NOTICED:
            line = (
                f"{'less' if more > 0 else 'more'} room at {inside(limit['part'])}: {share_text(limit['share'])} used, "
                f"{limit['state']}, against {share_text(before['share'])}, {before['state']}"
            )
            (worse if more > 0 else better).append(el("span", {}, line, notes.computed(Grade(limit["grade"]))))
    found: list[Node] = []
    for title, lines in (("What gets worse from A to B", worse), ("What gets better from A to B", better)):
        items = [el("li", {}, line) for line in lines] or [el("li", {}, "nothing")]
        found.append(el("div", {}, el("h2", {}, title), el("ul", {}, *items)))
    return found


def _heads(sides: tuple[Side, Side], notes: Notes) -> Node:
    def row(label: str, values: Sequence[Node | None], differs: bool) -> Node:
        cells = [cell(f"Plan {name}", value or "none") for name, value in zip("AB", values, strict=True)]
        return el("tr", {"data-differs": "true" if differs else None}, el("th", {"scope": "row"}, label), *cells)

    def texts(label: str, pick: Any) -> Node:
        values = [pick(side) for side in sides]
        return row(label, values, values[0] != values[1])

    rows = [
        texts("Vehicle", lambda side: side.answer["platform"]["title"]),
        texts("Use", lambda side: side.answer["use"]["title"]),
        texts("Plan", lambda side: side.title),
        texts("Within its limits", lambda side: side.plan["certainty"] or "as sold"),
    ]
    figures: list[tuple[str, list[Shown | None]]] = [
        ("Power at the wheels", [side.power for side in sides]),
        ("Cost, parts and labour", [side.cost for side in sides]),
        ("Labour", [side.figure("labour") for side in sides]),
        *((label, [side.figure(key) for side in sides]) for key, label in _POINT),
    ]
    for label, values in figures:
        shown = [notes.figure(value) if value else None for value in values]
        same = [value.text("us") if value else "" for value in values]
        rows.append(row(label, shown, same[0] != same[1]))
    return table("Two plans side by side", ("What", "Plan A", "Plan B"), rows, "hr-compare")


def _parts(one: Side, two: Side, catalogue: Catalogue, notes: Notes) -> Node:
    def names(parts: Mapping[str, Any], others: Mapping[str, Any], both: bool) -> str:
        found = [inside(catalogue.options[key].title) for key in parts if (key in others) is both]
        return listed(found).capitalize() if found else "Nothing"

    rows = [
        ("Only in A", names(one.parts, two.parts, False)),
        ("Only in B", names(two.parts, one.parts, False)),
        ("In both", names(one.parts, two.parts, True)),
    ]
    return el("dl", {"class": "hr-facts hr-facts-wide"},
              *(el("div", {}, el("dt", {}, label), el("dd", {}, words)) for label, words in rows))  # fmt: skip


def _limits(one: Side, two: Side, notes: Notes) -> Node:
    rows = []
    for key in dict.fromkeys([*one.limits, *two.limits]):
        pairs = [side.limits.get(key) for side in (one, two)]
        known = next(limit for limit in pairs if limit is not None)
        states = {limit["state"] for limit in pairs if limit is not None}
        cells = [cell(f"Plan {name}", *_used(limit, notes)) for name, limit in zip("AB", pairs, strict=True)]
        head = el("th", {"scope": "row"}, known["part"])
        rows.append(el("tr", {"data-differs": "true" if len(states) > 1 else None}, head, *cells))
    return table("Limits of two plans", ("Part", "Plan A", "Plan B"), rows, "hr-limits")


def _used(limit: Mapping[str, Any] | None, notes: Notes) -> list[Node]:
    if limit is None:
        return ["not looked at in this use"]
    swatch = el("span", {"class": "hr-swatch", "data-band": BANDS[limit["state"]], "aria-hidden": "true"})
    used = classed("span", "hr-figure", share_text(limit["share"]), notes.computed(Grade(limit["grade"])))
    allowed = percent(limit["allowed"])
    return [
        used, text.NO_BREAK, swatch, f" {limit['state']}", share_bar(limit["share"], limit["allowed"], limit["state"]),
        classed("small", "", f"allowed {allowed}"),
    ]  # fmt: skip
