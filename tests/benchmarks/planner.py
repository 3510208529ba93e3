"""How much work the planner's search saves against looking at every set, and how long a full answer takes.

    python -m tests.benchmarks.planner [catalogue.json]

Looks at every platform of the catalogue (by default that of the last build) in every use. A full answer asks for the
cheapest set at many goals and margins. On the platform with the most sets all of these questions are answered a second
time by looking at every set, in the same run: both must find the same costs, and the operating points that each solved
are counted. Looking at every set is not made worse than it need be: it solves one gas path once for a goal, whatever
parts stand beside it. Exits with 1 when the search saves less than a hundred times there, or when an answer takes too
much of the processor's time.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from calc.plan.answer import Answer, plan
from calc.plan.question import understand
from calc.plan.records import Catalogue, CatalogueError
from calc.plan.terminal import load
from calc.plan.vehicle import Vehicle
from tests.calc.plan import exhaustive

LEAST_SAVING = 100.0
SLOWEST = 0.3
TRIES = 5


def saving(catalogue: Catalogue, platform: str, use: str) -> float:
    """How many times fewer operating points the search solves than looking at every set; 0 where they disagree."""
    answer = Answer(catalogue, understand(catalogue, {"platform": platform, "use": use}))
    answer.whole()
    solved = answer.vehicle.balances
    asked = [one for one in answer.search.answers if not one.without]
    field = Vehicle(catalogue, answer.question)
    for one in asked:
        best = exhaustive.cheapest(field, one.goal, one.level, one.used)
        found = answer.search.answers[one]
        if (best is None) != (found is None) or (best and found and abs(best.cost - found.cost) > 1e-6):
            print(f"{platform}/{use}: the costs differ at {one}")
            return 0.0
    goals = len({(one.goal, one.level.name) for one in asked})
    print(
        f"{platform}/{use}: {len(asked)} questions at {goals} goals; {solved} solutions for all, with the runner-up; "
        f"{field.balances:,} to look at every set: {field.balances / solved:,.0f} times fewer"
    )
    return field.balances / solved


def main(arguments: list[str]) -> int:
    """Run for every platform and use; print one line each."""
    try:
        catalogue = load(Path(arguments[0]) if arguments else None)
    except CatalogueError as error:
        print(error)
        return 2
    sizes, slowest = {}, 0.0
    for platform in catalogue.platforms:
        for use in catalogue.uses:
            given = {"platform": platform, "use": use}
            took = []
            for _ in range(TRIES):
                started = time.process_time()
                answer = plan(catalogue, given)
                took.append(time.process_time() - started)
            slowest = max(slowest, min(took))
            question = understand(catalogue, given).question
            sets, paths = exhaustive.field(Vehicle(catalogue, question))
            sizes[platform] = max(sizes.get(platform, 0), sets)
            print(
                f"{platform}/{use}: {sets:,} sets, {paths:,} gas paths; a full answer in {min(took):.3f} s "
                f"with {answer['solutions']} solutions"
            )
    largest = max(sizes, key=sizes.__getitem__)
    least = min(saving(catalogue, largest, use) for use in catalogue.uses)
    good = least >= LEAST_SAVING and slowest <= SLOWEST
    print(f"at least {least:,.0f} times fewer; slowest answer {slowest:.3f} s; {'good' if good else 'NOT GOOD'}")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
