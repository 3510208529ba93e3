"""The words under which a page should be found: what the glossary calls its subject, and all its other names."""

from __future__ import annotations

from collections.abc import Iterator

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem, closest
from build_scripts.models.term import Term, Terms
from build_scripts.pages.edition import Edition

GLOSSARY = "glossary.md"


def subjects(catalogue: Catalogue) -> list[Terms]:
    """The subjects of the glossary in order."""
    return sorted(catalogue.terms.values(), key=lambda subject: (subject.order, subject.title))


def page_of(edition: Edition, name: str) -> str:
    """The page that a term or front matter names: by its address, "topics/x.md", or by a calculator's id."""
    return edition.homes.get(name, name)


def anchor(term: Term) -> str:
    """The id of a term in the glossary."""
    return "term-" + "-".join("".join(c if c.isalnum() else " " for c in term.word.lower()).split())


def heard(edition: Edition, uri: str) -> list[str]:
    """Every name of every term that should find this page, each once."""
    names = (name for term in terms_of(edition, uri) for name in (term.word, *term.also))
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(name.lower(), name)
    return list(found.values())


def terms_of(edition: Edition, uri: str) -> list[Term]:
    """The terms that should find this page, those that it explains first."""
    found = [term for term in _terms(edition) if uri in {page_of(edition, page) for page in term.pages}]
    return sorted(found, key=lambda term: page_of(edition, term.pages[0]) != uri)


def say_what_is_missing(edition: Edition) -> None:
    """A problem for every page that a term names and that is not there."""
    for subject in edition.catalogue.terms.values():
        for index, term in enumerate(subject.terms):
            for page in term.pages:
                if page_of(edition, page) not in edition.drafts:
                    line = edition.catalogue.line(subject, ("terms", index, "pages"))
                    allowed = "an address such as topics/costs.md, or the id of a calculator"
                    meant = closest(page, [*edition.drafts, *edition.homes])
                    field = f"terms.{index + 1}.pages"
                    edition.problems.append(Problem(subject.file, line, field, f"`{page}`", allowed, meant))


def _terms(edition: Edition) -> Iterator[Term]:
    for subject in subjects(edition.catalogue):
        yield from subject.terms
