"""Gain on the dynamometer against a statistics library, published summary values, and simulated sessions."""

import math
import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from calc import student
from calc.calculators.dyno_gain import dyno_gain
from calc.contract import Impossible
from calc.evaluate import answer

RUN = dyno_gain.function
KW = 1e3


def kilowatts(*values: float) -> tuple[float, ...]:
    """Pulls in W."""
    return tuple(value * KW for value in values)


@pytest.mark.parametrize("freedom", [0.7, 1.0, 1.5, 2.0, 3.3, 4.956113, 10.0, 136.875, 2e3, 1e5])
def test_quantiles_against_a_library(freedom: float) -> None:
    """Quantiles and tails of Student's distribution against scipy.stats.t, fractional degrees of freedom included."""
    for probability in (0.5, 0.6, 0.75, 0.9, 0.975, 0.995, 0.9995):
        expected = stats.t.ppf(probability, freedom)
        assert student.quantile(probability, freedom) == pytest.approx(expected, rel=1e-8, abs=1e-12)
    for t in (0.0, 0.3, 1.0, 2.776, 12.9):
        assert student.two_sided(t, freedom) == pytest.approx(2 * stats.t.sf(t, freedom), rel=1e-9)


@pytest.mark.parametrize(
    ("before", "after", "gain", "low", "high", "freedom", "shown"),
    [
        ((398.2, 401.5, 399.9), (412.0, 409.1, 415.2, 410.8), 11.90833, 7.780343, 16.03632, 4.956113, True),
        ((401.0, 396.5, 404.2), (405.0, 399.8, 407.5), 3.533333, -5.304748, 12.37142, 3.999057, False),
    ],
)
def test_intervals_against_a_library(
    before: tuple[float, ...],
    after: tuple[float, ...],
    gain: float,
    low: float,
    high: float,
    freedom: float,
    shown: bool,
) -> None:
    """Gain, interval and degrees of freedom. Source: Welch, Satterthwaite; scipy ttest_ind without equal variances."""
    result = RUN(before=kilowatts(*before), after=kilowatts(*after))
    library = stats.ttest_ind(after, before, equal_var=False)
    interval = library.confidence_interval(0.95)
    assert (interval.low, interval.high) == pytest.approx((low, high), rel=1e-5)
    assert result.gain / KW == pytest.approx(gain, rel=1e-6)
    assert (result.ci_low / KW, result.ci_high / KW) == pytest.approx((interval.low, interval.high), rel=1e-8)
    assert result.degrees_of_freedom == pytest.approx(freedom, rel=1e-6)
    assert result.t_statistic == pytest.approx(library.statistic, rel=1e-8)
    assert student.two_sided(result.t_statistic, freedom) == pytest.approx(library.pvalue, rel=1e-5)
    assert result.shown is shown


def test_published_summary_values() -> None:
    """Mileage of 249 and 79 cars: t 12.94627, 136.875 degrees of freedom.

    Source: NIST/SEMATECH e-Handbook, data AUTO83B, recalled from memory; scipy's ttest_ind_from_stats agrees.
    """
    summary = {
        "mean_before": 20.14458 * KW,
        "sd_before": 6.4147 * KW,
        "n_before": 249,
        "mean_after": 30.48101 * KW,
        "sd_after": 6.10771 * KW,
        "n_after": 79,
    }
    result = RUN(**summary)
    library = stats.ttest_ind_from_stats(30.48101, 6.10771, 79, 20.14458, 6.4147, 249, equal_var=False)
    assert result.t_statistic == pytest.approx(12.94627, rel=1e-5)
    assert result.t_statistic == pytest.approx(library.statistic, rel=1e-9)
    assert result.degrees_of_freedom == pytest.approx(136.875, rel=1e-4)
    assert (result.ci_low / KW, result.ci_high / KW) == pytest.approx((8.757616, 11.91524), rel=1e-5)


def test_ten_horsepower_is_hard_to_see() -> None:
    """Scatter 4 hp, three pulls each way: half width 7 to 11.5 hp, so 10 is barely resolved.

    Common practice, no source.
    """
    side = {"sd_before": 4 * KW, "n_before": 3, "sd_after": 4 * KW, "n_after": 3}
    result = RUN(mean_before=400 * KW, mean_after=410 * KW, **side)
    assert result.half_width == pytest.approx(stats.t.ppf(0.975, 4) * 4 * KW * math.sqrt(2 / 3), rel=1e-9)
    assert 7 * KW < result.half_width < 11.5 * KW


def test_one_pull_has_no_interval() -> None:
    """A variance needs two values: the gain is shown, the interval is not, and the reason is told."""
    result = RUN(before=kilowatts(400.0), after=kilowatts(412.0, 410.0))
    assert result.valid is False
    assert result.ci_low is None
    assert result.shown is None
    assert result.gain == pytest.approx(11 * KW)
    assert "One pull" in result.warnings[0]


