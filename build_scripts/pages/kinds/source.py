"""Sources: a page each, with the figures that rest on it, and a list of all, works behind formulas included."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

from build_scripts.models.source import Source
from build_scripts.pages import markup
from build_scripts.pages.edition import Draft, Edition, Place, register_uri, source_uri
from build_scripts.pages.functions import functions
from build_scripts.pages.sheet import Sheet

INDEX = "sources/index.md"


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """A page for each source record, and the list."""
    for source in edition.catalogue.sources.values():
        yield Draft(
            source_uri(source.id), source.short, source.file, partial(_page, source=source), late=True,
            question="What is it, which copy was read, and what rests on it?",
            summary=f"{source.title}: {source.kind}, the copy that was read, and what rests on it.",
        )  # fmt: skip
    yield Draft(
        INDEX, "Sources", "docs/data/sources/", _index, order=70, late=True, group="Reference",
        question="What does the site rest on, and what of it was read?",
        summary="Every standard, law and textbook that a figure, a rule or a formula rests on, with the copy read.",
    )  # fmt: skip


def _page(sheet: Sheet, source: Source) -> str:
    figures = [
        (markup.link(sheet.uri, register_uri(figure), figure.anchor), figure)
        for figure in sheet.edition.catalogue.cited.get(source.id, ())
    ]
    newer = sheet.source(source.superseded_by) if source.superseded_by else ""
    return sheet.edition.render(
        "source.md",
        source=source,
        figures=figures,
        places=_links(sheet, source.id),
        newer=newer,
        **functions(sheet),
    )


def _index(sheet: Sheet) -> str:
    edition = sheet.edition
    sources = [
        {
            "link": markup.link(sheet.uri, source_uri(source.id)),
            "source": source,
            "count": len(edition.catalogue.cited.get(source.id, ())),
        }
        for source in edition.catalogue.sources.values()
    ]
    works = [
        {"reference": reference, "calculators": _users(edition, reference.id), "places": _links(sheet, reference.id)}
        for reference in edition.references.values()
        if reference.id not in edition.catalogue.sources
    ]
    return edition.render("sources.md", sources=sources, works=works, **functions(sheet))


def _users(edition: Edition, reference: str) -> list[str]:
    return [
        calculator.title
        for calculator in edition.calculators.values()
        if any(known.id == reference for known in calculator.references)
    ]


def _links(sheet: Sheet, identifier: str) -> list[tuple[str, str]]:
    places: dict[str, Place] = sheet.edition.cited.get(identifier, {})
    return [(markup.link(sheet.uri, place.uri), place.title) for place in places.values() if place.uri != sheet.uri]
