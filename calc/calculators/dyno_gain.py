"""Whether before-and-after pulls show a gain, how sure that is, and how many pulls would be needed."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from calc import student
from calc.contract import Curve, Formula, Impossible, Output, Quantity, Readings, Symbol, calculator
from calc.provenance import Grade
from calc.references import MATHEMATICAL_FUNCTIONS, SATTERTHWAITE, WELCH
from calc.units import HORSEPOWER

_MOST_PULLS = 1000


def _power(name: str, meaning: str, group: str = "", digits: int = 3) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning, group=group, digits=digits)


@dataclass(frozen=True)
class DynoGain:
    """Powers in W. Without two differing pulls on a side there is no interval, and its outputs are None."""

    gain: Annotated[float, _power("Gain", "Mean after less mean before, both corrected.")]
    gain_share: Annotated[
        float, Output(unit="1", us="%", si="%", name="Gain, of the power before", meaning="The same as a share.")
    ]
    half_width: Annotated[
        float | None, _power("Uncertainty of the gain", "Half the width of the confidence interval.", digits=3)
    ]
    ci_low: Annotated[float | None, _power("Gain, at least", "Lower end of the confidence interval.")]
    ci_high: Annotated[float | None, _power("Gain, at most", "Upper end of the confidence interval.")]
    valid: Annotated[
        bool,
        Output(unit="bool", name="Interval exists", meaning="Two pulls on each side, and some scatter, are the least."),
    ]
    shown: Annotated[
        bool | None,
        Output(unit="bool", name="A difference is shown", meaning="Only when the interval does not hold zero."),
    ]
    claim: Annotated[
        str,
        Output(unit="text", name="The claimed gain", meaning="Whether the pulls support what was claimed."),
    ]
    pulls_needed: Annotated[
        float | None,
        Output(
            unit="1",
            name="Pulls needed on each side",
            digits=4,
            whole=True,
            unbounded="more than a thousand",
            meaning="To show the gain that is looked for with the chance given, at this scatter.",
        ),
    ]
    smallest_gain: Annotated[
        float | None,
        _power(
            "Smallest gain that these pulls can show",
            "With the chance given, at this scatter and number of pulls.",
            digits=2,
        ),
    ]
    mean_before: Annotated[float, _power("Mean before", "Corrected.", "Pulls", 4)]
    mean_after: Annotated[float, _power("Mean after", "Corrected.", "Pulls", 4)]
    sd_before: Annotated[float | None, _power("Scatter before", "Standard deviation.", "Pulls", 3)]
    sd_after: Annotated[float | None, _power("Scatter after", "Standard deviation.", "Pulls", 3)]
    t_statistic: Annotated[
        float | None,
        Output(unit="1", name="Welch's t", symbol="t", meaning="Gain over its standard error.", group="Statistics"),
    ]
    degrees_of_freedom: Annotated[
        float | None,
        Output(
            unit="1",
            name="Degrees of freedom",
            symbol=r"\nu",
            meaning="Satterthwaite's, not rounded.",
            digits=4,
            group="Statistics",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Gain on the dynamometer",
    question="Do these pulls show a gain, how large may it be, and how many pulls would a claimed gain need?",
    formulas=(
        Formula(
            r"g = \bar x_2 - \bar x_1,\qquad g \pm t_{1-\alpha/2,\,\nu}\sqrt{\frac{s_1^2}{n_1} + \frac{s_2^2}{n_2}}",
            "The gain and its confidence interval, the two sides scattering each in its own way.",
            (
                Symbol(r"\bar x_1, \bar x_2", "mean of the pulls before and after", "W"),
                Symbol("s_1, s_2", "standard deviation of the pulls", "W"),
                Symbol("n_1, n_2", "number of pulls", "1"),
                Symbol(r"t_{1-\alpha/2,\,\nu}", "quantile of Student's t distribution", "1"),
                Symbol(r"1-\alpha", "confidence level", "1"),
            ),
            WELCH,
        ),
        Formula(
            r"\nu = \frac{(s_1^2/n_1 + s_2^2/n_2)^2}{\frac{(s_1^2/n_1)^2}{n_1-1} + \frac{(s_2^2/n_2)^2}{n_2-1}}",
            "Degrees of freedom, a fraction in general.",
            (Symbol(r"\nu", "degrees of freedom", "1"),),
            SATTERTHWAITE,
        ),
        Formula(
            r"P(|T| > t) = I_{\nu/(\nu+t^2)}\!\left(\tfrac{\nu}{2}, \tfrac12\right)",
            "Student's distribution by the incomplete beta function.",
            (Symbol("I", "regularised incomplete beta function", "1"),),
            MATHEMATICAL_FUNCTIONS,
        ),
        Formula(
            r"g^* \ge \left(t_{1-\alpha/2,\,\nu} + t_{\beta,\,\nu}\right)\sqrt{\frac{s_1^2 + s_2^2}{n}}",
            "Pulls needed on each side to show a true gain with a given chance, an approximation that errs by "
            "about one "
            "pull.",
            (
                Symbol("g^*", "true gain that is looked for", "W"),
                Symbol(r"\beta", "chance of showing it", "1"),
                Symbol("n", "pulls on each side", "1"),
            ),
            WELCH,
        ),
    ),
    valid="Pulls that scatter at random about a steady mean. Heat soak, tyre wear, fuel and strap tension that "
    "drift from "
    "the first pull to the last are not in the interval: alternate before and after where that can be done, or "
    "say that it "
    "was not. A dynamometer that reads wrong by the same share on both sides shifts the gain by that share too.",
    cautions=("dynamometer", "running-indoors"),
    related=("wheel-power", "running-cost"),
    curves=(
        Curve(
            title="Smallest gain that can be shown, against pulls on each side",
            vary="pulls_each",
            outputs=("smallest_gain",),
            span=(2.0, 12.0),
            points=11,
        ),
    ),
)
def dyno_gain(
    before: Annotated[
        tuple[float, ...],
        Readings(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Pulls before",
            meaning="Each pull's power, with semicolons between.",
            grade=Grade.INVENTED,
        ),
    ] = tuple(hp * HORSEPOWER for hp in (428.6, 431.9, 430.1)),
    after: Annotated[
        tuple[float, ...],
        Readings(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Pulls after",
            meaning="Of the same vehicle on the same dynamometer.",
            grade=Grade.INVENTED,
        ),
    ] = tuple(hp * HORSEPOWER for hp in (437.2, 441.8, 436.0, 440.4)),
    factor_before: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.9,
            high=1.1,
            monotone=False,
            name="Correction factor before",
            symbol=r"\alpha_1",
            meaning="For the air of those pulls, from the wheel-power page; one when they are corrected already.",
        ),
    ] = 1.0,
    factor_after: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.9,
            high=1.1,
            monotone=False,
            name="Correction factor after",
            symbol=r"\alpha_2",
            meaning="By the same standard and edition as before.",
        ),
    ] = 1.0,
    level: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.5,
            high=0.999,
            name="Confidence level",
            symbol=r"1-\alpha",
            meaning="How often an interval made like this one holds the true gain.",
        ),
    ] = 0.95,
    claimed_gain: Annotated[
        float | None,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=100.0,
            high=1e6,
            monotone=False,
            name="Gain that was claimed",
            meaning="By a seller or a rule of thumb; also the gain that is looked for below.",
            grade=Grade.INVENTED,
        ),
    ] = 15 * HORSEPOWER,
    chance: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.5,
            high=0.99,
            name="Chance of showing it",
            symbol=r"\beta",
            meaning="How often that many pulls should show a gain that is really there.",
        ),
    ] = 0.8,
    mean_before: Annotated[
        float | None,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Mean before, when only that is known",
            meaning="Used with scatter and number, in place of the single pulls.",
        ),
    ] = None,
    sd_before: Annotated[
        float | None,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=0.0,
            high=1e6,
            monotone=False,
            name="Scatter before",
            meaning="Standard deviation of the pulls before.",
        ),
    ] = None,
    n_before: Annotated[
        float | None,
        Quantity(unit="1", low=1, high=1000, whole=True, name="Number of pulls before", meaning="Behind that mean."),
    ] = None,
    mean_after: Annotated[
        float | None,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Mean after, when only that is known",
            meaning="Used with scatter and number, in place of the single pulls.",
        ),
    ] = None,
    sd_after: Annotated[
        float | None,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=0.0,
            high=1e6,
            monotone=False,
            name="Scatter after",
            meaning="Standard deviation of the pulls after.",
        ),
    ] = None,
    n_after: Annotated[
        float | None,
        Quantity(unit="1", low=1, high=1000, whole=True, name="Number of pulls after", meaning="Behind that mean."),
    ] = None,
    pulls_each: Annotated[
        float | None,
        Quantity(
            unit="1",
            low=2,
            high=1000,
            whole=True,
            name="Pulls planned on each side",
            meaning="For the smallest gain that can be shown; blank: the pulls made.",
        ),
    ] = None,
) -> DynoGain:
    """The gain (W) with its two-sided confidence interval by Welch's method, and the pulls that a gain would need.

    `before` and `after` are tuples of single pulls in W; mean, standard deviation and number together replace a side.
    With fewer than two pulls on a side, or no scatter at all, there is no interval: `valid` is False and a warning says
    why. Raises Impossible when a summary is incomplete.
    """
    first = _side("before", before, factor_before, mean_before, sd_before, n_before)
    second = _side("after", after, factor_after, mean_after, sd_after, n_after)
    gain = second.mean - first.mean
    why_not = _why_not(first, second)
    if why_not or first.sd is None or second.sd is None:
        return DynoGain(
            gain=gain,
            gain_share=gain / first.mean,
            half_width=None,
            ci_low=None,
            ci_high=None,
            valid=False,
            shown=None,
            claim="cannot be judged from these pulls",
            pulls_needed=None,
            smallest_gain=None,
            mean_before=first.mean,
            mean_after=second.mean,
            sd_before=first.sd,
            sd_after=second.sd,
            t_statistic=None,
            degrees_of_freedom=None,
            warnings=(why_not,),
        )
    parts = first.sd**2 / first.n, second.sd**2 / second.n
    error = math.sqrt(sum(parts))
    # Squares of shares of the variance, so that no scatter is too small or too large for them.
    shares = parts[0] / sum(parts), parts[1] / sum(parts)
    freedom = 1.0 / (shares[0] ** 2 / (first.n - 1) + shares[1] ** 2 / (second.n - 1))
    half = student.quantile(0.5 + level / 2, freedom) * error
    t = gain / error
    variance = first.sd**2 + second.sd**2
    wanted = abs(gain) if claimed_gain is None else claimed_gain
    return DynoGain(
        gain=gain,
        gain_share=gain / first.mean,
        half_width=half,
        ci_low=gain - half,
        ci_high=gain + half,
        valid=True,
        shown=abs(gain) > half,
        claim=_claim(claimed_gain, gain - half, gain + half),
        pulls_needed=_pulls(wanted, variance, level, chance),
        smallest_gain=_smallest(error, freedom, level, chance)
        if pulls_each is None
        else _smallest(math.sqrt(variance / pulls_each), 2.0 * (pulls_each - 1), level, chance),
        mean_before=first.mean,
        mean_after=second.mean,
        sd_before=first.sd,
        sd_after=second.sd,
        t_statistic=t,
        degrees_of_freedom=freedom,
        warnings=_warnings(first, second),
    )


@dataclass(frozen=True)
class _Side:
    mean: float
    sd: float | None
    n: float


def _side(
    name: str, pulls: Sequence[float], factor: float, mean: float | None, sd: float | None, n: float | None
) -> _Side:
    """Mean, standard deviation (None for a single pull) and number, corrected by `factor`."""
    if mean is not None or sd is not None or n is not None:
        if mean is None or n is None or (sd is None and n > 1):
            raise Impossible(
                f"For the side {name}, mean, scatter and number belong together.",
                (f"mean_{name}", f"sd_{name}", f"n_{name}"),
            )
        return _Side(mean * factor, None if sd is None or n < 2 else sd * factor, n)
    spread = statistics.stdev(pulls) * factor if len(pulls) > 1 else None
    return _Side(statistics.fmean(pulls) * factor, spread, len(pulls))


def _why_not(first: _Side, second: _Side) -> str:
    if first.n < 2 or second.n < 2:
        return "One pull says nothing about scatter: no interval without two pulls on each side."
    if not (first.sd or 0.0) + (second.sd or 0.0) > 1e-9 * first.mean:
        return "All pulls of both sides are equal: the readings are rounded too far to show any scatter, so "
        "there is no interval."
    return ""


def _claim(claimed: float | None, low: float, high: float) -> str:
    if claimed is None:
        return "none was given"
    if claimed > high:
        return "is larger than these pulls allow"
    if claimed < low:
        return "is smaller than what these pulls show"
    if low > 0.0:
        return "agrees with these pulls, which do show a gain"
    return "is not excluded, but these pulls do not show any gain"


def _smallest(error: float, freedom: float, level: float, chance: float) -> float:
    """The true gain (W) that an interval with this standard error shows with that chance."""
    return (student.quantile(0.5 + level / 2, freedom) + student.quantile(chance, freedom)) * error


def _pulls(wanted: float, variance: float, level: float, chance: float) -> float | None:
    """The least number of pulls on each side that shows `wanted` (W); None beyond a thousand."""

    def enough(n: int) -> bool:
        return _smallest(math.sqrt(variance / n), 2.0 * (n - 1), level, chance) <= wanted

    if not enough(_MOST_PULLS):
        return None
    low, high = 1, _MOST_PULLS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return float(high)


def _warnings(first: _Side, second: _Side) -> tuple[str, ...]:
    if min(first.n, second.n) == 2:
        return ("Two pulls on a side know their own scatter badly: the interval is honest, and wide.",)
    return ()
