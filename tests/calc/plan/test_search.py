"""The search is exact: proved against exhaustion and against a mixed-integer solver, with bounds that hold."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from calc.plan.records import Catalogue, Option
from calc.plan.search import CERTAINLY, END_STEP, POSSIBLY, Level, Search, Wanted
from calc.plan.vehicle import Question, Vehicle
from calc.units import HORSEPOWER
from tests.calc.plan import exhaustive, trade_check

Ask = Callable[..., Search]
CATALOGUE = Catalogue.read(trade_check.catalogue())


def ask(catalogue: Catalogue = CATALOGUE, **given: Any) -> Search:
    """The search for a question about the platform of the trade's class, with plain defaults."""
    question: dict[str, Any] = {
        "platform": "trade-check",
        "variant": "",
        "use": "daily",
        "goal": 500 * HORSEPOWER,
        "height": 0.0,
        "temperature": 298.15,
        "labour_rate": 130.0,
        "budget": None,
        "fitted": (),
        "refused": frozenset(),
        "exempt": True,
    }
    return Search(Vehicle(catalogue, Question(**(question | given))))


QUESTIONS = [
    ({}, (400, 490, 500, 520, 545, 560, 580, 600, 610)),
    ({"use": "towing"}, (400, 460, 500, 540, 590)),
    ({"use": "competition", "temperature": 313.15}, (480, 560, 600)),
    ({"height": 1800.0, "use": "towing"}, (400, 440, 480, 520)),
    ({"fitted": ("charge-cooler.thick", "recalibration.module")}, (480, 545, 590)),
    ({"refused": frozenset({"built-transmission", "intake"})}, (500, 555, 570)),
    ({"exempt": False}, (400, 450)),
    ({"variant": "short-axle", "labour_rate": 20.0}, (500, 550)),
]
# Sets in order: the workers that share the tests must all call them by the same name.
NAMES = [
    " ".join(f"{name}={sorted(value) if isinstance(value, frozenset) else value}" for name, value in given.items())
    for given, _ in QUESTIONS
]


@pytest.mark.parametrize("level", [CERTAINLY, POSSIBLY], ids=lambda level: level.name)
@pytest.mark.parametrize(("given", "goals"), QUESTIONS, ids=NAMES)
def test_no_set_is_cheaper_than_the_one_found(given: dict[str, Any], goals: tuple[float, ...], level: Level) -> None:
    search = ask(**given)
    for goal in goals:
        best = exhaustive.cheapest(search.vehicle, goal * HORSEPOWER, level)
        found = search.cheapest(goal * HORSEPOWER, level)
        assert (found is None) == (best is None), goal
        if found is not None and best is not None:
            assert found.cost == pytest.approx(best.cost, abs=1e-6), (goal, best.options)
            assert search.fits(found.options, goal * HORSEPOWER, level)


@pytest.mark.parametrize("used", [0.99, 0.96, 0.93])
def test_no_set_with_more_margin_is_cheaper(used: float) -> None:
    search = ask()
    best = exhaustive.cheapest(search.vehicle, 500 * HORSEPOWER, used=used)
    found = search.cheapest(500 * HORSEPOWER, used=used)
    assert (found and round(found.cost, 6)) == (best and round(best.cost, 6))


def test_the_frontier_of_goals_is_the_cheapest_set_at_every_goal_looked_at() -> None:
    search = ask()
    first = 400 * HORSEPOWER
    frontier = search.by_goal(first)
    assert [step.found.cost for step in frontier] == sorted({step.found.cost for step in frontier})
    alone = ask()
    goal = first
    while goal < frontier[-1].reach:
        found = alone.cheapest(goal)
        assert found is not None
        step = next(step for step in frontier if step.reach >= goal)
        assert found.cost == pytest.approx(step.found.cost, abs=1e-6), goal
        # In between it costs no more.
        between = alone.cheapest(goal - 0.3 * search.goal_step)
        assert between is not None
        assert between.cost <= found.cost + 1e-6
        goal += search.goal_step
    highest = frontier[-1].reach
    assert exhaustive.cheapest(alone.vehicle, highest) is not None
    assert exhaustive.cheapest(alone.vehicle, highest + 1.01 * END_STEP) is None


def test_how_far_a_set_reaches_is_known_to_a_horsepower() -> None:
    search = ask()
    found = search.cheapest(450 * HORSEPOWER)
    assert found is not None
    reach = search.furthest(found, 640 * HORSEPOWER)
    assert reach > 450 * HORSEPOWER
    assert search.fits(found.options, reach)
    assert not search.fits(found.options, reach + 1.01 * END_STEP)


