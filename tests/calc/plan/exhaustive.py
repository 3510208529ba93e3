"""The whole field of sets, judged one by one from the definition alone: what the search is held against.

It knows nothing of groups, bounds or orders: every option of every modification is combined with every other, the
conditions of all are checked, and the operating point of every gas path is solved.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calc.plan.parameters import GAS_PATH
from calc.plan.records import Option
from calc.plan.search import CERTAINLY, EXACT, Level
from calc.plan.vehicle import Vehicle


@dataclass(frozen=True)
class Best:
    """The least cost and a set that has it."""

    cost: float
    options: tuple[str, ...]


def cheapest(vehicle: Vehicle, goal: float, level: Level = CERTAINLY, used: float = 1.0) -> Best | None:
    """The cheapest set for a goal (W) by looking at all of them; None where none is within its limits."""
    whole = _field(vehicle)
    best: tuple[float, tuple[str, ...]] | None = None
    for gas_options in whole.gas_paths():
        gas = vehicle.gas(vehicle.gas_parameters(vehicle.in_order(gas_options)), goal)
        good = whole.agree(gas_options)
        for aspect in vehicle.aspects:
            allowed = vehicle.keep[aspect] * (1.0 if aspect in ("calibration", "smoke") else used) * (1.0 + EXACT)
            good &= gas.asks[aspect][level.asked] <= whole.able(aspect, gas_options, level) * allowed
        if good.any():
            cost = np.where(good, whole.cost, np.inf) + whole.price(gas_options)
            at = int(cost.argmin())
            if best is None or cost[at] < best[0] - 1e-6:
                chosen = vehicle.bought(vehicle.in_order((*gas_options, *whole.rest[at])))
                best = float(cost[at]), tuple(option.id for option in chosen)
    return None if best is None else Best(*best)


def field(vehicle: Vehicle) -> tuple[int, int]:
    """How many sets there are, conditions aside, and how many gas paths among them."""
    whole = _field(vehicle)
    paths = sum(1 for _ in whole.gas_paths())
    return paths * len(whole.rest), paths


@lru_cache(maxsize=2)
def _field(vehicle: Vehicle) -> _Field:
    return _Field(vehicle)


class _Field:
    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        names = list(vehicle.choices)
        self.gas = [n for n in names if any(e.target in GAS_PATH for o in _real(vehicle.choices[n]) for e in o.changes)]
        self.others = [name for name in names if name not in self.gas]
        self.rest = [tuple(_real(one)) for one in itertools.product(*(vehicle.choices[n] for n in self.others))]
        self.cost = np.array([self.price(options) for options in self.rest])
        ids = {option.id for options in self.rest for option in options}
        ids |= {option.modification for options in self.rest for option in options}
        self.present = {
            one: np.array([any(one in (o.id, o.modification) for o in options) for options in self.rest]) for one in ids
        }
        self._able: dict[tuple[str, tuple[str, ...], int], np.ndarray] = {}

    def gas_paths(self) -> Iterator[tuple[Option, ...]]:
        for combination in itertools.product(*(self.vehicle.choices[name] for name in self.gas)):
            yield tuple(_real(combination))

    def price(self, options: tuple[Option, ...]) -> float:
        return sum(self.vehicle.price(option) for option in options if option not in self.vehicle.fitted)

    def able(self, aspect: str, gas_options: tuple[Option, ...], level: Level) -> np.ndarray:
        """The capacity beside a gas path, one number for each combination of the other parts."""
        v = self.vehicle
        touching = tuple(option.id for option in gas_options if option.id in v.touching[aspect])
        key = (aspect, touching, level.able)
        if key not in self._able:
            beside = [option for option in gas_options if option.id in touching]
            self._able[key] = np.array(
                [v.able(aspect, v.in_order((*beside, *options)))[level.able] for options in self.rest]
            )
        return self._able[key]

    def agree(self, gas_options: tuple[Option, ...]) -> np.ndarray:
        """Whether needs are met and exclusions kept, for each combination of the other parts."""
        nothing = np.zeros(len(self.rest), dtype=bool)
        here = {one for option in gas_options for one in (option.id, option.modification)}

        def there(name: str) -> np.ndarray:
            return ~nothing if name in here else self.present.get(name, nothing)

        good = ~nothing
        options = {o.id: o for n in self.vehicle.choices for o in _real(self.vehicle.choices[n])}
        for option in options.values():
            for need in option.needs:
                good &= ~there(option.id) | there(need)
            for other in option.excludes:
                good &= ~(there(option.id) & there(other))
        return good


def _real(options: tuple[Option | None, ...]) -> Iterator[Option]:
    return (option for option in options if option is not None)
