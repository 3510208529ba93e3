"""The search is exact on every platform that is published, proved against looking at all sets."""

from __future__ import annotations

import pytest

from calc.plan.search import CERTAINLY, END_STEP, POSSIBLY, Level, Search
from tests.calc.plan import exhaustive
from tests.calc.plan.vehicles import PUBLISHED, search


def compare(one: Search, goal: float, level: Level = CERTAINLY, used: float = 1.0) -> None:
    """The search and the whole field agree on the least cost of a goal (W), or that no set reaches it."""
    best = exhaustive.cheapest(one.vehicle, goal, level, used)
    found = one.cheapest(goal, level, used=used)
    assert (found is None) == (best is None), (goal, best)
    if found is not None and best is not None:
        assert found.cost == pytest.approx(best.cost, abs=1e-6), (goal, best.options)


@pytest.mark.parametrize("platform", PUBLISHED.platforms)
@pytest.mark.parametrize("use", PUBLISHED.uses)
def test_no_set_is_cheaper_than_the_one_found(platform: str, use: str) -> None:
    one = search(PUBLISHED, platform, use)
    compare(one, one.vehicle.question.goal)


@pytest.mark.parametrize("platform", PUBLISHED.platforms)
def test_what_was_learnt_at_lower_goals_and_wider_margins_hides_no_set(platform: str) -> None:
    """The steps of the whole frontier, which rest on one another, and its end."""
    one = search(PUBLISHED, platform, "competition")
    steps = one.by_goal(one.vehicle.standard.power)
    assert len(steps) > 2
    # The last step of the frontier, one on the way there, and just beyond its end.
    for step in (steps[len(steps) // 2], steps[-1]):
        compare(one, step.reach)
    assert exhaustive.cheapest(one.vehicle, steps[-1].reach + 1.01 * END_STEP) is None
    margins = one.by_margin(one.vehicle.question.goal)
    compare(one, one.vehicle.question.goal, used=margins[-1].used - 0.005)
    compare(one, one.vehicle.question.goal, POSSIBLY)
