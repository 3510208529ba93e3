"""The pages of the planner: a plan, two plans side by side, and the uses with the margins they demand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.functions import functions
from build_scripts.pages.plans import COMPARE, PLAN
from build_scripts.pages.sheet import Sheet
from calc.registry import calculators

USES = "plan/uses.md"
_WORKS_OF = ("engine-balance", "line-pressure", "injector-window")


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """The pages, when the data hold something to plan with."""
    if not edition.planner.usable:
        return
    yield Draft(PLAN, "Plan", "calc/plan/", _plan, order=5, summary="Which parts reach a power goal, what they cost, "
                "and what gives out first.", hide=["navigation", "toc"],
                question="Which parts reach a power goal, and what then gives out first?")  # fmt: skip
    yield Draft(COMPARE, "Compare two plans", "calc/plan/", _compare, order=10, hide=["navigation", "toc"],
                summary="Two plans side by side: what gets better, and what gets worse.",
                question="Which of two plans is the better one for me?")  # fmt: skip
    yield Draft(USES, "Uses and their margins", "docs/data/uses/", _uses, order=20,
                summary="What each use demands of the parts, and why.",
                question="How much margin does each use ask for?")  # fmt: skip


def _plan(sheet: Sheet) -> str:
    known = calculators()
    works = {
        reference.id: reference
        for name in _WORKS_OF
        if name in known
        for reference in known[name].references
    }  # fmt: skip
    return sheet.edition.render("plan.md", works=list(works), **functions(sheet))


def _compare(sheet: Sheet) -> str:
    return sheet.edition.render("compare.md", **functions(sheet))


def _uses(sheet: Sheet) -> str:
    catalogue = sheet.edition.catalogue
    uses = []
    for use in catalogue.uses.values():
        figures = {figure.path: figure for figure in catalogue.figures_of(use)}
        margins = [(name, figures[f"margins.{name}.keep"], margin.why) for name, margin in use.margins.items()]
        load = [figure for path, figure in figures.items() if path.startswith("load.")]
        uses.append({"use": use, "margins": margins, "load": load})
    return sheet.edition.render("uses.md", uses=uses, mark=sheet.marked, **functions(sheet))
