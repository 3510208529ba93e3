"""What several pages say about the law: its places in order, their addresses, and a table of rules."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from build_scripts.catalogue import Catalogue
from build_scripts.models.law import Law, Provision
from build_scripts.pages import markup
from build_scripts.pages.sheet import Sheet

SUBJECTS = {
    "emissions": "Emissions",
    "inspection": "Inspection",
    "noise": "Noise",
    "ratings": "Weight ratings",
    "safety": "Safety",
    "warranty": "Warranty",
    "insurance": "Insurance",
}


def uri(identifier: str) -> str:
    """The page of a place."""
    return f"law/{identifier}.md"


def in_order(catalogue: Catalogue) -> list[Law]:
    """The places by their order, each larger one before those within it."""
    tops = [place for place in catalogue.law.values() if place.within is None]
    tops.sort(key=lambda place: (place.order, place.title))
    return [
        one for top in tops for one in (top, *(other for other in catalogue.law.values() if other.within == top.id))
    ]


def table(sheet: Sheet, rules: Iterable[tuple[Law, Provision]], label: str, *, places: bool = False) -> Markup:
    """Rules with their citation, how and when they were seen, and whom they bind; `places` names the place of each."""
    found: Sequence[tuple[Law, Provision]] = sorted(rules, key=lambda pair: list(SUBJECTS).index(pair[1].subject))
    rows = [
        {
            "rule": rule,
            "subject": SUBJECTS[rule.subject],
            "citation": _citation(sheet, rule),
            "day": sheet.edition.catalogue.sources[rule.source].seen if rule.seen != "none" else None,
            "place": place.title,
            "link": markup.link(sheet.uri, uri(place.id)),
        }
        for place, rule in found
        if rule.source in sheet.edition.catalogue.sources
    ]
    return markup.one_line(sheet.edition.render("provisions.html", rows=rows, label=label, places=places))


def said(sheet: Sheet, status: str) -> list[tuple[str, str, str]]:
    """What each place makes of a part of this emission status: its address, its name and the sentence."""
    return [
        (markup.link(sheet.uri, uri(place.id)), place.title, place.means.of(status))
        for place in in_order(sheet.edition.catalogue)
    ]


def _citation(sheet: Sheet, rule: Provision) -> Markup:
    source = sheet.source(rule.source)
    short = sheet.edition.catalogue.sources[rule.source].short
    rest = rule.where.removeprefix(short)
    return Markup("{}{}{}").format(source, "" if rest != rule.where else ", ", rest)
