"""What the planner says of a platform: computed limits beside observed ones, and plans for three goals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from build_scripts.catalogue import FigureRecord
from build_scripts.models.platform import Platform
from build_scripts.pages import markup
from build_scripts.pages.display import Pair
from build_scripts.pages.plans import Planner
from build_scripts.pages.sheet import Sheet
from calc import units
from calc.plan import wording
from calc.plan.demands import limit_of
from calc.plan.first import Place, first_to_give_out
from calc.plan.shown import Said, Shown, point
from calc.plan.vehicle import Vehicle
from calc.provenance import Grade
from calc.reading import BadInput

# Limits whose capacity is the observed place itself, carried along by what the parts change.
ANCHORED = frozenset(
    {"charge-cooler", "lift-pump", "head-clamping", "converter", "coolant", "transmission-heat", "calibration"}
)


@dataclass(frozen=True)
class Beside:
    """A limit as computed and as observed, and whether they agree."""

    title: str
    computed: Markup
    observed: Markup
    note: str
    agrees: bool


@dataclass(frozen=True)
class Goal:
    """A plan for one goal in short."""

    goal: Markup
    summary: Markup
    parts: tuple[tuple[str, str], ...]
    cost: Markup
    labour: Markup
    certainty: str
    closest: Markup
    address: str


def computed_note(sheet: Sheet, grade: Grade) -> str:
    """The id of the note of what the planner computed."""
    lines = [
        Markup("<b>Computed</b> by the planner from this site’s figures"),
        Markup('Formulas: the engine balance and the capacities of parts, see <a href="{}">sources</a>').format(
            markup.link(sheet.uri, "sources/index.md")
        ),
        Markup("Weakest grade that went in: {}").format(grade.label),
    ]
    return sheet.note(("planner", grade), lambda: lines).id


def shown(sheet: Sheet, item: Shown) -> Markup:
    """A quantity of the planner with its mark."""
    pair = Pair(item.text("us"), item.text("si"))
    mark = markup.mark(item.grade, computed_note(sheet, item.grade), computed=True)
    return Markup('<span class="hr-figure">{}{}</span>').format(markup.quantity(pair), mark)


def said(sheet: Sheet, item: Said, grade: Grade) -> Markup:
    """A sentence of the planner with one mark at its end."""
    mark = markup.mark(grade, computed_note(sheet, grade), computed=True)
    words = markup.quantity(Pair(item.us, item.si))
    return Markup('<span class="hr-said">{}</span>{}').format(words, mark)


def limits(sheet: Sheet, platform: Platform, figures: Mapping[str, FigureRecord]) -> list[Beside]:
    """Every limit that the planner computes, first to give out on top, beside what is observed."""
    planner = sheet.edition.planner
    if not planner.usable:
        return []
    vehicle = planner.vehicle(platform.id)
    return [_beside(sheet, vehicle, place, figures) for place in first_to_give_out(vehicle, ())]


def _beside(sheet: Sheet, vehicle: Vehicle, place: Place, figures: Mapping[str, FigureRecord]) -> Beside:
    limit = limit_of(place.aspect)
    record = figures.get(f"limits.{limit}.wheel_power")
    grade = vehicle.grade(place.aspect, ())
    if place.weak is None:
        computed = Markup("not reached up to {}").format(shown(sheet, point(place.searched, "W", "hp", "kW", grade)))
    elif place.strong is None:
        computed = Markup("{} on").format(shown(sheet, point(place.weak, "W", "hp", "kW", grade)))
    else:
        middle = place.likely or (place.weak + place.strong) / 2
        computed = shown(sheet, Shown(place.weak, middle, place.strong, "W", "hp", "kW", grade))
    observed = sheet.marked(record) if record else Markup("none on record")
    note, agrees = _held(sheet, vehicle, place, limit) or _note(place, limit, record)
    return Beside(wording.title(vehicle.platform, place.aspect), computed, observed, note, agrees)


HELD = ("coolant", "transmission-heat")
FOLLOWS_AIR = ("exhaust-temperature", "smoke")


def _held(sheet: Sheet, vehicle: Vehicle, place: Place, limit: str) -> tuple[str, bool] | None:
    """For a limit of heat that builds up: the observed power is one that is held, which the peak does not raise."""
    if limit not in HELD or place.weak is not None:
        return None
    asked = vehicle.gas(vehicle.gas_parameters(()), vehicle.standard.power).asks[place.aspect][1]
    held = shown(sheet, point(asked, "W", "hp", "kW", vehicle.grade(place.aspect, ())))
    words = (
        "Not the same question: observed is a power held for minutes. {} holds {} at the wheels, however strong the "
        "engine is, so a higher peak alone does not reach it."
    )
    return Markup(words).format(vehicle.use.title, held), True


def _note(place: Place, limit: str, record: FigureRecord | None) -> tuple[str, bool]:
    if record is None:
        return "Computed only: nobody has written down where it shows.", True
    low, high = (units.convert(end, record.figure.unit, "W") for end in record.figure.ends)
    if place.weak is None or (place.strong is None and place.weak > high):
        if limit in FOLLOWS_AIR:
            return (
                "They disagree: the model lets boost rise with the fuel and so keeps lambda, as a calibration can. "
                "Where only fuel is added, expect it as observed.",
                False,
            )
        return "They disagree: the model does not reach it where it was observed. Trust what was observed.", False
    if place.strong is None:
        return "Computed from its weak end on; the strong end lies beyond what was looked at.", True
    if place.weak > high:
        return (
            "They disagree: it was observed earlier than it is computed. Something that the model leaves out comes "
            "first; plan by the lower one.",
            False,
        )
    if place.strong < low:
        return (
            "They disagree: it is computed earlier than it was observed. The figures of the part may be too careful, "
            "or the observation was short; plan by the lower one.",
            False,
        )
    if limit in ANCHORED:
        return "The computed one rests on the observed one.", True
    return "Computed from the part itself; the ranges meet.", True


def goals(sheet: Sheet, platform: Platform) -> Iterator[Goal]:
    """Plans for three goals: half way to the example goal, the goal itself, and as much again beyond it."""
    planner = sheet.edition.planner
    if not planner.usable:
        return
    standard = platform.ratings.wheel_power.likely_in("hp")
    goal = platform.ratings.goal_power.likely_in("hp")
    for share in (0.5, 1.0, 1.5):
        asked = round((standard + share * (goal - standard)) / 5.0) * 5
        given = {"platform": platform.id, "use": planner.first_use(), "goal": f"{asked} hp"}
        try:
            yield _goal(sheet, planner, given)
        except BadInput:
            continue


def use_title(sheet: Sheet) -> str:
    """The use of these plans, inside a sentence."""
    planner = sheet.edition.planner
    return wording.inside(planner.known.uses[planner.first_use()].title) if planner.usable else ""


def _goal(sheet: Sheet, planner: Planner, given: Mapping[str, str]) -> Goal:
    answer = planner.answer(given, brief=True)
    plan = next(iter(answer["plans"]), None)
    none = Markup("none")
    if plan is None:
        parts: tuple[tuple[str, str], ...] = ()
        cost = labour = closest = none
    else:
        parts = tuple(
            (
                markup.link(sheet.uri, f"modifications/{part['modification']}.md"),
                planner.known.modifications[part["modification"]].title,
            )
            for part in plan["parts"]
        )
        cost, labour = shown(sheet, plan["cost"]), shown(sheet, plan["labour"])
        closest = said(sheet, plan["closest"], plan["cost"].grade)
    return Goal(
        goal=shown(sheet, answer["goal"]),
        summary=said(sheet, answer["summary"], answer["goal"].grade),
        parts=parts,
        cost=cost,
        labour=labour,
        certainty=answer["certainty"],
        closest=closest,
        address=planner.address(sheet.uri, given),
    )
