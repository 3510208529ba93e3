"""Figures as text in both unit systems."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc import text, units

# Units that are shown as they stand in one system, with the unit a reader of the other system knows.
_US_TO_SI = {
    "in": "mm", "thou": "mm", "ft": "m", "mi": "km", "in2": "cm2", "ft2": "m2", "in3": "L", "gal": "L",
    "in3/rev": "cm3/rev", "lb": "kg", "mph": "km/h", "ft/s": "m/s", "lb/min": "kg/s", "lb/h": "kg/h", "gal/h": "L/h",
    "ft3/min": "m3/s", "psi": "kPa", "inHg": "kPa", "inH2O": "kPa", "degF": "degC", "delta_degF": "delta_K",
    "hp": "kW", "Btu/min": "kW", "Btu": "kJ", "Btu/in2": "J/cm2", "Btu/lb": "kJ/kg", "Btu/(lb.degF)": "J/(kg.K)",
    "lbf": "N", "lbf.ft": "N.m", "lb/ft3": "kg/m3", "lb/gal": "kg/L", "lb/(hp.h)": "g/(kW.h)", "lb.in2": "kg.m2",
    "1/in2": "1/cm2", "money/hp": "money/kW", "money/gal": "money/L", "mi/yr": "km/yr", "mi/gal": "km/L",
}  # fmt: skip
_SI_TO_US = {
    "mm": "in", "cm": "in", "um": "thou", "m": "ft", "km": "mi", "mm2": "in2", "cm2": "in2", "m2": "ft2",
    "cm3": "in3", "L": "in3", "cm3/rev": "in3/rev", "m3/rev": "in3/rev", "kg": "lb", "t": "lb", "km/h": "mph",
    "m/s": "ft/s", "kg/s": "lb/min", "g/s": "lb/min", "kg/h": "lb/h", "m3/s": "ft3/min", "L/h": "gal/h",
    "L/min": "gal/h", "kPa": "psi", "Pa": "inH2O", "MPa": "psi", "bar": "psi", "mbar": "inH2O", "hPa": "inHg",
    "degC": "degF", "K": "degF", "delta_K": "delta_degF", "W": "hp", "kW": "hp", "PS": "hp", "kJ": "Btu",
    "MJ": "Btu", "J/cm2": "Btu/in2", "kJ/m2": "Btu/in2", "J/kg": "Btu/lb", "kJ/kg": "Btu/lb", "MJ/kg": "Btu/lb",
    "J/(kg.K)": "Btu/(lb.degF)", "N": "lbf", "kN": "lbf", "N.m": "lbf.ft", "kg/m3": "lb/ft3", "kg/L": "lb/gal",
    "g/(kW.h)": "lb/(hp.h)", "kg.m2": "lb.in2", "1/cm2": "1/in2", "money/kW": "money/hp", "money/L": "money/gal",
    "km/yr": "mi/yr", "km/L": "mi/gal",
}  # fmt: skip


@dataclass(frozen=True)
class Pair:
    """One quantity as text for readers of US customary units and of SI; equal where the unit belongs to both."""

    us: str
    si: str


def partner(symbol: str) -> tuple[str, str]:
    """The units (us, si) in which a figure given in `symbol` is shown; the given unit is always one of them."""
    if symbol in _US_TO_SI:
        return symbol, _US_TO_SI[symbol]
    return _SI_TO_US.get(symbol, symbol), symbol


def value_pair(value: float, symbol: str) -> Pair:
    """A value in its own unit with its own digits, and converted with as many digits as it deserves."""
    own = significant(value)
    return Pair(*(_value(value, symbol, shown, own) for shown in partner(symbol)))


def _value(value: float, symbol: str, shown: str, own: int) -> str:
    converted = units.convert(value, symbol, shown)
    digits = typed_digits(value) if shown == symbol else converted_digits(value, own, converted)
    return text.quantity(converted, shown, digits)


def range_pair(low: float, high: float, symbol: str) -> Pair:
    """A range in its own unit and converted."""
    own = max(significant(low), significant(high), 2)
    shown_pair = []
    for shown in partner(symbol):
        ends = (units.convert(low, symbol, shown), units.convert(high, symbol, shown))
        if shown == symbol:
            first, second = (text.number(end, typed_digits(end)) for end in ends)
            shown_pair.append(text.with_unit(f"{first} to {second}", shown))
        else:
            shown_pair.append(text.span(*ends, shown, own))
    return Pair(*shown_pair)


def typed_digits(value: float) -> int:
    """All digits of a number as typed, those of 900 as of 6.3."""
    mantissa = f"{abs(value):.12g}".partition("e")[0]
    return max(len(mantissa.replace(".", "").lstrip("0")), 1)


def significant(value: float) -> int:
    """Digits of a number as typed that say something, at least two; zeros that end a whole number up to the third."""
    shown = f"{abs(value):.12g}".partition("e")[0]
    digits = shown.replace(".", "").lstrip("0")
    if "." not in shown:
        digits = digits[: max(len(digits.rstrip("0")), 3)]
    return max(len(digits), 2)


def converted_digits(given: float, digits: int, converted: float) -> int:
    """Digits that keep about the relative rounding of the given value: 36 ft, two digits, becomes 11.0 m.

    The rule of NIST Special Publication 811, B.7.2.
    """
    if not given or not converted:
        return digits
    rounding = 1.5 * _relative(given, digits)
    return next((count for count in range(1, 9) if _relative(converted, count) <= rounding), 9)


def _relative(value: float, digits: int) -> float:
    return 0.5 * 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1) / abs(value)
