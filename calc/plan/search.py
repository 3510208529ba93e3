"""The exact search: the cheapest set of parts that reaches a goal within every limit, and the frontiers of cost.

Parts of the gas path meet in the engine balance; all others only have to bear what it asks for. A branch holds one
choice of the parts that must be tried one by one (turbochargers, calibrations); the other parts of the gas path, which
can only help (a freer pipe, a better cooler), are combined within it. A gas path that has been solved bounds the cost
of others in its branch, at this goal and at any higher one (see `comparisons`). The search always turns to the gas path
that may be the cheapest, and ends when what it has found costs no more than any other can.

The cost that is minimised is one number: likely price of the parts plus likely hours at the labour rate.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property

from calc.plan.branches import Branch, BranchBounds
from calc.plan.comparisons import EXACT, KINDS, LASTING
from calc.plan.conditions import agree, linked, real
from calc.plan.demands import BY_POINT, NOT_A_PART
from calc.plan.parameters import BOUNDED, GAS_PATH
from calc.plan.records import Option
from calc.plan.support import CERTAINLY, POSSIBLY, Level, Support, Wanted
from calc.plan.vehicle import Gas, Side, Vehicle
from calc.units import HORSEPOWER

__all__ = ["CERTAINLY", "END_STEP", "EXACT", "POSSIBLY", "Found", "Level", "Search", "Step", "Wanted", "allowed_sets"]

SMALL_STEP, GOAL_STEP = 10.0 * HORSEPOWER, 20.0 * HORSEPOWER
"""Goals of the frontier stand this far apart (W), the smaller step on a vehicle of less than `SMALL_VEHICLE`."""
SMALL_VEHICLE = 250.0 * HORSEPOWER
END_STEP = 1.0 * HORSEPOWER
"""The highest goal is found to within this (W)."""
MARGIN_STEP = 0.005
_CENT = 1e-6
_FURTHER = 1.25
_WHOLLY_KNOWN = dict.fromkeys(BY_POINT, 0.0)
_TELLING = ("held", "partly", "smallest", "fixed")


@dataclass(frozen=True)
class Found:
    """A set of parts: all options on the vehicle in order of fitting, what is bought, its cost and its goal (W)."""

    vehicle: Vehicle
    options: tuple[Option, ...]
    bought: tuple[Option, ...]
    cost: float
    goal: float

    @property
    def gas(self) -> Gas:
        """Its operating point at the goal, with all that is uncertain in it."""
        return self.vehicle.gas(self.vehicle.gas_parameters(self.options), self.goal)

    @property
    def key(self) -> tuple[float, int, tuple[str, ...]]:
        """What decides between sets: cost, then fewer parts, then the names."""
        return round(self.cost, 6), len(self.bought), tuple(option.id for option in self.bought)


@dataclass(frozen=True)
class Step:
    """A step of a frontier: the cheapest set at a goal of `reach` (W), or down to `used` of the margins.

    For goals between the last step's and its own the set will do, and a cheaper one may.
    """

    found: Found
    reach: float
    used: float


class Search:
    """Everything that can be asked about one vehicle; results and operating points are shared between questions."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        v = vehicle
        gas = {name for name in v.choices if any(self._in_gas_path(option) for option in real(v.choices[name]))}
        self.primary = self._primary(gas)
        # The costliest first: what is decided early is worth most when it is decided.
        self.secondary = sorted(
            (name for name in v.choices if name in gas and name not in self.primary),
            key=lambda name: -max((v.price(option) for option in real(v.choices[name])), default=0.0),
        )
        self.support = Support(v, self.primary, [name for name in v.choices if name not in gas])
        self.answers: dict[Wanted, Found | None] = {}
        """What has been asked so far, and what was found."""
        self._held_up_to: dict[tuple[int, str], float] = {}

    # How the parts are divided

    def _in_gas_path(self, option: Option) -> bool:
        return any(effect.target in GAS_PATH for effect in option.changes)

    def _primary(self, gas: set[str]) -> list[str]:
        """Gas-path modifications whose options must be tried one by one: not bounded, or tied to another part."""
        v = self.vehicle
        bounded = {
            name
            for name in gas
            if all(
                effect.target in BOUNDED and (effect.how != "scale" or effect.figure.low > 0.0)
                for option in real(v.choices[name])
                for effect in option.changes
            )
            and not any(option.id in ids for option in real(v.choices[name]) for ids in v.touching.values())
        }
        changes = {name: {e.target for o in real(v.choices[name]) for e in o.changes} for name in gas}
        bounded -= {name for name in bounded for other in gas if other != name and changes[name] & changes[other]}
        links = {name: linked(v.choices, name) for name in v.choices}
        changed = True
        while changed:
            tied = {
                name
                for name in bounded
                if any(name in links[other] for other in v.choices if other != name)
                or links[name] - (gas - bounded) - {name}
            }
            changed = bool(tied)
            bounded -= tied
        return [name for name in v.choices if name in gas and name not in bounded]

    # Questions

    def cheapest(
        self,
        goal: float,
        level: Level = CERTAINLY,
        *,
        used: float = 1.0,
        without: frozenset[str] = frozenset(),
    ) -> Found | None:
        """The cheapest set that reaches `goal` (W) within every limit; None when no set does.

        `used` tightens the margins: parts may use that share of what the use allows. `without` names options that are
        not to be bought.
        """
        wanted = Wanted(goal, level, used, without)
        if wanted not in self.answers:
            self.answers[wanted] = self._cheapest(wanted)
        return self.answers[wanted]

    @property
    def goal_step(self) -> float:
        """How far the goals of the frontier stand apart, W."""
        return SMALL_STEP if self.vehicle.standard.power < SMALL_VEHICLE else GOAL_STEP

    def by_goal(self, first: float, last: float = math.inf) -> list[Step]:
        """The whole frontier of cost against goal, looked at in steps (W) from `first` up to the highest there is.

        Neighbours of the same cost are one step. Towards the end the steps are halved, until the end of the last one is
        known to within `END_STEP`. Empty when even `first` is out of reach.
        """
        steps: list[Step] = []
        goal, step = first, self.goal_step
        while goal <= last:
            # Cost never falls as the goal rises: a set that still fits is still the cheapest.
            found = (self._still(steps[-1].found, goal) if steps else None) or self.cheapest(goal)
            if found is not None:
                self._append(steps, found)
            elif not steps:
                break
            else:
                last = min(last, goal - 0.5 * END_STEP)
                goal = steps[-1].reach
            while goal + step > last and step > END_STEP:
                step *= 0.5
            goal += step
        return steps

    def _append(self, steps: list[Step], found: Found) -> None:
        if steps and steps[-1].found.cost >= found.cost - _CENT:
            steps.pop()
        steps.append(Step(found, found.goal, 1.0))

    def furthest(self, found: Found, beyond: float) -> float:
        """The highest goal (W) that a set reaches, to within `END_STEP`; it does not reach `beyond`."""
        reached = found.goal
        while beyond - reached > END_STEP:
            middle = 0.5 * (reached + beyond)
            if self._still(found, middle) is None:
                beyond = middle
            else:
                reached = middle
        return reached

    def _still(self, found: Found, goal: float) -> Found | None:
        """A set for a higher goal, where it still fits."""
        if max(self._strain(found.options, goal).values()) > 1.0 + EXACT:
            return None
        return replace(found, goal=goal)

    def by_margin(self, goal: float) -> list[Step]:
        """The whole frontier of cost against margin at a goal: each step uses less of its limits."""
        steps: list[Step] = []
        used = 1.0
        while used > MARGIN_STEP and (found := self.cheapest(goal, used=used)) is not None:
            most = self.most_used(found)
            if steps and steps[-1].found.cost >= found.cost - 1e-6:
                steps.pop()
            steps.append(Step(found, goal, most))
            used = min(used, most) - MARGIN_STEP
        return steps

    def stopped_by(self, found: Found, goal: float) -> tuple[str, ...]:
        """The aspects that a set does not keep at another goal (W), worst first."""
        strain = self._strain(found.options, goal)
        beyond = [aspect for aspect, value in strain.items() if value > 1.0 + EXACT]
        return tuple(sorted(beyond, key=lambda aspect: -strain[aspect]))

    def most_used(self, found: Found) -> float:
        """The share of its allowance that the part closest to its limit uses; the calibration's are left out."""
        strain = self._strain(found.options, found.goal)
        return max((value for aspect, value in strain.items() if aspect not in NOT_A_PART), default=0.0)

    def strain(self, found: Found) -> dict[str, float]:
        """For each aspect the greatest demand over what the use allows of the weakest part; 1 is the edge."""
        return self._strain(found.options, found.goal)

    def _strain(self, options: Sequence[Option], goal: float, level: Level = CERTAINLY) -> dict[str, float]:
        v = self.vehicle
        asks = v.side(v.gas_parameters(options), goal, level.asked).asks
        return {aspect: asks[aspect] / (v.able(aspect, options)[level.able] * v.keep[aspect]) for aspect in v.aspects}

    def fits(self, options: Sequence[Option], goal: float, level: Level = CERTAINLY, used: float = 1.0) -> bool:
        """Whether a set, in order of fitting, reaches a goal within every limit: what the search means."""
        strain = self._strain(options, goal, level)
        return all(value <= (1.0 if a in NOT_A_PART else used) * (1.0 + EXACT) for a, value in strain.items())

    # The search itself

    def _cheapest(self, wanted: Wanted) -> Found | None:
        """Best first: always the gas path of which the least is known to be asked for, until a set costs no more."""
        closed = [(self._floor(branch, wanted), branch.number) for branch in self.branches]
        closed = sorted(((floor, number) for floor, number in closed if floor < math.inf), reverse=True)
        opened: list[_Opened] = []
        best: Found | None = None
        while closed or opened:
            most = math.inf if best is None else best.cost + _CENT
            first = min(opened, key=lambda one: one.least, default=None)
            if closed and (first is None or closed[-1][0] <= first.least):
                floor, number = closed.pop()
                if floor > most:
                    break
                if (opening := self._open(self.branches[number], wanted, floor)) is not None:
                    opened.append(opening)
                continue
            if first is None or first.least > most:
                break
            found = self._solve_next(first, wanted, most)
            if found is not None and (best is None or found.key < best.key):
                best = found
            if not first.still:
                opened.remove(first)
                self._keep(first, wanted)
        for one in opened:
            self._keep(one, wanted)
        return best

    def _floor(self, branch: Branch, wanted: Wanted) -> float:
        """What the sets of a branch cost at least, by the goal alone."""
        if any(option.id in wanted.without for option in branch.primary):
            return math.inf
        return branch.price + self.support.least(branch.primary, {}, {}, wanted)

    def _open(self, branch: Branch, wanted: Wanted, floor: float) -> _Opened | None:
        """A branch with what is known of it before its gas paths are solved; None where none of them can do."""
        known = branch.known(wanted.goal, wanted.level.name, wanted.used)
        if known is None:
            bounds = self._first_bounds(branch, wanted, floor - branch.price)
        elif known.closed:
            return None
        else:
            held = self._held_up_to.get((branch.number, wanted.level.name), 0.0) >= wanted.goal
            bounds = known.after(floor - branch.price, held=held)
        one = _Opened(branch, bounds, [n for n in range(len(branch.costs)) if not branch.holds(n, wanted.without)])
        one.sort(math.inf)
        if not one.still:
            self._keep(one, wanted)
            return None
        return one

    def _first_bounds(self, branch: Branch, wanted: Wanted, floor: float) -> BranchBounds:
        """Bounds from the best of every choice of a branch, and what sets the boost on it."""
        strong = self.vehicle.side(branch.strongest, wanted.goal, wanted.level.asked)
        held = strong.regime == "held" and self._held_throughout(branch, wanted)
        bounds = BranchBounds(branch, floor, "held" if held else strong.regime)
        nowhere = strong.regime == "none" and self._weakest(branch, wanted) == "none"
        bounds.tells = strong.regime in _TELLING or nowhere
        if bounds.tells:
            slack = KINDS["hotter, other cooler"]
            bounds.at_least(self.support.least(branch.primary, strong.asks, slack, wanted))
        return bounds

    def _keep(self, one: _Opened, wanted: Wanted) -> None:
        if not wanted.without:
            one.branch.keep(wanted.goal, wanted.level.name, wanted.used, one.bounds)

    def _solve_next(self, one: _Opened, wanted: Wanted, most: float) -> Found | None:
        """Solve a gas path of an open branch: the one that may be cheapest, or the one that tells most of others."""
        v, branch = self.vehicle, one.branch
        if one.turn == 0 and branch.best in one.still:
            number = branch.best
        else:
            number = _most_telling(branch, one.still) if one.turn % 2 else one.still[0]
        one.turn += 1
        one.still.remove(number)
        parameters, goal, asked = v.gas_parameters(branch.options[number]), wanted.goal, wanted.level.asked
        part = v.part(parameters, goal, asked, one.lean) if wanted.level is CERTAINLY else None
        room = most - branch.costs[number]
        if part is not None and self.support.least(branch.primary, part.asks, _WHOLLY_KNOWN, wanted) > room:
            side, found = part, None
        else:
            side = v.side(parameters, goal, asked)
            found = self._complete(branch, number, side, wanted)
            if part is not None and found is None:
                # The other end told; the next path is looked at from there.
                one.lean = -one.lean
        if one.bounds.tells:
            self._learn(one, number, side, wanted)
        one.sort(most if found is None else min(most, found.cost + _CENT))
        return found

    def _learn(self, one: _Opened, number: int, side: Side, wanted: Wanted) -> None:
        """What a solved gas path says of others in its branch."""

        @cache
        def least(kind: str, lasting: bool) -> float:
            if not lasting and len(KINDS[kind]) == len(LASTING[kind]):
                return least(kind, True)
            slack = LASTING[kind] if lasting else KINDS[kind]
            return self.support.least(one.branch.primary, side.asks, slack, wanted)

        one.bounds.learn(number, side.regime, least)

    def _weakest(self, branch: Branch, wanted: Wanted) -> str:
        return self.vehicle.side(branch.weakest, wanted.goal, wanted.level.asked).regime

    def _held_throughout(self, branch: Branch, wanted: Wanted) -> bool:
        """Whether the boost is held even on the weakest gas path of a branch.

        More power asks for a smaller turbine, so that what is held at a higher goal is held at this one.
        """
        key = (branch.number, wanted.level.name)
        if self._held_up_to.get(key, 0.0) < wanted.goal:
            further = Wanted(wanted.goal * _FURTHER, wanted.level)
            for at in (further, wanted):
                if self._weakest(branch, at) == "held":
                    self._held_up_to[key] = at.goal
                    break
        return self._held_up_to.get(key, 0.0) >= wanted.goal

    def _complete(self, branch: Branch, number: int, side: Side, wanted: Wanted) -> Found | None:
        """The cheapest set with exactly this gas path."""
        v = self.vehicle
        support = self.support.of(branch.primary, side.asks, wanted)
        if support is None:
            return None
        options = v.in_order((*branch.options[number], *(option for entry in support for option in entry.options)))
        bought = v.bought(options)
        return Found(v, options, bought, sum(v.price(option) for option in bought), wanted.goal)

    @cached_property
    def branches(self) -> list[Branch]:
        """Every choice of the primary parts whose conditions agree, with what can be combined beside it."""
        v = self.vehicle
        # Conditions on supporting parts belong to the groups; on parts that cannot be had, here.
        judged = set(v.catalogue.modifications) - set(self.support.members)
        found: list[Branch] = []
        for combination in itertools.product(*(v.choices[name] for name in self.primary)):
            primary = v.in_order(real(combination))
            if agree(primary, primary, judged):
                # A bounded part may need or exclude primary ones only.
                beside = [
                    tuple(o for o in v.choices[name] if o is None or agree((o,), primary)) for name in self.secondary
                ]
                found.append(Branch(v, len(found), primary, beside))
        return found


