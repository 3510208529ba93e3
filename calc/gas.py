"""Air and the products of complete lean combustion: heat capacity, enthalpy, entropy, viscosity.

Mixtures are ideal. Each species has the NASA seven-coefficient polynomials of GRI-Mech 3.0; a mixture is one more pair
of polynomials, because the coefficients per kilogram add up by mass. Enthalpy is sensible: zero at 298.15 K, so a
lower heating value can be added to it. Valid from 200 to 2500 K, for lambda of 1 and more.
"""

from __future__ import annotations

import math
from functools import lru_cache

from calc.constants import HYDROGEN_PER_CARBON, OXYGEN_IN_AIR, R_MOLAR, SUTHERLAND_BETA, SUTHERLAND_T, T_DATUM
from calc.contract import Impossible

_T_SPLIT = 1000.0
_T_LOW, _T_HIGH = 150.0, 3000.0
_THIRD = 1.0 / 3.0
_BETA, _SUTHERLAND = float(SUTHERLAND_BETA), float(SUTHERLAND_T)

_MOLAR_MASS = {"N2": 28.014e-3, "O2": 31.998e-3, "CO2": 44.009e-3, "H2O": 18.015e-3, "Ar": 39.95e-3}
_CARBON, _HYDROGEN = 12.011e-3, 1.008e-3
_DRY_AIR = {"N2": 0.7808, "O2": float(OXYGEN_IN_AIR), "Ar": 0.0093, "CO2": 0.0004}

# Below and above 1000 K: cp/R = a0 + a1 T + a2 T^2 + a3 T^3 + a4 T^4.
_NASA = {
    "N2": (
        (3.298677, 1.4082404e-03, -3.963222e-06, 5.641515e-09, -2.444854e-12),
        (2.92664, 1.4879768e-03, -5.68476e-07, 1.0097038e-10, -6.753351e-15),
    ),
    "O2": (
        (3.78245636, -2.99673416e-03, 9.84730201e-06, -9.68129509e-09, 3.24372837e-12),
        (3.28253784, 1.48308754e-03, -7.57966669e-07, 2.09470555e-10, -2.16717794e-14),
    ),
    "CO2": (
        (2.35677352, 8.98459677e-03, -7.12356269e-06, 2.45919022e-09, -1.43699548e-13),
        (3.85746029, 4.41437026e-03, -2.21481404e-06, 5.23490188e-10, -4.72084164e-14),
    ),
    "H2O": (
        (4.19864056, -2.0364341e-03, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12),
        (3.03399249, 2.17691804e-03, -1.64072518e-07, -9.7041987e-11, 1.68200992e-14),
    ),
    "Ar": ((2.5, 0.0, 0.0, 0.0, 0.0), (2.5, 0.0, 0.0, 0.0, 0.0)),
}

Coefficients = tuple[float, ...]

# Newton's way doubles the digits: a step of this share leaves an error far below 1e-10.
_CLOSE = 1e-5


class Gas:
    """An ideal gas of fixed composition.

    Temperatures in K, enthalpies in J/kg above 298.15 K, entropies (without the pressure term) and heat capacities in
    J/(kg.K). Nothing is checked in here: these functions are the inner loop of everything.
    """

    __slots__ = ("R", "_high", "_low", "coefficients")

    def __init__(self, coefficients: Coefficients) -> None:
        self.coefficients = coefficients
        self.R = coefficients[0]
        self._low = coefficients[1:8]
        self._high = coefficients[8:15]

    def cp(self, t: float) -> float:
        """Heat capacity at constant pressure, J/(kg.K)."""
        c0, c1, c2, c3, c4, _, _ = self._low if t < _T_SPLIT else self._high
        return c0 + t * (c1 + t * (c2 + t * (c3 + t * c4)))

    def gamma(self, t: float) -> float:
        """Ratio of the heat capacities, 1."""
        cp = self.cp(t)
        return cp / (cp - self.R)

    def h(self, t: float) -> float:
        """Sensible enthalpy above 298.15 K, J/kg."""
        c0, c1, c2, c3, c4, hc, _ = self._low if t < _T_SPLIT else self._high
        return hc + t * (c0 + t * (c1 * 0.5 + t * (c2 * _THIRD + t * (c3 * 0.25 + t * (c4 * 0.2)))))

    def s(self, t: float) -> float:
        """Entropy above 298.15 K at constant pressure, J/(kg.K)."""
        c0, c1, c2, c3, c4, _, sc = self._low if t < _T_SPLIT else self._high
        return sc + c0 * math.log(t) + t * (c1 + t * (c2 * 0.5 + t * (c3 * _THIRD + t * (c4 * 0.25))))

    def temperature_at(self, h: float, start: float = 600.0) -> float:
        """The temperature (K) whose sensible enthalpy is `h` (J/kg), from a start that only costs time.

        Raises Impossible below 150 K or above 3000 K, where the polynomials mean nothing.
        """
        t = start
        for _ in range(50):
            step = (h - self.h(t)) / self.cp(t)
            t += step
            if t < _T_LOW:
                t = _T_LOW
                if self.h(t) > h:
                    raise Impossible("More energy is taken from the gas than it holds.")
            elif t > _T_HIGH:
                t = _T_HIGH
                if self.h(t) < h:
                    raise Impossible("The gas would be hotter than any engine gas.")
            elif -_CLOSE * t < step < _CLOSE * t:
                return t
        return t

    def isentropic(self, t: float, pressure_ratio: float) -> float:
        """The temperature (K) after a loss-free change of pressure from `t` by `pressure_ratio` (end over start).

        Raises Impossible when the end lies outside 150 to 3000 K.
        """
        wanted = self.s(t) + self.R * math.log(pressure_ratio)
        end = t * float(pressure_ratio ** (self.R / self.cp(t)))
        for _ in range(50):
            end = min(max(end, _T_LOW), _T_HIGH)
            step = (wanted - self.s(end)) / self.cp(end) * end
            end += step
            if -_CLOSE * end < step < _CLOSE * end:
                if not _T_LOW <= end <= _T_HIGH:
                    break
                return end
        raise Impossible("This change of pressure takes the gas outside the temperatures that the model knows.")

    def pressure_ratio(self, t1: float, t2: float) -> float:
        """The pressure ratio (start over end) of a loss-free change from `t1` to `t2`."""
        return math.exp((self.s(t1) - self.s(t2)) / self.R)


