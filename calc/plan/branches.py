"""A branch of the search: one choice of the parts that must be tried one by one, and what is combined beside it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

from calc.plan.parameters import GAS_PATH, Ends
from calc.plan.records import Option
from calc.plan.vehicle import Vehicle

_COOLING = frozenset({"charge_cooler.effectiveness", "charge_cooler.coolant_temperature"})


class Branch:
    """The gas paths with one set of primary parts; their other parts can only help, each in its own parameters.

    `options` are the whole gas paths in order of fitting, `costs` what is bought for each, `mask` the gas paths
    that each is at least as good as, one bit each, `coolers` their choices of what cools the charge. `strongest` and
    `weakest` are the parameters at the best and the worst of every choice.
    """

    def __init__(
        self, vehicle: Vehicle, number: int, primary: tuple[Option, ...], beside: Sequence[tuple[Option | None, ...]]
    ) -> None:
        self.number = number
        self.primary = primary
        self.price = sum(vehicle.price(option) for option in vehicle.bought(primary))
        self._beside = beside
        self._no_better = [_no_better(vehicle, choices) for choices in beside]
        self._strides = [1] * len(beside)
        for place in reversed(range(len(beside) - 1)):
            self._strides[place] = self._strides[place + 1] * len(beside[place + 1])
        self._places = list(itertools.product(*(range(len(choices)) for choices in beside)))
        self.options = [vehicle.in_order((*primary, *self._chosen(places))) for places in self._places]
        self.costs = [sum(vehicle.price(option) for option in vehicle.bought(options)) for options in self.options]
        self.mask = [sum(1 << other for other in self.no_better(number)) for number in range(len(self._places))]
        self.strongest = self._extreme(vehicle, 1)
        self.weakest = self._extreme(vehicle, -1)
        cooling = [index for index, choices in enumerate(beside) if any(path in _COOLING for path in _paths(choices))]
        self.coolers = [tuple(places[index] for index in cooling) for places in self._places]
        self._kept: dict[tuple[float, str, float], BranchBounds] = {}

    def _chosen(self, places: Sequence[int]) -> Iterator[Option]:
        for choices, place in zip(self._beside, places, strict=True):
            option = choices[place]
            if option is not None:
                yield option

    def no_better(self, number: int) -> Iterator[int]:
        """The gas paths that are no better than one in any parameter, itself included."""
        weaker = (self._no_better[index][place] for index, place in enumerate(self._places[number]))
        for places in itertools.product(*weaker):
            yield sum(place * stride for place, stride in zip(places, self._strides, strict=True))

    def holds(self, number: int, names: frozenset[str]) -> bool:
        """Whether a gas path has one of these options."""
        return bool(names) and any(option.id in names for option in self.options[number])

    def _extreme(self, vehicle: Vehicle, sign: int) -> dict[str, Ends]:
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

    def no_worse(self, number: int) -> Iterator[int]:
        """The gas paths that are at least as good as one in every parameter, itself included."""
        bit = 1 << number
        for other, mask in enumerate(self.mask):
            if mask & bit:
                yield other

    def known(self, goal: float, level: str, used: float) -> BranchBounds | None:
        """The bounds found for the nearest goal (W) and margin that ask for no more than these."""
        usable = [key for key in self._kept if key[0] <= goal and key[1] == level and key[2] >= used]
        return self._kept[max(usable, key=lambda key: (key[0], -key[2]))] if usable else None

    def keep(self, goal: float, level: str, used: float, bounds: BranchBounds) -> None:
        """Remember bounds."""
        self._kept[goal, level, used] = bounds


class BranchBounds:
    """What is known of the least supporting cost of each gas path of a branch, at one goal and margin.

    `cost` holds it. `everywhere` is what sets the boost on every gas path of the branch: "held", "fixed", or empty
    where it is not the same for all, the vanes being shut on some. A freer path needs a larger turbine, so a path is known to
    be held when a weaker one is, and to have its vanes shut when a stronger one has.
    """

    def __init__(self, branch: Branch, floor: float, everywhere: str) -> None:
        size = len(branch.costs)
        self.branch = branch
        self.everywhere = everywhere
        self.cost = [floor] * size
        self._lasting = list(self.cost)
        self._regime = [{"held": "held", "fixed": "shut"}.get(everywhere, "")] * size
        self._learned: dict[int, tuple[str, Mapping[str, float]]] = {}

    def take(self, known: BranchBounds | None) -> None:
        """Start from what was found for a lower goal or a wider margin: all of it where the boost is set in the same
        way on all gas paths of both, else what holds whatever sets it."""
        if known is not None:
            both = self.everywhere and self.everywhere == known.everywhere
            found = known.cost if both else known._lasting
            self.cost = [max(one, other) for one, other in zip(self.cost, found, strict=True)]
            self._lasting = [max(one, other) for one, other in zip(self._lasting, known._lasting, strict=True)]

    def at_least(self, bound: float) -> None:
        """A bound for every gas path, whatever sets its boost."""
        self.cost = [max(one, bound) for one in self.cost]
        if not self.everywhere:
            self._lasting = [max(one, bound) for one in self._lasting]

    def learn(self, number: int, regime: str, least: Mapping[str, float]) -> None:
        """What a solved gas path says of others: `least` is their least supporting cost by the kind of comparison."""
        branch = self.branch
        for other in branch.no_better(number):
            self._lasting[other] = max(self._lasting[other], least["hotter"])
            self.cost[other] = max(self.cost[other], least["hotter"])
        regime = {"held": "held", "smallest": "shut", "fixed": "shut"}.get(regime, "")
        if not regime:
            return
        self._learned[number] = regime, least
        fresh = False
        if not self.everywhere:
            for other in branch.no_worse(number) if regime == "held" else branch.no_better(number):
                fresh = fresh or not self._regime[other]
                self._regime[other] = regime
        for one in list(self._learned) if fresh else (number,):
            self._compare(one)

    def _compare(self, one: int) -> None:
        branch = self.branch
        regime, least = self._learned[one]
        for other in branch.no_better(one):
            if self._regime[other] == regime:
                same = branch.coolers[one] == branch.coolers[other]
                kind = ("held" if same else "held, other cooler") if regime == "held" else "shut" if same else "hotter"
                self.cost[other] = max(self.cost[other], least[kind])
        if regime == "shut":
            for other in branch.no_worse(one):
                if self._regime[other] == regime and branch.coolers[one] == branch.coolers[other]:
                    self.cost[other] = max(self.cost[other], least["shut, better"])


def after(ends: Ends, path: str, option: Option | None) -> Ends:
    """A parameter after an option, or as it is."""
    if option is not None:
        for effect in option.changes:
            if effect.target == path:
                ends = effect.on(ends)
    return ends


def _paths(choices: Sequence[Option | None]) -> set[str]:
    return {effect.target for option in choices if option is not None for effect in option.changes}


def _no_better(vehicle: Vehicle, choices: Sequence[Option | None]) -> list[tuple[int, ...]]:
    """For each choice of a modification the choices that are no better than it in any parameter."""
    values = []
    for option in choices:
        signed = []
        for path in sorted(_paths(choices)):
            signed += [GAS_PATH[path] * end for end in after(vehicle.base[path], path, option)]
        values.append(signed)
    return [
        tuple(place for place, other in enumerate(values) if all(a >= b for a, b in zip(own, other, strict=True)))
        for own in values
    ]
