"""One question's vehicle: the parts that may be chosen on it, what they cost, and its operating points.

Every operating point is solved once and remembered; `balances` counts the solutions.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from calc.balance import OperatingPoint, balance
from calc.contract import Impossible
from calc.engine import Ambient, Closure, Setting
from calc.plan import demands
from calc.plan.demands import Standard, aspects, limit_of, read_by, tow_power
from calc.plan.parameters import GAS_PATH, LAMBDA, TURBINE_AREA, Ends, corner, setting, uncertain, with_parts
from calc.plan.records import Catalogue, CatalogueError, Effect, Figure, Modification, Option, Platform, Use
from calc.provenance import Grade, weakest

HOUR = 3600.0
_FIRST_LAMBDA = 1.4
_RATED_DAY = Ambient(pressure=101325.0, temperature=298.15)


class Cancelled(Exception):
    """A newer question has taken the place of this one."""


@dataclass(frozen=True)
class Gas:
    """The operating point of one gas path at one power, with what it asks of every aspect.

    `asks` holds the least, the likely and the greatest demand; infinite where there is no operating point. `regime`
    tells what sets the boost: "held", or the turbine at its "smallest" or "largest" area, or "fixed". `refusal` says
    why there is no operating point.
    """

    asks: Mapping[str, Ends]
    point: OperatingPoint | None
    regime: str
    refusal: str = ""


@dataclass(frozen=True)
class Side:
    """One side of what a gas path asks for: the least, the likely or the greatest demand on every aspect."""

    asks: Mapping[str, float]
    regime: str
    refusal: str


@dataclass(frozen=True)
class Left:
    """A part that may not be chosen, and why."""

    part: str
    title: str
    why: str


@dataclass(frozen=True)
class Question:
    """What is asked, as understood; powers in W, height in m, temperature in K, money as money, rate per hour."""

    platform: str
    variant: str
    use: str
    goal: float
    height: float
    temperature: float
    labour_rate: float
    budget: float | None
    fitted: tuple[str, ...]
    refused: frozenset[str]
    exempt: bool
    samples: int = 0
    seed: int = 1


class Vehicle:
    """A platform in one use on one day. `cancelled` is asked before every balance; raises Cancelled when it says so."""

    def __init__(self, catalogue: Catalogue, question: Question, cancelled: Callable[[], bool] | None = None) -> None:
        self.catalogue, self.question = catalogue, question
        self.platform: Platform = catalogue.platforms[question.platform].as_variant(question.variant)
        self.use: Use = catalogue.uses[question.use]
        self.ambient = Ambient.at_height(question.height, question.temperature)
        self.balances = 0
        self._cancelled = cancelled
        self._near: dict[tuple[tuple[int, int], Closure], OperatingPoint] = {}
        self.base: dict[str, Ends] = {path: self.platform.figure(path).ends for path in GAS_PATH}
        # What is on the vehicle already needs nothing more to be there.
        self.fitted: tuple[Option, ...] = tuple(
            replace(catalogue.options[name], needs=(), excludes=()) for name in question.fitted
        )
        self.left: list[Left] = []
        self.choices: dict[str, tuple[Option | None, ...]] = self._offered()
        self.order: dict[str, tuple[float, str]] = {
            name: (item.order, name) for name, item in catalogue.modifications.items()
        }
        self.standard = self._standard()
        self.aspects = aspects(self.platform, self.use)
        self._reads = {one: frozenset(read_by(one, self.standard, self.platform.figures)) for one in self.aspects}
        known = [option for options in self.choices.values() for option in options if option is not None]
        self.touching: dict[str, frozenset[str]] = {
            aspect: frozenset(option.id for option in known if self._touches(option, aspect)) for aspect in self.aspects
        }
        self.keep = {aspect: self.use.keep(limit_of(aspect)) for aspect in self.aspects}
        changed = {effect.target for option in known for effect in option.changes}
        self._turbine = self.platform.words.get("turbocharger.type", "variable-geometry")
        self._varied = tuple(
            path for path in GAS_PATH if path in changed and not (path == LAMBDA and self._turbine == "fixed")
        )
        self._gas: dict[tuple[object, ...], Gas] = {}
        self._sides: dict[tuple[object, int], Side] = {}
        self._corners: dict[tuple[object, tuple[int, int]], tuple[OperatingPoint | None, str, str]] = {}
        self._alike: dict[tuple[Setting, float], OperatingPoint] = {}
        self._able: dict[tuple[str, tuple[str, ...]], Ends] = {}

    def _standard(self) -> Standard:
        likely = {path: ends[1] for path, ends in self.base.items()}
        power = self.platform.figure("ratings.wheel_power").value
        speed = self.platform.figure("ratings.rated_speed").value
        self._count()
        point = balance(setting(likely, _RATED_DAY), speed, wheel_power=power)
        return Standard(self.platform, self.use, self.catalogue.practice, point, self.ambient.temperature)

    # Parts

    def _offered(self) -> dict[str, tuple[Option | None, ...]]:
        """For each modification what may stand on the vehicle: first what stands there now, then what may be bought."""
        fitted = {option.modification: option for option in self.fitted}
        found: dict[str, tuple[Option | None, ...]] = {}
        for name, item in sorted(self.catalogue.modifications.items(), key=lambda pair: (pair[1].order, pair[0])):
            now = fitted.get(name)
            options = [o for o in item.options if (now is None or o.id != now.id) and self._may(item, o)]
            if options or now is not None:
                found[name] = (now, *options)
        return found

    def _may(self, item: Modification, option: Option) -> bool:
        question = self.question
        why = ""
        fits = option.fits or item.fits
        if not (fits.on(question.platform, question.variant) and item.fits.on(question.platform, question.variant)):
            why = "It does not fit this vehicle."
        elif item.emission_status == "closed-course-only" and self.use.road:
            why = "It is not for public roads."
        elif item.emission_status == "exemption-needed" and not question.exempt:
            why = "It needs an emission exemption, which was ruled out."
        elif {item.id, option.id} & question.refused:
            why = "It was refused."
        if why:
            self.left.append(Left(option.id, option.title, why))
        return not why

    def price(self, option: Option) -> float:
        """The one number that costs are compared by: likely price of the parts and likely hours at the labour rate."""
        return option.parts_cost.value + option.labour.value / HOUR * self.question.labour_rate

    def in_order(self, options: Iterable[Option]) -> tuple[Option, ...]:
        """Options in a sensible order of fitting."""
        return tuple(sorted(options, key=lambda option: self.order[option.modification]))

    def bought(self, options: Iterable[Option]) -> tuple[Option, ...]:
        """Those of the options that are not on the vehicle already."""
        return tuple(option for option in options if option not in self.fitted)

    # Capacities

    def _touches(self, option: Option, aspect: str) -> bool:
        changed = any(effect.target in self._reads[aspect] for effect in option.changes)
        return changed or any(effect.target == limit_of(aspect) for effect in option.raises)

    def able(self, aspect: str, options: Iterable[Option]) -> Ends:
        """What the vehicle with these options (in order of fitting) can bear: weak end, likely, strong end."""
        concerned = tuple(option for option in options if option.id in self.touching[aspect])
        key = (aspect, tuple(option.id for option in concerned))
        if (known := self._able.get(key)) is None:
            known = self._able[key] = able(aspect, self.standard, self.platform.figures, concerned)
        return known

    def grade(self, aspect: str, options: Iterable[Option]) -> Grade:
        """The weakest grade among the figures that a share of this aspect rests on."""
        options = tuple(options)
        figures = [self.platform.figures[path] for path in self._reads[aspect]]
        for option in options:
            figures += [e.figure for e in option.changes if e.target in self._reads[aspect]]
            figures += [e.figure for e in option.raises if e.target == limit_of(aspect)]
        known = self.platform.limits.get(limit_of(aspect))
        if known is not None and known.wheel_power is not None:
            figures.append(known.wheel_power)
        return weakest((self.gas_grade(options), *(figure.grade for figure in figures)))

    def gas_grade(self, options: Iterable[Option]) -> Grade:
        """The weakest grade among the figures that an operating point rests on."""
        changed = [e.figure.grade for option in options for e in option.changes if e.target in self.base]
        return weakest((*(self.platform.figures[path].grade for path in self.base), *changed))

    # Operating points

    def gas_parameters(self, options: Iterable[Option]) -> dict[str, Ends]:
        """The parameters of the balance with these options, which come in their order of fitting."""
        parameters = dict(self.base)
        for option in options:
            for effect in option.changes:
                if effect.target in parameters:
                    parameters[effect.target] = effect.on(parameters[effect.target])
        return parameters

    def held(self, goal: float) -> float:
        """Power (W) that the use holds for minutes: what its load asks for, or the goal if that is less."""
        if self.use.load is None:
            return goal
        density = self.ambient.pressure / (287.05 * self.ambient.temperature)
        return min(goal, tow_power(self.use.load, self.platform, density))

    def gas(self, parameters: Mapping[str, Ends], goal: float) -> Gas:
        """What a gas path asks for at `goal` (W at the wheels): at least, likely and at most."""
        key = self._key(parameters, goal)
        if (known := self._gas.get(key)) is None:
            known = self._gas[key] = self._whole(parameters, goal, key)
        return known

    def solved(self, parameters: Mapping[str, Ends], goal: float) -> Gas:
        """The same, solved anew and not remembered."""
        return self._whole(parameters, goal, None)

    def side(self, parameters: Mapping[str, Ends], goal: float, which: int) -> Side:
        """The least (0), likely (1) or greatest (2) that a gas path asks for at `goal` (W at the wheels)."""
        key = self._key(parameters, goal)
        if (known := self._sides.get((key, which))) is None:
            known = self._sides[key, which] = self._side(parameters, goal, which, key)
        return known

    def _uncertain(self, parameters: Mapping[str, Ends]) -> tuple[bool, bool]:
        """Whether anything but lambda is a range, and whether lambda is and matters: a fixed turbine decides it."""
        others, mixture = uncertain(parameters)
        return others, mixture and self._turbine != "fixed"

    def _key(self, parameters: Mapping[str, Ends], goal: float) -> tuple[object, ...]:
        return (goal, *(parameters[path] for path in self._varied))

    def _whole(self, parameters: Mapping[str, Ends], goal: float, key: tuple[object, ...] | None) -> Gas:
        low, likely, high = (
            self._side(parameters, goal, which, key) if key is None else self.side(parameters, goal, which)
            for which in range(3)
        )
        point, regime, refusal = self._corner(parameters, goal, (0, 0), key)
        asks = {aspect: (low.asks[aspect], likely.asks[aspect], high.asks[aspect]) for aspect in self.aspects}
        return Gas(asks, point, regime, refusal or high.refusal)

    def part(self, parameters: Mapping[str, Ends], goal: float, which: int, lean: int) -> Side | None:
        """What a side asks for at least, seen from one end of lambda alone (-1 rich, +1 lean); None where one is all.

        The lean end needs the smallest turbine: where the boost is held there, it is at the other end too.
        """
        _, mixture = self._uncertain(parameters)
        if not mixture or which == 1:
            return None
        side = self._seen(parameters, goal, which, (lean,), self._key(parameters, goal))
        return side if lean > 0 else replace(side, regime="")

    def _side(self, parameters: Mapping[str, Ends], goal: float, which: int, key: tuple[object, ...] | None) -> Side:
        _, mixture = self._uncertain(parameters)
        # What helps the engine asks for least; lambda helps one thing and harms another, so both its ends count.
        return self._seen(parameters, goal, which, (-1, 1) if mixture and which != 1 else (0,), key)

    def _seen(
        self,
        parameters: Mapping[str, Ends],
        goal: float,
        which: int,
        leans: Sequence[int],
        key: tuple[object, ...] | None,
    ) -> Side:
        others, _ = self._uncertain(parameters)
        kind = (1 - which) if others else 0
        solved = [self._corner(parameters, goal, (kind, lean), key) for lean in leans]
        pick = max if which == 2 else min
        held = self.held(goal)
        asks = {
            aspect: pick(
                demands.demand(aspect, self.standard, point, goal, held) if point is not None else math.inf
                for point, _, _ in solved
            )
            for aspect in self.aspects
        }
        regimes = {regime for _, regime, _ in solved}
        regime = regimes.pop() if len(regimes) == 1 else "partly" if regimes == {"held", "smallest"} else "mixed"
        return Side(asks, regime, next((why for _, _, why in solved if why), ""))

    def _corner(
        self, parameters: Mapping[str, Ends], goal: float, which: tuple[int, int], key: tuple[object, ...] | None
    ) -> tuple[OperatingPoint | None, str, str]:
        if key is None:
            return self._solve(corner(parameters, *which), parameters[TURBINE_AREA], goal, which)
        others, mixture = self._uncertain(parameters)
        which = which[0] if others else 0, which[1] if mixture else 0
        if (known := self._corners.get((key, which))) is None:
            found = self._solve(corner(parameters, *which), parameters[TURBINE_AREA], goal, which)
            known = self._corners[key, which] = found
        return known

    def _solve(
        self, values: dict[str, float], area: Ends, goal: float, which: tuple[int, int]
    ) -> tuple[OperatingPoint | None, str, str]:
        made = setting(values, self.ambient)
        kind = self._turbine
        try:
            if kind == "fixed":
                return self._as_it_is(made, area[1], goal, which), "fixed", ""
            gate = kind == "wastegate"
            if gate:
                turbo = replace(made.turbocharger, effective_area=area[1])
                made = replace(made, turbocharger=turbo, closure=Closure.WASTEGATE)
            point = self._balance(made, goal, which)
            # A gate that is shut and still loses too much is a turbine too large to hold the boost.
            if point.bypass < 0.0 if gate else point.effective_area < area[0]:
                return self._as_it_is(made, area[1] if gate else area[0], goal, which), "smallest", ""
            if not gate and point.effective_area > area[2]:
                return self._as_it_is(made, area[2], goal, which), "largest", ""
            return point, "held", ""
        except Impossible as problem:
            return None, "none", str(problem)

    def _as_it_is(self, made: Setting, area: float, goal: float, which: tuple[int, int]) -> OperatingPoint:
        """With the turbine as it is, whatever lambda was asked for."""
        turbo = replace(made.turbocharger, effective_area=area)
        made = replace(made, turbocharger=turbo, closure=Closure.TURBINE_AS_IT_IS, excess_air_ratio=_FIRST_LAMBDA)
        key = made, goal
        if (known := self._alike.get(key)) is None:
            known = self._alike[key] = self._balance(made, goal, (which[0], 0))
        return known

    def _balance(self, made: Setting, goal: float, which: tuple[int, int]) -> OperatingPoint:
        """`which` corner it is: the search starts from the last solution of the same one, which is close."""
        self._count()
        key = which, made.closure
        point = balance(made, self.standard.speed, wheel_power=goal, near=self._near.get(key))
        self._near[key] = point
        return point

    def _count(self) -> None:
        if self._cancelled is not None and self._cancelled():
            raise Cancelled
        self.balances += 1

    # Limits

    def share(self, aspect: str, asked: Ends, options: Iterable[Option]) -> Ends:
        """The share of an aspect's capacity that is used: least, likely, greatest."""
        weak, likely, strong = self.able(aspect, options)
        return _over(asked[0], strong), _over(asked[1], likely), _over(asked[2], weak)


