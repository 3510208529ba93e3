"""Air demand against a unit library, mass balance, a property library and a standard atmosphere."""

import CoolProp.CoolProp as coolprop
import fluids
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.calculators.air_demand import air_demand
from calc.calculators.wheel_power import wheel_power
from calc.contract import Impossible
from calc.units import HORSEPOWER, PSI, to_si

RUN = air_demand.function
UNITS = pint.UnitRegistry()
LB_MIN = to_si(1, "lb/min")


def test_fuel_from_power_and_consumption() -> None:
    """500 hp at 0.37 lb/(hp.h) are 23.3096 g/s, 83.9146 kg/h. Source: definition, computed by a unit library (pint)."""
    expected = (UNITS.Quantity(500, "hp") * UNITS.Quantity(0.37, "lb/(hp*hour)")).to("g/s").magnitude
    result = RUN(power=500 * HORSEPOWER, bsfc=to_si(0.37, "lb/(hp.h)"))
    assert result.fuel_flow * 1e3 == pytest.approx(expected, rel=1e-9)
    assert result.fuel_flow_per_hour * 3600 == pytest.approx(83.91459, rel=1e-6)
    assert to_si(0.37, "lb/(hp.h)") * 3.6e9 == pytest.approx(225.0626, rel=1e-6)
    assert result.thermal_efficiency == pytest.approx(3600 / (0.2250626 * 42700), rel=1e-6)


def test_stoichiometric_air_by_mass_balance() -> None:
    """C12H23 needs 14.668 kg/kg with 0.2095 oxygen. Source: mass balance with standard atomic weights, done here."""
    oxygen = 12 + 23 / 4
    fuel = 12 * 12.011 + 23 * 1.008
    assert oxygen / 0.2095 * 28.96605 / fuel == pytest.approx(14.66784, rel=1e-5)
    assert RUN().afr_stoichiometric == pytest.approx(14.66784, rel=1e-3)
    assert RUN(hydrogen_per_carbon=1.85).afr_stoichiometric == pytest.approx(14.573, rel=1e-3)


def test_air_from_lambda() -> None:
    """23.31 g/s at 14.5 and lambda 1.45: 0.490093 kg/s, 64.828 lb/min. Source: definition."""
    result = RUN(fuel_flow=23.31e-3, afr_stoichiometric=14.5, lam=1.45)
    assert result.air_flow == pytest.approx(0.4900927, rel=1e-6)
    assert result.air_flow / LB_MIN == pytest.approx(64.82817, rel=1e-6)
    assert result.afr == pytest.approx(21.025, rel=1e-9)


def test_manifold_state_against_real_air() -> None:
    """0.4901 kg/s, 6.6 L, 2800 r/min, filling 0.92, 325 K: 3.459 kg/m3, and CoolProp's pressure of that air.

    Source: the four-stroke relation (Internal Combustion Engine Fundamentals, from memory) and CoolProp.
    """
    result = RUN(
        air_flow=0.4900927, displacement=6.6e-3, speed=2800, volumetric_efficiency=0.92, manifold_temperature=325
    )
    assert result.density == pytest.approx(3.459153, rel=1e-6)
    real = coolprop.PropsSI("P", "D", 3.459153, "T", 325, "Air")
    assert result.pressure == pytest.approx(real, rel=1e-3)
    assert result.boost / PSI == pytest.approx(32.0912, rel=5e-3)


def test_standard_air_against_a_library() -> None:
    """At 5280 ft the pressure, temperature and density of fluids' 1976 standard atmosphere."""
    height = to_si(5280, "ft")
    standard = fluids.ATMOSPHERE_1976(height)
    result = RUN(height=height)
    assert result.outside_pressure == pytest.approx(standard.P, rel=1e-4)
    assert result.outside_temperature == pytest.approx(standard.T, rel=1e-4)
    assert result.outside_density == pytest.approx(standard.rho, rel=1e-4)


