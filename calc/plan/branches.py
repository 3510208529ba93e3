"""A branch of the search: one choice of the parts that must be tried one by one, and what is combined beside it."""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Callable, Iterator, Sequence
from functools import cache, cached_property

from calc.plan.parameters import GAS_PATH, Ends, after
from calc.plan.records import Option
from calc.plan.vehicle import Vehicle

_COOLING = frozenset({"charge_cooler.effectiveness", "charge_cooler.coolant_temperature"})
_SHUT = ("smallest", "partly", "fixed")


Least = Callable[[str, bool], float]
"""The least supporting cost of another gas path, by the kind of comparison and whether it must last at higher goals."""


class Branch:
    """The gas paths with one set of primary parts; their other parts can only help, each in its own parameters."""

    def __init__(
        self, vehicle: Vehicle, number: int, primary: tuple[Option, ...], beside: Sequence[tuple[Option | None, ...]]
    ) -> None:
        self.number = number
        self.primary = primary
        self.price = sum(vehicle.price(option) for option in vehicle.bought(primary))
        self._vehicle, self._beside = vehicle, beside
        self._below: dict[int, tuple[int, ...]] = {}
        self._above: dict[int, tuple[int, ...]] = {}
        self._kept: dict[tuple[float, str, float], BranchBounds] = {}

    # Many branches are never looked into: what they hold is worked out when it is asked for.

    @cached_property
    def _places(self) -> list[tuple[int, ...]]:
        return list(itertools.product(*(range(len(choices)) for choices in self._beside)))

    @cached_property
    def options(self) -> list[tuple[Option, ...]]:
        """The whole gas paths, each in order of fitting."""
        return [self._vehicle.in_order((*self.primary, *self._chosen(places))) for places in self._places]

    @cached_property
    def costs(self) -> list[float]:
        """What is bought for each gas path."""
        v = self._vehicle
        bought = [[v.price(o) if o is not None and o not in v.fitted else 0.0 for o in one] for one in self._beside]
        return [self.price + sum(prices) for prices in itertools.product(*bought)]

    @cached_property
    def mask(self) -> tuple[int, ...]:
        """The gas paths that each is at least as good as, one bit each."""
        strides = [1] * len(self._beside)
        for place in reversed(range(len(self._beside) - 1)):
            strides[place] = strides[place + 1] * len(self._beside[place + 1])
        return _masks(tuple(_no_better(self._vehicle, choices) for choices in self._beside), tuple(strides))

    @cached_property
    def best(self) -> int:
        """The gas path that is at least as good as most."""
        return max(range(len(self.mask)), key=lambda number: self.mask[number].bit_count())

    @cached_property
    def strongest(self) -> dict[str, Ends]:
        """The parameters at the best of every choice."""
        return self._extreme(1)

    @cached_property
    def weakest(self) -> dict[str, Ends]:
        """The parameters at the worst of every choice."""
        return self._extreme(-1)

    @cached_property
    def coolers(self) -> list[tuple[int, ...]]:
        """The choices of what cools the charge, for each gas path."""
        return self._choices_of(lambda path: path in _COOLING)

    @cached_property
    def intakes(self) -> list[tuple[int, ...]]:
        """The choices of the intake, for each gas path."""
        return self._choices_of(lambda path: path.startswith("intake."))

    def _choices_of(self, concerned: Callable[[str], bool]) -> list[tuple[int, ...]]:
        those = [index for index, choices in enumerate(self._beside) if any(map(concerned, _paths(choices)))]
        return [tuple(places[index] for index in those) for places in self._places]

    def _chosen(self, places: Sequence[int]) -> Iterator[Option]:
        for choices, place in zip(self._beside, places, strict=True):
            option = choices[place]
            if option is not None:
                yield option

    def no_better(self, number: int) -> tuple[int, ...]:
        """The gas paths that are no better than one in any parameter, itself included."""
        if (known := self._below.get(number)) is None:
            known = self._below[number] = _bits(self.mask[number])
        return known

    def no_worse(self, number: int) -> tuple[int, ...]:
        """The gas paths that are at least as good as one in every parameter, itself included."""
        if (known := self._above.get(number)) is None:
            known = self._above[number] = tuple(n for n, mask in enumerate(self.mask) if mask >> number & 1)
        return known

    def holds(self, number: int, names: frozenset[str]) -> bool:
        """Whether a gas path has one of these options."""
        return bool(names) and any(option.id in names for option in self.options[number])

    def _extreme(self, sign: int) -> dict[str, Ends]:
        vehicle = self._vehicle
        parameters = vehicle.gas_parameters(self.primary)
        for choices in self._beside:
            for path in _paths(choices):
                ends = [after(vehicle.base[path], path, option) for option in choices]
                pick = max if sign * GAS_PATH[path] > 0 else min
                parameters[path] = (
                    pick(one[0] for one in ends),
                    pick(one[1] for one in ends),
                    pick(one[2] for one in ends),
                )
        return parameters

    def known(self, goal: float, level: str, used: float) -> BranchBounds | None:
        """The bounds found for the nearest goal (W) and margin that ask for no more than these."""
        usable = [key for key in self._kept if key[0] <= goal and key[1] == level and key[2] >= used]
        return self._kept[max(usable, key=lambda key: (key[0], -key[2]))] if usable else None

    def keep(self, goal: float, level: str, used: float, bounds: BranchBounds) -> None:
        """Remember bounds."""
        self._kept[goal, level, used] = bounds


