"""Where along the power at the wheels each limit is reached when nothing but the power changes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calc.plan.demands import limit_of
from calc.plan.records import Option
from calc.plan.vehicle import Vehicle

_SHARES = (0.85, 1.0, 1.15, 1.3, 1.5, 1.75, 2.0)


@dataclass(frozen=True)
class Place:
    """The powers (W) at which an aspect is reached by the weak end, the likely value and the strong end of its range.

    None where an end is not reached up to `searched`.
    """

    aspect: str
    weak: float | None
    likely: float | None
    strong: float | None
    searched: float


def first_to_give_out(vehicle: Vehicle, options: Sequence[Option]) -> list[Place]:
    """The place of every limit with the parts as they are, the first to be reached first; one aspect for each limit.

    Solved at a few powers and read between them by straight lines. What the control unit asks for is left out: it is
    what raises the power.
    """
    parameters = vehicle.gas_parameters(options)
    rated = vehicle.standard.power
    points = [(rated * share, vehicle.gas(parameters, rated * share)) for share in _SHARES]
    places: dict[str, Place] = {}
    for aspect in vehicle.aspects:
        if aspect == "calibration":
            continue
        curves = [(power, vehicle.share(aspect, gas.asks[aspect], options)) for power, gas in points]
        # The strong end of a part meets the least demand: it is reached last.
        strong, likely, weak = (_crossing([(power, share[end]) for power, share in curves]) for end in range(3))
        place = Place(aspect, weak, likely, strong, points[-1][0])
        limit = limit_of(aspect)
        if limit not in places or _order(place) < _order(places[limit]):
            places[limit] = place
    return sorted(places.values(), key=_order)


def width(place: Place) -> float:
    """How far the ends of a place lie apart, over the earlier one."""
    if place.weak is None or place.strong is None:
        return math.inf
    return (place.strong - place.weak) / place.weak


def _order(place: Place) -> tuple[float, float, str]:
    return (
        math.inf if place.likely is None else place.likely,
        math.inf if place.weak is None else place.weak,
        place.aspect,
    )


def _crossing(curve: Sequence[tuple[float, float]]) -> float | None:
    """The power at which a rising share passes 1."""
    last_power, last = curve[0]
    if last > 1.0:
        return last_power
    for power, share in curve[1:]:
        if share > 1.0:
            if not math.isfinite(share):
                return power
            return last_power + (power - last_power) * (1.0 - last) / (share - last)
        last_power, last = power, share
    return None
