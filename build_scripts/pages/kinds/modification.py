"""The page of a modification: what it changes, what it does on every platform, what it costs, needs and risks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from markupsafe import Markup

from build_scripts.catalogue import FigureRecord
from build_scripts.models.modification import Modification, Option
from build_scripts.models.platform import Platform
from build_scripts.models.problem import dotted
from build_scripts.pages import law, markup
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.effects import Gain, across, effects
from build_scripts.pages.functions import functions
from build_scripts.pages.platform_plans import shown
from build_scripts.pages.sheet import Sheet
from calc import units
from calc.plan.enquiry import STATUS
from calc.plan.shown import Shown

INDEX = "modifications/index.md"
HOWS = {"set": "becomes", "scale": "times", "add": "plus"}
DIFFICULTY = {
    "plain": "plain: hand tools and patience",
    "skilled": "skilled: a trained mechanic",
    "specialist": "specialist: a shop that does it daily",
}


@dataclass(frozen=True)
class Line:
    """One thing that an option changes: what, how, and by which figure."""

    what: str
    how: str
    figure: FigureRecord


@dataclass(frozen=True)
class OptionShown:
    """An option with its figures."""

    option: Option
    parts: FigureRecord
    labour: FigureRecord
    changes: tuple[Line, ...]
    observed: tuple[tuple[str, FigureRecord, str], ...]


def uri(identifier: str) -> str:
    """The page of a modification."""
    return f"modifications/{identifier}.md"


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """A page for each modification, and one that lists them."""
    known = edition.catalogue.modifications
    for item in known.values():
        write = partial(_text, item=item)
        related = {uri(name.partition(".")[0]): "it needs this" for name in _all_needs(item)}
        related |= {uri(name.partition(".")[0]): "the other way to do it" for name in item.excludes}
        yield Draft(
            uri(item.id), item.title, item.file, write, order=item.order, summary=item.summary, question=item.question,
            related={page: why for page, why in related.items() if page != uri(item.id)}, parts=(item.kind,),
        )  # fmt: skip
    if known and not (root / "docs" / INDEX).exists():
        yield Draft(
            INDEX, "Modifications", "docs/data/modifications/", _index, order=15,
            question="Which parts raise which limit, and what do they cost?",
            summary="Every modification on record: what it changes, costs and needs, and what the law asks.",
        )  # fmt: skip


def _text(sheet: Sheet, item: Modification) -> str:
    catalogue = sheet.edition.catalogue
    figures = {figure.path: figure for figure in catalogue.figures_of(item)}
    options = [_option(name, option, figures) for name, option in item.options.items()]
    planner = sheet.edition.planner
    found = effects(planner, item.id) if planner.usable else None
    titles = {f"{item.id}.{name}": option.title for name, option in item.options.items()}
    platforms = {platform.id: platform for platform in catalogue.platforms.values()}
    return sheet.edition.render(
        "modification.md",
        item=item,
        options=options,
        fits=_fits(sheet, item),
        needs=[_named(sheet, name) for name in item.needs],
        excludes=[_named(sheet, name) for name in item.excludes],
        option_needs=[
            (
                option.title,
                [_named(sheet, name) for name in option.needs],
                [_named(sheet, name) for name in option.excludes],
            )
            for option in item.options.values()
            if option.needs or option.excludes
        ],
        needed_by=[
            markup_link(sheet, other)
            for other in catalogue.modifications.values()
            if any(name.partition(".")[0] == item.id for name in _all_needs(other))
        ],
        gains=[_gain(sheet, gain, titles, platforms) for gain in found.gains] if found else [],
        beside=[
            (one.option.title, what, figure, condition, _beside(sheet, found.gains, f"{item.id}.{name}", what, figure))
            for name, one in zip(item.options, options, strict=True)
            for what, figure, condition in one.observed
        ] if found else [],
        raised=[
            (platforms[one.platform].title, titles[one.option], one.limit, one.measure, shown(sheet, one.before),
             shown(sheet, one.after))
            for one in found.raised
        ] if found else [],
        status=STATUS[item.emission_status],
        difficulty=DIFFICULTY[item.difficulty],
        law=sheet.goto("law/emission-hardware.md", "what the law says and why emission hardware stays"),
        places_say=law.said(sheet, item.emission_status),
        planned=planner.usable,
        mark=sheet.marked,
        **functions(sheet),
    )  # fmt: skip


def _option(name: str, option: Option, figures: Mapping[str, FigureRecord]) -> OptionShown:
    def found(*steps: str | int) -> FigureRecord:
        return figures[dotted(("options", name, *steps))]

    lines = [
        Line(parameter(change.parameter), HOWS[change.how], found("changes", index, change.how))
        for index, change in enumerate(option.changes)
    ]
    lines += [
        Line(f"Limit: {change.limit.replace('-', ' ')}", HOWS[change.how], found("raises", index, change.how))
        for index, change in enumerate(option.raises)
    ]
    observed = tuple(
        (gain.what, found("observed_gain", index, "figure"), gain.condition)
        for index, gain in enumerate(option.observed_gain)
    )
    return OptionShown(option, found("parts_cost"), found("labour"), tuple(lines), observed)


def parameter(path: str) -> str:
    """A dotted path of a platform in words: the part and the figure's title."""
    section, _, name = path.partition(".")
    declared = Platform.model_fields.get(section)
    model: Any = declared.annotation if declared else None
    field = getattr(model, "model_fields", {}).get(name)
    if declared is None or field is None:
        return path
    return f"{declared.title or section}: {(field.title or name)[:1].lower()}{(field.title or name)[1:]}"


