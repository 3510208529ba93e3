"""Bore, stroke and cylinders give the displacement, so a slip in one of the four shows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "displacement-agrees"
description = "A platform's displacement agrees with its bore, stroke and number of cylinders within one in a hundred."
scope = "record"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every engine whose displacement is not that of its cylinders."""
    for platform in catalogue.platforms.values():
        engine = platform.engine
        bore, stroke = engine.bore.likely_in("m"), engine.stroke.likely_in("m")
        swept = math.pi / 4 * bore**2 * stroke * engine.cylinders.likely * 1e3
        stated = engine.displacement.likely_in("L")
        if abs(swept / stated - 1) > 0.01:
            line = catalogue.line(platform, ("engine", "displacement"))
            found = f"{stated:g} L, while bore, stroke and cylinders give {swept:.3g} L"
            yield Problem(platform.file, line, "engine.displacement", found, "what the cylinders hold")
