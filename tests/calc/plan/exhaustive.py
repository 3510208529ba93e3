"""The whole field of sets, judged one by one from the definition alone: what the search is held against.

It knows nothing of branches, bounds or orders: every option of every modification is combined with every other, the
conditions of all are checked, and the operating point of every gas path whose own conditions can be met is solved. The
parts beside a gas path are one array with an axis for each modification, so that a hundred thousand sets are judged at
once.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calc.plan.parameters import GAS_PATH
from calc.plan.records import Option
from calc.plan.search import CERTAINLY, EXACT, Level
from calc.plan.vehicle import Vehicle

Choices = tuple[Option | None, ...]


@dataclass(frozen=True)
class Best:
    """The least cost and a set that has it."""

    cost: float
    options: tuple[str, ...]


def cheapest(vehicle: Vehicle, goal: float, level: Level = CERTAINLY, used: float = 1.0) -> Best | None:
    """The cheapest set for a goal (W) by looking at all of them; None where none is within its limits."""
    whole = _field(vehicle)
    best: tuple[float, tuple[str, ...]] | None = None
    for gas_options, agreed in whole.gas_paths():
        side = vehicle.side(vehicle.gas_parameters(vehicle.in_order(gas_options)), goal, level.asked)
        good = np.full([1] * len(whole.rest), True)
        for aspect in vehicle.aspects:
            allowed = vehicle.keep[aspect] * (1.0 if aspect in ("calibration", "smoke") else used) * (1.0 + EXACT)
            good = good & (side.asks[aspect] <= whole.able(aspect, gas_options, level) * allowed)
            if not good.any():
                break
        else:
            cost = np.where(good & agreed, whole.cost, np.inf)
            at = np.unravel_index(int(cost.argmin()), cost.shape)
            price = float(cost[at]) + whole.price(gas_options)
            if price < math.inf and (best is None or price < best[0] - 1e-6):
                rest = (choices[place] for choices, place in zip(whole.rest, at, strict=True))
                chosen = vehicle.bought(vehicle.in_order((*gas_options, *_real(rest))))
                best = price, tuple(option.id for option in chosen)
    return None if best is None else Best(*best)


def field(vehicle: Vehicle) -> tuple[int, int]:
    """How many sets there are, and how many gas paths among them, of those whose conditions agree."""
    whole = _field(vehicle)
    counts = [int(np.broadcast_to(good, whole.cost.shape).sum()) for _, good in whole.gas_paths()]
    return sum(counts), len(counts)


@lru_cache(maxsize=2)
def _field(vehicle: Vehicle) -> _Field:
    return _Field(vehicle)


class _Field:
    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        choices = vehicle.choices
        gas = [n for n in choices if any(e.target in GAS_PATH for o in _real(choices[n]) for e in o.changes)]
        self.gas: list[Choices] = [choices[name] for name in gas]
        self.rest: list[Choices] = [choices[name] for name in choices if name not in gas]
        self.cost = np.zeros([len(one) for one in self.rest])
        for axis, one in enumerate(self.rest):
            self.cost = self.cost + self._along(axis, [self.price((option,) if option else ()) for option in one])
        options = list(_real(itertools.chain(*self.gas, *self.rest)))
        self._conditions = [(o.id, o.needs, o.excludes) for o in options if o.needs or o.excludes]
        self._mentioned = {one for name, needs, excludes in self._conditions for one in (name, *needs, *excludes)}
        self._agreed: dict[frozenset[str], np.ndarray] = {}
        self._able: dict[tuple[str, tuple[str, ...], int], np.ndarray] = {}

    def _along(self, axis: int, values: list[float] | list[bool]) -> np.ndarray:
        shape = [1] * len(self.rest)
        shape[axis] = len(values)
        return np.array(values).reshape(shape)

    def gas_paths(self) -> Iterator[tuple[tuple[Option, ...], np.ndarray]]:
        """Every gas path, with whether the conditions of all agree for each combination of the other parts."""
        for combination in itertools.product(*self.gas):
            options = tuple(_real(combination))
            here = {one for option in options for one in (option.id, option.modification)}
            good = self._agree(frozenset(here & self._mentioned))
            if good.any():
                yield options, good

    def price(self, options: tuple[Option, ...]) -> float:
        return sum(self.vehicle.price(option) for option in options if option not in self.vehicle.fitted)

    def able(self, aspect: str, gas_options: tuple[Option, ...], level: Level) -> np.ndarray:
        """The capacity beside a gas path, for each choice of the other parts that have a say in it."""
        v = self.vehicle
        beside = [option for option in gas_options if option.id in v.touching[aspect]]
        key = (aspect, tuple(option.id for option in beside), level.able)
        if key not in self._able:
            concerned = [any(option.id in v.touching[aspect] for option in _real(one)) for one in self.rest]
            axes = [one if say else (None,) for one, say in zip(self.rest, concerned, strict=True)]
            values = [
                v.able(aspect, v.in_order((*beside, *_real(combination))))[level.able]
                for combination in itertools.product(*axes)
            ]
            self._able[key] = np.array(values).reshape([len(one) for one in axes])
        return self._able[key]

    def _agree(self, here: frozenset[str]) -> np.ndarray:
        """Whether needs are met and exclusions kept, for each combination of the other parts; `here` is what the
        conditions may mention of a gas path."""
        if here not in self._agreed:
            good = np.full([len(one) for one in self.rest], True)
            for name, needs, excludes in self._conditions:
                absent = ~self._there(name, here)
                for need in needs:
                    good &= absent | self._there(need, here)
                for other in excludes:
                    good &= absent | ~self._there(other, here)
            self._agreed[here] = good
        return self._agreed[here]

    def _there(self, name: str, here: frozenset[str]) -> np.ndarray:
        """Whether a part is on the vehicle: by the gas path, or along the axis of its modification."""
        found = np.full([1] * len(self.rest), name in here)
        for axis, one in enumerate(self.rest):
            along = [o is not None and name in (o.id, o.modification) for o in one]
            if any(along):
                found = found | self._along(axis, along)
        return found


def _real(options: Iterable[Option | None]) -> Iterator[Option]:
    return (option for option in options if option is not None)
