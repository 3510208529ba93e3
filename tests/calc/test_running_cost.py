"""Cost and payback against interval arithmetic, corners run by a numerical library, and a unit library."""

import itertools
import random

import numpy as np
import pint
import pytest

from calc import present
from calc.calculators.running_cost import running_cost
from calc.contract import Impossible
from calc.evaluate import answer
from calc.units import GALLON_US, HORSEPOWER, MILE

RUN = running_cost.function
UNITS = pint.UnitRegistry()


def ends(name: str, **given: str) -> tuple[float | None, float | None]:
    """Low and high end of an output for typed inputs."""
    value = answer(running_cost, given, "us").outputs[name]
    return value.low, value.high


def test_parts_and_labour() -> None:
    """1200..1500 and 4..6 h at 120..160 an hour: 1680..2460. Source: interval arithmetic."""
    assert ends("total", parts="1200..1500", hours="4..6", rate="120..160") == pytest.approx(
        (1680.0, 2460.0), rel=1e-12
    )


def test_corners() -> None:
    """With 7 % on everything: 1316.10..2086.50, the least and most of all corners (numpy)."""
    low, high = ends("total", parts="900..1200", hours="3..5", rate="110..150", tax="7 %")
    corners = np.array([(p + h * r) * 1.07 for p, h, r in itertools.product((900, 1200), (3, 5), (110, 150))])
    assert (low, high) == pytest.approx((corners.min(), corners.max()), rel=1e-12)
    assert (low, high) == pytest.approx((1316.1, 2086.5), rel=1e-9)


def test_tax_on_parts_alone() -> None:
    """Then labour is free of it."""
    assert RUN(parts=1000.0, hours=4.0, rate=100.0, tax=0.1, taxed="parts").total == pytest.approx(1500.0)


def test_fuel_payback() -> None:
    """15,000 mi a year from 14 to 15.2 mi/gal at 3.90: 329.89 a year, 5.456 years for 1800.

    Source: the identity on consumption, run with a unit library (pint).
    """
    distance, price = UNITS.Quantity(15000, "mile/year"), 3.9 / UNITS.Quantity(1, "US_liquid_gallon")
    before, after = (UNITS.Quantity(value, "mile/US_liquid_gallon") for value in (14.0, 15.2))
    saving = (distance / before - distance / after) * price
    result = RUN(
        cost=1800.0,
        distance_per_year=15000 * MILE,
        economy_before=14 * MILE / GALLON_US,
        economy_after=15.2 * MILE / GALLON_US,
        fuel_price=3.9 / GALLON_US,
    )
    assert result.saving_per_year == pytest.approx(saving.to("1/year").magnitude, rel=1e-9)
    assert result.saving_per_year == pytest.approx(329.8872, rel=1e-6)
    assert result.payback == pytest.approx(5.45641, rel=1e-6)
    assert result.verdict == "within the years kept"


def test_distance_over_fuel_must_not_be_averaged() -> None:
    """Half the way at 10 and half at 20 mi/gal is 13.33, as the mean consumption says, not 15."""
    ten, twenty = (RUN(economy_after=e * MILE / GALLON_US).consumption_after for e in (10, 20))
    assert 1 / ((ten + twenty) / 2) / (MILE / GALLON_US) == pytest.approx(40 / 3, rel=1e-12)


def test_it_may_never_pay_back() -> None:
    """When the saving's range holds zero there is a best case and no worst one."""
    given = {"cost": "1800", "economy_before": "14", "economy_after": "13.5..15.2", "fuel_price": "3.9"}
    result = answer(running_cost, given, "us")
    payback = result.outputs["payback"]
    assert payback.low == pytest.approx(5.45641, rel=1e-5)
    assert payback.high is None
    assert "or never" in present.output_text(running_cost.outputs["payback"], payback, "us")
    assert "never" in result.outputs["verdict"].value
    low, high = ends("saving_per_year", **given)
    assert low is not None
    assert high is not None
    assert low < 0 < high


def test_it_never_pays_back() -> None:
    """When every outcome burns more, the answer is the word."""
    result = answer(running_cost, {"economy_before": "14", "economy_after": "12..13.5"}, "us")
    assert present.output_text(running_cost.outputs["payback"], result.outputs["payback"], "us") == "never"
    assert result.outputs["verdict"].value == "never"


def test_no_gain_has_no_cost_per_horsepower() -> None:
    """A gain that may be nothing leaves the cost per horsepower open above."""
    result = answer(running_cost, {"cost": "1800", "wheel_power_to": "395..430 hp"}, "us")
    assert result.outputs["cost_per_power"].high is None
    assert "no gain at all" in present.output_text(
        running_cost.outputs["cost_per_power"], result.outputs["cost_per_power"], "us"
    )


def test_the_trade_numbers_per_horsepower() -> None:
    """12 to 15 thousand for 400 to 550 wheel hp are 80 to 100 a horsepower.

    Common practice: a division of its numbers.
    """
    low, high = ends("cost_per_power", cost="12000..15000", wheel_power_from="400", wheel_power_to="550")
    assert low is not None
    assert high is not None
    assert (low * HORSEPOWER, high * HORSEPOWER) == pytest.approx((80.0, 100.0), rel=1e-9)


def test_shared_labour_is_paid_once() -> None:
    """Two jobs at once cost both alone less the shared hours, whatever the tax."""
    rates = {"rate": 130.0, "tax": 0.08, "second_hours": 0.0, "second_parts": 0.0}
    first = RUN(**rates | {"parts": 900.0, "hours": 6.0})
    second = RUN(**rates | {"parts": 400.0, "hours": 5.0})
    both = RUN(
        **rates | {"parts": 900.0, "hours": 6.0, "second_parts": 400.0, "second_hours": 5.0, "shared_hours": 3.5}
    )
    assert both.total == pytest.approx(first.total + second.total - 3.5 * 130 * 1.08, rel=1e-12)
    assert both.saved_by_sharing == pytest.approx(3.5 * 130 * 1.08, rel=1e-12)
    with pytest.raises(Impossible):
        RUN(hours=6.0, second_hours=2.0, shared_hours=3.0)


def test_ranges_enclose_every_outcome() -> None:
    """Random points inside the default ranges stay inside the results."""
    source = random.Random(7)
    whole = answer(running_cost, {}, "us").outputs
    ranged = {name: item.kind.typical for name, item in running_cost.inputs.items() if getattr(item.kind, "typical", 0)}
    assert len(ranged) >= 5
    for _ in range(200):
        point = RUN(**{name: source.uniform(*ends) for name, ends in ranged.items()})
        for name in ("total", "saving_per_year", "net_after", "payback", "cost_per_power"):
            found, low, high = getattr(point, name), whole[name].low, whole[name].high
            assert found is None or found >= low * (1 - 1e-12) or found >= low - 1e-9
            assert found is None or high is None or found <= high + 1e-9


def test_the_defaults_are_the_middles_of_their_ranges() -> None:
    """A range that is the default has the function's default as its middle."""
    for item in running_cost.inputs.values():
        if typical := getattr(item.kind, "typical", None):
            assert item.default == pytest.approx(sum(typical) / 2, rel=1e-12)
