"""Full load over engine speed: the most power that every limit of a setting still allows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from calc.balance import OperatingPoint, at_bound, balance
from calc.contract import Impossible
from calc.engine import Closure, Setting
from calc.limits import bounds, margins
from calc.solve import NoBalance, bracketed

_MOST_BMEP = 60e5
_FIRST_SHARE = 0.25


@dataclass(frozen=True, kw_only=True)
class FullLoad:
    """The full-load point at one speed. `limited_by` names the limit that is met (see `engine.Limits`), or the cause
    of a NoBalance where the engine itself ends first. `vanes_shut` tells that the turbine's vanes stand at their closed
    stop, so that lambda follows from the turbine although the boost is held elsewhere.
    """

    point: OperatingPoint
    limited_by: str
    vanes_shut: bool = False


def full_load(setting: Setting, speed: float) -> FullLoad:
    """The operating point with the most fuel at `speed` (r/min) that passes no limit of the setting.

    Where the boost is held but the vanes reach their closed stop, the turbine at that stop is tried as well, down to
    the smoke limit. Raises Impossible without any limit, NoBalance when a limit is passed even at light load.
    """
    if not bounds(setting):
        raise Impossible("Full load needs at least one limit.", ("limits",))
    shut = _shut(setting)
    try:
        found = _most_fuel(setting, speed)
    except NoBalance:
        if shut is None:
            raise
        return replace(_most_fuel(shut, speed), vanes_shut=True)
    if found.limited_by == "smallest_area" and shut is not None:
        try:
            other = _most_fuel(shut, speed, found.point)
        except NoBalance:
            return found
        if other.point.brake_power > found.point.brake_power:
            return replace(other, vanes_shut=True)
    return found


def sweep(setting: Setting, speeds: Iterable[float]) -> tuple[FullLoad, ...]:
    """Full load at each of `speeds` (r/min): the power and torque curves. Raises as `full_load`."""
    return tuple(full_load(setting, speed) for speed in speeds)


def _shut(setting: Setting) -> Setting | None:
    turbo = setting.turbocharger
    if setting.closure is not Closure.BOOST_HELD or turbo.smallest_area is None:
        return None
    return replace(
        setting,
        closure=Closure.TURBINE_AS_IT_IS,
        turbocharger=replace(turbo, effective_area=turbo.smallest_area),
    )


def _most_fuel(setting: Setting, speed: float, start: OperatingPoint | None = None) -> FullLoad:
    """`start` is a point inside the limits, where one is known."""
    engine, limits = setting.engine, setting.limits
    if limits.fuel_per_injection is not None:
        most = limits.fuel_per_injection * 0.5 * engine.cylinders * speed / 60.0
    else:
        most = _MOST_BMEP * engine.displacement * speed / 120.0 / (0.3 * engine.lower_heating_value)
    met = ended = ""
    near = start

    def least_margin(fuel: float) -> float:
        nonlocal met, ended, near
        try:
            near = balance(setting, speed, fuel_flow=fuel, near=near)
        except NoBalance as problem:
            if problem.cause == "unboosted":
                return 1.0
            met = ended = problem.cause
            return -1.0
        met, margin = min(margins(setting, vars(near)).items(), key=lambda item: item[1])
        return margin

    high = _FIRST_SHARE * most if start is None else min(start.fuel_flow, most)
    at_high = least_margin(high)
    if at_high >= 0.0:
        if near is not None and at_high < 1.0 and (quick := _next_bound(setting, speed, near, most)):
            return quick
        while at_high >= 0.0:
            if high == most:
                if near is None or at_high == 1.0:
                    raise NoBalance("The engine makes no boost with all the fuel that it may have.", cause="unboosted")
                return FullLoad(point=near, limited_by=met)
            low, at_low = high, at_high
            high = min(1.2 * high, most)
            at_high = least_margin(high)
    else:
        low, at_low = high, at_high
        while at_low < 0.0:
            high, at_high = low, at_low
            low *= 0.7
            if low < 0.01 * most:
                raise NoBalance("A limit is passed even at light load.", cause=met)
            at_low = least_margin(low)
        if near is not None and at_low < 1.0 and (quick := _next_bound(setting, speed, near, most)):
            return quick
    fuel = bracketed(least_margin, low, high, f_low=at_low, f_high=at_high, tolerance=1e-8 * low)
    for inside in (fuel, fuel * (1.0 - 1e-7)):
        margin = least_margin(inside)
        if -1e-7 <= margin < 1.0 and near is not None and math.isclose(near.fuel_flow, inside):
            return FullLoad(point=near, limited_by=met if margin < 1e-6 else ended)
    raise NoBalance("Between too little fuel for boost and too much for the turbocharger there is no point.", cause=met)


def _next_bound(setting: Setting, speed: float, inside: OperatingPoint, most: float) -> FullLoad | None:
    """The quick way with the turbine as it is: the bound that more fuel meets first, met exactly.

    `inside` is a point that passes no limit, `most` the most fuel (kg/s) to be tried. None where this way does not lead
    to a point that is inside every other bound.
    """
    if setting.closure is Closure.BOOST_HELD:
        return None
    try:
        point = balance(setting, speed, fuel_flow=1.1 * inside.fuel_flow, near=inside)
    except NoBalance:
        return None
    known, here, there = bounds(setting), margins(setting, vars(inside)), margins(setting, vars(point))
    shares = {name: here[name] / (here[name] - there[name]) for name in known if there[name] < here[name]}
    if not shares:
        return None
    name = min(shares, key=shares.__getitem__)
    for _ in range(4):
        found = at_bound(setting, speed, name, known[name], point)
        if found is None or not inside.fuel_flow <= found.fuel_flow <= most:
            return None
        left = margins(setting, vars(found))
        worst = min(left, key=left.__getitem__)
        if left[worst] >= -1e-7:
            return FullLoad(point=found, limited_by=name)
        name, point = worst, found
    return None
