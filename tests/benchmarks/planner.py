"""How much work the planner's search saves against looking at every set, and how long a full answer takes.

    python -m tests.benchmarks.planner [catalogue.json]

Looks at every platform of the catalogue (by default that of the last build, else the tests' own). In one run it counts
the operating points that the search solved for one goal, those that looking at every gas path takes, and those that
looking at every set takes when nothing is known of which parts meet in the gas path; both must find the same cost.
Exits with 1 when the largest platform saves less than a hundred times, or a full answer takes too much of the
processor's time.
"""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path

from calc.plan.answer import plan
from calc.plan.records import Catalogue, CatalogueError
from calc.plan.search import Search
from calc.plan.terminal import load
from calc.plan.vehicle import Question, Vehicle
from tests.calc.plan import exhaustive, trade_check

LEAST_SAVING = 100.0
SLOWEST = 0.3


def question(catalogue: Catalogue, platform: str, use: str) -> Question:
    """The example goal of a platform in a use, at sea level on a mild day."""
    goal = catalogue.platforms[platform].figure("ratings.goal_power").value
    return Question(platform, "", use, goal, 0.0, 298.15, 125.0, None, (), frozenset(), True)


def main(arguments: list[str]) -> int:
    """Run for every platform and use; print one line each."""
    try:
        catalogue = load(Path(arguments[0]) if arguments else None)
    except CatalogueError as error:
        print(f"{error}; the tests' own catalogue is used")
        catalogue = Catalogue.read(trade_check.catalogue())
    largest, saving, slowest = 0, 0.0, 0.0
    print("platform/use: sets, gas paths, solutions of the search, saving, seconds of a full answer")
    for platform in catalogue.platforms:
        for use in catalogue.uses:
            asked = question(catalogue, platform, use)
            vehicle = Vehicle(catalogue, asked)
            found = Search(vehicle).cheapest(asked.goal)
            solved = vehicle.balances
            best = exhaustive.cheapest(Vehicle(catalogue, asked), asked.goal)
            agrees = (found is None) == (best is None) and (
                found is None or best is None or abs(found.cost - best.cost) < 1e-6
            )
            sets, paths = exhaustive.field(Vehicle(catalogue, asked))
            plan(catalogue, {"platform": platform, "use": use})
            took = math.inf
            for _ in range(3):
                started = time.process_time()
                answer = plan(catalogue, {"platform": platform, "use": use})
                took = min(took, time.process_time() - started)
            slowest = max(slowest, took)
            if sets > largest or (sets == largest and sets / solved < saving):
                largest, saving = sets, sets / solved
            print(
                f"{platform}/{use}: {sets:,} sets, {paths:,} gas paths, {solved} solutions, "
                f"{sets / solved:,.0f} times fewer "
                f"({paths / solved:,.1f} than gas paths), {took:.3f} s with {answer['solutions']} solutions"
                f"{'' if agrees else ' — THE COSTS DIFFER'}"
            )
            if not agrees:
                return 1
    good = saving >= LEAST_SAVING and slowest <= SLOWEST
    print(
        f"largest platform: {saving:,.0f} times fewer; slowest answer {slowest:.3f} s; {'good' if good else 'NOT GOOD'}"
    )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
