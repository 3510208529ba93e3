"""The exact search: the cheapest set of parts that reaches a goal within every limit, and the frontiers of cost.

Parts of the gas path meet in the engine balance; all others only have to bear what it asks for. A branch holds one
choice of the parts that must be tried one by one (turbochargers, calibrations); the other parts of the gas path, which
can only help (a freer pipe, a better cooler), are combined within it. A combination that has been solved bounds the
cost of every combination that is no better in any part, at this goal and at any higher one: it asks at least as much.
That holds as long as the vanes keep their authority over the whole branch, which is checked at its best and its worst
combination; where they do not, only what the goal alone asks for is taken as known. The supporting parts fall into
groups that share no limit and no condition; each group is listed once, and the cheapest entry that bears a demand is
looked up.

The cost that is minimised is one number: likely price of the parts plus likely hours at the labour rate.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from calc.plan.branches import Branch, BranchBounds, after
from calc.plan.demands import BY_POINT, NOT_A_PART, by_power
from calc.plan.parameters import BOUNDED, GAS_PATH
from calc.plan.records import Option
from calc.plan.vehicle import Gas, Side, Vehicle
from calc.units import HORSEPOWER

SLACK = 2e-3
"""A bound is trusted only beyond this share, so that a small effect against the rule cannot hide a set."""
EXACT = 1e-7
SMALL_STEP, GOAL_STEP = 10.0 * HORSEPOWER, 20.0 * HORSEPOWER
"""Goals of the frontier stand this far apart (W), the smaller step on a vehicle of less than `SMALL_VEHICLE`."""
SMALL_VEHICLE = 250.0 * HORSEPOWER
END_STEP = 1.0 * HORSEPOWER
"""The highest goal is found to within this (W)."""
MARGIN_STEP = 0.005
_CENT = 1e-6
_FURTHER = 1.25

_TOLD = ("held", "partly", "smallest")
_FUEL = frozenset({"injectors", "high-pressure-pump", "lift-pump"})
_AIR = frozenset({"turbocharger:flow", "turbocharger:pressure", "charge-cooler", "head-clamping"})
KINDS: Mapping[str, Mapping[str, float]] = {
    "held": dict.fromkeys(BY_POINT, SLACK),
    "held, other cooler": dict.fromkeys(set(BY_POINT) - {"drive-pressure"}, SLACK),
    "hotter": {"smoke": SLACK, "exhaust-temperature": SLACK} | dict.fromkeys(_FUEL, 0.03),
    "shut": dict.fromkeys({"smoke", "exhaust-temperature", "drive-pressure", *_FUEL}, SLACK),
    "shut, better": dict.fromkeys(_AIR, 0.015),
}
"""What one gas path asks for at least when another is known, by the kind of comparison, and how far that is trusted.

