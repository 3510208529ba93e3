"""What a goal or a margin costs, as steps: a drawing made of boxes, and what each step changes against the one before.

Drawn from nodes like the rest of a plan, so that the answer of a page is the one that was built, drawings included.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calc import text
from calc.plan import wording
from calc.plan.nodes import Node, classed, el
from calc.plan.records import Catalogue
from calc.plan.shown import Shown


@dataclass(frozen=True)
class Bar:
    """The cost of the cheapest set between two places of the axis; `flag` is what is said of this step."""

    start: float
    end: float
    cost: Shown
    flag: str = ""


@dataclass(frozen=True)
class Tick:
    """A place on the axis with its text."""

    at: float
    words: Node


def drawing(
    words: str, unit: str, bars: Sequence[Bar], ticks: Sequence[Tick], goal: float | None = None
) -> Node | None:
    """The steps as bands from low to high estimate with a line at the likely cost; None for fewer than two.

    `words` say what is drawn, `unit` names the axis below, `goal` is a place to mark.
    """
    if len(bars) < 2:
        return None
    low, high = min(bar.start for bar in bars), max(bar.end for bar in bars)
    most = max(bar.cost.high for bar in bars) or 1.0
    money = _round_steps(most, 4)
    top = max(most, money[-1])

    def across(value: float) -> str:
        return f"{(value - low) / ((high - low) or 1.0):.4f}"

    def up(value: float) -> str:
        return f"{value / top:.4f}"

    lines = [
        el("span", {"class": "hr-steps__line", "style": {"--hr-at": up(value)}},
           classed("span", "hr-steps__money", _money(value)))
        for value in money
    ]  # fmt: skip
    steps = [
        el("span", {"class": "hr-steps__step", "data-flag": "true" if bar.flag else None,
                    "style": {"--hr-from": across(bar.start), "--hr-to": across(bar.end), "--hr-low": up(bar.cost.low),
                              "--hr-high": up(bar.cost.high), "--hr-at": up(bar.cost.value)}},
           classed("span", "hr-steps__flag", bar.flag) if bar.flag else None)
        for bar in bars
    ]  # fmt: skip
    places = [
        el("span", {"class": "hr-steps__tick", "style": {"--hr-at": across(tick.at)}}, classed("span", "", tick.words))
        for tick in ticks
        if low <= tick.at <= high
    ]
    marked = (
        [el("span", {"class": "hr-steps__goal", "data-late": "true" if goal > low + 0.6 * (high - low) else None,
                     "style": {"--hr-at": across(goal)}},
            classed("span", "", "your goal"))]
        if goal is not None and low <= goal <= high else []
    )  # fmt: skip
    return el(
        "div", {"class": "hr-steps-box", "role": "img", "aria-label": f"{words}; the table holds the same."},
        classed("div", "hr-steps__area", *lines, *steps, *marked, *places),
        classed("div", "hr-steps__unit", unit),
    )  # fmt: skip


def ticks(low: float, high: float, about: int = 4) -> list[float]:
    """Round places between two ends."""
    size = _round_size((high - low) / about) if high > low else 1.0
    first = math.ceil(low / size - 1e-9)
    return [index * size for index in range(first, math.floor(high / size + 1e-9) + 1)]


def changed(catalogue: Catalogue, before: Sequence[str] | None, after: Sequence[str]) -> str:
    """What a set adds to the one before and takes out of it; the whole set where there is none before."""
    if before is None:
        return _first_capital(wording.listed([_part(catalogue, name) for name in after]))
    added = [_part(catalogue, name) for name in after if name not in before]
    gone = [_part(catalogue, name) for name in before if name not in after]
    found = []
    if added:
        found.append(f"adds {wording.listed(added)}")
    if gone:
        found.append(f"takes out {wording.listed(gone)}")
    return _first_capital("; ".join(found)) or "The same parts"


def _part(catalogue: Catalogue, name: str) -> str:
    return wording.part(catalogue, catalogue.options[name])


def _first_capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


def _money(value: float) -> str:
    return text.quantity(value, "money", 2, trim=True)


def _round_steps(most: float, about: int) -> list[float]:
    size = _round_size(most / about)
    return [index * size for index in range(math.ceil(most / size - 1e-9) + 1)]


def _round_size(rough: float) -> float:
    power = 10.0 ** math.floor(math.log10(rough)) if rough > 0.0 else 1.0
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= rough * (1.0 - 1e-9))
