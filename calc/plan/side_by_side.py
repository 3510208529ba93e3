"""Two plans beside each other: what they share, where they differ, what gets worse as plainly as what gets better."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc import text
from calc.plan.nodes import Node, Notes, cell, classed, el, pair, percent, table, weakest_in
from calc.plan.records import Catalogue
from calc.plan.shown import Shown
from calc.plan.view import BANDS, share_bar, share_text
from calc.plan.wording import inside, listed, part
from calc.provenance import Grade

_NOTICED = 0.005
_PLAIN = 0.03
"""From this change of a share on, a limit has a line of its own."""

_SURE = ("certainly", "possibly", "certainly not")
_COUNTED: Sequence[tuple[str, str, str, bool]] = (
    ("cost", "costs less", "costs more", True),
    ("power", "less power at the wheels", "more power at the wheels", False),
    ("labour", "less labour", "more labour", True),
    ("fuel", "burns less at full load", "burns more at full load", True),
)
"""Quantity, its words for less and for more, and whether more of it is worse."""

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
        if key in ("cost", "power"):
            return self.cost if key == "cost" else self.power
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
    """Both lists in one form and one size, the worse first: what a change costs is half of the answer."""
    better: list[Node] = []
    worse: list[Node] = []

    def tell(is_worse: bool, *words: Node) -> None:
        (worse if is_worse else better).append(el("span", {}, *words))

    for key, less, more, worse_when_more in _COUNTED:
        before, after = one.figure(key), two.figure(key)
        if before is None or after is None or before.text("us") == after.text("us"):
            continue
        grew = after.value > before.value
        tell(grew is worse_when_more, f"{more if grew else less}: ", pair(after), " against ", pair(before),
             notes.computed(weakest_in(before, after)))  # fmt: skip
    sure = [_SURE.index(side.plan["certainty"]) if side.plan["certainty"] else 0 for side in (one, two)]
    if sure[0] != sure[1]:
        words = [_SURE[each] for each in sure]
        tell(sure[1] > sure[0], f"within its limits: {words[1]}, against {words[0]}")
    bound = [_bound(side) for side in (one, two)]
    if bound[0] != bound[1]:
        tell(
            bound[1] > bound[0], f"parts that need an exemption or stay off public roads: {bound[1]} against {bound[0]}"
        )
    slight: dict[bool, list[str]] = {True: [], False: []}
    for more_used, limit, stood in _moved(one, two):
        if abs(more_used) < _PLAIN and limit["state"] == stood["state"]:
            slight[more_used > 0].append(inside(limit["part"]))
            continue
        room = f"{'less' if more_used > 0 else 'more'} room at {inside(limit['part'])}"
        line = (
            f"{room}: {share_text(limit['share'])} used, {limit['state']}, against {share_text(stood['share'])}, "
            f"{stood['state']}"
        )
        tell(more_used > 0, line, notes.computed(Grade(limit["grade"])))
    for is_worse, names in slight.items():
        if names:
            how, points = "less" if is_worse else "more", f"{100.0 * _PLAIN:.0f}"
            tell(is_worse, f"a little {how} room, by less than {points} points: {listed(names)}")
    found: list[Node] = []
    for title, lines in (("What gets worse from A to B", worse), ("What gets better from A to B", better)):
        items = [el("li", {}, line) for line in lines] or [el("li", {}, "nothing")]
        found.append(el("div", {}, el("h2", {}, title), el("ul", {}, *items)))
    return found


def _moved(one: Side, two: Side) -> list[tuple[float, Mapping[str, Any], Mapping[str, Any]]]:
    """Limits of which a plan uses noticeably more or less, the greatest change first."""
    found = []
    for key, limit in two.limits.items():
        before = one.limits.get(key)
        if before is None or limit["share"]["high"] is None or before["share"]["high"] is None:
            continue
        more = limit["share"]["high"] - before["share"]["high"]
        if abs(more) >= _NOTICED:
            found.append((more, limit, before))
    return sorted(found, key=lambda each: -abs(each[0]))


def _bound(side: Side) -> int:
    return sum(part["emission_status"] != "neutral" for part in side.plan["parts"])


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
        found = [part(catalogue, catalogue.options[key]) for key in parts if (key in others) is both]
        words = listed(found)
        return f"{words[:1].upper()}{words[1:]}"

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
    return table("Limits of two plans", ("Part", "Plan A", "Plan B"), rows, "hr-compare")


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
