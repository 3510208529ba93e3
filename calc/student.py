"""Student's t distribution with any positive number of degrees of freedom, fractional ones included.

Source: Handbook of Mathematical Functions, 26.5 (incomplete beta function as a continued fraction) and 26.7.
"""

from __future__ import annotations

import math
from functools import lru_cache

from calc.solve import bracketed

_TINY = 1e-300
_TERMS = 2000


def incomplete_beta(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function I_x(a, b) for x in [0, 1] and a, b above zero."""
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - incomplete_beta(1.0 - x, b, a)
    log_front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    return math.exp(log_front) * _continued_fraction(x, a, b) / a


def _continued_fraction(x: float, a: float, b: float) -> float:
    """The fraction of 26.5.8 from the top down, each step by its even and odd term (Lentz)."""
    c = 1.0
    d = 1.0 / _away_from_zero(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for m in range(1, _TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0)),
        ):
            d = 1.0 / _away_from_zero(1.0 + term * d)
            c = _away_from_zero(1.0 + term / c)
            value *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return value


def _away_from_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def two_sided(t: float, freedom: float) -> float:
    """The chance that |t| is passed, with `freedom` degrees of freedom (above zero)."""
    return incomplete_beta(freedom / (freedom + t * t), 0.5 * freedom, 0.5)


@lru_cache(maxsize=4096)  # A search over whole numbers of pulls asks for the same few values again and again.
def quantile(probability: float, freedom: float) -> float:
    """The t that lies above a share `probability` (0.5 to below 1) of the distribution."""
    if probability <= 0.5:
        return 0.0
    beyond = 2.0 * (1.0 - probability)
    high = 1.0
    while two_sided(high, freedom) > beyond:
        high *= 2.0
    return bracketed(lambda t: two_sided(t, freedom) - beyond, 0.0, high, tolerance=1e-13)