def viscosity(t: float) -> float:
    """Dynamic viscosity of air at `t` (K), Pa.s: Sutherland's law with the constants of the standard atmosphere.

    Within about 5 % of combustion products from lambda 1.5 between 500 and 1100 K, within 8 % of those from lambda 1.
    """
    return _BETA * t * math.sqrt(t) / (t + _SUTHERLAND)


def _pure(name: str) -> Coefficients:
    """Coefficients per kilogram with the constants that make enthalpy and entropy zero at the datum and unbroken."""
    low, high = _NASA[name]
    r = float(R_MOLAR) / _MOLAR_MASS[name]
    datum = float(T_DATUM)

    def h(c: Coefficients, t: float) -> float:
        return sum(a * t ** (i + 1) / (i + 1) for i, a in enumerate(c))

    def s(c: Coefficients, t: float) -> float:
        return c[0] * math.log(t) + sum(a * t**i / i for i, a in enumerate(c) if i)

    h_low, s_low = -h(low, datum), -s(low, datum)
    h_high = h_low + h(low, _T_SPLIT) - h(high, _T_SPLIT)
    s_high = s_low + s(low, _T_SPLIT) - s(high, _T_SPLIT)
    return (r, *(r * a for a in (*low, h_low, s_low)), *(r * a for a in (*high, h_high, s_high)))


_PURE = {name: _pure(name) for name in _NASA}


def mix(parts: tuple[tuple[float, Coefficients], ...]) -> Coefficients:
    """Coefficients of a mixture from (mass fraction, coefficients) pairs; the fractions must add up to 1."""
    return tuple(sum(fraction * c[i] for fraction, c in parts) for i in range(15))


def _by_moles(moles: dict[str, float]) -> Coefficients:
    mass = {name: n * _MOLAR_MASS[name] for name, n in moles.items()}
    total = sum(mass.values())
    return mix(tuple((m / total, _PURE[name]) for name, m in mass.items()))


_M_AIR = sum(x * _MOLAR_MASS[name] for name, x in _DRY_AIR.items())
AIR = Gas(_by_moles(_DRY_AIR))
STEAM = Gas(_PURE["H2O"])


def stoichiometric_afr(hydrogen_per_carbon: float = HYDROGEN_PER_CARBON) -> float:
    """Mass of dry air that burns 1 kg of the fuel CHy completely, kg/kg.

    `hydrogen_per_carbon` y (1): 1.85 for a typical diesel fuel, 23/12 for C12H23. Mass balance with 0.2095 oxygen.
    """
    y = float(hydrogen_per_carbon)
    return (1.0 + 0.25 * y) / float(OXYGEN_IN_AIR) * _M_AIR / (_CARBON + _HYDROGEN * y)


@lru_cache(maxsize=64)
def burnt(hydrogen_per_carbon: float = HYDROGEN_PER_CARBON) -> Gas:
    """Products of complete combustion of CHy with exactly the air it needs (lambda 1)."""
    y = float(hydrogen_per_carbon)
    air = (1.0 + 0.25 * y) / float(OXYGEN_IN_AIR)
    moles = {name: x * air for name, x in _DRY_AIR.items() if name != "O2"}
    moles["CO2"] += 1.0
    moles["H2O"] = 0.5 * y
    return Gas(_by_moles(moles))


def products(lam: float, hydrogen_per_carbon: float = HYDROGEN_PER_CARBON, water_in_air: float = 0.0) -> Gas:
    """Products of complete combustion with `lam` (lambda, 1) times the dry air that is needed.

    `water_in_air` is kg of vapour per kg of dry air. Raises Impossible below lambda 1: burning is then incomplete.
    """
    if not 1.0 <= lam < math.inf:
        raise Impossible(
            "Below lambda 1 the fuel cannot burn completely, so these gas properties do not exist.", inputs=("lam",)
        )
    afr = stoichiometric_afr(hydrogen_per_carbon)
    total = 1.0 + lam * afr * (1.0 + water_in_air)
    x, w = (1.0 + afr) / total, lam * afr * water_in_air / total
    return Gas(blend(burnt(hydrogen_per_carbon).coefficients, x, w))


def blend(burnt_coefficients: Coefficients, x: float, w: float = 0.0) -> Coefficients:
    """`x` (mass fraction) of burnt gas and `w` of vapour in dry air, as coefficients: the quick way to `products`."""
    a = AIR.coefficients
    if w:
        y = 1.0 - x - w
        return tuple([x * b + y * c + w * d for b, c, d in zip(burnt_coefficients, a, STEAM.coefficients, strict=True)])
    y = 1.0 - x
    return tuple([x * b + y * c for b, c in zip(burnt_coefficients, a, strict=True)])


def humid_air(water_in_air: float) -> Gas:
    """Air with `water_in_air` kg of vapour per kg of dry air."""
    w = water_in_air / (1.0 + water_in_air)
    return Gas(mix(((1.0 - w, AIR.coefficients), (w, STEAM.coefficients))))
