"""A sampled likelihood that a set of parts stays within its limits: every range is drawn from, evenly and by itself."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from calc.contract import Impossible
from calc.plan.parameters import GAS_PATH, uncertain
from calc.plan.records import Effect, Figure, Option
from calc.plan.search import Found
from calc.plan.vehicle import Gas, Vehicle, able


@dataclass(frozen=True)
class Likelihood:
    """Of `samples` drawn with `seed`, how many kept every limit at its own capacity, and how many kept each aspect."""

    samples: int
    seed: int
    within: int
    by_aspect: Mapping[str, int]


def likelihood(
    vehicle: Vehicle, found: Found, samples: int, seed: int, progress: Callable[[float], None] | None = None
) -> Likelihood:
    """How often a set keeps its limits when each range is drawn from at random.

    Every figure is drawn evenly between its ends, each by itself; a figure that stands in two places is drawn once.
    Margins are left out: a sample is within its limits when each part bears what it is asked for. A fresh operating
    point is solved for each sample where the gas path itself is uncertain.
    """
    generator = random.Random(seed)
    others, mixture = uncertain(vehicle.gas_parameters(found.options))
    kept = dict.fromkeys(vehicle.aspects, 0)
    within = 0
    for number in range(samples):
        drawn = _Draw(generator)
        figures = {path: drawn.figure(figure) for path, figure in vehicle.platform.figures.items()}
        limits = {
            name: replace(limit, wheel_power=drawn.figure(limit.wheel_power) if limit.wheel_power else None)
            for name, limit in vehicle.platform.limits.items()
        }
        platform = replace(vehicle.platform, figures=figures, limits=limits)
        practice = {name: drawn.figure(figure) for name, figure in vehicle.catalogue.practice.items()}
        standard = replace(vehicle.standard, platform=platform, practice=practice)
        options = tuple(drawn.option(option) for option in found.options)
        gas = _operating_point(vehicle, figures, options, found.goal) if others or mixture else found.gas
        good = gas is not None
        for aspect in vehicle.aspects:
            bears = gas is not None and gas.asks[aspect][1] <= able(aspect, standard, figures, options)[1] * (1 + 1e-9)
            kept[aspect] += bears
            good = good and bears
        within += good
        if progress is not None and number % 100 == 0:
            progress(number / samples)
    return Likelihood(samples, seed, within, kept)


def _operating_point(
    vehicle: Vehicle, figures: Mapping[str, Figure], options: tuple[Option, ...], goal: float
) -> Gas | None:
    parameters = {path: figures[path].ends for path in GAS_PATH}
    # The turbine's area is a travel, not a doubt.
    parameters["turbocharger.turbine_area"] = vehicle.base["turbocharger.turbine_area"]
    for option in options:
        for effect in option.changes:
            if effect.target in parameters:
                parameters[effect.target] = effect.on(parameters[effect.target])
    try:
        return vehicle.solved(parameters, goal)
    except Impossible:
        return None


class _Draw:
    """One sample: each figure gets one number, whichever part asks for it."""

    def __init__(self, generator: random.Random) -> None:
        self.generator = generator
        self.known: dict[int, Figure] = {}

    def figure(self, figure: Figure) -> Figure:
        if figure.low == figure.high:
            return figure
        if id(figure) not in self.known:
            value = self.generator.uniform(figure.low, figure.high)
            self.known[id(figure)] = replace(figure, low=value, value=value, high=value)
        return self.known[id(figure)]

    def option(self, option: Option) -> Option:
        return replace(option, changes=self._effects(option.changes), raises=self._effects(option.raises))

    def _effects(self, effects: tuple[Effect, ...]) -> tuple[Effect, ...]:
        return tuple(
            effect
            if effect.target == "turbocharger.turbine_area"
            else replace(effect, figure=self.figure(effect.figure))
            for effect in effects
        )
