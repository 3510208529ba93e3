"""What the plan's pages ask for: one request in plain values, answered with nodes, cautions and what an address holds.

The build calls `respond` for the default question, and the browser's script for every other.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

from calc import text
from calc.plan.answer import Progress, page_problem, plan
from calc.plan.records import Catalogue, CatalogueError
from calc.plan.side_by_side import Side, compared
from calc.plan.vehicle import Cancelled
from calc.plan.view import View
from calc.reading import BadInput, Problem

VIEWS = ("brief", "whole", "compare")
_LONGEST = 400


def respond(
    catalogue: str,
    request: Mapping[str, Any],
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """The answer to a request of a page: `view`, `given` (texts by input), `system`, `root`, `pick`, and for "compare"
    also `other` and `other_pick`. With `ok` true: `nodes`, `state` (what an address keeps), `inputs`, `cautions`.
    With `ok` false: `problems`, each naming its `input` and, for the second plan, `of` "b".
    """
    known, made = _read(catalogue)
    root, system = str(request.get("root", "./")), str(request.get("system", "us"))
    brief = request.get("view") == "brief"
    try:
        one = _ask(known, request.get("given", {}), system, progress, cancelled, brief=brief)
    except BadInput as bad:
        return _refused(bad, "a")
    except CatalogueError as error:
        return _refused(BadInput([Problem("catalogue", "", "what the build writes", str(error))]), "a")
    except Cancelled:
        return {"ok": False, "cancelled": True, "problems": []}
    view = View(one, known, root, made, str(request.get("pick", "")))
    if request.get("view") != "compare":
        nodes = [node for node in (view.brief() if brief else view.whole()) if node is not None]
        return {"ok": True, "nodes": nodes, "made": made, "inputs": _inputs(one), "state": _state(view)}
    try:
        two = _ask(known, request.get("other", {}), system, progress, cancelled)
    except BadInput as bad:
        return _refused(bad, "b")
    except Cancelled:
        return {"ok": False, "cancelled": True, "problems": []}
    sides = (Side(one, str(request.get("pick", ""))), Side(two, str(request.get("other_pick", ""))))
    return {
        "ok": True,
        "nodes": compared(sides, known, root),
        "made": made,
        "inputs": _inputs(one),
        "other": _inputs(two),
        "state": {"pick": sides[0].kind, "other_pick": sides[1].kind},
    }


def known_version(catalogue: str) -> str:
    """The version of the figures: it changes with any of them."""
    return _read(catalogue)[1]


@lru_cache(maxsize=2)
def _read(source: str) -> tuple[Catalogue, str]:
    return Catalogue.read(source), str(json.loads(source).get("made", ""))


def _ask(
    known: Catalogue,
    given: Any,
    system: str,
    progress: Progress | None,
    cancelled: Callable[[], bool] | None,
    *,
    brief: bool = False,
) -> dict[str, Any]:
    texts = {str(name): str(typed)[:_LONGEST] for name, typed in dict(given).items()}
    return plan(known, texts, system if system in text.SYSTEMS else "us", progress, cancelled, brief=brief)


def _refused(bad: BadInput, of: str) -> dict[str, Any]:
    return {"ok": False, "problems": [page_problem(problem) | {"of": of} for problem in bad.problems]}


def _inputs(answer: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: {
            "us": known["understood"].us,
            "si": known["understood"].si,
            "default": known["default"],
            "ids": known["ids"],
        }
        for name, known in answer["inputs"].items()
    }


def _state(view: View) -> dict[str, Any]:
    """What an address keeps beside the question: the plan that is open, and what it was, for the day figures change."""
    chosen = next((plan for plan in view.plans if plan["kind"] == view.picked), None)
    return {
        "pick": view.picked,
        "set": list(chosen["modifications"]) if chosen else [],
        "cost": chosen["cost"].text("us").replace(text.NO_BREAK, " ") if chosen else "",
        "cautions": {plan["kind"]: view.cautions(plan) for plan in view.plans},
        "titles": {name: option.title for name, option in view.catalogue.options.items()},
    }
