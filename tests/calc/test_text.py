"""Numbers become text with no more digits than they deserve."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import text, units

NB = text.NO_BREAK


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (1350, 3, "1,350"),
        (0.01930, 3, "0.0193"),
        (99.96, 3, "100"),
        (-4.0, 1, "−4"),
        (0, 3, "0"),
        (3.58e-5, 3, "3.58 × 10⁻⁵"),
        (181_234, 3, "181,000"),
        (29.921, 3, "29.9"),
    ],
)
def test_significant_digits(value: float, digits: int, shown: str) -> None:
    """Large and small numbers stay readable."""
    assert text.number(value, digits) == shown


def test_conversion_example_of_the_si_guide() -> None:
    """36 ft is 11.0 m, not 10.9728 m (NIST Special Publication 811, B.7.2, seen quoted in a secondary page)."""
    assert text.quantity(units.convert(36, "ft", "m"), "m", 3) == f"11.0{NB}m"


def test_a_range_is_rounded_outward() -> None:
    """A range is never shown narrower than it is, nor more exactly than its width justifies."""
    assert text.span(431.2, 458.7, "hp") == f"431 to 459{NB}hp"
    assert text.span(1680, 2460, "money") == "$1,680 to $2,460"
    assert text.span(0.5412, 0.8466, "inHg") == f"0.54 to 0.85{NB}inHg"
    assert text.span(5.0, 5.0, "kPa") == f"5.00{NB}kPa"


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6))
def test_a_shown_range_encloses_the_true_one(low: float, width: float) -> None:
    """Reading the printed ends back gives a range around the real one."""
    high = low + width
    if low == high:
        return
    printed = text.span(low, high, "1", 3).replace(",", "").replace(text.MINUS, "-")
    shown_low, shown_high = (float(end) for end in printed.split(" to "))
    slack = 1e-6 * max(abs(low), abs(high))
    assert shown_low <= low + slack
    assert shown_high >= high - slack


def test_units_stand_where_print_puts_them() -> None:
    """Money before, degrees of angle close, the rest after a space that does not break."""
    assert text.quantity(1200, "money", 3) == "$1,200"
    assert text.quantity(120, "money/h", 3) == "$120/h"
    assert text.quantity(90, "deg", 2) == "90°"
    assert text.quantity(896, "degF", 3) == f"896{NB}°F"


@given(st.floats(1e-3, 1e6))
def test_a_bound_shown_is_a_bound_allowed(value: float) -> None:
    """Bounds are rounded inward, so that a reader who types what is printed is not refused."""
    import math

    assert float(text.inward(value, math.floor).replace(",", "")) <= value * (1 + 1e-9)
    assert float(text.inward(value, math.ceil).replace(",", "")) >= value * (1 - 1e-9)
