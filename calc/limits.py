"""Holding an operating point against the limits of a setting."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from calc.engine import Closure, Finding, Setting


class _Rule(NamedTuple):
    value: str
    """Field of the operating point."""
    least: bool
    """Whether the bound is the least allowed rather than the most."""
    sentence: str


_RULES = {
    "excess_air_ratio": _Rule(
        "excess_air_ratio", True, "Lambda lies under the smoke limit: there is too little air for this fuel."
    ),
    "turbine_inlet_temperature": _Rule(
        "turbine_inlet_temperature", False, "The exhaust gas before the turbine is hotter than its limit."
    ),
    "corrected_flow": _Rule(
        "corrected_flow", False, "The compressor is asked for more flow than its map reaches: it is out of air."
    ),
    "pressure_ratio": _Rule(
        "pressure_ratio", False, "The compressor is asked for more pressure ratio than its map reaches."
    ),
    "expansion_ratio": _Rule("expansion_ratio", False, "The turbine needs a higher expansion ratio than its limit."),
    "drive_ratio": _Rule(
        "drive_ratio", False, "Drive pressure is too high for the boost that it buys: the turbocharger runs out."
    ),
    "manifold_pressure": _Rule("manifold_pressure", False, "The charge pressure lies above its limit."),
    "brake_torque": _Rule("brake_torque", False, "The torque lies above its limit."),
    "fuel_per_injection": _Rule("fuel_per_injection", False, "An injection needs more fuel than its limit."),
    "smallest_area": _Rule(
        "effective_area", True, "The vanes are shut as far as they go and cannot hold this much boost."
    ),
    "largest_area": _Rule(
        "effective_area", False, "The vanes are open as far as they go and would make more boost than this."
    ),
}


def bounds(setting: Setting) -> dict[str, float]:
    """The bounds that a setting knows, by limit. The ends of the vanes' travel bind only where the boost is held."""
    known = {name: getattr(setting.limits, name, None) for name in _RULES}
    if setting.closure is Closure.BOOST_HELD:
        known["smallest_area"] = setting.turbocharger.smallest_area
        known["largest_area"] = setting.turbocharger.largest_area
    return {name: bound for name, bound in known.items() if bound is not None}


def margins(setting: Setting, values: Mapping[str, float]) -> dict[str, float]:
    """The distance to every bound that the setting knows, over the bound: positive inside, negative beyond.

    `values` are by the names of OperatingPoint's fields, so `vars(point)` will do.
    """
    left = {}
    for name, bound in bounds(setting).items():
        rule = _RULES[name]
        inside = values[rule.value] - bound if rule.least else bound - values[rule.value]
        left[name] = inside / bound
    return left


def findings(setting: Setting, values: Mapping[str, float]) -> tuple[Finding, ...]:
    """The limits that are passed by more than rounding, worst first."""
    known = bounds(setting)
    found = [
        Finding(
            limit=name, value=values[_RULES[name].value], bound=known[name], margin=left, sentence=_RULES[name].sentence
        )
        for name, left in margins(setting, values).items()
        if left < -1e-6
    ]
    return tuple(sorted(found, key=lambda finding: finding.margin))