def _all_needs(item: Modification) -> list[str]:
    return [*item.needs, *(name for option in item.options.values() for name in option.needs)]


def markup_link(sheet: Sheet, item: Modification) -> Markup:
    """A link to a modification."""
    return Markup('<a href="{}">{}</a>').format(markup.link(sheet.uri, uri(item.id)), item.title)


def _named(sheet: Sheet, identifier: str) -> Markup:
    known = sheet.edition.catalogue.modifications
    name, _, option = identifier.partition(".")
    if name not in known:
        return Markup("{}").format(identifier)
    found = markup_link(sheet, known[name])
    if option and option in known[name].options:
        return Markup("{} ({})").format(found, known[name].options[option].title)
    return found


def _fits(sheet: Sheet, item: Modification) -> str:
    known = sheet.edition.catalogue.platforms
    names = [known[name].title for name in item.fits.platforms if name in known] or ["Every platform here"]
    forms = []
    for variant in item.fits.variants:
        platform, _, form = variant.partition("/")
        if platform in known and form in known[platform].variants:
            forms.append(f"{known[platform].title} only as {known[platform].variants[form].title}")
    words = ", ".join([*names, *forms])
    return f"{words}. {item.fits.note}" if item.fits.note else f"{words}."


def _gain(
    sheet: Sheet, gain: Gain, titles: Mapping[str, str], platforms: Mapping[str, Platform]
) -> tuple[str, str, dict[str, Markup] | None, dict[str, Markup] | None]:
    def written(values: Mapping[str, Shown] | None) -> dict[str, Markup] | None:
        return {name: shown(sheet, value) for name, value in values.items()} if values else None

    return platforms[gain.platform].title, titles[gain.option], written(gain.held), written(gain.as_it_is)


def _beside(sheet: Sheet, gains: tuple[Gain, ...], option: str, what: str, figure: FigureRecord) -> list[Markup]:
    """What is computed of the thing that was observed, over all platforms, both ways to set the boost."""
    dimension = units.unit(figure.figure.unit).dimension
    if dimension == units.unit("hp").dimension:
        key = "power"
    elif dimension == units.unit("delta_K").dimension:
        key = "charge" if "manifold" in what.casefold() else "temperature"
    else:
        return []
    held, as_it_is = across(gains, option, key)
    found = [Markup("boost held {}").format(shown(sheet, held))] if held else []
    return found + ([Markup("turbine as it is {}").format(shown(sheet, as_it_is))] if as_it_is else [])


def _index(sheet: Sheet) -> str:
    rows = []
    for item in sorted(sheet.edition.catalogue.modifications.values(), key=lambda item: (item.order, item.title)):
        figures = {figure.path: figure for figure in sheet.edition.catalogue.figures_of(item)}
        prices = [
            (option.title, figures[f"options.{name}.parts_cost"], figures[f"options.{name}.labour"])
            for name, option in item.options.items()
        ]
        rows.append({"link": markup.link(sheet.uri, uri(item.id)), "item": item, "prices": prices,
                     "status": STATUS[item.emission_status]})  # fmt: skip
    return sheet.edition.render(
        "modifications.md", rows=rows, planned=sheet.edition.planner.usable, mark=sheet.marked, **functions(sheet)
    )
