"""The vehicles that the planner's laws and exactness are tried on: the published platforms, and the trade's own."""

from __future__ import annotations

import copy
from typing import Any

from build_scripts import catalogue, export
from build_scripts.building import ROOT
from calc.plan.records import Catalogue
from calc.plan.search import Search
from calc.plan.vehicle import Question, Vehicle
from tests.calc.plan import trade_check

PUBLISHED = Catalogue.read(export.exported(catalogue.load(ROOT)))
"""What the build exports."""

TURBINES = ("variable-geometry", "fixed", "wastegate")


def trade_check_with(turbine: str) -> Catalogue:
    """The tests' own platform with another kind of turbine."""
    content = copy.deepcopy(trade_check.catalogue())
    turbo = content["platforms"]["trade-check"]["turbocharger"]
    turbo["type"] = turbine
    if turbine != "variable-geometry":
        turbo["turbine_area"] = trade_check.f(10.0, "cm2")
    return Catalogue.read(content)


def search(known: Catalogue, platform: str, use: str, **given: Any) -> Search:
    """The search for a platform in a use, with plain defaults."""
    question: dict[str, Any] = {
        "platform": platform,
        "variant": "",
        "use": use,
        "goal": known.platforms[platform].figure("ratings.goal_power").value,
        "height": 300.0,
        "temperature": 303.15,
        "labour_rate": 125.0,
        "budget": None,
        "fitted": (),
        "refused": frozenset(),
        "exempt": True,
    }
    return Search(Vehicle(known, Question(**(question | given))))
