"""The law of a place that names a larger one sends the reader there: it has to be there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem, closest

name = "law-is-linked"
description = "The larger place that a record of law names is a record too, and no provision claims more than was seen."
scope = "record"

_RANK = ("original", "secondary", "none")


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every larger place without a record, and for every provision of a source that nobody has seen."""
    for law in catalogue.law.values():
        others = set(catalogue.law) - {law.id}
        if law.within is not None and law.within not in others:
            line, allowed = catalogue.line(law, ("within",)), "the id of another file in docs/data/law/"
            yield Problem(law.file, line, "within", f"`{law.within}`", allowed, closest(law.within, others))
        for index, provision in enumerate(law.provisions):
            source = catalogue.sources.get(provision.source)
            seen = source.copy_seen if source else "none"
            if _RANK.index(provision.seen) < _RANK.index(seen):
                line = catalogue.line(law, ("provisions", index, "seen"))
                found = f"`{provision.seen}`, while of `{provision.source}` the copy seen is `{seen}`"
                yield Problem(law.file, line, f"provisions.{index + 1}.seen", found, "what the source's record says")
