"""The register: every figure, with everything known about it and where it is used."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from build_scripts.catalogue import FigureRecord
from build_scripts.models.base import Record
from build_scripts.pages import markup
from build_scripts.pages.edition import DEFAULTS_URI, LONG_RECORDS, Draft, Edition, register_uri
from build_scripts.pages.functions import functions
from build_scripts.pages.sheet import Sheet
from calc.provenance import Grade, weakest

INDEX = "figures/index.md"
_FOLDERS = {
    "law": "Figures of the law",
    "modifications": "Figures of the modifications",
    "practice": "Figures of general practice",
    "uses": "Figures of the uses",
}


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """A page for each long record, one for each other folder, and one that lists them."""
    pages: dict[str, list[Record]] = {}
    for record in (record for folder in edition.catalogue.records.values() for record in folder.values()):
        if figures := edition.catalogue.figures_of(record):
            pages.setdefault(register_uri(figures[0]), []).append(record)
    for uri, records in pages.items():
        first = records[0]
        long = first.folder in LONG_RECORDS
        title = (
            f"{getattr(first, 'title', first.id)}, figure by figure"
            if long
            else _FOLDERS.get(first.folder, first.folder)
        )
        origin = first.file if long else f"docs/data/{first.folder}/"
        yield Draft(
            uri, title, origin, partial(_page, records=records), order=10 if long else 20, late=True,
            question="Where does each of them come from?",
            summary=f"{title}: each with value, grade, source, day of review and the pages that use it.",
        )  # fmt: skip
    yield Draft(
        INDEX, "Figures", "docs/data/", partial(_index, pages=pages), order=60, late=True, group="Reference",
        question="Which figures does the site rest on, and how well are they known?",
        summary="The register of every figure: how many there are, how well they are known, and where each one stands.",
    )  # fmt: skip


def _page(sheet: Sheet, records: Sequence[Record]) -> str:
    catalogue = sheet.edition.catalogue
    tables: list[tuple[str, list[dict[str, Any]]]] = []
    for record in records:
        figures = catalogue.figures_of(record)
        if record.folder not in LONG_RECORDS:
            tables.append((str(getattr(record, "title", record.id)), [_row(sheet, figure) for figure in figures]))
            continue
        for name, declared in type(record).model_fields.items():
            found = [figure for figure in figures if figure.path.split(".")[0] == name]
            if found:
                tables.append((declared.title or name, [_row(sheet, figure) for figure in found]))
    return sheet.edition.render("register.md", title=sheet.title, tables=tables, **functions(sheet))


def _row(sheet: Sheet, figure: FigureRecord) -> dict[str, Any]:
    whole = figure.figure
    used = sheet.edition.used.get(figure.id, {}).values()
    return {
        "figure": figure,
        "source": sheet.source(whole.source) if whole.source else "",
        "used": [(markup.link(sheet.uri, place.uri), place.title) for place in used],
    }


def _index(sheet: Sheet, pages: dict[str, list[Record]]) -> str:
    catalogue = sheet.edition.catalogue
    rows = []
    for uri, records in pages.items():
        figures = [figure for record in records for figure in catalogue.figures_of(record)]
        counts = {grade: sum(figure.grade is grade for figure in figures) for grade in Grade}
        rows.append(
            {
                "link": markup.link(sheet.uri, uri),
                "title": sheet.edition.drafts[uri].title,
                "count": len(figures),
                "weakest": weakest(figure.grade for figure in figures),
                "counts": {grade: count for grade, count in counts.items() if count},
            }
        )
    return sheet.edition.render(
        "figures.md",
        rows=rows,
        total=len(catalogue.figures),
        defaults=markup.link(sheet.uri, DEFAULTS_URI),
        **functions(sheet),
    )
