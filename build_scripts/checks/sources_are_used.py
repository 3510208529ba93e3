"""A source that nothing rests on misleads: a reader takes it for support."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.checks._text import calls, pages
from build_scripts.models.problem import Problem

name = "sources-are-used"
description = "Every source is cited by a figure, a caution, a law or a page, or supersedes one that is."
scope = "site"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every source that nothing cites."""
    used = {figure.figure.source for figure in catalogue.figures.values()}
    used |= {source for caution in catalogue.cautions.values() for source in caution.sources}
    used |= {provision.source for law in catalogue.law.values() for provision in law.provisions}
    used |= {source.superseded_by for source in catalogue.sources.values()}
    used |= {cited for _, text in pages(root) for _, cited in calls("cite", text)}
    for source in catalogue.sources.values():
        if source.id not in used:
            yield Problem(source.file, 1, "", "a source that nothing cites", "sources that a figure or a page rests on")
