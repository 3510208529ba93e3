"""The exact search: the cheapest set of parts that reaches a goal within every limit, and the frontiers of cost.

Parts of the gas path meet in the engine balance; all others only have to bear what it asks for. The search walks the
choices of the gas path best-first by a lower bound of the whole cost. A bound comes from an operating point that no
completion of the choices can beat: every open choice takes, parameter by parameter, the best that any of its options
has. It holds as long as the vanes keep their authority over that whole range, which is checked at its other end, where
every open choice takes the worst; where they do not, the bound falls back on what the goal alone asks for. The other
parts fall into groups that share no limit and no condition; each group is listed once, and the cheapest entry that
bears a demand is looked up.

The cost that is minimised is one number: likely price of the parts plus likely hours at the labour rate.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from calc.plan.demands import BY_POINT, NOT_A_PART, by_power
from calc.plan.parameters import BOUNDED, GAS_PATH, Ends
from calc.plan.records import Option
from calc.plan.vehicle import Gas, Vehicle
from calc.units import HORSEPOWER

SLACK = 2e-3
"""A bound is trusted only beyond this share, so that a small effect against the rule cannot hide a set."""
EXACT = 1e-7
GOAL_STEP = 5.0 * HORSEPOWER
"""Goals of the frontier stand this far apart (W)."""
END_STEP = 1.0 * HORSEPOWER
"""The highest goal is found to within this (W)."""
MARGIN_STEP = 0.005

_REGIMES_TOLD = ("held", "smallest", "largest", "fixed", "none")


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
    """A set of parts: all options on the vehicle in order of fitting, what is bought, its cost and operating point."""

    options: tuple[Option, ...]
    bought: tuple[Option, ...]
    cost: float
    gas: Gas
    goal: float

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
        self.nodes = 0
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
        self._known_bounds: dict[tuple[object, ...], tuple[float, float]] = {}

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

    def by_goal(self, first: float, step: float = GOAL_STEP, last: float = math.inf) -> list[Step]:
        """The whole frontier of cost against goal, for goals (W) in steps from `first` up to the highest there is.

        Each step is the cheapest set for all goals up to its `reach`. The end of the last one is found to within
        `END_STEP`. Empty when even `first` is out of reach.
        """
        steps: list[Step] = []
        goal, top = first, math.inf
        while goal <= last:
            found = self._still(steps[-1].found, goal) if steps else None
            # Cost never falls as the goal rises: a set that still fits is still the cheapest.
            found = found or self.cheapest(goal)
            if found is None:
                top = goal
                if step <= END_STEP or not steps:
                    break
                step = max(END_STEP, 0.25 * step)
                goal = steps[-1].reach + step
                continue
            if steps and steps[-1].found.cost >= found.cost - 1e-6:
                steps.pop()
            steps.append(Step(found, goal, 1.0))
            if goal + step >= top and step > END_STEP:
                step = max(END_STEP, 0.25 * step)
            goal += step
            if goal >= top:
                break
        return steps

    def _still(self, found: Found, goal: float) -> Found | None:
        """A set for a higher goal, where it still fits."""
        v = self.vehicle
        gas = v.gas(v.gas_parameters(found.options), goal)
        if max(self._strain(found.options, gas, goal).values()) > 1.0 + EXACT:
            return None
        return Found(found.options, found.bought, found.cost, gas, goal)

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
        v = self.vehicle
        strain = self._strain(found.options, v.gas(v.gas_parameters(found.options), goal), goal)
        beyond = [aspect for aspect, value in strain.items() if value > 1.0 + EXACT]
        return tuple(sorted(beyond, key=lambda aspect: -strain[aspect]))

    def most_used(self, found: Found) -> float:
        """The share of its allowance that the part closest to its limit uses; the calibration's are left out."""
        strain = self._strain(found.options, found.gas, found.goal)
        return max((value for aspect, value in strain.items() if aspect not in NOT_A_PART), default=0.0)

    def strain(self, found: Found) -> dict[str, float]:
        """For each aspect the greatest demand over what the use allows of the weakest part; 1 is the edge."""
        return self._strain(found.options, found.gas, found.goal)

    def _strain(self, options: Sequence[Option], gas: Gas, goal: float, level: Level = CERTAINLY) -> dict[str, float]:
        v = self.vehicle
        return {
            aspect: gas.asks[aspect][level.asked] / (v.able(aspect, options)[level.able] * v.keep[aspect])
            for aspect in v.aspects
        }

    def fits(self, options: Sequence[Option], goal: float, level: Level = CERTAINLY, used: float = 1.0) -> bool:
        """Whether a set, in order of fitting, reaches a goal within every limit: what the search means."""
        gas = self.vehicle.gas(self.vehicle.gas_parameters(options), goal)
        strain = self._strain(options, gas, goal, level)
        return all(value <= (1.0 if a in NOT_A_PART else used) * (1.0 + EXACT) for a, value in strain.items())

    # The search itself

    def _cheapest(self, goal: float, level: Level, used: float, without: frozenset[str]) -> Found | None:
        v = self.vehicle
        heap: list[tuple[float, int, _Node]] = []
        count = itertools.count()

        def push(bound: float, node: _Node) -> None:
            if bound < math.inf:
                heapq.heappush(heap, (bound, next(count), node))

        for primary in self._primary_sets(without):
            node = _Node(primary, (), 0, fresh=True)
            push(node.cost(v) + self._least_support(node, goal, level, used, without, None), node)
        best: Found | None = None
        while heap:
            bound, _, node = heapq.heappop(heap)
            if best is not None and bound > best.cost + 1e-6:
                break
            self.nodes += 1
            if node.fresh:
                node = _Node(node.primary, node.decided, node.depth, fresh=False)
                push(self._bound(node, goal, level, used, without, bound), node)
                continue
            if node.depth == len(self.secondary):
                found = self._complete(node, goal, level, used, without)
                if found is not None and (best is None or found.key < best.key):
                    best = found
                continue
            for option in self._allowed(self.secondary[node.depth], node.primary, without):
                decided = node.decided if option is None else (*node.decided, option)
                child = _Node(node.primary, decided, node.depth + 1, fresh=True)
                push(bound, child)
        return best

    def _bound(
        self, node: _Node, goal: float, level: Level, used: float, without: frozenset[str], known: float
    ) -> float:
        """A lower bound of the cost of every completion of a node; infinite when none can be within the limits.

        `known` is a bound found before, by the node above or for a lower goal.
        """
        v = self.vehicle
        regime = self._regime(node.primary, goal, without)
        key = (node.ids, level.name, without)
        if regime == "held" and key in self._known_bounds:
            # A lower goal asks for less of everything as long as the boost is held.
            lower_goal, bound = self._known_bounds[key]
            if lower_goal <= goal:
                known = max(known, bound)
            if known == math.inf:
                return known
        asks: Mapping[str, Ends] | None = None
        if regime == "held":
            asks = v.gas(self._relaxed(node, without, 1), goal).asks
        elif regime:
            best, worst = (v.gas(self._relaxed(node, without, sign), goal).asks for sign in (1, -1))
            asks = {
                aspect: tuple(min(a, b) for a, b in zip(ends, worst[aspect], strict=True))  # type: ignore[misc]
                for aspect, ends in best.items()
            }
        bound = node.cost(v) + self._least_support(node, goal, level, used, without, asks)
        if regime == "held" and used == 1.0:
            self._known_bounds[key] = (goal, bound)
        return max(known, bound)

    def _regime(self, primary: tuple[Option, ...], goal: float, without: frozenset[str]) -> str:
        """What sets the boost for every completion of the primary choices; empty when it is not the same for all."""
        v = self.vehicle
        root = _Node(primary, (), 0, fresh=False)
        best, worst = (v.gas(self._relaxed(root, without, sign), goal).regime for sign in (1, -1))
        return best if best == worst and best in _REGIMES_TOLD else ""

    def _least_support(
        self,
        node: _Node,
        goal: float,
        level: Level,
        used: float,
        without: frozenset[str],
        asks: Mapping[str, Ends] | None,
    ) -> float:
        """The least that other parts cost: for demands known to be met at least, or for the goal alone."""
        v = self.vehicle
        efficiency = max(ends[2] for ends in self._efficiencies)
        held = v.held(goal)
        asked = {}
        for aspect in v.aspects:
            if asks is not None:
                asked[aspect] = asks[aspect][level.asked] * (1.0 - SLACK)
            elif aspect in BY_POINT:
                asked[aspect] = 0.0
            else:
                asked[aspect] = by_power(aspect, v.standard, goal, held, efficiency) * (1.0 - SLACK)
        chosen = v.in_order((*node.primary, *node.decided))
        support = self._supported(chosen, asked, level, used, without)
        return math.inf if support is None else sum(entry.cost for entry in support)

    @cached_property
    def _efficiencies(self) -> list[Ends]:
        """The driveline's efficiency as sold and with each option that changes it."""
        path = "driveline.efficiency"
        base = self.vehicle.base[path]
        found = [base]
        for options in self.vehicle.choices.values():
            for option in _real(options):
                for effect in option.changes:
                    if effect.target == path:
                        found.append(effect.on(max(found, key=lambda ends: ends[2])))
        return found

    def _complete(self, node: _Node, goal: float, level: Level, used: float, without: frozenset[str]) -> Found | None:
        """The cheapest set with exactly these choices in the gas path."""
        v = self.vehicle
        chosen = v.in_order((*node.primary, *node.decided))
        gas = v.gas(v.gas_parameters(chosen), goal)
        asked = {aspect: ends[level.asked] for aspect, ends in gas.asks.items()}
        support = self._supported(chosen, asked, level, used, without)
        if support is None:
            return None
        options = v.in_order((*chosen, *(option for entry in support for option in entry.options)))
        bought = v.bought(options)
        return Found(options, bought, sum(v.price(option) for option in bought), gas, goal)

    def _supported(
        self,
        chosen: tuple[Option, ...],
        asked: Mapping[str, float],
        level: Level,
        used: float,
        without: frozenset[str],
    ) -> list[_Entry] | None:
        """The cheapest entry of each group that bears the demands; None where a limit cannot be kept."""
        v = self.vehicle
        needed = {
            aspect: asked[aspect] / (v.keep[aspect] * (1.0 if aspect in NOT_A_PART else used) * (1.0 + EXACT))
            for aspect in v.aspects
        }
        if any(needed[aspect] > v.able(aspect, chosen)[level.able] for aspect in self.ungrouped):
            return None
        entries = []
        for group in self.groups:
            wanted = tuple(needed[aspect] for aspect in group.aspects)
            for entry in self._table(group, chosen, level, without):
                if all(map(float.__ge__, entry.able, wanted)):
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

    def _primary_sets(self, without: frozenset[str]) -> Iterator[tuple[Option, ...]]:
        # Conditions on parts outside the gas path belong to the groups; on parts that cannot be had, here.
        judged = set(self.vehicle.catalogue.modifications) - set(self.support)
        for combination in itertools.product(*(self._open(name, without) for name in self.primary)):
            options = tuple(_real(combination))
            if _agree(options, options, judged):
                yield options

    def _allowed(self, name: str, primary: tuple[Option, ...], without: frozenset[str]) -> Iterator[Option | None]:
        """The choices of a bounded modification beside the primary ones: it may need or exclude only those."""
        for option in self._open(name, without):
            if option is None or _agree((option,), primary):
                yield option

    def _relaxed(self, node: _Node, without: frozenset[str], sign: int) -> dict[str, Ends]:
        """The gas path with every open choice at its best (+1) or worst (-1), parameter by parameter."""
        v = self.vehicle
        parameters = dict(v.base)
        decided = {option.modification: option for option in (*node.primary, *node.decided)}
        still_open = set(self.secondary[node.depth :])
        for name in v.choices:
            if name in still_open:
                options = list(self._allowed(name, node.primary, without))
                for path in {effect.target for option in _real(options) for effect in option.changes}:
                    now = parameters[path]
                    ends = [_after(now, path, option) for option in options]
                    better = sign * GAS_PATH[path] > 0
                    pick = max if better else min
                    parameters[path] = (
                        pick(one[0] for one in ends),
                        pick(one[1] for one in ends),
                        pick(one[2] for one in ends),
                    )
            elif name in decided:
                for effect in decided[name].changes:
                    if effect.target in parameters:
                        parameters[effect.target] = effect.on(parameters[effect.target])
        return parameters


@dataclass(frozen=True)
class _Group:
    number: int
    members: tuple[str, ...]
    aspects: tuple[str, ...]


@dataclass(frozen=True)
class _Node:
    primary: tuple[Option, ...]
    decided: tuple[Option, ...]
    depth: int
    fresh: bool

    @property
    def ids(self) -> tuple[object, ...]:
        """What tells nodes apart."""
        return tuple(option.id for option in (*self.primary, *self.decided)), self.depth

    def cost(self, vehicle: Vehicle) -> float:
        return sum(vehicle.price(option) for option in vehicle.bought((*self.primary, *self.decided)))


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


def _after(ends: Ends, path: str, option: Option | None) -> Ends:
    if option is not None:
        for effect in option.changes:
            if effect.target == path:
                ends = effect.on(ends)
    return ends


def allowed_sets(search: Search) -> Iterator[tuple[Option, ...]]:
    """Every set of parts whose conditions agree, in order of fitting: the whole field, for proofs by exhaustion."""
    vehicle = search.vehicle
    for combination in itertools.product(*vehicle.choices.values()):
        options = tuple(_real(combination))
        if _agree(options, options):
            yield options
