"""A limit that a platform leaves out would look like a part that holds whatever is asked of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.platform import LIMITS
from build_scripts.models.problem import Problem, closest

name = "limits-are-complete"
description = "Every platform has every limit that the planner holds an operating point against, and no other."
scope = "record"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every platform that lacks a limit, and for every limit of another name."""
    for platform in catalogue.platforms.values():
        wanted = [one for one in LIMITS if one != "converter" or platform.transmission.converter]
        line = catalogue.line(platform, ("limits",))
        if missing := [one for one in wanted if one not in platform.limits]:
            yield Problem(platform.file, line, "limits", f"no {', '.join(missing)}", f"all of {', '.join(wanted)}")
        for key in platform.limits:
            if key not in wanted:
                line, allowed = catalogue.line(platform, ("limits", key)), f"one of {', '.join(wanted)}"
                yield Problem(platform.file, line, f"limits.{key}", f"the limit `{key}`", allowed, closest(key, wanted))
