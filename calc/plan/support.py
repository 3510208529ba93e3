"""The supporting parts: what bears the demands of a gas path, at the least cost.

They fall into groups that share no limit and no condition; each group is listed once, cheapest first, and the cheapest
entry that bears a demand is looked up. What they cost beside a gas path depends on its primary parts alone: no other
part of it shares a limit or a condition with them.
"""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from calc.plan.comparisons import EXACT
from calc.plan.conditions import agree, linked, named, real
from calc.plan.demands import BY_POINT, NOT_A_PART, by_power
from calc.plan.parameters import after
from calc.plan.records import Option
from calc.plan.vehicle import Vehicle


@dataclass(frozen=True)
class Level:
    """Which ends are compared: the weak end of a part with the greatest demand, or the strong end with the least."""

    name: str
    asked: int
    able: int


CERTAINLY = Level("certainly", 2, 0)
POSSIBLY = Level("possibly", 0, 2)


@dataclass(frozen=True)
class Wanted:
    """What a set has to do: reach `goal` (W) within `used` (share) of what the use allows of its parts.

    `without` names options that are not to be bought.
    """

    goal: float
    level: Level
    used: float = 1.0
    without: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Entry:
    """What one group can be made into: its cost, its options and what it bears of each of the group's aspects."""

    cost: float
    options: tuple[Option, ...]
    able: tuple[float, ...]


@dataclass(frozen=True)
class Group:
    """Modifications that share limits or conditions, and the aspects that they bear."""

    number: int
    members: tuple[str, ...]
    aspects: tuple[str, ...]


@dataclass(frozen=True)
class _Beside:
    primary: tuple[Option, ...]
    alone: list[tuple[str, float]]
    tables: list[tuple[tuple[str, ...], list[Entry]]]


