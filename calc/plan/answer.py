"""The planner's answer: what gives out first, which sets reach the goal, what they cost, and why each part is in them.

`plan` answers for a terminal or a test, `page_plan` for a page, with every text in both unit systems.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from calc import text
from calc.contract import Impossible
from calc.plan import demands, first, wording
from calc.plan.question import Asked, understand
from calc.plan.records import Catalogue, CatalogueError, Figure, Option
from calc.plan.sampling import likelihood
from calc.plan.search import END_STEP, EXACT, POSSIBLY, Found, Search, Step
from calc.plan.shown import Said, Shown, as_page, point
from calc.plan.vehicle import HOUR, Cancelled, Gas, Vehicle
from calc.provenance import Grade, weakest
from calc.reading import BadInput, Problem

Progress = Callable[[float, str], None]


def plan(
    catalogue: Catalogue,
    given: Mapping[str, str],
    system: str = "si",
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
    *,
    brief: bool = False,
) -> dict[str, Any]:
    """The answer to a question in typed texts, as a tree of plain values, `Shown` quantities and `Said` sentences.

    A `brief` answer leaves out the frontiers, unless the goal is out of reach, and the sets that rest on them.
    Raises BadInput for what cannot be understood, Cancelled when `cancelled` says so.
    """
    asked = understand(catalogue, given, system)
    try:
        return Answer(catalogue, asked, progress, cancelled).whole(brief=brief)
    except Impossible as problem:
        name = "height" if "height" in problem.inputs else "platform"
        typed = asked.inputs[name].si
        raise BadInput(
            [Problem(name, typed, "values for which the engine has an operating point", str(problem))]
        ) from None


def page_plan(
    catalogue: str | bytes | Mapping[str, Any],
    given: Mapping[str, str],
    system: str = "us",
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """What a page shows for typed texts, from the catalogue's JSON: every text in both unit systems.

    With `ok` true: `inputs` (what was understood, and whether it is a default) and `answer`. With `ok` false:
    `problems`, each naming its input. `progress` is called with a share (0 to 1) and a sentence; `cancelled` is asked
    often, and a cancelled question answers `{"ok": False, "cancelled": True, "problems": []}`.
    """
    try:
        known = _read(catalogue) if isinstance(catalogue, str | bytes) else Catalogue.read(catalogue)
        return {"ok": True, **as_page(plan(known, given, system, progress, cancelled))}
    except BadInput as bad:
        return {"ok": False, "problems": [page_problem(problem) for problem in bad.problems]}
    except CatalogueError as error:
        return {
            "ok": False,
            "problems": [
                {"input": "catalogue", "given": "", "allowed": "what the build writes", "message": str(error)}
            ],
        }
    except Cancelled:
        return {"ok": False, "cancelled": True, "problems": []}


@lru_cache(maxsize=2)
def _read(source: str | bytes) -> Catalogue:
    return Catalogue.read(source)


def page_problem(problem: Problem) -> dict[str, str]:
    """A problem as a page shows it beside its input."""
    return {
        "input": problem.name,
        "given": problem.given,
        "allowed": problem.allowed,
        "message": f"{problem.why[:1].upper()}{problem.why[1:]}. Allowed: {problem.allowed}.",
    }


@dataclass(frozen=True)
class _Row:
    """One limit at one operating point: the aspect of it that is closest, and how it stands."""

    limit: str
    aspect: str
    share: tuple[float, float, float]
    state: str
    within: str


class Answer:
    """One question being answered: `vehicle` and `search` hold what was solved on the way."""

    def __init__(
        self,
        catalogue: Catalogue,
        asked: Asked,
        progress: Progress | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> None:
        self.asked, self.question = asked, asked.question
        self._progress = progress
        self.say(0.02, "Solving the vehicle as it is sold …")
        self.vehicle = Vehicle(catalogue, self.question, cancelled)
        self.search = Search(self.vehicle)
        self.goal = self.question.goal
        self.platform = self.vehicle.platform

    def say(self, share: float, sentence: str) -> None:
        """Tell how far the answer is: a share and what is done next."""
        if self._progress is not None:
            self._progress(share, sentence)

    # The whole

    def whole(self, *, brief: bool = False) -> dict[str, Any]:
        """The answer as a tree of plain values, `Shown` quantities and `Said` sentences."""
        v, search, goal = self.vehicle, self.search, self.goal
        now = v.in_order(v.fitted)
        standard = first.first_to_give_out(v, now)
        stop = self._label_stop()
        cheapest: Found | None = None
        steps: list[Step] = []
        margins: list[Step] = []
        if not stop and brief:
            self.say(0.1, "Looking for the cheapest set …")
            cheapest = search.cheapest(goal)
        if not stop and cheapest is None:
            self.say(0.1, "Cost against goal …")
            steps = search.by_goal(self._first_goal()) or search.by_goal(0.8 * self._first_goal(), goal)
            cheapest = search.cheapest(goal)
            if cheapest is not None and not brief:
                self.say(0.7, "Cost against margin …")
                margins = search.by_margin(goal)
        plans = self._plans(cheapest, steps, margins, stop, brief=brief)
        self.say(0.9, "Writing the answer …")
        highest = steps[-1] if steps else None
        return {
            "platform": {"id": self.question.platform, "variant": self.question.variant, "title": self.platform.title},
            "use": {"id": v.use.id, "title": v.use.title, "summary": v.use.summary},
            "goal": self._power(goal),
            "inputs": self._inputs(),
            "reached": cheapest is not None,
            "certainty": self._certainty_of(cheapest, stop),
            "summary": self._summary(cheapest, highest, stop),
            "standard": self._standard(standard, now),
            "at_goal": self._at_goal(now),
            "plans": plans,
            "do_nothing": self._do_nothing(now),
            "maintain_first": {
                "title": "Maintain first",
                "summary": "A worn vehicle spends its margin before any power is added. What is listed costs little, "
                "and its measurements are the baseline for everything else.",
                "steps": list(wording.MAINTAIN),
            },
            "frontier": {
                "goal": [self._goal_step(steps, index) for index in range(len(steps))],
                "margin": [self._margin_step(step) for step in margins],
                "expensive": self._expensive(steps),
                "goal_step": replace(self._power(search.goal_step), digits=2),
            },
            "highest": None if highest is None else self._power(highest.reach),
            "in_the_way": self._in_the_way(cheapest, highest, stop),
            "too_close": self._too_close(standard, plans),
            "left_out": [{"id": one.part, "title": one.title, "why": one.why} for one in v.left],
            "stops": self._stops(stop),
            "notes": list(wording.NOTES),
            "solutions": v.balances,
        }

    def _first_goal(self) -> float:
        """The first goal of the frontier: rated power or a little more, in whole steps below the goal."""
        goal, step = self.goal, self.search.goal_step
        return goal - max(0, math.floor((goal - self.vehicle.standard.power) / step)) * step

    def _inputs(self) -> dict[str, Any]:
        return {
            name: {"understood": Said(u.us, u.si), "default": u.default, "note": u.note, "ids": list(u.ids)}
            for name, u in self.asked.inputs.items()
        }

    def _certainty_of(self, cheapest: Found | None, stop: str) -> str:
        if stop:
            return "certainly not"
        if cheapest is not None:
            return "certainly"
        return "possibly" if self.search.cheapest(self.goal, POSSIBLY) else "certainly not"

    def _summary(self, cheapest: Found | None, highest: Step | None, stop: str) -> Said:
        use = wording.inside(self.vehicle.use.title)

        def sentence(system: str) -> str:
            goal = self._power(self.goal).text(system)
            if stop:
                return stop
            if cheapest is None:
                if highest is None:
                    return f"No set of parts reaches {goal} at the wheels with the margins of {use}."
                most = self._power(highest.reach).text(system)
                return (
                    f"No set of parts reaches {goal} at the wheels with the margins of {use}; the highest goal that "
                    f"one reaches is {most}."
                )
            if not cheapest.bought:
                return f"The vehicle reaches {goal} at the wheels as it stands, with the margins of {use}."
            cost = self._cost(cheapest.bought).text(system)
            return f"{goal} at the wheels with the margins of {use} costs {cost}, parts and labour."

        return Said.by(sentence)

    # Limits

    def _rows(self, options: Sequence[Option], gas: Gas) -> list[_Row]:
        v = self.vehicle
        rows: dict[str, _Row] = {}
        for aspect in v.aspects:
            share = v.share(aspect, gas.asks[aspect], options)
            keep = v.keep[aspect] * (1.0 + EXACT)
            state = "clear" if share[2] <= 1.0 + EXACT else "beyond" if share[0] > 1.0 + EXACT else "doubtful"
            within = "certainly" if share[2] <= keep else "certainly not" if share[0] > keep else "possibly"
            row = _Row(demands.limit_of(aspect), aspect, share, state, within)
            if row.limit not in rows or share[2] > rows[row.limit].share[2]:
                rows[row.limit] = row
        return sorted(rows.values(), key=lambda row: -row.share[2] / v.keep[row.aspect])

    def _limits(self, options: Sequence[Option], gas: Gas) -> list[dict[str, Any]]:
        return [self._limit(row, options, gas) for row in self._rows(options, gas)]

    def _limit(self, row: _Row, options: Sequence[Option], gas: Gas) -> dict[str, Any]:
        v = self.vehicle
        measure, known = demands.measure(row.aspect), self.platform.limits.get(row.limit)
        margin = v.use.margin(row.limit)
        return {
            "limit": row.limit,
            "part": wording.title(self.platform, row.aspect),
            "measure": measure.name,
            "share": _share(row.share),
            "allowed": v.keep[row.aspect],
            "margin_why": margin.why if margin else "",
            "state": row.state,
            "pattern": wording.PATTERNS[row.state],
            "state_text": wording.STATES[row.state],
            "within": row.within,
            "asked": self._measured(row.aspect, gas.asks[row.aspect], options),
            "able": self._measured(row.aspect, v.able(row.aspect, options), options),
            "observed": self._observed(row.limit),
            "first_sign": known.first_sign if known else "",
            "why": known.why if known else "",
            "measurement": wording.measurement(row.aspect),
            "grade": self._grade(row.aspect, options).value,
        }

    def _measured(self, aspect: str, ends: tuple[float, float, float], options: Sequence[Option]) -> Shown | None:
        if not all(map(math.isfinite, ends)):
            return None
        measure = demands.measure(aspect)
        values = [demands.shown(aspect, end, self.vehicle.ambient.temperature) for end in ends]
        grade = self._grade(aspect, options)
        return Shown(min(values), values[1], max(values), measure.unit, measure.us, measure.si, grade, measure.digits)

    def _observed(self, limit: str) -> Shown | None:
        known = self.platform.limits.get(limit)
        if known is None or known.wheel_power is None:
            return None
        figure = known.wheel_power
        return Shown(*figure.ends, "W", "hp", "kW", figure.grade)

    def _grade(self, aspect: str, options: Iterable[Option]) -> Grade:
        return self.vehicle.grade(aspect, options)

    # Plans

    def _plans(
        self, cheapest: Found | None, steps: Sequence[Step], margins: Sequence[Step], stop: str, *, brief: bool
    ) -> list[dict[str, Any]]:
        if stop:
            return []
        plans = []
        if cheapest is not None:
            plans.append(self._plan("cheapest", "The cheapest set that keeps the margins", cheapest))
            affordable = [step.found for step in margins if self._affordable(step.found)]
            if affordable:
                within = "for the budget" if self.question.budget is not None else "without a budget"
                plans.append(self._plan("most-margin", f"The most margin {within}", affordable[-1]))
            runner = None if brief else self._runner_up(cheapest)
            if runner is not None:
                plans.append(self._plan("runner-up", "The cheapest set without one of those parts", runner))
        elif steps:
            plans.append(self._plan("highest", "The set that reaches the highest goal", steps[-1].found))
        possible = self.search.cheapest(self.goal, POSSIBLY)
        if possible is not None and (cheapest is None or possible.cost < cheapest.cost - 1e-6):
            plans.append(self._plan("possible", "Cheaper, but only possibly within the limits", possible))
        return plans

    def _affordable(self, found: Found) -> bool:
        return self.question.budget is None or found.cost <= self.question.budget + 1e-6

    def _runner_up(self, cheapest: Found) -> Found | None:
        """The cheapest set that does without one of the modifications of the cheapest, in whatever size."""
        sizes = {
            option.modification: frozenset(
                one.id for one in self.vehicle.catalogue.modifications[option.modification].options
            )
            for option in cheapest.bought
        }
        others = [self.search.cheapest(self.goal, without=without) for without in sizes.values()]
        return min((one for one in others if one is not None), key=lambda one: one.key, default=None)

    def _plan(self, kind: str, title: str, found: Found) -> dict[str, Any]:
        v = self.vehicle
        rows = self._rows(found.options, found.gas)
        judged = [row.within for row in rows]
        certainty = next((word for word in ("certainly not", "possibly") if word in judged), "certainly")
        budget = self.question.budget
        cost = self._cost(found.bought)
        return {
            "kind": kind,
            "title": title,
            "goal": self._power(found.goal),
            "modifications": [option.id for option in found.bought],
            "parts": [self._part(option, found) for option in found.bought],
            "cost": cost,
            "parts_cost": self._money(found.bought, "parts"),
            "labour": self._hours(found.bought),
            "labour_cost": self._money(found.bought, "labour"),
            "within_budget": None
            if budget is None
            else "certainly"
            if cost.high <= budget
            else "possibly"
            if cost.low <= budget
            else "certainly not",
            "limits": self._limits(found.options, found.gas),
            "certainty": certainty,
            "closest": self._closest(rows),
            "operating_point": self._operating_point(found),
            "extra_fuel": self._extra_fuel(found),
            "likelihood": self._likelihood(found),
            "why_not_less": v.use.title,
        }

    def _part(self, option: Option, found: Found) -> dict[str, Any]:
        item = self.vehicle.catalogue.modifications[option.modification]
        return {
            "id": option.id,
            "modification": option.modification,
            "title": option.title,
            "kind": item.kind,
            "why": self._why(option, found),
            "cost": self._money((option,), "parts"),
            "labour": self._hours((option,)),
            "emission_status": item.emission_status,
            "difficulty": str(item.facts.get("difficulty", "")),
            "reversibility": str(item.facts.get("reversibility", "")),
            "note": option.note,
        }

    def _why(self, option: Option, found: Found) -> Said:
        """What would happen without a part: the limit that it keeps, the part that needs it, or the room it makes."""
        v = self.vehicle
        needing = [
            wording.part(v.catalogue, other)
            for other in found.options
            if {option.id, option.modification} & set(other.needs)
        ]
        alone = tuple(one for one in found.options if one.id != option.id)
        stood = tuple(one for one in v.fitted if one.modification == option.modification)
        rest = v.in_order((*alone, *stood))
        gas = v.gas(v.gas_parameters(rest), found.goal)
        before, after = {r.limit: r for r in self._rows(found.options, found.gas)}, self._rows(rest, gas)
        use = wording.inside(v.use.title)
        for row in after:
            if row.within != "certainly" and before[row.limit].within == "certainly":
                return Said.by(lambda system, row=row: self._lost(row, rest, gas, use, needing, system))  # type: ignore[misc]
        if needing:
            names = wording.listed(needing)
            verb = "needs" if len(needing) == 1 else "need"
            return Said.by(lambda _: f"{names[:1].upper()}{names[1:]} {verb} it.")
        moved = max(after, key=lambda row: row.share[2] - before[row.limit].share[2], default=None)
        if moved is None or moved.share[2] - before[moved.limit].share[2] < 1e-4:
            return Said.by(lambda _: "It changes no limit that is held here.")
        had = before[moved.limit]
        part = wording.inside(wording.title(self.platform, moved.aspect))
        return Said.by(
            lambda _: (
                f"It makes room: {part} would stand at {_per_cent(moved.share[2])} of its limit without it, and "
                f"stands at {_per_cent(had.share[2])} with it."
            )
        )

    def _lost(self, row: _Row, rest: Sequence[Option], gas: Gas, use: str, needing: Sequence[str], system: str) -> str:
        part = wording.inside(wording.title(self.platform, row.aspect))
        names, verb = wording.listed(needing), "needs" if len(needing) == 1 else "need"
        needed = f" {names[:1].upper()}{names[1:]} {verb} it too." if needing else ""
        if row.limit == "calibration":
            able = self._measured(row.aspect, self.vehicle.able(row.aspect, rest), rest)
            asks = able.text(system) if able else "less"
            return f"Without it the control unit asks for {asks} at the wheels and no more.{needed}"
        if not math.isfinite(row.share[2]):
            return f"Without it there is no operating point at this goal: {gas.refusal}{needed}"
        allowed = _per_cent(self.vehicle.keep[row.aspect])
        return (
            f"Without it, {part} would stand at {_range(row.share)} of what it bears; {use} allows {allowed}.{needed}"
        )

    def _closest(self, rows: Sequence[_Row]) -> Said:
        row = next((row for row in rows if row.limit not in demands.NOT_A_PART), rows[0])
        part = wording.title(self.platform, row.aspect)
        return Said.by(
            lambda _: f"Closest to its limit: {wording.inside(part)}, {_range(row.share)} used, {row.state}."
        )

    def _operating_point(self, found: Found) -> dict[str, Any] | None:
        at = found.gas.point
        if at is None:
            return None
        grade = self.vehicle.gas_grade(found.options)

        def shown(value: float, unit: str, us: str, si: str, digits: int = 3) -> Shown:
            return point(value, unit, us, si, grade, digits)

        return {
            "boost": shown(at.boost, "Pa", "psi", "kPa"),
            "drive_ratio": None if at.drive_to_boost is None else shown(at.drive_to_boost, "1", "1", "1"),
            "egt": shown(at.turbine_inlet_temperature, "K", "degF", "degC", 4),
            "lambda": shown(at.excess_air_ratio, "1", "1", "1"),
            "fuel": shown(at.fuel_flow, "kg/s", "lb/h", "kg/h"),
            "air": shown(at.air_flow, "kg/s", "lb/min", "kg/s"),
            "charge_temperature": shown(at.manifold_temperature, "K", "degF", "degC"),
            "back_pressure": shown(at.back_pressure, "Pa", "psi", "kPa"),
            "crank_power": shown(at.brake_power, "W", "hp", "kW"),
            "speed": shown(at.speed, "r/min", "r/min", "r/min", 4),
            "boost_set_by": _REGIMES.get(found.gas.regime, found.gas.regime),
        }

    def _extra_fuel(self, found: Found) -> dict[str, Any] | None:
        """How much more fuel than standard the plan burns, and how much less than the standard vehicle would there."""
        v, at = self.vehicle, found.gas.point
        if at is None:
            return None
        grade = self.vehicle.gas_grade(found.options)
        more = at.fuel_flow / v.standard.point.fuel_flow - 1.0
        plain = v.gas(v.base, found.goal).point
        saved = None if plain is None else 1.0 - at.fuel_flow / plain.fuel_flow
        cooler = None if plain is None else plain.turbine_inlet_temperature - at.turbine_inlet_temperature

        def sentence(system: str) -> str:
            words = f"{_signed(more)} fuel at full load over standard"
            if saved is None or cooler is None:
                return f"{words}."
            change = point(abs(cooler), "delta_K", "delta_degF", "delta_K", grade, 2).text(system)
            how = "cooler" if cooler >= 0.0 else "hotter"
            return (
                f"{words}; {_signed(-saved)} against the standard gas path pushed to the same goal, and an exhaust "
                f"{change} {how}."
            )

        return {
            "over_standard": more,
            "saved": saved,
            "sentence": Said.by(sentence),
        }

    def _likelihood(self, found: Found) -> dict[str, Any] | None:
        samples, seed = self.question.samples, self.question.seed
        if not samples:
            return None
        self.say(0.92, "Sampling …")
        drawn = likelihood(
            self.vehicle, found, samples, seed, lambda share: self.say(0.92 + 0.06 * share, "Sampling …")
        )
        worst = min(drawn.by_aspect, key=lambda aspect: drawn.by_aspect[aspect])
        part = wording.inside(wording.title(self.platform, worst))
        return {
            "share": drawn.within / samples,
            "samples": samples,
            "seed": seed,
            "sentence": Said.by(
                lambda _: (
                    f"{_per_cent(drawn.within / samples)} of {samples:,} samples (seed {seed}) keep every limit, each "
                    f"range drawn from evenly and by itself, margins left out. Passed most often: {part}, in "
                    f"{_per_cent(1.0 - drawn.by_aspect[worst] / samples)}."
                )
            ),
        }

    # Standard, goal, nothing

    def _standard(self, standard: Sequence[first.Place], now: Sequence[Option]) -> dict[str, Any]:
        gas = self.vehicle.gas(self.vehicle.gas_parameters(now), self.vehicle.standard.power)
        rows = [
            {
                "limit": demands.limit_of(place.aspect),
                "part": wording.title(self.platform, place.aspect),
                "wheel_power": None if place.likely is None else self._place(place),
                "from": None if place.weak is None else self._power(place.weak),
                "observed": self._observed(demands.limit_of(place.aspect)),
                "sentence": self._place_said(place),
            }
            for place in standard
        ]
        leader = standard[0] if standard else None
        return {
            "first": demands.limit_of(leader.aspect) if leader and leader.weak is not None else None,
            "sentence": self._leader_said(leader),
            "places": rows,
            "limits": self._limits(now, gas),
        }

    def _place(self, place: first.Place) -> Shown:
        grade = self._grade(place.aspect, self.vehicle.fitted)
        assert place.likely is not None
        low = place.weak if place.weak is not None else place.likely
        high = place.strong if place.strong is not None else place.likely
        return Shown(low, place.likely, high, "W", "hp", "kW", grade)

    def _place_said(self, place: first.Place) -> Said:
        def sentence(system: str) -> str:
            if place.weak is None:
                return f"Not reached up to {self._power(place.searched).text(system)}."
            if place.strong is None:
                return f"From {self._power(place.weak).text(system)} on, at the earliest."
            return f"Reached at {self._place(place).text(system)}."

        return Said.by(sentence)

    def _leader_said(self, leader: first.Place | None) -> Said:
        def sentence(system: str) -> str:
            if leader is None or leader.weak is None:
                return "Nothing gives out within the powers that were looked at."
            part = wording.title(self.platform, leader.aspect)
            if leader.likely is None:
                return f"First to give out: {wording.inside(part)}, from {self._power(leader.weak).text(system)} on."
            return f"First to give out: {wording.inside(part)}, at {self._place(leader).text(system)} at the wheels."

        return Said.by(sentence)

    def _at_goal(self, now: Sequence[Option]) -> dict[str, Any]:
        v = self.vehicle
        gas = v.gas(v.gas_parameters(now), self.goal)
        rows = [row for row in self._rows(now, gas) if row.limit != "calibration"]
        beyond = [wording.inside(wording.title(self.platform, row.aspect)) for row in rows if row.state == "beyond"]
        doubtful = [wording.inside(wording.title(self.platform, row.aspect)) for row in rows if row.state == "doubtful"]
        words = []
        if gas.point is None:
            words.append(f"The vehicle as it stands has no operating point at the goal. {gas.refusal}")
        if beyond:
            words.append(f"Beyond at the goal: {wording.listed(beyond)}.")
        if doubtful:
            words.append(f"Doubtful at the goal: {wording.listed(doubtful)}.")
        sentence = " ".join(words) or "Every part of the vehicle as it stands bears the goal."
        return {"limits": self._limits(now, gas), "sentence": sentence, "refusal": gas.refusal}

    def _do_nothing(self, now: Sequence[Option]) -> dict[str, Any]:
        v = self.vehicle
        power = v.standard.power
        gas = v.gas(v.gas_parameters(now), power)
        rows = [row for row in self._rows(now, gas) if row.limit not in demands.NOT_A_PART]
        uneasy = [row for row in rows if row.within != "certainly"]
        words = (
            "Every limit keeps the margin of this use."
            if not uneasy
            else (
                "Even so the margin of this use is not certain for "
                f"{wording.listed([wording.inside(wording.title(self.platform, row.aspect)) for row in uneasy])}."
            )
        )
        return {
            "title": "Do nothing",
            "modifications": [],
            "cost": point(0.0, "money", "money", "money", Grade.INVENTED),
            "power": self._power(power),
            "limits": self._limits(now, gas),
            "summary": Said.by(lambda system: f"{self._power(power).text(system)} at the wheels, as sold. {words}"),
        }

    # Frontiers

    def _goal_step(self, steps: Sequence[Step], index: int) -> dict[str, Any]:
        step = steps[index]
        return {
            "goal": self._power(step.reach),
            "from": self._power(steps[index - 1].reach if index else min(self.goal, self.vehicle.standard.power)),
            "cost": self._cost(step.found.bought),
            "modifications": [option.id for option in step.found.bought],
        }

    def _margin_step(self, step: Step) -> dict[str, Any]:
        rows = self._rows(step.found.options, step.found.gas)
        return {
            "used": step.used,
            "spare": 1.0 - step.used,
            "cost": self._cost(step.found.bought),
            "modifications": [option.id for option in step.found.bought],
            "within_budget": self._affordable(step.found),
            "closest": self._closest(rows),
        }

    def _expensive(self, steps: Sequence[Step]) -> dict[str, Any] | None:
        """The step of the goal at which the next horsepower costs most at once."""
        jumps = [
            (after.found.cost - before.found.cost, index)
            for index, (before, after) in enumerate(itertools.pairwise(steps))
        ]
        if not jumps:
            return None
        jump, index = max(jumps)
        before, after = steps[index], steps[index + 1]
        beyond = min(before.reach + self.search.goal_step, after.reach)
        reach = self.search.furthest(before.found, beyond)
        blocked = self.search.stopped_by(before.found, beyond) or ("calibration",)
        names = [wording.inside(wording.title(self.platform, aspect)) for aspect in blocked]
        known = self.vehicle.catalogue
        added = [wording.part(known, o) for o in after.found.bought if o not in before.found.bought]
        removed = [wording.part(known, o) for o in before.found.bought if o not in after.found.bought]
        cost = point(jump, "money", "money", "money", Grade.INVENTED)

        def sentence(system: str) -> str:
            at, to = (self._power(value).text(system) for value in (reach, beyond))
            instead = f" in place of {wording.listed(removed)}" if removed else ""
            return (
                f"Beyond {at} the cost jumps, by about {cost.text(system)} for {to}: {wording.listed(names)} would "
                f"pass what this use allows. The cheapest answer to it is {wording.listed(added)}{instead}."
            )

        return {
            "index": index + 1,
            "goal": self._power(reach),
            "jump": cost,
            "limits": [demands.limit_of(aspect) for aspect in blocked],
            "added": [o.id for o in after.found.bought if o not in before.found.bought],
            "removed": [o.id for o in before.found.bought if o not in after.found.bought],
            "sentence": Said.by(sentence),
        }

    def _in_the_way(self, cheapest: Found | None, highest: Step | None, stop: str) -> list[dict[str, Any]]:
        """What stops the vehicle at its highest goal, when the goal asked for is out of reach."""
        if stop:
            return [{"limit": "label", "part": "Rating on the label", "sentence": stop}]
        if cheapest is not None:
            return []
        v = self.vehicle
        options = highest.found.options if highest else v.in_order(v.fitted)
        reach = highest.reach if highest else self.goal
        found = []
        for aspect in self.search.stopped_by(
            highest.found if highest else Found(v, options, (), 0.0, reach),
            reach + END_STEP if highest else reach,
        ):
            able = self._measured(aspect, v.able(aspect, options), options)
            part = wording.title(self.platform, aspect)
            measure = demands.measure(aspect).name

            def sentence(system: str, able: Shown | None = able, part: str = part, measure: str = measure) -> str:
                bears = able.text(system) if able else "what it is"
                return (
                    f"{part}: it bears {bears} ({measure}), and nothing that may be chosen here lets the vehicle "
                    "go further within the margins of this use."
                )

            found.append({"limit": demands.limit_of(aspect), "part": part, "sentence": Said.by(sentence)})
        return found

    # Doubt

    def _too_close(self, standard: Sequence[first.Place], plans: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
        found = []
        placed = [place for place in standard if place.weak is not None]
        if len(placed) > 1 and (placed[0].strong is None or (placed[1].weak or 0.0) <= placed[0].strong):
            one, two = placed[0].aspect, placed[1].aspect
            widest = max((placed[0], placed[1]), key=first.width)
            titles = [wording.inside(wording.title(self.platform, aspect)) for aspect in (one, two)]
            found.append(
                {
                    "what": "first-to-give-out",
                    "between": [demands.limit_of(one), demands.limit_of(two)],
                    "measurement": wording.measurement(widest.aspect),
                    "sentence": f"Too close to call which gives out first, {titles[0]} or {titles[1]}: their ranges "
                    f"overlap. What would settle it: {wording.measurement(widest.aspect)}.",
                }
            )
        by_kind = {plan["kind"]: plan for plan in plans}
        if "cheapest" in by_kind:
            found += [
                close
                for kind in ("runner-up", "possible")
                if kind in by_kind
                for close in self._close_plans(by_kind["cheapest"], by_kind[kind])
            ]
        return found

    def _close_plans(self, one: Mapping[str, Any], other: Mapping[str, Any]) -> list[dict[str, Any]]:
        cost, rival = one["cost"], other["cost"]
        if other["kind"] == "runner-up" and rival.low > cost.high:
            return []
        different = set(one["modifications"]) ^ set(other["modifications"])
        v = self.vehicle
        concerned = [aspect for aspect in v.aspects if v.touching[aspect] & different]
        # Parts of the gas path touch the aspects of the operating point.
        if not concerned:
            concerned = [aspect for aspect in v.aspects if aspect in demands.BY_POINT]
        options = v.in_order(v.catalogue.options[name] for name in one["modifications"])

        def doubt(aspect: str) -> float:
            weak, likely, strong = v.able(aspect, options)
            return (strong - weak) / likely

        settle = max(concerned, key=doubt)
        names = [wording.part(v.catalogue, v.catalogue.options[name]) for name in sorted(different)]
        if other["kind"] == "possible":
            sentence = (
                f"Whether {wording.listed(names)} {'is' if len(names) == 1 else 'are'} needed hangs on where "
                f"this vehicle lies in its ranges. What would settle it: {wording.measurement(settle)}."
            )
        else:
            sentence = (
                "The two cheapest sets lie within each other's price: they differ in "
                f"{wording.listed(names)}. Firm prices settle the cost; {wording.measurement(settle)} settles "
                "which is the better answer."
            )
        return [
            {
                "what": "plans",
                "between": [one["kind"], other["kind"]],
                "measurement": wording.measurement(settle),
                "sentence": sentence,
            }
        ]

    # The label

    def _label_stop(self) -> str:
        """Why the use itself is beyond the vehicle's label; empty when it is not."""
        load = self.vehicle.use.load
        if load is None:
            return ""
        rated = self.platform.figure("ratings.gross_combination_weight").value
        if demands.tow_mass(load, self.platform) <= rated * (1.0 + 1e-9):
            return ""
        return (
            "This use pulls more than the vehicle's label allows, vehicle and trailer together. No part raises a "
            "rating on the label, so there is no plan for it."
        )

    def _stops(self, stop: str) -> list[dict[str, Any]]:
        names = {
            "gross_vehicle_weight": "Gross vehicle weight rating",
            "gross_combination_weight": "Gross combination weight rating",
            "tow_rating": "Tow rating",
        }
        return [
            {
                "rating": key,
                "title": title,
                "value": _figure(self.platform.figure(f"ratings.{key}"), "lb", "kg"),
                "sentence": stop or "On the vehicle's label: no part in any plan raises it.",
            }
            for key, title in names.items()
            if f"ratings.{key}" in self.platform.figures
        ]

    # Money and hours

    def _power(self, value: float) -> Shown:
        return point(value, "W", "hp", "kW", self.platform.figure("ratings.wheel_power").grade)

    def _hours(self, options: Iterable[Option]) -> Shown:
        figures = [option.labour for option in options]
        return self._sum(figures, "s", "h")

    def _money(self, options: Iterable[Option], what: str) -> Shown:
        if what == "parts":
            return self._sum([option.parts_cost for option in options], "money", "money")
        hours = [option.labour for option in options]
        rate = self.asked.labour_rate
        low, value, high = (
            sum(figure.ends[end] for figure in hours)
            / HOUR
            * (rate.ends[end] if end != 1 else self.question.labour_rate)
            for end in range(3)
        )
        grade = weakest((rate.grade, *(figure.grade for figure in hours)))
        return Shown(low, value, high, "money", "money", "money", grade)

    def _cost(self, options: Sequence[Option]) -> Shown:
        parts, labour = self._money(options, "parts"), self._money(options, "labour")
        grade = weakest((parts.grade, labour.grade))
        return Shown(
            parts.low + labour.low,
            parts.value + labour.value,
            parts.high + labour.high,
            "money",
            "money",
            "money",
            grade,
        )

    def _sum(self, figures: Sequence[Figure], unit: str, symbol: str) -> Shown:
        grade = weakest(figure.grade for figure in figures) if figures else Grade.INVENTED
        low, value, high = (sum(figure.ends[end] for figure in figures) for end in range(3))
        return Shown(low, value, high, unit, symbol, symbol, grade)


_REGIMES = {
    "held": "the vanes or the wastegate, with authority left",
    "smallest": "the turbine with its vanes shut: it cannot hold more boost",
    "largest": "the turbine with its vanes open: it makes more boost than the calibration asks for",
    "fixed": "the turbine as it is",
}


def _figure(figure: Figure, us: str, si: str) -> Shown:
    return Shown(*figure.ends, figure.unit, us, si, figure.grade, 4)


def _share(share: tuple[float, float, float]) -> dict[str, float | None]:
    return {
        name: value if math.isfinite(value) else None
        for name, value in zip(("low", "value", "high"), share, strict=True)
    }


def _per_cent(value: float) -> str:
    return text.with_unit(f"{100.0 * value:.0f}", "%")


def _signed(value: float) -> str:
    return f"{'+' if value >= 0.0 else text.MINUS}{abs(100.0 * value):.1f}{text.NO_BREAK}%"


def _range(share: tuple[float, float, float]) -> str:
    low, _, high = share
    if not math.isfinite(high):
        return "more than it can be"
    if round(100 * low) == round(100 * high):
        return _per_cent(high)
    return f"{100.0 * low:.0f} to {_per_cent(high)}"