Between two paths with the boost held, the one that is no better in any part asks for no less of anything. A better
charge cooler lowers boost more than drive pressure, so that their ratio may rise, and costs a trace of fuel and flow
(under 0.04 %, which the slack covers). "hotter" holds whatever sets the boost: a path that is no better has no more air,
so lambda and exhaust temperature compare, and fuel but for pumping work. Between two with the turbine as it is the
better one has more air: less drive pressure for its boost and less fuel, but more flow and pressure ("shut, better",
said of the better one; only a freer filter works a little against that).
"""


@dataclass(frozen=True)
class Level:
    """Which ends are compared: the weak end of a part with the greatest demand, or the strong end with the least."""

    name: str
    asked: int
    able: int


CERTAINLY = Level("certainly", 2, 0)
POSSIBLY = Level("possibly", 0, 2)


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
    """A step of a frontier: the cheapest set for goals up to `reach` (W), or down to `used` of the margins."""

    found: Found
    reach: float
    used: float


@dataclass(frozen=True)
class _Entry:
    cost: float
    options: tuple[Option, ...]
    able: tuple[float, ...]


class Search:
    """Everything that can be asked about one vehicle; results and operating points are shared between questions."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        v = vehicle
        gas = {name for name in v.choices if any(self._in_gas_path(option) for option in _real(v.choices[name]))}
        self.primary = self._primary(gas)
        # The costliest first: what is decided early is worth most when it is decided.
        self.secondary = sorted(
            (name for name in v.choices if name in gas and name not in self.primary),
            key=lambda name: -max((v.price(option) for option in _real(v.choices[name])), default=0.0),
        )
        self.support = [name for name in v.choices if name not in gas]
        self.groups = self._groups()
        grouped = {aspect for group in self.groups for aspect in group.aspects}
        self.ungrouped = tuple(aspect for aspect in v.aspects if aspect not in grouped)
        self._tables: dict[tuple[object, ...], list[_Entry]] = {}
        self._answers: dict[tuple[object, ...], Found | None] = {}
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
                for option in _real(v.choices[name])
                for effect in option.changes
            )
            and not any(option.id in ids for option in _real(v.choices[name]) for ids in v.touching.values())
        }
        changes = {name: {e.target for o in _real(v.choices[name]) for e in o.changes} for name in gas}
        bounded -= {name for name in bounded for other in gas if other != name and changes[name] & changes[other]}
        links = {name: self._linked(name) for name in v.choices}
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

    def _linked(self, name: str) -> set[str]:
        """The modifications that the options of one need or exclude, those that cannot be had included."""
        named = {one for option in _real(self.vehicle.choices[name]) for one in (*option.needs, *option.excludes)}
        return {one.partition(".")[0] for one in named} & set(self.vehicle.choices)

    def _groups(self) -> list[_Group]:
        v = self.vehicle
        ties: dict[str, set[str]] = {name: {name} for name in self.support}

        def tie(names: Iterable[str]) -> None:
            names = [name for name in names if name in ties]
            for name in names[1:]:
                one, other = ties[names[0]], ties[name]
                if one is not other:
                    one |= other
                    for member in other:
                        ties[member] = one

        touched = {
            aspect: [name for name in self.support if any(o.id in ids for o in _real(v.choices[name]))]
            for aspect, ids in v.touching.items()
        }
        for names in touched.values():
            tie(names)
        for name in self.support:
            tie([name, *self._linked(name)])
        groups: list[_Group] = []
        seen: set[int] = set()
        for name in self.support:
            if id(ties[name]) not in seen:
                seen.add(id(ties[name]))
                members = tuple(one for one in self.support if one in ties[name])
                concerned = tuple(aspect for aspect in v.aspects if set(touched[aspect]) & set(members))
                groups.append(_Group(len(groups), members, concerned))
        return groups

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
        key = (goal, level.name, used, without)
        if key not in self._answers:
            self._answers[key] = self._cheapest(goal, level, used, without)
        return self._answers[key]

    @property
    def goal_step(self) -> float:
        """How far the goals of the frontier stand apart, W."""
        return SMALL_STEP if self.vehicle.standard.power < SMALL_VEHICLE else GOAL_STEP

    def by_goal(self, first: float, last: float = math.inf) -> list[Step]:
        """The whole frontier of cost against goal, for goals (W) in steps from `first` up to the highest there is.

        Each step is the cheapest set for all goals up to its `reach`. The end of the last one is found to within
        `END_STEP`. Empty when even `first` is out of reach.
        """
        steps: list[Step] = []
        goal, step = first, self.goal_step
        while goal <= last:
            # Cost never falls as the goal rises: a set that still fits is still the cheapest.
            found = (self._still(steps[-1].found, goal) if steps else None) or self.cheapest(goal)
            if found is not None:
                self._append(steps, found)
            elif not steps or step == END_STEP:
                break
            else:
                # The end lies below this goal: go as far as the last set does, and see whether another goes further.
                step = END_STEP
                self._append(steps, self._furthest(steps[-1].found, goal))
                goal = steps[-1].reach
            goal += step
        return steps

    def _append(self, steps: list[Step], found: Found) -> None:
        if steps and steps[-1].found.cost >= found.cost - _CENT:
            steps.pop()
        steps.append(Step(found, found.goal, 1.0))

    def _furthest(self, found: Found, beyond: float) -> Found:
        """A set at the highest goal (W) that it reaches, to within half of `END_STEP`; `beyond` is out of its reach."""
        while beyond - found.goal > 0.5 * END_STEP:
            middle = 0.5 * (found.goal + beyond)
            further = self._still(found, middle)
            if further is None:
                beyond = middle
            else:
                found = further
        return found

    def _still(self, found: Found, goal: float) -> Found | None:
        """A set for a higher goal, where it still fits."""
        v = self.vehicle
        if max(self._strain(found.options, goal).values()) > 1.0 + EXACT:
            return None
        return Found(v, found.options, found.bought, found.cost, goal)

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

    def _cheapest(self, goal: float, level: Level, used: float, without: frozenset[str]) -> Found | None:
        wanted = _Wanted(goal, level, used, without)
        floors = []
        for branch in self.branches:
            if not any(option.id in without for option in branch.primary):
                floor = branch.price + self._least_support(branch.primary, wanted, None)
                floors.append((floor, branch.number))
        best: Found | None = None
        for floor, number in sorted(floors):
            if floor == math.inf or (best is not None and floor > best.cost + _CENT):
                break
            best = self._best_of(self.branches[number], wanted, floor, best)
        return best

    def _best_of(self, branch: Branch, wanted: _Wanted, floor: float, best: Found | None) -> Found | None:
        """The cheaper of `best` and the best set of a branch, of which `floor` is a lower bound."""
        v = self.vehicle
        strong = v.side(branch.strongest, wanted.goal, wanted.level.asked)
        if strong.regime == "none" and self._weakest(branch, wanted) == "none":
            return best
        bounds = self._start(branch, wanted, strong, floor - branch.price)
        cost = [floor - branch.price] * len(branch.costs) if bounds is None else bounds.cost
        still = [number for number in range(len(branch.costs)) if not branch.holds(number, wanted.without)]
        for turn in itertools.count():
            most = math.inf if best is None else best.cost + _CENT
            cost = cost if bounds is None else bounds.cost
            still = [one for one in still if cost[one] < math.inf and branch.costs[one] + cost[one] <= most]
            if not still:
                break
            still.sort(key=[branch.costs[one] + cost[one] for one in range(len(cost))].__getitem__)
            number = _most_telling(branch, still) if turn % 2 else still[0]
            still.remove(number)
            chosen = branch.options[number]
            side = v.side(v.gas_parameters(chosen), wanted.goal, wanted.level.asked)
            found = self._complete(chosen, side, wanted)
            if found is not None and (best is None or found.key < best.key):
                best = found
            if bounds is not None:
                least = {kind: self._least_support(chosen, wanted, _kept(side.asks, kind)) for kind in KINDS}
                bounds.learn(number, side.regime, least)
        if bounds is not None and not wanted.without:
            branch.keep(wanted.goal, wanted.level.name, wanted.used, bounds)
        return best

    def _start(self, branch: Branch, wanted: _Wanted, strong: Side, floor: float) -> BranchBounds | None:
        """What is known of the supporting cost of a branch's gas paths before any of them is solved; None where one
        tells nothing of another, the vanes being open as far as they go."""
        everywhere = ""
        if strong.regime == "fixed" or (strong.regime == "held" and self._held_throughout(branch, wanted)):
            everywhere = strong.regime
        elif strong.regime not in _TOLD or self._weakest(branch, wanted) not in (*_TOLD, "none"):
            return None
        bounds = BranchBounds(branch, floor, everywhere)
        bounds.take(branch.known(wanted.goal, wanted.level.name, wanted.used))
        one_cooler = len(set(branch.coolers)) == 1
        kind = "hotter" if everywhere != "held" else "held" if one_cooler else "held, other cooler"
        bounds.at_least(self._least_support(branch.primary, wanted, _kept(strong.asks, kind)))
        return bounds

    def _weakest(self, branch: Branch, wanted: _Wanted) -> str:
        return self.vehicle.side(branch.weakest, wanted.goal, wanted.level.asked).regime

    def _held_throughout(self, branch: Branch, wanted: _Wanted) -> bool:
        """Whether the boost is held even on the weakest gas path of a branch.

        More power asks for a smaller turbine, so that what is held at a higher goal is held at this one.
        """
        key = (branch.number, wanted.level.name)
        if self._held_up_to.get(key, 0.0) < wanted.goal:
            further = _Wanted(wanted.goal * _FURTHER, wanted.level)
            for at in (further, wanted):
                if self._weakest(branch, at) == "held":
                    self._held_up_to[key] = at.goal
                    break
        return self._held_up_to.get(key, 0.0) >= wanted.goal

    def _least_support(self, chosen: tuple[Option, ...], wanted: _Wanted, asks: Mapping[str, float] | None) -> float:
        """The least that supporting parts cost beside these: for demands that are known, or for the goal alone."""
        v = self.vehicle
        efficiency = self._best_efficiency
        held = v.held(wanted.goal)
        asked = {}
        for aspect in v.aspects:
            if aspect not in BY_POINT:
                # Nothing in the gas path changes this, but for the last digits.
                asked[aspect] = by_power(aspect, v.standard, wanted.goal, held, efficiency) * (1.0 - EXACT)
            elif asks is not None and aspect in asks:
                asked[aspect] = asks[aspect]
            else:
                asked[aspect] = 0.0
        support = self._supported(chosen, asked, wanted)
        return math.inf if support is None else sum(entry.cost for entry in support)

    @cached_property
    def _best_efficiency(self) -> float:
        """The best efficiency that the driveline can have."""
        path = "driveline.efficiency"
        best = self.vehicle.base[path]
        for options in self.vehicle.choices.values():
            best = max((best, *(after(best, path, option) for option in _real(options))), key=lambda ends: ends[2])
        return best[2]

    def _complete(self, chosen: tuple[Option, ...], side: Side, wanted: _Wanted) -> Found | None:
        """The cheapest set with exactly these choices in the gas path."""
        v = self.vehicle
        support = self._supported(chosen, side.asks, wanted)
        if support is None:
            return None
        options = v.in_order((*chosen, *(option for entry in support for option in entry.options)))
        bought = v.bought(options)
        return Found(v, options, bought, sum(v.price(option) for option in bought), wanted.goal)

    def _supported(
        self, chosen: tuple[Option, ...], asked: Mapping[str, float], wanted: _Wanted
    ) -> list[_Entry] | None:
        """The cheapest entry of each group that bears the demands; None where a limit cannot be kept."""
        v = self.vehicle
        level, used, without = wanted.level, wanted.used, wanted.without
        needed = {
            aspect: asked[aspect] / (v.keep[aspect] * (1.0 if aspect in NOT_A_PART else used) * (1.0 + EXACT))
            for aspect in v.aspects
        }
        if any(needed[aspect] > v.able(aspect, chosen)[level.able] for aspect in self.ungrouped):
            return None
        entries = []
        for group in self.groups:
            bearing = tuple(needed[aspect] for aspect in group.aspects)
            for entry in self._table(group, chosen, level, without):
                if all(map(float.__ge__, entry.able, bearing)):
                    entries.append(entry)
                    break
            else:
                return None
        return entries

    def _table(self, group: _Group, chosen: tuple[Option, ...], level: Level, without: frozenset[str]) -> list[_Entry]:
        """What a group can be made into beside the chosen parts, cheapest first, without what is never the best."""
        v = self.vehicle
        concerned = self._concerned(group)
        beside = tuple(option for option in chosen if option.id in concerned)
        barred = frozenset(one for one in without if one.partition(".")[0] in group.members)
        key = (group.number, tuple(option.id for option in beside), level.able, barred)
        if (known := self._tables.get(key)) is not None:
            return known
        entries = []
        for combination in itertools.product(*(self._open(name, without) for name in group.members)):
            options = tuple(_real(combination))
            # Conditions of the members on anything, and those of the gas path on members.
            present = (*chosen, *options)
            tied = _agree(options, present) and _agree(beside, present, set(group.members))
            if not tied:
                continue
            everything = v.in_order((*chosen, *options))
            cost = sum(v.price(option) for option in v.bought(options))
            strength = tuple(v.able(aspect, everything)[level.able] for aspect in group.aspects)
            entries.append(_Entry(cost, options, strength))
        entries.sort(key=lambda e: (round(e.cost, 6), len(v.bought(e.options)), [option.id for option in e.options]))
        kept: list[_Entry] = []
        for entry in entries:
            if not any(all(map(float.__ge__, other.able, entry.able)) for other in kept):
                kept.append(entry)
        self._tables[key] = kept
        return kept

    def _concerned(self, group: _Group) -> frozenset[str]:
        """The gas-path options that a group's table depends on: they share a limit or a condition with it."""
        if group.number not in self._relevant:
            v = self.vehicle
            shared = {one for aspect in group.aspects for one in v.touching[aspect]}
            members = set(group.members)
            found = set()
            for name in self.primary:
                for option in _real(v.choices[name]):
                    tied = _names(option.needs) & members or _names(option.excludes) & members
                    named = any(
                        {option.id, name} & {*other.needs, *other.excludes}
                        for member in members
                        for other in _real(v.choices[member])
                    )
                    if option.id in shared or tied or named:
                        found.add(option.id)
            self._relevant[group.number] = frozenset(found)
        return self._relevant[group.number]

    @cached_property
    def _relevant(self) -> dict[int, frozenset[str]]:
        return {}

    def _open(self, name: str, without: frozenset[str]) -> tuple[Option | None, ...]:
        fitted = self.vehicle.fitted
        return tuple(
            option
            for option in self.vehicle.choices[name]
            if option is None or option in fitted or option.id not in without
        )

    @cached_property
    def branches(self) -> list[Branch]:
        """Every choice of the primary parts whose conditions agree, with what can be combined beside it."""
        v = self.vehicle
        # Conditions on supporting parts belong to the groups; on parts that cannot be had, here.
        judged = set(v.catalogue.modifications) - set(self.support)
        found: list[Branch] = []
        for combination in itertools.product(*(v.choices[name] for name in self.primary)):
            primary = v.in_order(_real(combination))
            if _agree(primary, primary, judged):
                # A bounded part may need or exclude primary ones only.
                beside = [
                    tuple(o for o in v.choices[name] if o is None or _agree((o,), primary)) for name in self.secondary
                ]
                found.append(Branch(v, len(found), primary, beside))
        return found


