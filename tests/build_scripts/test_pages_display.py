"""Figures as text in both unit systems."""

from __future__ import annotations

import pytest

from build_scripts.pages.display import Pair, converted_digits, partner, range_pair, typed_digits, value_pair
from calc.units import UNITS, convert

SAME = ("1", "%", "text", "bool", "r/min", "deg")


def test_every_unit_is_shown_in_units_of_its_own_dimension() -> None:
    for symbol, unit in UNITS.items():
        shown = partner(symbol)
        assert {UNITS[one].dimension for one in shown} == {unit.dimension}
        assert symbol in shown


@pytest.mark.parametrize("symbol", ["psi", "kPa", "degF", "degC", "lb/min", "kg/s", "N.m", "lbf.ft", "L", "in", "hp"])
def test_a_unit_of_one_system_has_a_partner_in_the_other(symbol: str) -> None:
    us, si = partner(symbol)
    assert us != si


def test_the_worked_conversion_of_the_guide() -> None:
    # NIST Special Publication 811, B.7.2: a length of 36 ft is 11.0 m, since 11 m would be rounded too coarsely.
    assert value_pair(36, "ft") == Pair("36\u00a0ft", "11.0\u00a0m")


@pytest.mark.parametrize(
    ("value", "unit", "us", "si"),
    [
        (6.3, "L", "384\u00a0in³", "6.3\u00a0L"),
        (4.0, "in", "4\u00a0in", "102\u00a0mm"),
        (370, "hp", "370\u00a0hp", "276\u00a0kW"),
        (1, "1", "1", "1"),
        (31500, "lb", "31,500\u00a0lb", "14,290\u00a0kg"),
        (60, "delta_K", "108\u00a0°F", "60\u00a0K"),
        (500, "degC", "932\u00a0°F", "500\u00a0°C"),
    ],
)
def test_values(value: float, unit: str, us: str, si: str) -> None:
    assert value_pair(value, unit) == Pair(us, si)


def test_the_own_unit_keeps_the_digits_that_were_typed() -> None:
    assert value_pair(900, "N.m").si == "900\u00a0N·m"
    assert value_pair(0.0193, "1").us == "0.0193"
    assert [typed_digits(number) for number in (0, 5, 900, 6.3, 0.045, 1e-5)] == [1, 1, 3, 2, 2, 1]


@pytest.mark.parametrize(
    ("low", "high", "unit"), [(675, 760, "degC"), (10, 20, "kPa"), (0.14, 0.18, "1"), (25, 35, "deg")]
)
def test_a_converted_range_is_never_narrower(low: float, high: float, unit: str) -> None:
    us, si = partner(unit)
    pair = range_pair(low, high, unit)
    for text, shown in ((pair.us, us), (pair.si, si)):
        first, _, rest = text.replace(",", "").partition(" to ")
        ends = float(first), float(rest.split("\u00a0")[0].rstrip("°"))
        exact = convert(low, unit, shown), convert(high, unit, shown)
        assert ends[0] <= exact[0] + 1e-9
        assert ends[1] >= exact[1] - 1e-9


def test_digits_of_a_converted_value_are_neither_too_few_nor_too_many() -> None:
    for given, digits, factor in ((36, 2, 0.3048), (6.3, 2, 61.0237), (999, 3, 1.35582), (1.01, 3, 25.4)):
        converted = given * factor
        count = converted_digits(given, digits, converted)
        relative = 0.5 * 10 ** (1 - digits) / float(f"{given:e}".split("e")[0])
        shown = 0.5 * 10 ** (1 - count) / float(f"{converted:e}".split("e")[0])
        assert relative / 15 < shown <= relative * 1.5
