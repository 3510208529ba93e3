"""What gives out first is a matter of ranges: a single number would claim a sharpness that nobody has."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "limits-are-ranges"
description = "Every limit of a platform has an observed range: low and high, apart."
scope = "figure"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every limit with a single value."""
    for platform in catalogue.platforms.values():
        for key, limit in platform.limits.items():
            low, high = limit.wheel_power.ends
            if low == high:
                line = catalogue.line(platform, ("limits", key, "wheel_power"))
                found = f"the single level {low:g} {limit.wheel_power.unit}"
                yield Problem(platform.file, line, f"limits.{key}.wheel_power", found, "`low` and `high`, apart")
