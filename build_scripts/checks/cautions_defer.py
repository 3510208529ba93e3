"""A site cannot know the reader's place, licence or vehicle: every caution ends by saying who does."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "cautions-defer"
description = "The last sentence of every caution defers to local codes and to licensed or qualified people."
scope = "record"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every caution that ends without deferring."""
    for caution in catalogue.cautions.values():
        last = re.split(r"(?<=[.!?])\s+", caution.text.strip())[-1].casefold()
        if "local" not in last or not re.search(r"licen[sc]ed|qualified", last):
            line = catalogue.line(caution, ("text",))
            allowed = "a last sentence that defers to local codes and to licensed or qualified people"
            yield Problem(caution.file, line, "text", f"the ending `{last[-60:]}`", allowed)
