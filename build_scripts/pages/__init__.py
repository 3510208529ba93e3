"""Pages of the site, made from the catalogue and from the Markdown that people write. Knows no site generator."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Container
from dataclasses import replace
from pathlib import Path

from markupsafe import escape

from build_scripts import catalogue as records
from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import DataErrors
from build_scripts.pages import footnotes, kinds, way, words
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.page import Page, navigation, with_front_matter
from build_scripts.pages.sheet import Sheet

__all__ = ["Page", "navigation", "pages"]


def pages(root: Path, catalogue: Catalogue | None = None, only: Container[str] | None = None) -> list[Page]:
    """Every page of the project in `root`, or `only` those at some addresses.

    Raises DataErrors with everything that is wrong in any of them.
    """
    edition = Edition(catalogue or records.load(root))
    for module in pkgutil.iter_modules(kinds.__path__):
        for draft in importlib.import_module(f"{kinds.__name__}.{module.name}").drafts(edition, root):
            edition.drafts[draft.uri] = draft
    _ask_as_calculators(edition)
    if only is None or words.GLOSSARY in only:
        words.say_what_is_missing(edition)
    drafts = sorted(edition.drafts.values(), key=lambda draft: (draft.late, draft.uri))
    written = [_written(edition, draft) for draft in drafts if only is None or draft.uri in only]
    if edition.problems:
        raise DataErrors(set(edition.problems))
    return written


def _written(edition: Edition, draft: Draft) -> Page:
    sheet = Sheet(edition, draft.uri, draft.origin, draft.title, draft.late)
    body = _with_question(draft.write(sheet), draft)
    more = {
        "description": draft.summary,
        "question": draft.asks,
        "hide": draft.hide,
        "data_version": edition.planner.made,
        "reviewed": edition.reviewed,
        "tags": words.heard(edition, draft.uri),
    }
    given = {key: value for key, value in more.items() if value}
    foot = way.block(edition, draft)
    whole = footnotes.numbered(f"{body}\n\n{foot}\n\n{sheet.tail(body)}")
    text = with_front_matter(draft.title, draft.origin, whole, **given)
    return Page(draft.uri, text, draft.origin, draft.title, draft.order, draft.group)


def _ask_as_calculators(edition: Edition) -> None:
    """A page under calculators/ that asks nothing itself asks what its calculator does."""
    for identifier, uri in edition.homes.items():
        draft = edition.drafts.get(uri)
        if draft and identifier in edition.calculators and uri.startswith("calculators/") and not draft.asks:
            edition.drafts[uri] = replace(draft, question=edition.calculators[identifier].question)


def _with_question(body: str, draft: Draft) -> str:
    """The page with its question under its heading, unless it stands there already."""
    if not draft.question or draft.asks != draft.question or str(escape(draft.question)) in body:
        return body
    head, found, rest = body.partition("# " + draft.title + "\n")
    if not found:
        return body
    return f'{head}{found}\n<p class="hr-question">{escape(draft.question)}</p>\n{rest}'
