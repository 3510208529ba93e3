"""Pages of the site, made from the catalogue and from the Markdown that people write. Knows no site generator."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Container
from pathlib import Path

from build_scripts import catalogue as records
from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import DataErrors
from build_scripts.pages import kinds
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
    drafts = sorted(edition.drafts.values(), key=lambda draft: (draft.late, draft.uri))
    written = [_written(edition, draft) for draft in drafts if only is None or draft.uri in only]
    if edition.problems:
        raise DataErrors(set(edition.problems))
    return written


def _written(edition: Edition, draft: Draft) -> Page:
    sheet = Sheet(edition, draft.uri, draft.origin, draft.title, draft.late)
    body = draft.write(sheet)
    more = {"description": draft.summary, "hide": draft.hide}
    given = {key: value for key, value in more.items() if value}
    text = with_front_matter(draft.title, draft.origin, f"{body}\n\n{sheet.tail()}", **given)
    return Page(draft.uri, text, draft.origin, draft.title, draft.order)