def test_no_scatter_is_rounding() -> None:
    """Equal pulls on both sides are not certainty."""
    result = RUN(before=kilowatts(400, 400, 400), after=kilowatts(410, 410))
    assert result.valid is False
    assert "rounded" in result.warnings[0]
    one_side = RUN(before=kilowatts(400, 400, 400), after=kilowatts(410, 412))
    assert one_side.valid is True


def test_corrections_apply_to_each_side() -> None:
    """A pull in hot air times its factor: as if the corrected pulls had been given."""
    before, after = (390.0, 391.5, 393.0), (401.0, 399.0, 403.5)
    by_factor = RUN(before=kilowatts(*before), after=kilowatts(*after), factor_before=1.03, factor_after=0.99)
    by_hand = RUN(before=kilowatts(*(1.03 * x for x in before)), after=kilowatts(*(0.99 * x for x in after)))
    assert by_factor.gain == pytest.approx(by_hand.gain, rel=1e-9)
    assert by_factor.half_width == pytest.approx(by_hand.half_width, rel=1e-9)


@pytest.mark.parametrize(
    ("claimed", "words"),
    [(None, "none"), (30.0, "larger"), (11.0, "agrees"), (2.0, "smaller")],
)
def test_claims_are_judged(claimed: float | None, words: str) -> None:
    """Against the interval of 7.8 to 16 kW."""
    result = RUN(
        before=kilowatts(398.2, 401.5, 399.9),
        after=kilowatts(412.0, 409.1, 415.2, 410.8),
        claimed_gain=None if claimed is None else claimed * KW,
    )
    assert words in result.claim


def test_a_claim_inside_an_interval_that_holds_zero_is_not_supported() -> None:
    """Not excluded is not shown."""
    result = RUN(before=kilowatts(401.0, 396.5, 404.2), after=kilowatts(405.0, 399.8, 407.5), claimed_gain=8 * KW)
    assert "not excluded" in result.claim


@pytest.mark.parametrize("ratio", [0.8, 1.2, 2.0, 3.0, 5.0])
def test_pulls_needed_against_the_exact_distribution(ratio: float) -> None:
    """For a gain of `ratio` times the scatter: within one pull of the noncentral t distribution (scipy.stats.nct)."""

    def exact_power(n: int) -> float:
        freedom, shift = 2 * (n - 1), ratio * math.sqrt(n / 2)
        limit = stats.t.ppf(0.975, freedom)
        return float(stats.nct.sf(limit, freedom, shift))

    exact = next(n for n in range(2, 500) if exact_power(n) >= 0.8)
    side = {"sd_before": KW, "n_before": 3, "sd_after": KW, "n_after": 3}
    needed = RUN(mean_before=400 * KW, mean_after=401 * KW, claimed_gain=ratio * KW, **side).pulls_needed
    assert needed is not None
    assert abs(needed - exact) <= 1


def test_a_gain_that_no_session_shows_has_no_number() -> None:
    """Beyond a thousand pulls the answer is no answer."""
    side = {"sd_before": 20 * KW, "n_before": 3, "sd_after": 20 * KW, "n_after": 3}
    assert RUN(mean_before=400 * KW, mean_after=401 * KW, claimed_gain=0.2 * KW, **side).pulls_needed is None


def test_the_interval_holds_the_true_gain_as_often_as_it_says() -> None:
    """Of 1500 simulated sessions with unequal scatter, about 95 % of the intervals hold the true gain."""
    source = random.Random(20)
    held = 0
    for _ in range(1500):
        before = tuple(source.gauss(400e3, 2e3) for _ in range(3))
        after = tuple(source.gauss(410e3, 5e3) for _ in range(5))
        result = RUN(before=before, after=after)
        held += result.ci_low <= 10e3 <= result.ci_high
    assert 0.93 < held / 1500 < 0.975


@given(st.lists(st.floats(100, 900), min_size=2, max_size=8), st.lists(st.floats(100, 900), min_size=2, max_size=8))
def test_the_interval_is_centred_and_agrees_with_the_test(before: list[float], after: list[float]) -> None:
    """The gain is the middle; a difference is shown exactly when Welch's test finds p below one minus the level."""
    result = RUN(before=kilowatts(*before), after=kilowatts(*after))
    assert result.gain == pytest.approx(KW * (statistics.fmean(after) - statistics.fmean(before)), rel=1e-9, abs=1e-6)
    if result.valid:
        assert (result.ci_low + result.ci_high) / 2 == pytest.approx(result.gain, rel=1e-6, abs=1e-3)
        chance = student.two_sided(result.t_statistic, result.degrees_of_freedom)
        if abs(chance - 0.05) > 1e-9:
            assert result.shown == (chance < 0.05)


def test_typed_lists_are_understood() -> None:
    """As a shop would type them, with a unit at the end."""
    result = answer(dyno_gain, {"before": "398.2; 401.5; 399.9 hp", "after": "412, 409.1, 415.2, 410.8 hp"}, "us")
    assert result.outputs["gain"].value / 745.69987 == pytest.approx(11.90833, rel=1e-6)


def test_half_a_summary_is_refused() -> None:
    """Mean, scatter and number belong together."""
    with pytest.raises(Impossible):
        RUN(mean_before=400 * KW)
