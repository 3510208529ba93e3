"""The glossary: every word with its other names, its meaning, and the page that explains it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from build_scripts.pages import markup, words
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.sheet import Sheet


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """One page, when there are words."""
    if edition.catalogue.terms:
        yield Draft(
            words.GLOSSARY, "Glossary", "docs/data/terms/", _text, order=55, group="Reference",
            question="What does the word mean, and where is it explained?",
            summary="Words, synonyms and abbreviations of the trade, each with the page that explains it.",
            related={"formulas/index.md": "symbols and what they stand for", "topics/index.md": "one question a page"},
            then={"topics/what-gives-out-first.md": "begin with the question behind all others"},
        )  # fmt: skip


def _text(sheet: Sheet) -> str:
    edition = sheet.edition
    subjects = [
        (subject.title, [(term, words.anchor(term), _links(sheet, term.pages)) for term in subject.terms])
        for subject in words.subjects(edition.catalogue)
    ]
    return edition.render("glossary.md", subjects=subjects)


def _links(sheet: Sheet, pages: tuple[str, ...]) -> list[tuple[str, str]]:
    found = (words.page_of(sheet.edition, page) for page in pages[:1])
    return [
        (markup.link(sheet.uri, uri), sheet.edition.drafts[uri].title) for uri in found if uri in sheet.edition.drafts
    ]
