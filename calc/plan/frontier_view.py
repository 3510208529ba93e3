"""Cost against goal and cost against margin, as a page shows them: drawn as steps, with the same in a table behind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc import units
from calc.plan import steps
from calc.plan.nodes import Node, Notes, cell, classed, el, pair, percent, said, table, weakest_in
from calc.plan.records import Catalogue
from calc.plan.shown import point
from calc.provenance import Grade

_FOLD = "The same as a table, with what changes at each step"


def by_goal(answer: Mapping[str, Any], catalogue: Catalogue, notes: Notes) -> list[Node]:
    """What a power goal costs; the step at which the next horsepower costs most at once is marked and explained."""
    rows, expensive = answer["frontier"]["goal"], answer["frontier"]["expensive"]
    if not rows:
        return []
    goal = answer["goal"].value
    marked = expensive["index"] if expensive else -1
    own = next((index for index, row in enumerate(rows) if row["goal"].value >= goal * (1.0 - 1e-9)), -1)
    bars = [
        steps.Bar(row["from"].value, row["goal"].value, row["cost"], "dearest step" if index == marked else "")
        for index, row in enumerate(rows)
    ]
    low, high = (units.convert(end, "W", "hp") for end in (bars[0].start, bars[-1].end))
    ticks = [
        steps.Tick(units.convert(value, "hp", "W"), pair(point(value, "hp", "hp", "kW", Grade.MEMORY)))
        for value in steps.ticks(low, high)
    ]
    drawn = steps.drawing(
        "Cost of the cheapest set against the power goal, a band from low to high estimate",
        "across: goal at the wheels; up: parts and labour",
        bars,
        ticks,
        goal,
    )
    lines = []
    for index, row in enumerate(rows):
        before = rows[index - 1]["modifications"] if index else None
        flags = ["your goal"] if index == own else []
        flags += ["the dearest step"] if index == marked else []
        lines.append(
            el("tr", {"data-expensive": "true" if index == marked else None},
               el("th", {"scope": "row"}, notes.figure(row["goal"]),
                  *(classed("small", "hr-flag", words) for words in flags)),
               cell("Cost", notes.figure(row["cost"]), name="hr-num"),
               cell("What changes", steps.changed(catalogue, before, row["modifications"])))
        )  # fmt: skip
    found = [
        el("h2", {"id": "frontier"}, "Cost against goal"),
        classed("p", "hr-worth", notes.sentence(expensive["sentence"], expensive["jump"].grade)) if expensive else None,
        el(
            "p",
            {},
            "Looked at every ",
            pair(answer["frontier"]["goal_step"]),
            ", and closer at the end. Between two goals the cheapest set costs no more than at the higher one.",
        ),
        drawn,
        _folded(
            table("Cost against goal", ("Goal", "Cost", "What changes in the cheapest set"), lines)
        ),
    ]  # fmt: skip
    return [node for node in found if node is not None]


def by_margin(answer: Mapping[str, Any], catalogue: Catalogue, notes: Notes) -> list[Node]:
    """What it costs to leave more room at the goal."""
    rows: Sequence[Mapping[str, Any]] = answer["frontier"]["margin"]
    if not rows:
        return []
    bars = [
        steps.Bar(100.0 * (rows[index - 1]["spare"] if index else 0.0), 100.0 * row["spare"], row["cost"])
        for index, row in enumerate(rows)
    ]
    drawn = steps.drawing(
        "Cost of the cheapest set against the room it leaves, a band from low to high estimate",
        "across: room left; up: parts and labour",
        bars,
        [steps.Tick(value, percent(value / 100.0)) for value in steps.ticks(bars[0].start, bars[-1].end)],
    )
    lines = [
        el("tr", {"data-over-budget": None if row["within_budget"] else "true"},
           el("th", {"scope": "row"}, classed("span", "hr-figure", percent(row["spare"]),
                                              notes.computed(weakest_in(row["cost"])))),
           cell("Cost", notes.figure(row["cost"]), name="hr-num"),
           cell("What changes", steps.changed(
               catalogue, rows[index - 1]["modifications"] if index else None, row["modifications"])),
           cell("Closest", said(row["closest"])))
        for index, row in enumerate(rows)
    ]  # fmt: skip
    head = ("Room left", "Cost", "What changes in the cheapest set", "Closest to its limit")
    found = [
        el("h2", {"id": "margin"}, "Cost against margin"),
        el(
            "p",
            {},
            "What more room costs at this goal, at the part that is closest to what the use allows.",
        ),
        drawn,
        _folded(table("Cost against margin", head, lines)),
    ]
    return [node for node in found if node is not None]


def _folded(inner: Node) -> Node:
    return el("details", {"class": "hr-fold"}, el("summary", {}, _FOLD), inner)
