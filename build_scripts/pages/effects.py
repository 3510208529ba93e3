"""What a modification does on each platform, computed while building: power and heat at the same fuel, and limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from build_scripts.pages.plans import Planner
from calc.balance import OperatingPoint, balance
from calc.contract import Impossible
from calc.engine import Closure
from calc.plan import demands, wording
from calc.plan.parameters import TURBINE_AREA, setting
from calc.plan.records import Effect, Figure, Option
from calc.plan.shown import Shown
from calc.plan.vehicle import Vehicle
from calc.provenance import Grade, weakest

Ends = tuple[float, float, float]

# Smaller changes, relative to what changes, are what the solver leaves over and not an effect.
RESOLVED = 1e-7


@dataclass(frozen=True)
class Gain:
    """What an option does to the gas path of a platform at the fuel of its example goal, both ways to set the boost."""

    platform: str
    option: str
    held: Mapping[str, Shown] | None
    as_it_is: Mapping[str, Shown] | None


@dataclass(frozen=True)
class Raised:
    """A limit of a platform before and with an option."""

    platform: str
    option: str
    limit: str
    measure: str
    before: Shown
    after: Shown


@dataclass(frozen=True)
class Effects:
    """Everything computed for one modification."""

    gains: tuple[Gain, ...]
    raised: tuple[Raised, ...]


def effects(planner: Planner, modification: str) -> Effects:
    """The effects of each option on each platform that it fits."""
    gains: list[Gain] = []
    raised: list[Raised] = []
    for platform in planner.known.platforms:
        vehicle = planner.vehicle(platform)
        for option in planner.known.modifications[modification].options:
            fits = option.fits or planner.known.modifications[modification].fits
            variant = next(iter(name for name in fits.variants if name.startswith(f"{platform}/")), "")
            if not fits.on(platform, variant.partition("/")[2]):
                continue
            if any(effect.target in vehicle.base for effect in option.changes):
                gains.append(_gain(vehicle, platform, option))
            raised += _raised(vehicle, platform, option)
    return Effects(tuple(gains), tuple(raised))


def across(gains: Iterable[Gain], option: str, key: str) -> tuple[Shown | None, Shown | None]:
    """What an option changes over all platforms, from the least to the most: boost held, and turbine as it is."""
    own = [gain for gain in gains if gain.option == option]
    held = [gain.held[key] for gain in own if gain.held]
    as_it_is = [gain.as_it_is[key] for gain in own if gain.as_it_is]
    return _whole_range(held), _whole_range(as_it_is)


def _whole_range(found: list[Shown]) -> Shown | None:
    if not found:
        return None
    low, high = min(one.low for one in found), max(one.high for one in found)
    grade = weakest(one.grade for one in found)
    return replace(found[0], low=low, value=(low + high) / 2.0, high=high, grade=grade)


def _gain(vehicle: Vehicle, platform: str, option: Option) -> Gain:
    grade = vehicle.gas_grade((option,))
    goal = vehicle.question.goal
    speed = vehicle.standard.speed
    likely = {path: ends[1] for path, ends in vehicle.base.items()}
    made = setting(likely, vehicle.ambient)
    try:
        before = balance(made, speed, wheel_power=goal)
    except Impossible:
        return Gain(platform, option.id, None, None)

    def held(values: Mapping[str, float]) -> OperatingPoint:
        return balance(setting(values, vehicle.ambient), speed, fuel_flow=before.fuel_flow, near=before)

    def as_it_is(values: Mapping[str, float]) -> OperatingPoint:
        area = before.effective_area * values[TURBINE_AREA] / likely[TURBINE_AREA]
        changed = setting(values, vehicle.ambient)
        turbo = replace(changed.turbocharger, effective_area=area)
        whole = replace(changed, turbocharger=turbo, closure=Closure.TURBINE_AS_IT_IS)
        return balance(whole, speed, fuel_flow=before.fuel_flow)

    found: list[Mapping[str, Shown] | None] = []
    for solve in (held, as_it_is):
        try:
            points = [solve(_with(likely, option, end)) for end in range(3)]
            found.append(_differences(before, points, grade))
        except Impossible:
            found.append(None)
    return Gain(platform, option.id, *found)


def _with(likely: Mapping[str, float], option: Option, end: int) -> dict[str, float]:
    values = dict(likely)
    for effect in option.changes:
        if effect.target in values:
            value = values[effect.target]
            values[effect.target] = effect.on((value, value, value))[end]
    return values


def _differences(before: OperatingPoint, points: list[OperatingPoint], grade: Grade) -> dict[str, Shown]:
    def change(pick: Any, unit: str, us: str, si: str, digits: int = 2) -> Shown:
        start = pick(before)
        values = [pick(point) - start for point in points]
        values = [value if abs(value) > RESOLVED * abs(start) else 0.0 for value in values]
        return Shown(min(values), values[1], max(values), unit, us, si, grade, digits)

    return {
        "power": change(lambda point: point.wheel_power, "W", "hp", "kW"),
        "temperature": change(lambda point: point.turbine_inlet_temperature, "delta_K", "delta_degF", "delta_K"),
        "charge": change(lambda point: point.manifold_temperature, "delta_K", "delta_degF", "delta_K"),
        "boost": change(lambda point: point.boost, "Pa", "psi", "kPa"),
        "drive": change(lambda point: point.turbine_inlet_pressure, "Pa", "psi", "kPa"),
        "lambda": change(lambda point: point.excess_air_ratio, "1", "1", "1"),
    }


def _raised(vehicle: Vehicle, platform: str, option: Option) -> Iterator[Raised]:
    for aspect in vehicle.aspects:
        changed = [effect for effect in option.raises if effect.target == demands.limit_of(aspect)]
        if option.id not in vehicle.touching.get(aspect, frozenset()) and not changed:
            continue
        before, after = vehicle.able(aspect, ()), _able(vehicle, aspect, option)
        if before == after:
            continue
        measure = demands.measure(aspect)
        figures = [_shown(vehicle, aspect, ends, option) for ends in (before, after)]
        part = wording.title(vehicle.platform, aspect)
        yield Raised(platform, option.id, part, measure.name, *figures)


def _able(vehicle: Vehicle, aspect: str, option: Option) -> Ends:
    if option.id in vehicle.touching.get(aspect, frozenset()):
        return vehicle.able(aspect, (option,))
    return vehicle.able(aspect, ())


def _shown(vehicle: Vehicle, aspect: str, ends: Ends, option: Option) -> Shown:
    measure = demands.measure(aspect)
    values = [demands.shown(aspect, end, vehicle.ambient.temperature) for end in ends]
    grade = weakest((vehicle.grade(aspect, (option,)), *(_grades(option.changes)), *(_grades(option.raises))))
    return Shown(min(values), values[1], max(values), measure.unit, measure.us, measure.si, grade, measure.digits)


def _grades(found: tuple[Effect, ...]) -> list[Grade]:
    figures: list[Figure] = [effect.figure for effect in found]
    return [figure.grade for figure in figures]
