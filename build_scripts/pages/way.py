"""The way on: related pages and a next step at the foot of every page, from what pages say of each other."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from build_scripts.models.problem import Problem, closest
from build_scripts.pages import markup
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.words import GLOSSARY, anchor, page_of, terms_of

# Where a page leads when it says nothing itself: by its folder, what to do and the page to do it on.
NEXT: Mapping[str, tuple[str, str]] = {
    "": ("how-to-read.md", "see what the marks behind figures mean"),
    "calculators": ("topics/what-gives-out-first.md", "see how the limits stand to each other"),
    "figures": ("how-to-read.md", "see what the marks mean"),
    "formulas": ("calculators/index.md", "put your own values into them"),
    "law": ("law/emission-hardware.md", "read why no plan takes emission hardware away"),
    "modifications": ("plan/index.md", "let the planner weigh it against the others"),
    "plan": ("modifications/index.md", "read about the parts of the plan"),
    "platforms": ("plan/index.md", "set a goal for it"),
    "safety": ("safety/index.md", "go through the other dangers"),
    "sources": ("figures/index.md", "see the figures that rest on sources"),
    "topics": ("calculators/index.md", "try it with your own values"),
    "ways": ("topics/what-gives-out-first.md", "begin with the question behind all others"),
}
HOME = "index.md"
_MOST = 6


@dataclass(frozen=True)
class Step:
    """A page to go on to, and what for: `why` stands behind its title, or before it where it is the next step."""

    uri: str
    why: str = ""


def onward(edition: Edition, draft: Draft) -> tuple[list[Step], Step | None]:
    """Pages related to one, and the next step from it. Every page that exists is a way; none leads to itself."""
    then = _next(edition, draft)
    taken = {draft.uri, HOME, then.uri if then else ""}
    found: list[Step] = []
    for step in [*_own(edition, draft), *_same_parts(edition, draft), *_back(edition, draft), _above(draft)]:
        if step.uri not in taken and step.uri in edition.drafts:
            taken.add(step.uri)
            found.append(step)
    return found[:_MOST], then


def block(edition: Edition, draft: Draft) -> Markup:
    """The foot of a page as HTML; nothing on the start page, which is all ways on."""
    if draft.uri == HOME:
        return Markup()
    _say_what_is_missing(edition, draft)
    related, then = onward(edition, draft)
    words = [Step(uri) for uri in ("glossary.md", "how-to-read.md") if uri in edition.drafts and uri != draft.uri]

    def entry(step: Step) -> tuple[str, str, str]:
        return markup.link(draft.uri, step.uri), edition.drafts[step.uri].title, step.why

    return markup.one_line(
        edition.render(
            "onward.html",
            related=[entry(step) for step in related],
            then=entry(then) if then else None,
            words=[entry(step) for step in words],
            terms=[
                (markup.link(draft.uri, GLOSSARY, anchor(term)), term.word, term.also)
                for term in terms_of(edition, draft.uri)
            ],
        )
    )


def _next(edition: Edition, draft: Draft) -> Step | None:
    given = [Step(page_of(edition, name), words) for name, words in draft.then.items()]
    uri, words = NEXT.get(posixpath.dirname(draft.uri).partition("/")[0], NEXT[""])
    index = Step("topics/index.md", "choose a question")
    wanted = [*given, Step(uri, words), index, Step("ways/index.md", "choose a way in")]
    return next((step for step in wanted if step.uri in edition.drafts and step.uri != draft.uri), None)


def _own(edition: Edition, draft: Draft) -> Iterable[Step]:
    return (Step(page_of(edition, name), why) for name, why in draft.related.items())


def _same_parts(edition: Edition, draft: Draft) -> Iterable[Step]:
    parts = set(draft.parts)
    others = sorted(edition.drafts.values(), key=lambda other: (other.order, other.uri))
    # A topic or a calculator explains a part; two parts of one kind stand beside each other in their list anyway.
    mine = posixpath.dirname(draft.uri)
    return (Step(other.uri) for other in others if parts & set(other.parts) and posixpath.dirname(other.uri) != mine)


def _back(edition: Edition, draft: Draft) -> Iterable[Step]:
    for other in sorted(edition.drafts.values(), key=lambda other: (other.order, other.uri)):
        if draft.uri in {page_of(edition, name) for name in [*other.related, *other.then]}:
            yield Step(other.uri)


def _above(draft: Draft) -> Step:
    folder = posixpath.dirname(draft.uri)
    if posixpath.basename(draft.uri) == "index.md":
        folder = posixpath.dirname(folder)
    return Step(f"{folder}/index.md" if folder else "ways/index.md")


def _say_what_is_missing(edition: Edition, draft: Draft) -> None:
    for name in [*draft.related, *draft.then]:
        if page_of(edition, name) not in edition.drafts:
            known = [*edition.drafts, *edition.homes]
            allowed = "a page of the site, or the id of a calculator"
            edition.problems.append(
                Problem(draft.origin, 1, "related", f"`{name}`, which does not exist", allowed, closest(name, known))
            )
