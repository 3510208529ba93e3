"""The words that the planner has for limits: what each is called in a sentence, and the measurement that settles it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from calc.plan.demands import TITLES, limit_of
from calc.plan.records import Catalogue, Option, Platform

STATES: Mapping[str, str] = {
    "clear": "clear: even the weakest of its kind bears it",
    "doubtful": "doubtful: one bears it, another does not",
    "beyond": "beyond: even the strongest of its kind does not bear it",
}
PATTERNS: Mapping[str, str] = {"clear": "plain", "doubtful": "hatched", "beyond": "crossed"}

MEASUREMENTS: Mapping[str, str] = {
    "calibration": "a pull on a dynamometer with the calibration as it is",
    "transmission": "line pressure at full load with a gauge on the test port, and the clutches' slip in a log of the "
    "control unit",
    "converter": "engine speed against input-shaft speed with the converter locked, at full load",
    "driveshaft": "the driveshaft's size, wall and joints against its maker's table",
    "turbocharger": "boost and the restriction before the compressor at full load; shaft speed where there is a sensor",
    "exhaust-temperature": "a pyrometer before the turbine, read at the end of a long pull",
    "drive-pressure": "a pressure gauge before the turbine beside the boost gauge, at full load",
    "smoke": "lambda at the tailpipe, or an opacity test, at full load",
    "charge-cooler": "the temperature in the intake manifold at the end of a long pull",
    "injectors": "injection duration at rated speed and full load in a log of the control unit",
    "high-pressure-pump": "rail pressure asked for and delivered, at rated speed and full load",
    "lift-pump": "feed pressure at the high-pressure pump's inlet, at full load, with the filter as it is",
    "head-clamping": "a combustion-gas test of the coolant after a long pull, and the fasteners' tightening record",
    "coolant": "coolant temperature at the end of a long grade with the trailer on",
    "transmission-heat": "fluid temperature in the pan at the end of a long grade with the trailer on",
}

MAINTAIN = (
    "Fresh air and fuel filters, and the restriction before the compressor measured at full load.",
    "A leak test of the charge pipes and the cooler, with all clamps looked at.",
    "Transmission fluid by the maker's interval, and line pressure within its band.",
    "A log of rail pressure, feed pressure, boost and exhaust temperature on one full-load pull, as a baseline.",
    "Coolant, belts, tyres, brakes and the driveline's joints: more power asks more of all of them.",
)

NOTES = (
    "The engine is solved at rated speed and full load, the boost held at the calibration's lambda as long as the "
    "turbine has authority; transients, pulse energy and combustion timing are left out.",
    "Torque is taken to grow with power in the platform's own ratio of greatest torque to torque at rated power.",
    "Within its flow limit the compressor is taken to keep its efficiency; beyond it the limit is passed.",
    "Sets are compared by one number: likely price of the parts and likely hours at the labour rate. The ranges stand "
    "beside it.",
    "Emission hardware stays. No plan contains its removal.",
)


def title(platform: Platform, aspect: str) -> str:
    """What a limit is called: by its platform, or in general."""
    limit = limit_of(aspect)
    known = platform.limits.get(limit)
    return known.title if known else TITLES.get(limit, limit.replace("-", " ").capitalize())


def inside(name: str) -> str:
    """A title inside a sentence: its first letter small, unless it is an abbreviation."""
    return name if len(name) > 1 and name[:2].isalpha() and name[:2].isupper() else name[:1].lower() + name[1:]


def part(catalogue: Catalogue, option: Option) -> str:
    """A part inside a sentence: what it is, and its size or grade where there are several."""
    item = catalogue.modifications[option.modification]
    if len(item.options) < 2 or item.title.casefold() == option.title.casefold():
        return inside(item.title)
    return f"{inside(item.title)} ({inside(option.title)})"


def listed(names: Sequence[str]) -> str:
    """Words in a row: a, b and c."""
    names = list(dict.fromkeys(names))
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}" if names else "nothing"


def measurement(aspect: str) -> str:
    """The measurement that tells where a limit really lies."""
    return MEASUREMENTS.get(limit_of(aspect), "a pull on a dynamometer with the part watched")
