"""A figure is a published standard only when somebody has read the standard, or a page that quotes it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "standard-was-seen"
description = "A figure graded standard cites a standard, law or handbook of which a copy was seen."
scope = "figure"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every figure that claims more than its source allows."""
    for figure in catalogue.figures.values():
        cited = figure.figure.source
        if figure.grade != "standard" or cited is None:
            continue
        source, reference = catalogue.sources.get(cited), catalogue.references.get(cited)
        seen = source.copy_seen if source else reference.seen if reference else "none"
        if seen == "none":
            found = f"the grade standard from `{cited}`, of which no copy was seen"
            line = catalogue.line(catalogue.of(figure.folder)[figure.record], (*figure.steps, "grade"))
            yield Problem(figure.file, line, f"{figure.path}.grade", found, "memory until a copy is read", "memory")
