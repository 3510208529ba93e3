"""The search is exact on every platform that is published, proved against looking at all sets."""

from __future__ import annotations

from typing import Any

import pytest

from build_scripts import catalogue, export
from build_scripts.building import ROOT
from calc.plan.records import Catalogue
from calc.plan.search import CERTAINLY, POSSIBLY, Search
from calc.plan.vehicle import Question, Vehicle
from tests.calc.plan import exhaustive, trade_check


def published() -> Catalogue:
    """What the build exports; until parts and uses are published, the tests' own stand in for them."""
    content: dict[str, Any] = export.exported(catalogue.load(ROOT))
    content["modifications"] = content["modifications"] or trade_check.MODIFICATIONS
    content["uses"] = content["uses"] or trade_check.USES
    return Catalogue.read(content)


CATALOGUE = published()


@pytest.mark.parametrize("platform", CATALOGUE.platforms)
@pytest.mark.parametrize("use", CATALOGUE.uses)
def test_no_set_is_cheaper_than_the_one_found(platform: str, use: str) -> None:
    goal = CATALOGUE.platforms[platform].figure("ratings.goal_power").value
    question = Question(platform, "", use, goal, 300.0, 303.15, 125.0, None, (), frozenset(), True)
    vehicle = Vehicle(CATALOGUE, question)
    search = Search(vehicle)
    for wanted in (goal, 0.93 * goal, 1.05 * goal):
        for level in (CERTAINLY, POSSIBLY):
            best = exhaustive.cheapest(vehicle, wanted, level)
            found = search.cheapest(wanted, level)
            assert (found is None) == (best is None), (wanted, level)
            if found is not None and best is not None:
                assert found.cost == pytest.approx(best.cost, abs=1e-6), (wanted, level, best.options)