class Support:
    """The supporting parts of one vehicle.

    `primary` names the modifications of the gas path that are tried one by one, `members` those that support.
    """

    def __init__(self, vehicle: Vehicle, primary: Sequence[str], members: Sequence[str]) -> None:
        self.vehicle = vehicle
        self.primary, self.members = primary, members
        self.groups = self._groups()
        grouped = {aspect for group in self.groups for aspect in group.aspects}
        self._ungrouped = tuple(aspect for aspect in vehicle.aspects if aspect not in grouped)
        self._tables: dict[tuple[object, ...], list[Entry]] = {}
        self._relevant: dict[int, frozenset[str]] = {}
        self._known: dict[tuple[int, int, frozenset[str]], _Beside] = {}
        self._scales: dict[Wanted, Mapping[str, float]] = {}
        self._by_goal: dict[Wanted, Mapping[str, float]] = {}

    def _groups(self) -> list[Group]:
        v = self.vehicle
        ties: dict[str, set[str]] = {name: {name} for name in self.members}

        def tie(names: Iterable[str]) -> None:
            names = [name for name in names if name in ties]
            for name in names[1:]:
                one, other = ties[names[0]], ties[name]
                if one is not other:
                    one |= other
                    for member in other:
                        ties[member] = one

        touched = {
            aspect: [name for name in self.members if any(o.id in ids for o in real(v.choices[name]))]
            for aspect, ids in v.touching.items()
        }
        for names in touched.values():
            tie(names)
        for name in self.members:
            tie([name, *linked(v.choices, name)])
        groups: list[Group] = []
        seen: set[int] = set()
        for name in self.members:
            if id(ties[name]) not in seen:
                seen.add(id(ties[name]))
                members = tuple(one for one in self.members if one in ties[name])
                concerned = tuple(aspect for aspect in v.aspects if set(touched[aspect]) & set(members))
                groups.append(Group(len(groups), members, concerned))
        return groups

    # What it costs

    def of(self, primary: tuple[Option, ...], asks: Mapping[str, float], wanted: Wanted) -> list[Entry] | None:
        """The cheapest entry of each group that bears what a gas path asks for; None where a limit cannot be kept."""
        return self._bearing(
            primary, {aspect: asks[aspect] * one for aspect, one in self._scale(wanted).items()}, wanted
        )

    def least(
        self, primary: tuple[Option, ...], asks: Mapping[str, float], slack: Mapping[str, float], wanted: Wanted
    ) -> float:
        """The least that it costs where demands are known but for `slack`, infinite where a limit cannot be kept.

        A demand that is not in `slack` may be nothing; what the goal alone asks for is known anyway.
        """
        scale, needed = self._scale(wanted), dict(self._asked_by_goal(wanted))
        for aspect, share in slack.items():
            if aspect in scale:
                needed[aspect] = asks[aspect] * (1.0 - share) * scale[aspect]
        entries = self._bearing(primary, needed, wanted)
        return math.inf if entries is None else sum(entry.cost for entry in entries)

    def _scale(self, wanted: Wanted) -> Mapping[str, float]:
        """What a demand is multiplied by to be held against a capacity: the margins."""
        if (known := self._scales.get(wanted)) is None:
            v = self.vehicle
            known = self._scales[wanted] = {
                aspect: 1.0 / (v.keep[aspect] * (1.0 if aspect in NOT_A_PART else wanted.used) * (1.0 + EXACT))
                for aspect in v.aspects
            }
        return known

    def _asked_by_goal(self, wanted: Wanted) -> Mapping[str, float]:
        """What the goal alone asks for, scaled; nothing where the gas path decides."""
        if (known := self._by_goal.get(wanted)) is None:
            v, scale = self.vehicle, self._scale(wanted)
            held, efficiency = v.held(wanted.goal), self._best_efficiency
            asked = {
                aspect: 0.0 if aspect in BY_POINT else by_power(aspect, v.standard, wanted.goal, held, efficiency)
                for aspect in v.aspects
            }
            # Nothing in the gas path changes this, but for the last digits.
            known = self._by_goal[wanted] = {a: value * (1.0 - EXACT) * scale[a] for a, value in asked.items()}
        return known

    @cached_property
    def _best_efficiency(self) -> float:
        """The best efficiency that the driveline can have."""
        path = "driveline.efficiency"
        best = self.vehicle.base[path]
        for options in self.vehicle.choices.values():
            best = max((best, *(after(best, path, option) for option in real(options))), key=lambda ends: ends[2])
        return best[2]

    def _bearing(self, primary: tuple[Option, ...], needed: Mapping[str, float], wanted: Wanted) -> list[Entry] | None:
        beside = self._beside(primary, wanted.level, wanted.without)
        for aspect, bears in beside.alone:
            if needed[aspect] > bears:
                return None
        entries = []
        for aspects, table in beside.tables:
            bearing = [needed[aspect] for aspect in aspects]
            for entry in table:
                if all(map(operator.ge, entry.able, bearing)):
                    entries.append(entry)
                    break
            else:
                return None
        return entries

    # The tables

    def _beside(self, primary: tuple[Option, ...], level: Level, without: frozenset[str]) -> _Beside:
        """What the vehicle bears where no supporting part helps, and the table of each group beside primary parts."""
        key = id(primary), level.able, without
        if (known := self._known.get(key)) is None:
            # It holds the parts themselves too, so that no other tuple takes their place in memory.
            known = self._known[key] = _Beside(
                primary,
                [(aspect, self.vehicle.able(aspect, primary)[level.able]) for aspect in self._ungrouped],
                [(group.aspects, self._table(group, primary, level, without)) for group in self.groups],
            )
        return known

    def _table(self, group: Group, primary: tuple[Option, ...], level: Level, without: frozenset[str]) -> list[Entry]:
        """What a group can be made into beside the primary parts, cheapest first, without what is never the best."""
        v = self.vehicle
        concerned = self._concerned(group)
        beside = tuple(option for option in primary if option.id in concerned)
        barred = frozenset(one for one in without if one.partition(".")[0] in group.members)
        key = (group.number, tuple(option.id for option in beside), level.able, barred)
        if (known := self._tables.get(key)) is not None:
            return known
        entries = []
        for combination in itertools.product(*(self._open(name, without) for name in group.members)):
            options = tuple(real(combination))
            # Conditions of the members on anything, and those of the gas path on members.
            present = (*primary, *options)
            if not (agree(options, present) and agree(beside, present, set(group.members))):
                continue
            everything = v.in_order((*primary, *options))
            cost = sum(v.price(option) for option in v.bought(options))
            strength = tuple(v.able(aspect, everything)[level.able] for aspect in group.aspects)
            entries.append(Entry(cost, options, strength))
        entries.sort(key=lambda e: (round(e.cost, 6), len(v.bought(e.options)), [option.id for option in e.options]))
        kept: list[Entry] = []
        for entry in entries:
            if not any(all(map(operator.ge, other.able, entry.able)) for other in kept):
                kept.append(entry)
        self._tables[key] = kept
        return kept

    def _concerned(self, group: Group) -> frozenset[str]:
        """The primary options that a group's table depends on: they share a limit or a condition with it."""
        if group.number not in self._relevant:
            v = self.vehicle
            shared = {one for aspect in group.aspects for one in v.touching[aspect]}
            members = set(group.members)
            found = set()
            for name in self.primary:
                for option in real(v.choices[name]):
                    tied = named(option.needs) & members or named(option.excludes) & members
                    wanted = any(
                        {option.id, name} & {*other.needs, *other.excludes}
                        for member in members
                        for other in real(v.choices[member])
                    )
                    if option.id in shared or tied or wanted:
                        found.add(option.id)
            self._relevant[group.number] = frozenset(found)
        return self._relevant[group.number]

    def _open(self, name: str, without: frozenset[str]) -> tuple[Option | None, ...]:
        fitted = self.vehicle.fitted
        return tuple(
            option
            for option in self.vehicle.choices[name]
            if option is None or option in fitted or option.id not in without
        )
