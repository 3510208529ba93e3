"""What all pages of one build share: the catalogue, the templates, what was used where, and every problem found."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from build_scripts import export
from build_scripts.catalogue import Catalogue, FigureRecord
from build_scripts.models.problem import Problem
from build_scripts.pages import markup
from build_scripts.pages.display import Pair, range_pair, value_pair
from build_scripts.pages.plans import Planner
from calc import registry
from calc.contract import Calculator
from calc.provenance import Grade, Reference

# Folders whose records have figures enough for a page of the register each; those of other folders share one.
LONG_RECORDS = ("platforms",)

TEMPLATES = Path(__file__).resolve().parent.parent / "templates"


@dataclass(frozen=True)
class Place:
    """A page on which something is used."""

    uri: str
    title: str


@dataclass(frozen=True)
class Draft:
    """A page before it is written: all but its text, which `write` gives for its sheet when all drafts are known.

    `late` pages are written after all others, because they list what the others use. `hide` names parts of the theme
    that the page does without ("navigation", "toc"). `question` is what the page answers; a title may be one itself.
    `related` and `then` name pages to go on to, with what for; `parts` are the kinds of modification it is about.
    `group` is the section of the navigation that a page at the top, or a folder by its index, stands in.
    """

    uri: str
    title: str
    origin: str
    write: Callable[[Any], str]
    order: int = 50
    summary: str = ""
    late: bool = False
    hide: object = ()
    question: str = ""
    related: Mapping[str, str] = field(default_factory=dict)
    then: Mapping[str, str] = field(default_factory=dict)
    parts: Sequence[str] = ()
    group: str = ""

    @property
    def asks(self) -> str:
        """The question that the page answers."""
        return self.title if self.title.endswith("?") else self.question


@dataclass
class Edition:
    """One build. Rendering a page records the figures and sources it shows, for the pages that list them."""

    catalogue: Catalogue
    drafts: dict[str, Draft] = field(default_factory=dict)
    homes: dict[str, str] = field(default_factory=dict)
    used: dict[str, dict[str, Place]] = field(default_factory=dict)
    cited: dict[str, dict[str, Place]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    @functools.cached_property
    def references(self) -> Mapping[str, Reference]:
        """Every work that calc rests on, by id, in the order of titles."""
        found = self.catalogue.references.values()
        return {reference.id: reference for reference in sorted(found, key=lambda reference: reference.title)}

    @functools.cached_property
    def calculators(self) -> Mapping[str, Calculator]:
        """Every calculator by id."""
        return registry.calculators()

    @functools.cached_property
    def environment(self) -> Environment:
        """Templates of pages; undefined names are errors, values are escaped."""
        made = Environment(
            loader=FileSystemLoader(TEMPLATES),
            undefined=StrictUndefined,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
        )
        made.globals |= {
            "badge": markup.badge,
            "math": markup.math,
            "amount": markup.quantity,
            "slot": markup.slot,
            "pair": figure_pair,
            "pair_of": Pair,
            "Grade": Grade,
        }
        return made

    @functools.cached_property
    def planner(self) -> Planner:
        """The planner over this edition's records."""
        return Planner(export.as_text(self.catalogue))

    @functools.cached_property
    def reviewed(self) -> str:
        """The day of the newest review of a figure, as "2026-11-24"; empty while there is no figure."""
        return max((record.figure.reviewed.isoformat() for record in self.catalogue.figures.values()), default="")

    def uses(self, figure: str, page: Place) -> None:
        """Remember that a page shows a figure."""
        self.used.setdefault(figure, {})[page.uri] = page

    def cites(self, source: str, page: Place) -> None:
        """Remember that a page cites a source."""
        self.cited.setdefault(source, {})[page.uri] = page

    def render(self, template: str, **values: Any) -> Markup:
        """The template `build_scripts/templates/<template>` with these values."""
        return Markup(self.environment.get_template(template).render(**values))


def figure_pair(figure: FigureRecord) -> Pair:
    """A figure as text in both unit systems."""
    whole = figure.figure
    if whole.value is not None:
        return value_pair(whole.value, whole.unit)
    return range_pair(*whole.ends, whole.unit)


DEFAULTS_URI = "figures/calculators.md"


def default_anchor(calculator: str, name: str) -> str:
    """The row of a calculator's default value in the register."""
    return f"{calculator}.{name}"


def register_uri(figure: FigureRecord) -> str:
    """The page of the register on which a figure stands."""
    return f"figures/{figure.record}.md" if figure.folder in LONG_RECORDS else f"figures/{figure.folder}.md"


def source_uri(identifier: str) -> str:
    """The page of a source."""
    return f"sources/{identifier}.md"
