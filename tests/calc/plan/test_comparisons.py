"""What the search takes one gas path to say of another is so, in the balance itself, on every platform."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Iterator

import pytest

from calc.plan.branches import Branch, BranchBounds
from calc.plan.comparisons import KINDS, LASTING
from calc.plan.demands import BY_POINT
from calc.plan.search import CERTAINLY, Search, Wanted, _Opened
from calc.plan.vehicle import Side
from tests.calc.plan.vehicles import PUBLISHED, TURBINES, search, trade_check_with

SHUT = ("smallest", "partly", "fixed")


def searches() -> Iterator[tuple[str, Search]]:
    """One search for each platform, at sea level and high up, and for each kind of turbine on the trade's platform."""
    for number, platform in enumerate(PUBLISHED.platforms):
        yield platform, search(PUBLISHED, platform, "competition", height=2500.0 * (number % 2))
    for turbine in TURBINES:
        yield turbine, search(trade_check_with(turbine), "trade-check", "towing")


SEARCHES = dict(searches())


def solve(one: Search, branch: Branch, number: int, goal: float, which: int = 2) -> Side:
    """What a gas path of a branch asks for."""
    return one.vehicle.side(one.vehicle.gas_parameters(branch.options[number]), goal, which)


def kinds(better: Side, worse: Side, same_cooler: bool, same_intake: bool) -> Iterator[str]:
    """The comparisons that the search makes between two gas paths."""
    yield "hotter" if same_cooler else "hotter, other cooler"
    if better.regime == worse.regime == "held":
        yield "held" if same_cooler else "held, other cooler"
    if better.regime in SHUT and worse.regime in ("smallest", "fixed"):
        yield ("freer exhaust" if same_intake else "freer intake") if same_cooler else "freer, other cooler"


def pairs(one: Search, seed: int) -> Iterator[tuple[Branch, float, int, int]]:
    """Pairs of gas paths of which the first is nowhere worse, in branches and at goals at random."""
    generator = random.Random(seed)
    rated = one.vehicle.standard.power
    for goal in (1.05 * rated, 1.25 * rated, 1.45 * rated):
        for branch in generator.sample(one.branches, min(6, len(one.branches))):
            for _ in range(14):
                better = generator.randrange(len(branch.options))
                yield branch, goal, better, generator.choice(branch.no_better(better))


def test_one_gas_path_bounds_another_as_the_search_takes_it_to() -> None:
    seen: Counter[str] = Counter()
    for seed, one in enumerate(SEARCHES.values()):
        for branch, goal, better, worse in pairs(one, seed):
            assert better in branch.no_worse(worse)
            b, w = solve(one, branch, better, goal), solve(one, branch, worse, goal)
            # A freer path needs a larger turbine: it is never the freer one whose vanes are shut.
            assert (b.regime, w.regime) not in {("smallest", "held"), ("smallest", "partly"), ("partly", "held")}
            alike = branch.coolers[better] == branch.coolers[worse], branch.intakes[better] == branch.intakes[worse]
            for kind in kinds(b, w, *alike):
                seen[kind] += 1
                low, high = (w, b) if kind.startswith("freer") else (b, w)
                for aspect, slack in KINDS[kind].items():
                    if aspect in one.vehicle.aspects:
                        told = low.asks[aspect] * (1.0 - slack)
                        assert told <= high.asks[aspect], (kind, aspect, branch.options[better], branch.options[worse])
    assert min(seen[kind] for kind in KINDS if kind != "itself") > 20, seen


@pytest.mark.parametrize("which", [0, 2])
def test_more_power_asks_for_more_of_everything_but_drive_pressure_over_boost(which: int) -> None:
    assert all("drive-pressure" not in slack for slack in LASTING.values())
    order = {"held": 0, "partly": 1, "smallest": 2, "none": 3}
    for seed, one in enumerate(SEARCHES.values()):
        for branch, goal, number, _ in itertools.islice(pairs(one, 100 + seed), 0, None, 4):
            here, more = solve(one, branch, number, goal, which), solve(one, branch, number, 1.04 * goal, which)
            for aspect in BY_POINT:
                if aspect in one.vehicle.aspects and aspect != "drive-pressure":
                    assert more.asks[aspect] >= here.asks[aspect] * (1.0 - 1e-7), (aspect, branch.options[number])
            # It needs a smaller turbine too.
            if here.regime in order and more.regime in order:
                assert order[more.regime] >= order[here.regime]


def test_what_is_learnt_never_exceeds_what_a_gas_path_costs_here_or_at_a_higher_goal() -> None:
    """Bounds from a few solved gas paths against the supporting cost of all of them."""
    generator = random.Random(3)
    told = 0
    for one in SEARCHES.values():
        goal = generator.uniform(1.1, 1.3) * one.vehicle.standard.power
        branch = max(generator.sample(one.branches, 3), key=lambda branch: len(branch.options))
        wanted, further = Wanted(goal, CERTAINLY), Wanted(1.03 * goal, CERTAINLY)
        bounds: BranchBounds = one._first_bounds(branch, wanted, 0.0)
        first = list(bounds.cost)
        for number in generator.sample(range(len(branch.options)), 5):
            opened = _Opened(branch, bounds, [])
            one._learn(opened, number, solve(one, branch, number, goal), wanted)
        lasting = bounds.after(0.0, held=False)
        for number in generator.sample(range(len(branch.options)), 12):
            for at, known in ((wanted, bounds), (further, lasting)):
                entries = one.support.of(branch.primary, solve(one, branch, number, at.goal).asks, at)
                if entries is not None:
                    assert known.cost[number] <= sum(entry.cost for entry in entries) + 1e-6
        told += sum(now > before for before, now in zip(first, bounds.cost, strict=True))
    assert told > 50