class BranchBounds:
    """What is known of the least supporting cost of each gas path of a branch, at one goal and margin.

    `cost` holds it. `boost` is what sets the boost: "held" where that is so on every gas path of the branch, else what
    sets it on the best one. A freer path needs a larger turbine, and more power a smaller one: so a path is known to be
    held when a weaker one is, and to have its vanes shut, at least over part of its range, when a stronger one has.
    `tells` is false where one gas path tells nothing of another, the vanes being open as far as they go.
    """

    def __init__(self, branch: Branch, floor: float, boost: str) -> None:
        size = len(branch.costs)
        self.branch = branch
        self.tells = True
        self.cost = [floor] * size
        self._lasting = list(self.cost)
        self.held = boost == "held"
        self._held = [boost == "held"] * size
        self._shut = [boost in _SHUT] * size
        self._learned: dict[int, tuple[str, Least]] = {}

    def after(self, floor: float, *, held: bool) -> BranchBounds:
        """What holds of this at a higher goal or a narrower margin; `held` where the boost is, on every gas path."""
        bounds = BranchBounds(self.branch, floor, "held" if held else "")
        bounds.tells = self.tells
        bounds._lasting = [max(floor, bound) for bound in self._lasting]
        bounds.cost = list(bounds._lasting)
        bounds._shut = list(self._shut)
        return bounds

    @property
    def closed(self) -> bool:
        """Whether no gas path of the branch can do, at this goal or a higher one."""
        return min(self._lasting) == math.inf

    def at_least(self, bound: float) -> None:
        """A lasting bound for every gas path, whatever sets its boost."""
        self.cost = [max(one, bound) for one in self.cost]
        self._lasting = [max(one, bound) for one in self._lasting]

    def learn(self, number: int, regime: str, least: Least) -> None:
        """What a solved gas path says of others; `regime` is what sets its boost."""
        branch = self.branch
        self._raise(number, "itself", least)
        fresh = False
        for other in branch.no_better(number):
            if not (regime == "held" and self._held[other]):
                same = branch.coolers[number] == branch.coolers[other]
                self._raise(other, "hotter" if same else "hotter, other cooler", least)
            if regime in _SHUT and not self._shut[other]:
                self._shut[other] = fresh = True
        if regime == "held":
            for other in branch.no_worse(number):
                if not self._held[other]:
                    self._held[other] = fresh = True
        if regime in ("held", "smallest", "fixed"):
            self._learned[number] = regime, least
        for one in list(self._learned) if fresh else (number,):
            self._compare(one)

    def _raise(self, number: int, kind: str, least: Least) -> None:
        self.cost[number] = max(self.cost[number], least(kind, False))
        self._lasting[number] = max(self._lasting[number], least(kind, True))

    def _compare(self, one: int) -> None:
        """Comparisons that need to know what sets the boost on both."""
        branch = self.branch
        if one not in self._learned:
            return
        regime, least = self._learned[one]
        if regime == "held":
            for other in branch.no_better(one):
                if self._held[other]:
                    same = branch.coolers[one] == branch.coolers[other]
                    self._raise(other, "held" if same else "held, other cooler", least)
            return
        for other in branch.no_worse(one):
            if self._shut[other]:
                if branch.coolers[one] != branch.coolers[other]:
                    kind = "freer, other cooler"
                else:
                    kind = "freer exhaust" if branch.intakes[one] == branch.intakes[other] else "freer intake"
                self._raise(other, kind, least)


@cache
def _masks(no_better: tuple[tuple[tuple[int, ...], ...], ...], strides: tuple[int, ...]) -> tuple[int, ...]:
    """For each gas path those that are no better in any part, one bit each. Alike in most branches of a vehicle."""
    found = []
    for weaker in itertools.product(*no_better):
        mask = 0
        for lesser in itertools.product(*weaker):
            mask |= 1 << sum(map(operator.mul, lesser, strides))
        found.append(mask)
    return tuple(found)


def _bits(mask: int) -> tuple[int, ...]:
    return tuple(number for number in range(mask.bit_length()) if mask >> number & 1)


def _paths(choices: Sequence[Option | None]) -> set[str]:
    return {effect.target for option in choices if option is not None for effect in option.changes}


def _no_better(vehicle: Vehicle, choices: Sequence[Option | None]) -> tuple[tuple[int, ...], ...]:
    """For each choice of a modification the choices that are no better than it in any parameter."""
    values = []
    for option in choices:
        signed = []
        for path in sorted(_paths(choices)):
            signed += [GAS_PATH[path] * end for end in after(vehicle.base[path], path, option)]
        values.append(signed)
    return tuple(
        tuple(place for place, other in enumerate(values) if all(a >= b for a, b in zip(own, other, strict=True)))
        for own in values
    )
