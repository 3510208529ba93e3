"""What a part costs depends on who sells it and what it meets: a single number would promise a price."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "costs-are-ranges"
description = "Every option of a modification has a range of cost and a range of labour: low and high, apart."
scope = "figure"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every cost and every labour with a single value."""
    for item in catalogue.modifications.values():
        for key, option in item.options.items():
            for field in ("parts_cost", "labour"):
                figure = getattr(option, field)
                low, high = figure.ends
                if low == high:
                    steps = ("options", key, field)
                    line, found = catalogue.line(item, steps), f"the single figure {low:g} {figure.unit}"
                    yield Problem(item.file, line, ".".join(steps), found, "`low` and `high`, apart")
