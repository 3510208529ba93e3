"""A copy was read on some day, or it was not read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "seen-has-a-day"
description = "A source says on which day its copy was read, unless no copy was."
scope = "record"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every source whose `seen` and `copy_seen` disagree."""
    for source in catalogue.sources.values():
        if (source.copy_seen == "none") != (source.seen is None):
            day = "no day" if source.seen is None else f"the day {source.seen}"
            allowed = "a day for a copy that was read, none for one that was not"
            line = catalogue.line(source, ("copy_seen",))
            yield Problem(source.file, line, "seen", f"{day} with `copy_seen: {source.copy_seen}`", allowed)