@dataclass
class _Opened:
    """A branch that is being searched: `still` are the gas paths that may be the best yet, cheapest first."""

    branch: Branch
    bounds: BranchBounds
    still: list[int]
    turn: int = 0
    lean: int = 1
    least: float = math.inf

    def sort(self, most: float) -> None:
        """Leave only what may cost no more than `most`, cheapest first."""
        costs, bound = self.branch.costs, self.bounds.cost
        least = {number: costs[number] + bound[number] for number in self.still}
        self.still = sorted((n for n in self.still if least[n] <= most and least[n] < math.inf), key=least.__getitem__)
        self.least = least[self.still[0]] if self.still else math.inf


def _most_telling(branch: Branch, still: Sequence[int]) -> int:
    """The gas path that leaves the fewest open, whichever way it turns out: within the limits it rules out the dearer
    ones, beyond them those that are no better. `still` are those open, sorted by what they cost at least."""
    whole = sum(1 << number for number in still)
    left = len(still)
    scores = (
        (min((branch.mask[number] & whole).bit_count(), left - place), -place) for place, number in enumerate(still)
    )
    return still[-max(scores)[1]]


def allowed_sets(search: Search) -> Iterator[tuple[Option, ...]]:
    """Every set of parts whose conditions agree, in order of fitting: the whole field, for proofs by exhaustion."""
    vehicle = search.vehicle
    for combination in itertools.product(*vehicle.choices.values()):
        options = tuple(real(combination))
        if agree(options, options):
            yield options