def _over(asked: float, able: float) -> float:
    return asked / able if able > 0.0 else math.inf


def able(aspect: str, standard: Standard, figures: Mapping[str, Figure], options: Iterable[Option]) -> Ends:
    """What parts can bear, in an aspect's inner measure: weak end, likely, strong end."""
    options = tuple(options)

    def at(end: int) -> float:
        def get(path: str, sign: int) -> float:
            if path not in figures:
                raise CatalogueError(f"platform {standard.platform.id}: no figure {path}")
            return with_parts(figures, path, options)[1 + end * sign]

        return demands.capacity(aspect, standard, get, end)

    ends = at(-1), at(0), at(1)
    for option in options:
        for effect in option.raises:
            if effect.target == limit_of(aspect):
                ends = _raised(aspect, standard, effect, ends)
    return min(ends), ends[1], max(ends)


def _raised(aspect: str, standard: Standard, effect: Effect, ends: Ends) -> Ends:
    """A capacity after an effect: in the aspect's own unit, or given as power at the wheels."""
    unit = demands.measure(aspect).unit
    if effect.how == "scale":
        return effect.on(ends)
    figure = effect.figure
    if figure.unit == "W" and unit != "W":
        factor = standard.per_watt(aspect)
        figure = replace(figure, low=figure.low * factor, value=figure.value * factor, high=figure.high * factor)
    elif unit == "K" and effect.how == "set":
        outside = standard.ambient_temperature
        figure = replace(figure, low=figure.low - outside, value=figure.value - outside, high=figure.high - outside)
    elif figure.unit not in (unit, f"delta_{unit}"):
        if ":" in aspect:
            return ends
        raise CatalogueError(f"limit {effect.target}: a figure in {figure.unit} cannot change what is in {unit}")
    return replace(effect, figure=figure).on(ends)