def test_a_gauge_reading_is_worth_less_higher_up() -> None:
    """30 psi gauge: ratio 3.0414 at the sea, 3.602 and 286.34 kPa absolute at 2000 m.

    Source: ISO 2533 and definition.
    """
    low, high = RUN(boost_gauge=30 * PSI, height=0.0), RUN(boost_gauge=30 * PSI, height=2000.0)
    assert low.gauge_pressure_ratio == pytest.approx(3.041379, rel=1e-5)
    assert high.gauge_pressure_ratio == pytest.approx(3.601952, rel=1e-4)
    assert high.gauge_charge_pressure == pytest.approx(286.3379e3, rel=1e-4)
    assert low.gauge_air_flow is not None
    assert high.gauge_air_flow is not None
    assert high.gauge_air_flow < low.gauge_air_flow


def test_humid_air_against_a_library() -> None:
    """Density and vapour of humid air against CoolProp's humid-air properties."""
    result = RUN(barometer=95e3, air_temperature=308.15, relative_humidity=0.7)
    water = coolprop.HAPropsSI("W", "T", 308.15, "P", 95e3, "R", 0.7)
    volume = coolprop.HAPropsSI("Vha", "T", 308.15, "P", 95e3, "R", 0.7)
    assert result.moist_air_flow / result.air_flow - 1 == pytest.approx(water, rel=0.01)
    assert result.outside_density == pytest.approx(1 / volume, rel=2e-3)


def test_on_a_hot_day_pressure_stays_and_density_does_not() -> None:
    """Only the density follows the temperature."""
    standard, hot = RUN(height=1000.0), RUN(height=1000.0, air_temperature=313.15)
    assert hot.outside_pressure == standard.outside_pressure
    assert hot.outside_density < 0.91 * standard.outside_density


@pytest.mark.parametrize(("wheel", "lam"), [(550, 1.2), (550, 1.5), (600, 1.2), (600, 1.5)])
def test_the_trade_limit_of_a_standard_turbocharger(wheel: float, lam: float) -> None:
    """550 to 600 wheel hp mean about 63 to 87 lb/min of air at lambda 1.2 to 1.5.

    Common practice, no source, and an order of magnitude: the loss is the trade's own 445 to 400 hp.
    """
    crank = wheel_power.function(power=wheel * HORSEPOWER, loss_fraction=1 - 400 / 445).crank_power
    flow = RUN(power=crank, lam=lam).air_flow / LB_MIN
    assert 0.95 * 63 < flow < 1.05 * 87


@given(st.floats(100, 900), st.floats(1.0, 2.5), st.floats(1.01, 1.5))
def test_more_power_or_lambda_needs_more_boost(hp: float, lam: float, more: float) -> None:
    """Air and pressure go with power times lambda."""
    plain = RUN(power=hp * HORSEPOWER, lam=lam)
    assert RUN(power=hp * more * HORSEPOWER, lam=lam).pressure == pytest.approx(plain.pressure * more, rel=1e-9)
    assert RUN(power=hp * HORSEPOWER, lam=lam * more).pressure_ratio > plain.pressure_ratio


@given(st.floats(0, 3000), st.floats(50, 1000))
def test_height_raises_the_pressure_ratio(height: float, climb: float) -> None:
    """The same air is a harder task higher up."""
    assert RUN(height=height + climb).pressure_ratio > RUN(height=height).pressure_ratio


def test_losses_count_at_the_compressor() -> None:
    """A loss on either side raises the pressure ratio, the one before the compressor more."""
    none = RUN(intake_loss=0.0, cooler_loss=0.0).pressure_ratio
    before = RUN(intake_loss=4e3, cooler_loss=0.0).pressure_ratio
    behind = RUN(intake_loss=0.0, cooler_loss=4e3).pressure_ratio
    assert before > behind > none


def test_impossible_demands_are_refused() -> None:
    """More work than the fuel holds."""
    with pytest.raises(Impossible):
        RUN(power=500 * HORSEPOWER, fuel_flow=5e-3)
