"""A caution that is asked for and not there would leave a dangerous page without one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import DATA, Catalogue
from build_scripts.checks._text import calls, pages
from build_scripts.models.problem import Problem, closest
from calc.registry import calculators

name = "cautions-exist"
description = "Every caution that a page or a calculator asks for is a record in docs/data/cautions."
scope = "site"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every caution that is asked for and missing."""
    wanted = [(file, line, "", identifier) for file, text in pages(root) for line, identifier in calls("caution", text)]
    for calculator in calculators().values():
        file = f"calc/calculators/{calculator.id.replace('-', '_')}.py"
        wanted += [(file, 0, "cautions", identifier) for identifier in calculator.cautions]
    for file, line, field, identifier in wanted:
        if identifier not in catalogue.cautions:
            allowed = f"the id of a file in {DATA}/cautions/"
            meant = closest(identifier, catalogue.cautions)
            yield Problem(file, line, field, f"the caution `{identifier}`, which does not exist", allowed, meant)
