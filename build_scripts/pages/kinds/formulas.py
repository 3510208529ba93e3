"""The page of all formulas: what every calculator computes with, with symbols, units and sources."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.pages import markup
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.functions import functions
from build_scripts.pages.sheet import Sheet

INDEX = "formulas/index.md"
_SUMMARY = "Every formula that a calculator of this site works with, with its symbols, units and source."


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """One page. It is late, because it lists works for their own sake and is no use of them."""
    yield Draft(
        INDEX, "Formulas", "calc/calculators/", _text, order=65, summary=_SUMMARY, late=True,
        question="Which formulas does the site work with, and where do they come from?", group="Reference",
    )  # fmt: skip


def _text(sheet: Sheet) -> str:
    edition = sheet.edition
    found = [it for it in edition.calculators.values() if it.formulas and it.id in edition.homes]
    found.sort(key=lambda it: it.title)
    entries = [(it, markup.link(sheet.uri, edition.homes[it.id])) for it in found]
    total = len({(formula.tex, formula.says) for it in found for formula in it.formulas})
    return edition.render("formulas.md", entries=entries, total=total, **functions(sheet))