@dataclass(frozen=True)
class _Group:
    number: int
    members: tuple[str, ...]
    aspects: tuple[str, ...]


@dataclass(frozen=True)
class _Wanted:
    goal: float
    level: Level
    used: float = 1.0
    without: frozenset[str] = frozenset()


def _most_telling(branch: Branch, still: Sequence[int]) -> int:
    """The gas path that leaves the fewest open, whichever way it turns out: within the limits it rules out the dearer
    ones, beyond them those that are no better. `still` are those open, sorted by what they cost at least."""
    whole = sum(1 << number for number in still)
    left = len(still)
    scores = (
        (min((branch.mask[number] & whole).bit_count(), left - place), -place) for place, number in enumerate(still)
    )
    return still[-max(scores)[1]]


def _kept(asks: Mapping[str, float], kind: str) -> dict[str, float]:
    """What another gas path asks for at least, by the kind of comparison."""
    return {aspect: asks[aspect] * (1.0 - slack) for aspect, slack in KINDS[kind].items() if aspect in asks}


def _real(options: Iterable[Option | None]) -> Iterator[Option]:
    return (option for option in options if option is not None)


def _names(ids: Iterable[str]) -> set[str]:
    return {one.partition(".")[0] for one in ids}


def _met(wanted: str, options: Iterable[Option]) -> bool:
    """Whether an option, or any option of a modification, is among the options."""
    return any(wanted in (option.id, option.modification) for option in options)


def _agree(options: Iterable[Option], present: Sequence[Option], judged: set[str] | None = None) -> bool:
    """Whether what the options need is present and what they exclude is not; `judged` names the modifications whose
    conditions count, all by default."""
    for option in options:
        for wanted, needed in (*((one, True) for one in option.needs), *((one, False) for one in option.excludes)):
            if (judged is None or wanted.partition(".")[0] in judged) and _met(wanted, present) != needed:
                return False
    return True


def allowed_sets(search: Search) -> Iterator[tuple[Option, ...]]:
    """Every set of parts whose conditions agree, in order of fitting: the whole field, for proofs by exhaustion."""
    vehicle = search.vehicle
    for combination in itertools.product(*vehicle.choices.values()):
        options = tuple(_real(combination))
        if _agree(options, options):
            yield options
