"""Understands the few questions that the planner asks; "I don't know" is an answer and takes a marked default."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calc import text, units
from calc.contract import Input, Quantity
from calc.plan.records import Catalogue, Figure, Option, Platform
from calc.plan.vehicle import Question
from calc.provenance import Grade
from calc.reading import BadInput, Problem, allowed, read

NAMES = (
    "platform",
    "use",
    "goal",
    "height",
    "temperature",
    "labour_rate",
    "budget",
    "fitted",
    "refused",
    "exempt",
    "samples",
    "seed",
)
LABEL = (
    "gross_vehicle_weight",
    "gross_combination_weight",
    "tow_rating",
    "gvwr",
    "gcwr",
    "axle_rating",
    "payload",
    "trailer",
    "mass",
    "weight",
)
_UNKNOWN = {"", "?", "unknown", "i don't know", "don't know", "dont know", "not known", "default"}
_NOTHING = {"none", "nothing", "no", "-"}
_MOST_SAMPLES = 20000
_RATE = Figure(90.0, 125.0, 160.0, "money/h", Grade.MEMORY)


@dataclass(frozen=True)
class Understood:
    """One input as understood: its text in each unit system, and whether it is a default."""

    us: str
    si: str
    default: bool
    note: str = ""
    ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class Asked:
    """A question with what was understood of each input, and the labour rate as a range where it is a default."""

    question: Question
    inputs: Mapping[str, Understood]
    labour_rate: Figure
    torque: bool


def _number(name: str, unit: str, us: str, si: str, low: float, high: float, **more: Any) -> Input:
    kind = Quantity(unit=unit, us=us, si=si, low=low, high=high, name=name, meaning=name, **more)
    return Input(name, kind, None)


def inputs(platform: Platform) -> dict[str, Input]:
    """The inputs that are numbers, with what is allowed on a platform."""
    rated = platform.figure("ratings.wheel_power").value
    return {
        "goal": _number("goal", "W", "hp", "kW", 0.5 * rated, 4.0 * rated),
        "torque": _number("goal", "N.m", "lbf.ft", "N.m", 100.0, 6000.0),
        "height": _number("height", "m", "ft", "m", -400.0, 5000.0),
        "temperature": _number("temperature", "K", "degF", "degC", 233.15, 328.15),
        "labour_rate": _number("labour_rate", "money/h", "money/h", "money/h", 0.0, 1000.0),
        "budget": _number("budget", "money", "money", "money", 0.0, 1e6),
        "samples": _number("samples", "1", "1", "1", 0.0, _MOST_SAMPLES, whole=True),
        "seed": _number("seed", "1", "1", "1", 0.0, 2**31, whole=True),
    }


def understand(catalogue: Catalogue, given: Mapping[str, str], system: str = "si") -> Asked:
    """The question that the texts mean. Raises BadInput for all that cannot be used, each with what is allowed."""
    return _Reader(catalogue, given, system).asked()


class _Reader:
    def __init__(self, catalogue: Catalogue, given: Mapping[str, str], system: str) -> None:
        self.catalogue, self.system = catalogue, system
        self.problems: list[Problem] = []
        self.given: dict[str, str] = {}
        self.understood: dict[str, Understood] = {}
        for name, typed in given.items():
            plain = name.strip().replace("-", "_")
            if plain in NAMES:
                self.given[plain] = typed.strip()
            else:
                self.problems.append(_no_such_input(name, typed, plain))

    def known(self, name: str) -> str:
        """The text of an input; empty where the reader does not know."""
        typed = self.given.get(name, "")
        return "" if typed.casefold() in _UNKNOWN else typed

    def say(
        self, name: str, us: str, si: str = "", *, default: bool, note: str = "", ids: tuple[str, ...] = ()
    ) -> None:
        self.understood[name] = Understood(us, si or us, default, note, ids)

    def asked(self) -> Asked:
        platform, variant = self.platform()
        use = self.one_of("use", self.catalogue.uses, next((u for u in self.catalogue.uses if "mixed" in u), ""))
        if not platform or not use:
            raise BadInput(self.problems)
        vehicle = self.catalogue.platforms[platform].as_variant(variant)
        known = inputs(vehicle)
        goal, torque = self.goal(vehicle, known)
        height = self.number("height", known, 0.0)
        temperature = self.number("temperature", known, 298.15)
        budget = self.number("budget", known, None, "no budget: the set with most margin may cost what it will")
        rate_range = self.catalogue.practice.get("labour-rate", _RATE)
        rate = self.number("labour_rate", known, rate_range.value) or 0.0
        if not self.understood.get("labour_rate", Understood("", "", True)).default:
            rate_range = Figure(rate, rate, rate, "money/h", Grade.MEMORY)
        fitted = self.fitted(platform, variant)
        refused = self.refused(fitted)
        exempt = self.exempt()
        samples = self.number("samples", known, 0.0, "none asked for") or 0.0
        seed = self.number("seed", known, 1.0)
        if self.problems:
            raise BadInput(self.problems)
        question = Question(
            platform=platform,
            variant=variant,
            use=use,
            goal=goal,
            height=height or 0.0,
            temperature=temperature or 298.15,
            labour_rate=rate,
            budget=budget,
            fitted=fitted,
            refused=refused,
            exempt=exempt,
            samples=round(samples),
            seed=round(seed or 0.0),
        )
        return Asked(question, self.understood, rate_range, torque)

    def one_of(self, name: str, ids: Mapping[str, Any], default: str) -> str:
        typed = self.known(name)
        if not typed:
            chosen = default if default in ids else next(iter(ids), "")
            if chosen:
                self.say(name, ids[chosen].title, default=True, ids=(chosen,))
            return chosen
        plain = typed.casefold().replace("_", "-").replace(" ", "-")
        for key, item in ids.items():
            if typed == key or plain == key or typed.casefold() == item.title.casefold():
                self.say(name, item.title, default=False, ids=(key,))
                return key
        self.problems.append(_unknown(name, typed, list(ids)))
        return ""

    def platform(self) -> tuple[str, str]:
        typed = self.known("platform")
        name, slash, variant = typed.partition("/")
        if not slash:
            return self.one_of("platform", self.catalogue.platforms, ""), ""
        platform = self.catalogue.platforms.get(name)
        if platform is None or variant not in platform.variants:
            known = [f"{key}/{one}" for key, item in self.catalogue.platforms.items() for one in item.variants]
            self.problems.append(_unknown("platform", typed, [*self.catalogue.platforms, *known]))
            return "", ""
        self.say("platform", platform.as_variant(variant).title, default=False, ids=(typed,))
        return name, variant

    def number(self, name: str, known: Mapping[str, Input], default: float | None, nothing: str = "") -> float | None:
        item = known[name]
        typed = self.known(name)
        if not typed or (name == "budget" and typed.casefold() in _NOTHING):
            value = default
        else:
            try:
                value = self._read(item, typed)
            except BadInput as bad:
                self.problems += bad.problems
                return default
        assert isinstance(item.kind, Quantity)
        if value is None or (not typed and nothing):
            self.say(name, nothing, default=True)
        else:
            us, si = (_shown(item.kind, value, system) for system in text.SYSTEMS)
            self.say(name, us, si, default=not typed)
        return value

    def _read(self, item: Input, typed: str) -> float:
        value = read(item, typed, self.system)
        if value.ranged or value.value is None:
            why = "one number is wanted, not a range" if value.ranged else "a number is wanted"
            raise BadInput([Problem(item.name, typed, allowed(item, self.system), why)])
        return float(value.value)

    def goal(self, platform: Platform, known: Mapping[str, Input]) -> tuple[float, bool]:
        typed = self.known("goal")
        if not typed:
            value = platform.figure("ratings.goal_power").value
            self._say_goal(known["goal"], value, default=True)
            return value, False
        torque = _measures_torque(typed)
        try:
            value = self._read(known["torque" if torque else "goal"], typed)
        except BadInput as bad:
            self.problems += bad.problems
            return 0.0, False
        if not torque:
            self._say_goal(known["goal"], value, default=False)
            return value, False
        item, torque_kind = known["goal"], known["torque"].kind
        assert isinstance(item.kind, Quantity)
        assert isinstance(torque_kind, Quantity)
        power = power_for_torque(platform, value)
        if not item.kind.low <= power <= item.kind.high:
            self.problems.append(
                Problem("goal", typed, allowed(item, self.system), "this torque goes with a power out of range")
            )
            return 0.0, True
        note = (
            "Torque at the flywheel, taken to keep the platform's own ratio of greatest torque to that at rated power."
        )
        us, si = (
            f"{_shown(torque_kind, value, s)}, which goes with {_shown(item.kind, power, s)} at the wheels"
            for s in text.SYSTEMS
        )
        self.say("goal", us, si, default=False, note=note)
        return power, True

    def _say_goal(self, item: Input, value: float, *, default: bool) -> None:
        assert isinstance(item.kind, Quantity)
        us, si = (f"{_shown(item.kind, value, system)} at the wheels" for system in text.SYSTEMS)
        self.say("goal", us, si, default=default)

    def _list(self, name: str) -> list[str]:
        typed = self.known(name)
        return (
            [] if typed.casefold() in _NOTHING else [one.strip() for one in re.split(r"[,;\s]+", typed) if one.strip()]
        )

    def _ids(self) -> list[str]:
        return [*self.catalogue.modifications, *self.catalogue.options]

    def fitted(self, platform: str, variant: str) -> tuple[str, ...]:
        found: dict[str, Option] = {}
        notes = []
        for one in self._list("fitted"):
            if one in self.catalogue.modifications:
                options = self.catalogue.modifications[one].options
                option = next(
                    (o for o in options if (o.fits or self.catalogue.modifications[one].fits).on(platform, variant)),
                    options[0],
                )
                if len(options) > 1:
                    notes.append(f"{one} is taken to be {option.id}.")
            elif one in self.catalogue.options:
                option = self.catalogue.options[one]
            else:
                self.problems.append(_unknown("fitted", one, self._ids()))
                continue
            if option.modification in found:
                self.problems.append(
                    Problem("fitted", one, "each modification once", f"{option.modification} is named twice")
                )
            found[option.modification] = option
        shown = ", ".join(option.title for option in found.values()) or "nothing"
        ids = tuple(option.id for option in found.values())
        self.say("fitted", shown, default=not self.known("fitted"), note=" ".join(notes), ids=ids)
        return ids

    def refused(self, fitted: tuple[str, ...]) -> frozenset[str]:
        found = self._list("refused")
        for one in found:
            if one not in self._ids():
                self.problems.append(_unknown("refused", one, self._ids()))
            elif one in fitted:
                self.problems.append(
                    Problem("refused", one, "parts that are not fitted", "the same part is named as fitted")
                )
        titles = {**{key: item.title for key, item in self.catalogue.modifications.items()}}
        titles |= {key: option.title for key, option in self.catalogue.options.items()}
        shown = ", ".join(titles.get(one, one) for one in found) or "nothing"
        self.say("refused", shown, default=not self.known("refused"), ids=tuple(found))
        return frozenset(found)

    def exempt(self) -> bool:
        typed = self.known("exempt").casefold()
        if typed not in ("", "yes", "no", "true", "false"):
            self.problems.append(Problem("exempt", typed, "yes, no", "no such answer"))
        answer = typed not in ("no", "false")
        shown = "parts that need an emission exemption may be chosen, with the exemption" if answer else "no such parts"
        self.say("exempt", shown, default=not typed, ids=("yes" if answer else "no",))
        return answer


def power_for_torque(platform: Platform, torque: float) -> float:
    """Power at the wheels (W) at rated speed that goes with a greatest torque at the flywheel (N.m)."""
    speed = platform.figure("ratings.rated_speed").value
    rise = platform.figure("ratings.torque").value * math.pi * speed / 30.0 / platform.figure("ratings.power").value
    return torque * math.pi * speed / 30.0 / rise * platform.figure("driveline.efficiency").value


def _measures_torque(typed: str) -> bool:
    match = re.search(r"\d[\d.,\s]*([^\d\s.,].*)$", typed)
    if not match:
        return False
    unit = re.sub(r"\s*\[[^\[\]]*\]\s*$", "", match[1]).strip()
    try:
        units.find(unit, "torque")
    except units.UnitError:
        return False
    return True


def _shown(kind: Quantity, value: float, system: str) -> str:
    symbol = kind.shown_unit(system)
    return text.quantity(units.convert(value, kind.unit, symbol), symbol, 4, trim=True)


def _unknown(name: str, typed: str, ids: list[str]) -> Problem:
    near = difflib.get_close_matches(typed.casefold(), ids, 2, 0.4)
    near = near or [one for one in ids if typed.casefold() and typed.casefold() in one][:2]
    hint = f", did you mean {' or '.join(near)}?" if near else ""
    return Problem(name, typed, ", ".join(one for one in ids if "." not in one), f"no such id{hint}")


def _no_such_input(name: str, typed: str, plain: str) -> Problem:
    if plain in LABEL:
        why = "a rating on the vehicle's own label is a stop, not an input: no part raises it"
        return Problem(name.strip(), typed, ", ".join(NAMES), why)
    near = difflib.get_close_matches(plain, NAMES, 1, 0.5)
    hint = f"no such input{f', did you mean {near[0]}?' if near else ''}"
    return Problem(name.strip() or "(no name)", typed, ", ".join(NAMES), hint)