def test_the_frontier_of_margins_is_the_cheapest_set_at_every_margin() -> None:
    search = ask(use="towing")
    goal = 500 * HORSEPOWER
    frontier = search.by_margin(goal)
    assert len(frontier) > 3
    for before, after in itertools.pairwise(frontier):
        assert after.used < before.used
        assert after.found.cost > before.found.cost
        best = exhaustive.cheapest(search.vehicle, goal, used=before.used - 0.005)
        assert best is not None
        assert best.cost == pytest.approx(after.found.cost, abs=1e-6)
    assert exhaustive.cheapest(search.vehicle, goal, used=frontier[-1].used - 0.005) is None


def _mixed_integer(search: Search, chosen: tuple[Option, ...], asked: dict[str, float]) -> float | None:
    """The least cost of supporting parts beside a gas path, by a general solver.

    Where capacities multiply their logarithms add, which makes the problem linear; parts of one limit that exclude each
    other count as one choice.
    """
    v = search.vehicle
    names = search.support.members
    options = [option for name in names for option in v.choices[name] if option is not None]
    index = {option.id: number for number, option in enumerate(options)}
    rows: list[np.ndarray] = []
    upper: list[float] = []

    def add(row: dict[int, float], most: float) -> None:
        full = np.zeros(len(options))
        for number, value in row.items():
            full[number] += value
        rows.append(full)
        upper.append(most)

    def naming(one: str) -> list[int]:
        return [number for number, option in enumerate(options) if one in (option.id, option.modification)]

    for name in names:
        add({index[o.id]: 1.0 for o in v.choices[name] if o is not None}, 1.0)
    here = {one for option in chosen for one in (option.id, option.modification)}
    for option in options:
        for need in option.needs:
            if need not in here:
                add({index[option.id]: 1.0, **dict.fromkeys(naming(need), -1.0)}, 0.0)
        for other in option.excludes:
            for number in naming(other):
                add({index[option.id]: 1.0, number: 1.0}, 1.0)
    for option in chosen:
        for need in option.needs:
            if need not in here:
                add(dict.fromkeys(naming(need), -1.0), -1.0)
    for aspect in v.aspects:
        touching = [option for option in options if option.id in v.touching[aspect]]
        base = v.able(aspect, chosen)[0]
        gain = {o.id: math.log(v.able(aspect, v.in_order((*chosen, o)))[0] / base) for o in touching}
        for some in itertools.combinations(touching, 2):
            if some[0].modification != some[1].modification and not _excluded(*some):
                both = math.log(v.able(aspect, v.in_order((*chosen, *some)))[0] / base)
                assert both == pytest.approx(gain[some[0].id] + gain[some[1].id], abs=1e-9), "not linear"
        needed = math.log(asked[aspect] / (v.keep[aspect] * base))
        add({index[name]: -value for name, value in gain.items()}, -needed + 1e-9)
    result = milp(
        np.array([v.price(option) for option in options]),
        constraints=LinearConstraint(np.array(rows), -np.inf, np.array(upper)),
        integrality=np.ones(len(options)),
        bounds=Bounds(0, 1),
    )
    return None if result.status == 2 else float(result.fun)


def _excluded(one: Option, other: Option) -> bool:
    return any(wanted in (b.id, b.modification) for a, b in ((one, other), (other, one)) for wanted in a.excludes)


def test_the_supporting_parts_cost_what_a_mixed_integer_solver_finds() -> None:
    search = ask(use="towing")
    v = search.vehicle
    generator = random.Random(3)
    compared, impossible = 0, 0
    for _ in range(60):
        chosen = v.in_order(
            option
            for name in (*search.primary, *search.secondary)
            if (option := generator.choice(v.choices[name])) is not None
        )
        goal = generator.uniform(400, 640) * HORSEPOWER
        gas = v.gas(v.gas_parameters(chosen), goal)
        asked = {aspect: ends[2] for aspect, ends in gas.asks.items()}
        if not all(map(math.isfinite, asked.values())):
            continue
        solved = _mixed_integer(search, chosen, asked)
        primary = tuple(option for option in chosen if option.modification in search.primary)
        found = search.support.of(primary, asked, Wanted(goal, CERTAINLY))
        assert (solved is None) == (found is None)
        if solved is None or found is None:
            impossible += 1
        else:
            compared += 1
            assert sum(entry.cost for entry in found) == pytest.approx(solved, abs=1e-4)
    assert compared >= 15
    assert impossible >= 5
