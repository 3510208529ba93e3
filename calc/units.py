"""The only conversion factors of the project: exact definitions, US customary and SI.

Every calculation runs in coherent SI units (m, kg, s, K, Pa, W, N.m, rad/s is not used: speeds of rotation are kept in
r/min because every formula of the trade states them so). Checked in the tests against a general-purpose unit library.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

INCH = 0.0254
FOOT = 12 * INCH
MILE = 5280 * FOOT
POUND = 0.45359237
STANDARD_GRAVITY = 9.80665
POUND_FORCE = POUND * STANDARD_GRAVITY
GALLON_US = 231 * INCH**3
PSI = POUND_FORCE / INCH**2
HORSEPOWER = 550 * FOOT * POUND_FORCE
METRIC_HORSEPOWER = 75 * STANDARD_GRAVITY
BTU_IT = 1055.05585262
INCH_OF_MERCURY = 3386.389
INCH_OF_WATER = 249.08891


@dataclass(frozen=True)
class Unit:
    """A unit of one dimension: SI value = (value + offset) * factor."""

    symbol: str
    dimension: str
    factor: float
    offset: float = 0.0
    label: str = ""
    aliases: tuple[str, ...] = ()

    @property
    def shown(self) -> str:
        """How the unit is printed behind a number; empty for a pure number."""
        return self.label if self.label or self.symbol in ("1", "text", "bool") else self.symbol


def _unit(dimension: str, symbol: str, factor: float, label: str = "", *aliases: str, offset: float = 0.0) -> Unit:
    return Unit(symbol, dimension, factor, offset, label or symbol.replace(".", "·"), aliases)


_HOUR = 3600.0

UNITS: dict[str, Unit] = {
    unit.symbol: unit
    for unit in (
        Unit("1", "ratio", 1.0, aliases=("ratio",)),
        _unit("ratio", "%", 0.01, "%", "percent", "per cent"),
        Unit("bool", "truth", 1.0),
        Unit("text", "text", 1.0),
        _unit("length", "m", 1.0, "m", "metre", "metres", "meter", "meters"),
        _unit("length", "mm", 1e-3, "mm"),
        _unit("length", "um", 1e-6, "µm", "µm", "micron"),
        _unit("length", "cm", 1e-2, "cm"),
        _unit("length", "km", 1e3, "km"),
        _unit("length", "in", INCH, "in", "inch", "inches", '"', "″"),
        _unit("length", "thou", INCH / 1000, "thou", "mil"),
        _unit("length", "ft", FOOT, "ft", "foot", "feet"),
        _unit("length", "mi", MILE, "mi", "mile", "miles"),
        _unit("area", "m2", 1.0, "m²", "m²"),
        _unit("area", "cm2", 1e-4, "cm²", "cm²"),
        _unit("area", "mm2", 1e-6, "mm²", "mm²"),
        _unit("area", "in2", INCH**2, "in²", "in²"),
        _unit("area", "ft2", FOOT**2, "ft²", "ft²"),
        _unit("volume", "m3", 1.0, "m³", "m³"),
        _unit("volume", "L", 1e-3, "L", "l", "litre", "liter"),
        _unit("volume", "cm3", 1e-6, "cm³", "cc", "cm³"),
        _unit("volume", "mm3", 1e-9, "mm³", "mm³"),
        _unit("volume", "in3", INCH**3, "in³", "in³", "cu in", "cid"),
        _unit("volume", "gal", GALLON_US, "gal", "gal(US)", "US gal"),
        _unit("displacement per revolution", "cm3/rev", 1e-6, "cm³/rev", "cc/rev", "cm³/rev"),
        _unit("displacement per revolution", "m3/rev", 1.0, "m³/rev"),
        _unit("displacement per revolution", "in3/rev", INCH**3, "in³/rev"),
        _unit("mass", "kg", 1.0),
        _unit("mass", "g", 1e-3),
        _unit("mass", "mg", 1e-6),
        _unit("mass", "lb", POUND, "lb", "lbs", "pound", "pounds"),
        _unit("mass", "t", 1e3, "t", "tonne"),
        _unit("time", "s", 1.0, "s", "sec"),
        _unit("time", "ms", 1e-3),
        _unit("time", "min", 60.0),
        _unit("time", "h", _HOUR, "h", "hr", "hours"),
        _unit("time", "yr", 365.25 * 86400, "years", "year", "years"),
        _unit("speed", "m/s", 1.0),
        _unit("speed", "km/h", 1 / 3.6, "km/h", "kph"),
        _unit("speed", "mph", MILE / _HOUR, "mph", "mi/h"),
        _unit("speed", "ft/s", FOOT),
        _unit("rotational speed", "r/min", 1.0, "r/min", "rpm", "rev/min"),
        _unit("acceleration", "m/s2", 1.0, "m/s²"),
        _unit("mass flow", "kg/s", 1.0),
        _unit("mass flow", "g/s", 1e-3),
        _unit("mass flow", "kg/h", 1 / _HOUR),
        _unit("mass flow", "lb/min", POUND / 60),
        _unit("mass flow", "lb/h", POUND / _HOUR),
        _unit("volume flow", "m3/s", 1.0, "m³/s"),
        _unit("volume flow", "L/h", 1e-3 / _HOUR, "L/h", "l/h"),
        _unit("volume flow", "L/min", 1e-3 / 60, "L/min", "l/min"),
        _unit("volume flow", "gal/h", GALLON_US / _HOUR, "gal/h", "gph", "gal(US)/h"),
        _unit("volume flow", "ft3/min", FOOT**3 / 60, "ft³/min", "cfm"),
        _unit("pressure", "Pa", 1.0),
        _unit("pressure", "kPa", 1e3),
        _unit("pressure", "MPa", 1e6),
        _unit("pressure", "bar", 1e5),
        _unit("pressure", "mbar", 1e2),
        _unit("pressure", "hPa", 1e2),
        _unit("pressure", "psi", PSI, "psi", "lbf/in2", "psia", "psig"),
        _unit("pressure", "inHg", INCH_OF_MERCURY, "inHg", "in Hg"),
        _unit("pressure", "inH2O", INCH_OF_WATER, "inH₂O", "in H2O", "inH₂O", "inwc"),
        _unit("temperature", "K", 1.0, "K", "kelvin"),
        _unit("temperature", "degC", 1.0, "°C", "°C", "C", "celsius", offset=273.15),
        _unit("temperature", "degF", 5 / 9, "°F", "°F", "F", "fahrenheit", offset=459.67),
        _unit("temperature difference", "delta_K", 1.0, "K", "K", "delta_degC", "°C", "C", "degC"),
        _unit("temperature difference", "delta_degF", 5 / 9, "°F", "°F", "F", "degF"),
        _unit("power", "W", 1.0),
        _unit("power", "kW", 1e3),
        _unit("power", "hp", HORSEPOWER, "hp", "bhp", "whp", "horsepower"),
        _unit("power", "PS", METRIC_HORSEPOWER, "PS", "cv"),
        _unit("power", "Btu/min", BTU_IT / 60, "Btu/min"),
        _unit("energy", "J", 1.0),
        _unit("energy", "kJ", 1e3),
        _unit("energy", "MJ", 1e6),
        _unit("energy", "Btu", BTU_IT),
        _unit("energy per area", "J/m2", 1.0, "J/m²"),
        _unit("energy per area", "kJ/m2", 1e3, "kJ/m²"),
        _unit("energy per area", "J/cm2", 1e4, "J/cm²"),
        _unit("energy per area", "Btu/in2", BTU_IT / INCH**2, "Btu/in²"),
        _unit("specific energy", "J/kg", 1.0),
        _unit("specific energy", "kJ/kg", 1e3),
        _unit("specific energy", "MJ/kg", 1e6),
        _unit("specific energy", "Btu/lb", BTU_IT / POUND),
        _unit("specific heat", "J/(kg.K)", 1.0, "J/(kg·K)"),
        _unit("specific heat", "Btu/(lb.degF)", BTU_IT / POUND * 1.8, "Btu/(lb·°F)"),
        _unit("force", "N", 1.0),
        _unit("force", "kN", 1e3),
        _unit("force", "lbf", POUND_FORCE),
        _unit("force per speed", "N.s/m", 1.0),
        _unit("force per speed", "lbf/mph", POUND_FORCE / (MILE / _HOUR), "lbf/mph", "lbf/(mi/h)"),
        _unit("force per speed squared", "N.s2/m2", 1.0, "N·s²/m²"),
        _unit("force per speed squared", "lbf/mph2", POUND_FORCE / (MILE / _HOUR) ** 2, "lbf/mph²", "lbf/mph^2"),
        _unit("torque", "N.m", 1.0, "N·m", "Nm", "N m"),
        _unit("torque", "lbf.ft", POUND_FORCE * FOOT, "lbf·ft", "lb.ft", "lb-ft", "ft-lb", "lbft", "ft.lbf", "lb ft"),
        _unit("density", "kg/m3", 1.0, "kg/m³", "kg/m³"),
        _unit("density", "kg/L", 1e3, "kg/L"),
        _unit("density", "lb/ft3", POUND / FOOT**3, "lb/ft³"),
        _unit("density", "lb/gal", POUND / GALLON_US, "lb/gal", "lb/gal(US)"),
        _unit("dynamic viscosity", "Pa.s", 1.0),
        _unit("dynamic viscosity", "mPa.s", 1e-3, "mPa·s", "cP"),
        _unit("kinematic viscosity", "m2/s", 1.0, "m²/s"),
        _unit("kinematic viscosity", "mm2/s", 1e-6, "mm²/s", "cSt"),
        _unit("specific consumption", "kg/J", 1.0),
        _unit("specific consumption", "g/(kW.h)", 1e-6 / 3600, "g/(kW·h)", "g/kWh"),
        _unit("specific consumption", "lb/(hp.h)", POUND / (HORSEPOWER * _HOUR), "lb/(hp·h)", "lb/hph"),
        _unit("angle", "deg", 1.0, "°", "°", "degrees"),
        _unit("cell density", "1/m2", 1.0, "1/m²"),
        _unit("cell density", "1/in2", 1 / INCH**2, "cells/in²", "cpsi"),
        _unit("cell density", "1/cm2", 1e4, "cells/cm²"),
        _unit("thermal expansion", "1/K", 1.0),
        _unit("thermal expansion", "1/delta_degF", 1.8, "1/°F"),
        _unit("moment of inertia", "kg.m2", 1.0, "kg·m²"),
        _unit("moment of inertia", "lb.in2", POUND * INCH**2, "lb·in²"),
        _unit("fuel mass per cycle and displacement", "mg/(L.cycle)", 1.0, "mg/(L·cycle)"),
        _unit("money", "money", 1.0, "money units", "$", "USD"),
        _unit("money rate", "money/h", 1.0, "money units/h", "$/h"),
        _unit("money per distance", "money/m", 1.0, "money units/m"),
        _unit("money per power", "money/W", 1.0),
        _unit("money per power", "money/hp", 1 / HORSEPOWER, "money units/hp", "$/hp"),
        _unit("money per power", "money/kW", 1e-3, "money units/kW"),
        _unit("money per volume", "money/m3", 1.0),
        _unit("money per volume", "money/L", 1e3, "money units/L", "$/L"),
        _unit("money per volume", "money/gal", 1 / GALLON_US, "money units/gal", "$/gal"),
        _unit("money per year", "money/yr", 1.0, "money units/year"),
        _unit("distance per year", "m/yr", 1.0),
        _unit("distance per year", "km/yr", 1e3, "km/year"),
        _unit("distance per year", "mi/yr", MILE, "mi/year"),
        _unit("fuel economy", "m/m3", 1.0),
        _unit("fuel economy", "mi/gal", MILE / GALLON_US, "mi/gal", "mpg"),
        _unit("fuel economy", "km/L", 1e6, "km/L"),
        _unit("fuel consumption", "m3/m", 1.0, "m³/m"),
        _unit("fuel consumption", "L/100km", 1e-8, "L/100 km", "L/100 km"),
        _unit("fuel consumption", "gal/100mi", GALLON_US / (100 * MILE), "gal/100 mi", "gal/100 mi"),
    )
}


class UnitError(ValueError):
    """A unit that does not exist, or that measures something else than what was asked for."""


def unit(symbol: str) -> Unit:
    """The unit with this symbol; UnitError names it when there is none."""
    try:
        return UNITS[symbol]
    except KeyError:
        raise UnitError(f"unknown unit {symbol!r}") from None


def units_of(dimension: str) -> list[Unit]:
    """Every unit of a dimension, in the order of this file."""
    return [candidate for candidate in UNITS.values() if candidate.dimension == dimension]


def find(text: str, dimension: str) -> Unit:
    """The unit that a person means by `text` when a quantity of `dimension` is wanted.

    Symbols, printed labels and the usual spellings are known; letter case matters only where it tells two units of
    the same dimension apart. Raises UnitError, which lists what is allowed.
    """
    wanted = units_of(dimension)
    spellings = [(spelling, candidate) for candidate in wanted for spelling in _spellings(candidate)]
    for exact in (True, False):
        for spelling, candidate in spellings:
            if text == spelling if exact else _folded(text) == _folded(spelling):
                return candidate
    allowed = ", ".join(candidate.symbol for candidate in wanted)
    other = next((known for known in UNITS.values() if text in _spellings(known)), None)
    measures = f" measures {other.dimension}, not {dimension}" if other else " is not a known unit"
    raise UnitError(f"{text!r}{measures}; allowed: {allowed}")


def _spellings(candidate: Unit) -> tuple[str, ...]:
    return (candidate.symbol, candidate.label, *candidate.aliases)


def _folded(text: str) -> str:
    return text.casefold().replace(" ", "").replace("·", ".")


def to_si(value: float, symbol: str) -> float:
    """`value`, given in the unit `symbol`, in the coherent SI unit of its dimension."""
    known = unit(symbol)
    return (value + known.offset) * known.factor


def from_si(value: float, symbol: str) -> float:
    """A value in the coherent SI unit of its dimension, expressed in the unit `symbol`."""
    known = unit(symbol)
    return value / known.factor - known.offset


def convert(value: float, given: str, wanted: str) -> float:
    """`value` from one unit to another of the same dimension; UnitError when the dimensions differ."""
    if unit(given).dimension != unit(wanted).dimension:
        raise UnitError(f"{given} measures {unit(given).dimension}, {wanted} measures {unit(wanted).dimension}")
    return value if given == wanted else from_si(to_si(value, given), wanted)


RADIANS_PER_SECOND_PER_RPM = 2 * math.pi / 60
