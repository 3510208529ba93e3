"""The one place that turns numbers into text, for the build, the terminal and the browser alike.

Digits follow the rule of the Guide for the Use of the International System of Units (SI), NIST Special Publication 811,
B.7: no more digits than the value deserves, and a converted value keeps about the relative rounding of the original.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from calc import units

NO_BREAK = "\u00a0"
MINUS = "\u2212"
TIMES = " \u00d7 "
SYSTEMS = ("us", "si")
_SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def number(value: float, digits: int = 3, *, trim: bool = False) -> str:
    """`value` with `digits` significant digits: 1,350 · 0.0193 · 3.58 × 10⁻⁵ · −4.

    Large values keep their whole part rounded to the digits asked for. With `trim`, zeros after the decimal point go.
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    exponent = math.floor(math.log10(abs(value)))
    rounded = round(value, digits - 1 - exponent)
    exponent = math.floor(math.log10(abs(rounded)))
    if exponent < -3 or exponent > 8:
        mantissa = f"{rounded / 10.0**exponent:.{max(digits - 1, 0)}f}"
        return f"{_signed(_trimmed(mantissa) if trim else mantissa)}{TIMES}10{str(exponent).translate(_SUPERSCRIPTS)}"
    text = f"{rounded:,.{max(digits - 1 - exponent, 0)}f}"
    return _signed(_trimmed(text) if trim else text)


def _trimmed(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _signed(text: str) -> str:
    return text.replace("-", MINUS, 1) if text.startswith("-") else text


def with_unit(text: str, symbol: str) -> str:
    """A formatted number with its unit, as printed: `$` before it, `°` close to it, others after a no-break space."""
    known = units.unit(symbol)
    if known.dimension.startswith("money"):
        return _money(text, known)
    if symbol == "deg":
        return f"{text}°"
    return f"{text}{NO_BREAK}{known.shown}" if known.shown else text


def _money(text: str, known: units.Unit) -> str:
    sign = MINUS if text.startswith(MINUS) else ""
    return f"{sign}${text.removeprefix(MINUS)}{known.symbol.removeprefix('money')}"


def quantity(value: float, symbol: str, digits: int = 3, *, trim: bool = False) -> str:
    """A value (given in the unit `symbol`) with its unit: 28.0 inHg."""
    return with_unit(number(value, digits, trim=trim), symbol)


def span(low: float, high: float, symbol: str, digits: int = 3) -> str:
    """A range with its unit, ends rounded outward to what its width justifies: 430 to 460 hp.

    The place of the last digit is set by two significant digits of the width, never finer than `digits` significant
    digits of the larger end, so that a range is never shown more exactly than it is known, nor narrower than it is.
    """
    if low == high:
        return quantity(low, symbol, digits)
    larger = max(abs(low), abs(high))
    place = max(math.floor(math.log10(high - low)) - 1, math.floor(math.log10(larger)) - digits + 1)
    step = 10.0**place
    low, high = _outward(low, step, math.floor), _outward(high, step, math.ceil)
    decimals = max(-place, 0)
    ends = [_signed(f"{end:,.{decimals}f}") for end in (low, high)]
    if units.unit(symbol).dimension.startswith("money"):
        return f"{with_unit(ends[0], symbol)} to {with_unit(ends[1], symbol)}"
    return with_unit(f"{ends[0]} to {ends[1]}", symbol)


def _outward(value: float, step: float, rounding: Callable[[float], int]) -> float:
    scaled = value / step
    nearest = round(scaled)
    # A value that already lies on the grid, but for the last bits, stays there instead of moving a whole step out.
    whole = nearest if math.isclose(scaled, nearest, rel_tol=1e-9, abs_tol=1e-9) else rounding(scaled)
    return float(whole * step)


def inward(value: float, rounding: Callable[[float], int], digits: int = 3) -> str:
    """A bound of at most `digits` digits, rounded by `math.ceil` or `math.floor` so that what is shown is allowed."""
    if value == 0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)
    return number(_outward(value, step, rounding), digits, trim=True)


def typed(value: float) -> str:
    """A number as a person would type it into a field: no separators, at most four digits."""
    plain = number(value, 4, trim=True)
    return f"{value:.4g}" if TIMES in plain else plain.replace(",", "").replace(MINUS, "-")
