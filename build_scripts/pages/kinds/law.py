"""The law of each place: its rules, what they mean for every modification here, and whom to ask."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

from markupsafe import Markup

from build_scripts.models.law import Law
from build_scripts.models.modification import Modification
from build_scripts.pages import law, markup
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.functions import functions
from build_scripts.pages.kinds.modification import markup_link
from build_scripts.pages.sheet import Sheet
from calc.plan.enquiry import STATUS

# What is heard outside falls under noise rules whatever it does to emissions.
_HEARD = ("exhaust", "intake")


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """A page for each place."""
    for order, place in enumerate(law.in_order(edition.catalogue)):
        write = partial(_text, place=place)
        yield Draft(
            law.uri(place.id), place.title, place.file, write, order=20 + order, summary=place.summary,
            question=f"{place.title}: what does the law say?",
        )  # fmt: skip


def _text(sheet: Sheet, place: Law) -> str:
    catalogue = sheet.edition.catalogue
    figures = {figure.path: figure for figure in catalogue.figures_of(place)}
    above = catalogue.law.get(place.within or "")
    below = [other for other in law.in_order(catalogue) if other.within == place.id]
    return sheet.edition.render(
        "law.md",
        place=place,
        rules=law.table(sheet, [(place, rule) for rule in place.provisions], f"Rules: {place.title}"),
        above=_link(sheet, above) if above else "",
        below=[_link(sheet, other) for other in below],
        means=[(STATUS[status], place.means.of(status), _parts(sheet, place, status)) for status in STATUS],
        penalties=[
            (penalty.what, figures[f"penalties.{number}.figure"]) for number, penalty in enumerate(place.penalties, 1)
        ],
        mark=sheet.marked,
        **functions(sheet),
    )


def _parts(sheet: Sheet, place: Law, status: str) -> list[tuple[Markup, list[str]]]:
    known = sorted(sheet.edition.catalogue.modifications.values(), key=lambda item: (item.order, item.title))
    return [(markup_link(sheet, item), _rules(place, item)) for item in known if item.emission_status == status]


def _rules(place: Law, item: Modification) -> list[str]:
    subjects = {"noise"} if item.kind in _HEARD else set()
    if item.emission_status != "neutral":
        subjects |= {"emissions", "inspection"}
    return [rule.title for rule in place.provisions if rule.subject in subjects]


def _link(sheet: Sheet, place: Law) -> Markup:
    return Markup('<a href="{}">{}</a>').format(markup.link(sheet.uri, law.uri(place.id)), place.title)
