"""What gives out first on a platform, in words, as a picture and as a table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from build_scripts.catalogue import FigureRecord
from build_scripts.models.platform import Platform
from build_scripts.pages.chart import Band, Level, bands_svg
from build_scripts.pages.display import Pair, partner
from build_scripts.pages.edition import figure_pair
from build_scripts.pages.sheet import Sheet
from calc import units

State = Literal["clear", "doubtful", "beyond"]


@dataclass(frozen=True)
class Row:
    """One limit: its words, the figure it is taken from, and how it stands at the goal."""

    title: str
    why: str
    first_sign: str
    record: FigureRecord
    state: State

    @property
    def ends(self) -> tuple[float, float]:
        """Clear below the first, beyond above the second, in watts."""
        return self.record.figure.ends_in("W")


def rows(figures: Sequence[FigureRecord], platform: Platform) -> list[Row]:
    """The limits of a platform, the one that gives out first on top; what the control unit asks for is no part."""
    goal = platform.ratings.goal_power.likely_in("W")
    by_path = {figure.path: figure for figure in figures}
    found = [
        Row(limit.title, limit.why, limit.first_sign, record, state_at(goal, *record.figure.ends_in("W")))
        for name, limit in platform.limits.items()
        if limit.part != "calibration"
        for record in [by_path[f"limits.{name}.wheel_power"]]
    ]
    return sorted(found, key=lambda row: (sum(row.ends), row.title))


def state_at(power: float, low: float, high: float) -> State:
    """How a part stands at a power: clear below `low`, beyond above `high`, doubtful between and on both."""
    return "clear" if power < low else "beyond" if power > high else "doubtful"


def rivals(ordered: Sequence[Row]) -> list[Row]:
    """The rows behind the first whose range meets the range of the first: too close to call."""
    return [row for row in ordered[1:] if row.ends[0] <= ordered[0].ends[1]]


def verdict(ordered: Sequence[Row], shown: Callable[[FigureRecord], Markup]) -> Markup:
    """What gives out first, and whether it is too close to call."""
    first = ordered[0]
    said = Markup("First to give out: {}, at {} at the wheels.").format(_lower(first.title), shown(first.record))
    if close := rivals(ordered):
        many, verb = ("ranges", "overlap") if len(close) > 1 else ("range", "overlaps")
        names = _listed([row.title for row in close])
        return said + Markup(" Too close to call: the {} of {} {} with it.").format(many, names, verb)
    if len(ordered) > 1:
        return said + Markup(" Next: {}, at {}.").format(_lower(ordered[1].title), shown(ordered[1].record))
    return said


def standing(ordered: Sequence[Row]) -> list[tuple[State, str]]:
    """The parts by how they stand at the goal, worst first; states without a part are left out."""
    states: tuple[State, ...] = ("beyond", "doubtful", "clear")
    names = {state: ", ".join(_lower(row.title) for row in ordered if row.state == state) for state in states}
    return [(state, text) for state, text in names.items() if text]


def block(sheet: Sheet, platform: Platform) -> Markup:
    """The whole figure: words, picture in both unit systems and two widths, key, table."""
    figures = {figure.path: figure for figure in sheet.edition.catalogue.figures_of(platform)}
    ordered = rows(list(figures.values()), platform)
    standard, goal = figures["ratings.wheel_power"], figures["ratings.goal_power"]
    return sheet.edition.render(
        "picture.html",
        platform=platform,
        verdict=verdict(ordered, sheet.marked),
        standing=standing(ordered),
        drawings=[
            (system, width, _drawing(ordered, standard, goal, system, narrow=width == "narrow"))
            for system in ("us", "si")
            for width in ("wide", "narrow")
        ],
        spoken=spoken(ordered, standard, goal),
        rows=ordered,
        mark=sheet.marked,
        standard=standard,
        goal=goal,
        first_on_page=sheet.pictures == 1,
    )


def spoken(ordered: Sequence[Row], standard: FigureRecord, goal: FigureRecord) -> str:
    """What the picture shows, for those who cannot see it."""
    lines = [
        f"{row.title}: clear below, beyond above, doubtful from {_both(figure_pair(row.record))}" for row in ordered
    ]
    levels = f"Standard power {_both(figure_pair(standard))}, example goal {_both(figure_pair(goal))}"
    return f"Bands along the power at the wheels, what gives out first on top. {'. '.join(lines)}. {levels}."


def _drawing(
    ordered: Sequence[Row], standard: FigureRecord, goal: FigureRecord, system: str, *, narrow: bool
) -> Markup:
    unit = partner(standard.figure.unit)[0 if system == "us" else 1]
    if units.unit(unit).symbol not in ("hp", "kW"):
        unit = "hp" if system == "us" else "kW"

    def said(record: FigureRecord) -> str:
        pair = figure_pair(record)
        return pair.us if system == "us" else pair.si

    bands = [Band(row.title, *row.record.figure.ends_in(unit), said(row.record)) for row in ordered]
    levels = [
        Level("standard", standard.figure.likely_in(unit), said(standard)),
        Level("goal", goal.figure.likely_in(unit), said(goal)),
    ]
    return Markup(bands_svg(bands, levels, f"power at the wheels, {units.unit(unit).shown}", narrow=narrow))


def _both(pair: Pair) -> str:
    return pair.us if pair.us == pair.si else f"{pair.us} ({pair.si})"


def _lower(title: str) -> str:
    # A capital that is no abbreviation becomes small inside a sentence.
    return title if title[:2].isupper() else title[:1].lower() + title[1:]


def _listed(names: Sequence[str]) -> str:
    small = [_lower(name) for name in names]
    return small[0] if len(small) == 1 else f"{', '.join(small[:-1])} and {small[-1]}"
