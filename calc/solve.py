"""Finding a root between two brackets, without derivatives and without surprises."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from calc.contract import Impossible


class NoBalance(Impossible):
    """No operating point satisfies the equations: physics refuses, which is more than a limit being passed.

    `cause` is a word for programs: "turbine" (expansion ratio or power), "compressor" (flow or pressure ratio), "air"
    (lambda below 1), "unboosted" (the engine draws more air than asked), "bore" (a pipe or filter chokes), "goal" (the
    power peaks below it) or "balance". `reached` is the most power (W) there is where a goal is out of reach.
    """

    def __init__(
        self, why: str, inputs: Sequence[str] = (), *, cause: str = "balance", reached: float | None = None
    ) -> None:
        super().__init__(why, inputs)
        self.cause = cause
        self.reached = reached


def bracketed(
    f: Callable[[float], float],
    low: float,
    high: float,
    *,
    f_low: float | None = None,
    f_high: float | None = None,
    tolerance: float = 1e-10,
    steps: int = 100,
) -> float:
    """The x in [low, high] where f changes sign, by inverse quadratic steps that fall back on bisection.

    `tolerance` is relative to x (absolute below 1). `f` must be finite and differ in sign at the two ends; raises
    NoBalance when it does not.
    """
    a, b = low, high
    fa = f(a) if f_low is None else f_low
    fb = f(b) if f_high is None else f_high
    if fa == 0.0:
        return a
    if fb == 0.0:
        return b
    if not (fa < 0.0 < fb or fb < 0.0 < fa):
        raise NoBalance("No value within the allowed range satisfies the balance.")
    c, fc = a, fa
    width = before = b - a
    for _ in range(steps):
        if (fb > 0.0) == (fc > 0.0):
            c, fc = a, fa
            width = before = b - a
        if abs(fc) < abs(fb):
            a, b, c = b, c, b
            fa, fb, fc = fb, fc, fb
        allowed = tolerance * max(1.0, abs(b)) if abs(b) >= 1.0 else tolerance
        middle = 0.5 * (c - b)
        if abs(middle) <= allowed or fb == 0.0:
            return b
        if abs(before) >= allowed and abs(fa) > abs(fb):
            before, width = width, _step(a, b, c, fa, fb, fc, middle, before, allowed)
            if width == 0.0:
                width = before = middle
        else:
            width = before = middle
        a, fa = b, fb
        b += width if abs(width) > allowed else (allowed if middle > 0.0 else -allowed)
        fb = f(b)
    return b


def _step(
    a: float, b: float, c: float, fa: float, fb: float, fc: float, middle: float, before: float, allowed: float
) -> float:
    """An interpolated step, or 0 where it would leave the bracket or shrink too slowly."""
    s = fb / fa
    if a == c:
        p, q = 2.0 * middle * s, 1.0 - s
    else:
        q, r = fa / fc, fb / fc
        p = s * (2.0 * middle * q * (q - r) - (b - a) * (r - 1.0))
        q = (q - 1.0) * (r - 1.0) * (s - 1.0)
    if p > 0.0:
        q = -q
    p = abs(p)
    if 2.0 * p < min(3.0 * middle * q - abs(allowed * q), abs(before * q)):
        return p / q
    return 0.0


def interpolate(table: float | Sequence[tuple[float, float]], x: float) -> float:
    """A constant, or a table of (x, y) rising in x read by straight lines and held at its ends."""
    if isinstance(table, (int, float)):
        return float(table)
    first = table[0]
    if x <= first[0]:
        return first[1]
    for second in table[1:]:
        if x <= second[0]:
            return first[1] + (second[1] - first[1]) * (x - first[0]) / (second[0] - first[0])
        first = second
    return first[1]
