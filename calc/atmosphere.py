"""Outside air: standard atmosphere of the troposphere, humidity, density."""

from __future__ import annotations

import math
from typing import NamedTuple

from calc.constants import EARTH_RADIUS, G_STANDARD, LAPSE_RATE, P_STANDARD, R_AIR, T_STANDARD
from calc.contract import Impossible
from calc.gas import AIR, STEAM

_LOWEST, _HIGHEST = -2000.0, 11000.0
_VAPOUR_RATIO = AIR.R / STEAM.R


class Air(NamedTuple):
    """Pressure (Pa), temperature (K) and density (kg/m3) of outside air."""

    pressure: float
    temperature: float
    density: float


def geopotential_height(height: float) -> float:
    """Geopotential height (m) of a geometric `height` above sea level (m)."""
    radius = float(EARTH_RADIUS)
    return radius * height / (radius + height)


def standard_air(height: float) -> Air:
    """Dry standard air at a geometric `height` (m) above sea level.

    Source: ISO 2533. Raises Impossible outside -2000 to 11000 m geopotential, where the troposphere's law ends.
    """
    h = geopotential_height(height)
    if not _LOWEST <= h <= _HIGHEST:
        raise Impossible(
            "The standard atmosphere used here reaches from 2000 m below to 11000 m above sea level.", ("height",)
        )
    temperature = T_STANDARD - LAPSE_RATE * h
    exponent = G_STANDARD / (R_AIR * LAPSE_RATE)
    pressure = P_STANDARD * math.pow(temperature / T_STANDARD, exponent)
    return Air(pressure, temperature, pressure / (R_AIR * temperature))


def height_at(pressure: float) -> float:
    """Geometric height (m) at which standard air has `pressure` (Pa): the pressure altitude.

    Inverse of `standard_air`; raises Impossible outside the same range.
    """
    exponent = R_AIR * LAPSE_RATE / G_STANDARD
    h = T_STANDARD / LAPSE_RATE * (1.0 - math.pow(pressure / P_STANDARD, exponent))
    if not _LOWEST <= h <= _HIGHEST:
        raise Impossible("No height in the troposphere has this pressure.", ("pressure",))
    return h * EARTH_RADIUS / (EARTH_RADIUS - h)


def saturation_pressure(temperature: float) -> float:
    """Saturation pressure (Pa) of water vapour over water at `temperature` (K): Magnus form.

    611.2 exp(17.62 t / (243.12 + t)), t in degC. Within 0.4 % of steam tables from 0 to 50 degC; raises Impossible
    outside -45 to 60 degC. Source: Guide to Meteorological Instruments and Methods of Observation.
    """
    t = temperature - 273.15
    if not -45.0 <= t <= 60.0:
        raise Impossible("The humidity formula holds from -45 to 60 degC.", ("temperature",))
    return 611.2 * math.exp(17.62 * t / (243.12 + t))


def vapour_pressure(temperature: float, relative_humidity: float) -> float:
    """Partial pressure (Pa) of water vapour; `relative_humidity` from 0 to 1."""
    return relative_humidity * saturation_pressure(temperature) if relative_humidity else 0.0


def water_in_air(pressure: float, temperature: float, relative_humidity: float) -> float:
    """kg of vapour per kg of dry air at total `pressure` (Pa).

    Raises Impossible when the vapour alone would exceed the pressure.
    """
    vapour = vapour_pressure(temperature, relative_humidity)
    if vapour >= pressure:
        raise Impossible("Air cannot hold more vapour than its own pressure.", ("pressure", "relative_humidity"))
    return _VAPOUR_RATIO * vapour / (pressure - vapour)


def humid_density(pressure: float, temperature: float, relative_humidity: float) -> float:
    """Density (kg/m3) of humid air; vapour makes it lighter."""
    vapour = vapour_pressure(temperature, relative_humidity)
    return (pressure - vapour) / (AIR.R * temperature) + vapour / (STEAM.R * temperature)
