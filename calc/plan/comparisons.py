"""What one gas path asks for at least when another has been solved: the knowledge that the search rests on.

These are laws of the engine balance, not of any vehicle: tests hold them against the balance on every platform.
"""

from __future__ import annotations

from collections.abc import Mapping

from calc.plan.demands import BY_POINT

EXACT = 1e-7
"""Two shares are the same within this."""
_FUEL = ("injectors", "high-pressure-pump", "lift-pump")
_AIR = ("turbocharger:flow", "turbocharger:pressure", "charge-cooler", "head-clamping")
_ALIKE = 1e-5
KINDS: Mapping[str, Mapping[str, float]] = {
    "itself": dict.fromkeys(BY_POINT, EXACT),
    "hotter": dict.fromkeys(("smoke", "exhaust-temperature", "drive-pressure", *_FUEL), _ALIKE),
    "hotter, other cooler": dict.fromkeys(("smoke", "exhaust-temperature"), _ALIKE) | dict.fromkeys(_FUEL, 0.015),
    "held": dict.fromkeys(BY_POINT, _ALIKE),
    "held, other cooler": dict.fromkeys(("smoke", "exhaust-temperature", *_AIR[1:]), _ALIKE)
    | dict.fromkeys((_AIR[0], *_FUEL), 0.015),
    "freer exhaust": dict.fromkeys(_AIR, _ALIKE),
    "freer intake": dict.fromkeys(_AIR, 0.02),
    "freer, other cooler": {"turbocharger:flow": 0.02, "turbocharger:pressure": 0.05, "head-clamping": 0.05},
}
"""What one gas path asks for at least when another is known, by the kind of comparison, and how far that is trusted.

Whatever sets the boost, a path that is no better in any part has no more air for its fuel: it is as hot or hotter,
needs as much fuel and as much drive pressure for its boost ("hotter"). A better charge cooler lowers boost more than
drive pressure, so that their ratio may rise, and costs a trace of fuel and flow; hence the slacks of "other cooler".
With the boost held on both, the worse path asks for no less of anything ("held"). With the turbine as it is the better
path has more air, so more flow and pressure ("freer", said of the better one); a freer intake works a little against
that. "itself" is said of the same path.

More power asks for more of everything but drive pressure over boost, so that all of this holds at a higher goal too,
without the drive pressure.
"""
LASTING = {
    kind: {aspect: slack for aspect, slack in slacks.items() if aspect != "drive-pressure"}
    for kind, slacks in KINDS.items()
}
"""The comparisons as far as they hold at a higher goal too."""
