"""The page of a platform: what gives out first, and every parameter with its source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from build_scripts.catalogue import FigureRecord
from build_scripts.models.base import Model
from build_scripts.models.platform import Limit, Platform, Variant
from build_scripts.pages import platform_plans
from build_scripts.pages.edition import Draft, Edition, register_uri
from build_scripts.pages.functions import functions, listing
from build_scripts.pages.picture import rows
from build_scripts.pages.sheet import Sheet

INDEX = "platforms/index.md"


@dataclass(frozen=True)
class Entry:
    """A line of a table: a figure, or a word such as the type of transmission."""

    label: str
    description: str
    figure: FigureRecord | None = None
    word: str = ""


@dataclass(frozen=True)
class Form:
    """A variant with the figures in which it differs."""

    variant: Variant
    figures: tuple[FigureRecord, ...]


@dataclass(frozen=True)
class Group:
    """The parameters of one part."""

    title: str
    description: str
    entries: tuple[Entry, ...]


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """One page for each platform, and one that lists them unless somebody wrote it."""
    for platform in edition.catalogue.platforms.values():
        write = partial(_text, platform=platform)
        yield Draft(f"platforms/{platform.id}.md", platform.title, platform.file, write, summary=platform.summary,
                    question=f"What gives out first on the {platform.title}?")  # fmt: skip
    if edition.catalogue.platforms and not (root / "docs" / INDEX).exists():
        yield Draft(INDEX, "Platforms", "docs/data/platforms/", _index, order=10,
                    question="Which truck do you have?",
                    summary="Every truck on record, with what gives out first on it and at which power.")  # fmt: skip


def groups(platform: Platform, figures: tuple[FigureRecord, ...]) -> list[Group]:
    """The parts of a platform with all their parameters, in the order of the file."""
    return [
        Group(declared.title or name, declared.description or "", _entries(getattr(platform, name), name, figures))
        for name, declared in Platform.model_fields.items()
        if isinstance(getattr(platform, name), Model)
    ]


def _entries(part: Model, name: str, figures: tuple[FigureRecord, ...]) -> tuple[Entry, ...]:
    words = [
        Entry(declared.title or field, declared.description or "", word=getattr(part, field))
        for field, declared in type(part).model_fields.items()
        if isinstance(getattr(part, field), str)
    ]
    found = [figure for figure in figures if figure.path.startswith(f"{name}.")]
    return (*words, *(Entry(figure.label, figure.description, figure) for figure in found))


def _text(sheet: Sheet, platform: Platform) -> str:
    figures = sheet.edition.catalogue.figures_of(platform)
    limits: list[Limit] = list(platform.limits.values())
    return sheet.edition.render(
        "platform.md",
        platform=platform,
        ratings=[figure for figure in figures if figure.path.startswith("ratings.")],
        groups=[group for group in groups(platform, figures) if group.title != "Ratings"],
        rows=rows(figures, platform),
        asked=[
            (limit, figure)
            for name, limit in platform.limits.items()
            if limit.part == "calibration"
            for figure in figures
            if figure.path == f"limits.{name}.wheel_power"
        ],
        forms=[
            Form(variant, tuple(figure for figure in figures if figure.path.startswith(f"variants.{name}.")))
            for name, variant in platform.variants.items()
        ],
        cautions=_worst_first(sheet.edition, dict.fromkeys(name for limit in limits for name in limit.cautions)),
        beside=platform_plans.limits(sheet, platform, {figure.path: figure for figure in figures}),
        goals=list(platform_plans.goals(sheet, platform)),
        use=platform_plans.use_title(sheet),
        mark=sheet.marked,
        register=register_uri(figures[0]),
        **functions(sheet),
    )


def _worst_first(edition: Edition, names: Iterable[str]) -> list[str]:
    known = edition.catalogue.cautions
    order = ("danger", "warning", "notice")
    return sorted(names, key=lambda name: order.index(known[name].severity) if name in known else 0)


def _index(sheet: Sheet) -> str:
    return f"# Platforms\n\n{listing(sheet, 'platforms')}\n"
