"""A margin for a limit that no platform has would protect nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem, closest

name = "uses-name-limits"
description = "Every use has a default margin, and its other margins are for limits that platforms have."
scope = "record"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every use without a default, and for every margin of an unknown limit."""
    known = {"default", *(limit for platform in catalogue.platforms.values() for limit in platform.limits)}
    for use in catalogue.uses.values():
        if "default" not in use.margins:
            line = catalogue.line(use, ("margins",))
            yield Problem(
                use.file, line, "margins", "no `default`", "a margin for all limits that have none of their own"
            )
        for key in use.margins:
            if key not in known:
                line = catalogue.line(use, ("margins", key))
                allowed = "`default` or a limit of a platform"
                yield Problem(use.file, line, f"margins.{key}", f"the limit `{key}`", allowed, closest(key, known))
