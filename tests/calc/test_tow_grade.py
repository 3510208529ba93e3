"""Towing on a grade against a unit library, a standard atmosphere, energy conservation and kinematics."""

import math

import fluids
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.calculators.tow_grade import tow_grade
from calc.contract import Impossible
from calc.units import HORSEPOWER, POUND_FORCE, to_si

RUN = tow_grade.function
UNITS = pint.UnitRegistry()
MPH = to_si(1, "mph")
CASE = {
    "combined_mass": 9072.0,
    "grade": 0.06,
    "speed": 55 * MPH,
    "rolling_coefficient": 0.008,
    "drag_area": 5.5,
    "air_density": 1.2,
}


def test_six_per_cent_at_55_mph() -> None:
    """9072 kg: 710.45 N rolling, 1994.95 N drag, 5328.37 N grade, 264.89 hp.

    Source: Fundamentals of Vehicle Dynamics, memory.
    """
    result = RUN(**CASE)
    assert result.rolling_force == pytest.approx(710.4498, rel=1e-6)
    assert result.drag_force == pytest.approx(1994.95, rel=1e-6)
    assert result.grade_force == pytest.approx(5328.373, rel=1e-6)
    assert result.wheel_power == pytest.approx(197.528e3, rel=1e-5)
    assert result.wheel_power / HORSEPOWER == pytest.approx(264.8894, rel=1e-5)


def test_grade_is_the_tangent() -> None:
    """12 %: 6.842773 degrees and 1168.415 N for a tonne; the sine would be 0.7 % more.

    Source: definition of road grade.
    """
    result = RUN(grade=0.12, combined_mass=1000.0)
    assert result.angle == pytest.approx(6.842773, rel=1e-6)
    assert result.grade_force == pytest.approx(1168.415, rel=1e-6)


def test_coast_down_coefficients() -> None:
    """A 60 lbf, B 0.4 lbf/mph, C 0.055 lbf/mph2 at 60 mph: 1254.398 N, 45.12 hp. Source: form of 40 CFR 1066, pint."""
    speed = UNITS.Quantity(60, "mph")
    force = UNITS.Quantity(60 + 0.4 * 60 + 0.055 * 60**2, "lbf")
    result = RUN(
        road_load="coefficients",
        A=60 * POUND_FORCE,
        B=to_si(0.4, "lbf/mph"),
        C=to_si(0.055, "lbf/mph2"),
        speed=60 * MPH,
        grade=0.0,
    )
    assert force.to("N").magnitude == pytest.approx(1254.398, rel=1e-6)
    assert result.force == pytest.approx(force.to("N").magnitude, rel=1e-9)
    assert result.wheel_power / HORSEPOWER == pytest.approx((force * speed).to("hp").magnitude, rel=1e-9)


def test_engine_speed_from_gearing() -> None:
    """65 mph on 0.405 m, 3.55 and 0.82: 1994.428 r/min. Source: kinematics, converter locked."""
    result = RUN(speed=65 * MPH, tyre_rolling_radius=0.405, axle_ratio=3.55, gear_ratio=0.82)
    assert result.engine_speed == pytest.approx(1994.428, rel=1e-6)
    slipping = RUN(speed=65 * MPH, tyre_rolling_radius=0.405, axle_ratio=3.55, gear_ratio=0.82, converter_slip=0.2)
    assert slipping.engine_speed == pytest.approx(1994.428 / 0.8, rel=1e-6)


def test_density_at_height_against_a_library() -> None:
    """The drag's air is fluids' 1976 standard atmosphere, at the given temperature if there is one."""
    standard = fluids.ATMOSPHERE_1976(2200.0)
    assert RUN(height=2200.0).air_density == pytest.approx(standard.rho, rel=1e-4)
    hot = RUN(height=2200.0, air_temperature=310.0).air_density
    assert hot == pytest.approx(standard.rho * standard.T / 310.0, rel=1e-4)


def test_a_descent_gives_back_the_height() -> None:
    """Without drag and rolling the retarding power is mass times gravity times the height lost each second."""
    result = RUN(grade=-0.08, rolling_coefficient=0.0, drag_area=0.0, speed=20.0, combined_mass=10e3)
    sinking = 20.0 * math.sin(math.atan(0.08))
    assert result.wheel_power == pytest.approx(-10e3 * 9.80665 * sinking, rel=1e-12)
    assert result.retarding_power == -result.wheel_power
    assert result.crank_power == 0.0
    assert result.fuel_flow == 0.0
    assert result.coolant_heat is None
    assert any("engine brake" in warning for warning in result.warnings)


def test_a_tail_wind_faster_than_the_vehicle_pushes() -> None:
    """Drag turns round with the wind over the vehicle, and does not grow again."""
    assert (RUN(wind=-30.0, speed=20.0).drag_force or 0.0) < 0.0
    assert RUN(wind=-20.0, speed=20.0).drag_force == pytest.approx(0.0, abs=1e-9)


def test_heat_adds_up() -> None:
    """Work and coolant are shares of the fuel, the fuel by its heating value; the loss of the driveline is all
    there is.
    """
    result = RUN(**CASE, driveline_efficiency=0.85, brake_efficiency=0.4, coolant_share=0.2, transmission_share=1.0)
    assert result.fuel_power == pytest.approx(result.crank_power / 0.4, rel=1e-12)
    assert result.fuel_flow * 42.7e6 == pytest.approx(result.fuel_power, rel=1e-12)
    assert result.coolant_heat == pytest.approx(0.2 * result.fuel_power, rel=1e-12)
    assert result.transmission_heat == pytest.approx(result.crank_power - result.wheel_power, rel=1e-9)
    assert result.engine_torque * result.engine_speed * 2 * math.pi / 60 == pytest.approx(result.crank_power, rel=1e-9)


@given(st.floats(100, 600), st.floats(0.0, 0.12), st.floats(-5, 5))
def test_the_speed_possible_takes_the_power_on_hand(hp: float, grade: float, wind: float) -> None:
    """Driving at that speed needs just that power."""
    speed = RUN(power_on_hand=hp * HORSEPOWER, grade=grade, wind=wind).speed_possible
    if speed is not None and 0.5 < speed < 50:
        again = RUN(speed=speed, grade=grade, wind=wind)
        assert again.wheel_power == pytest.approx(hp * HORSEPOWER, rel=1e-6)


@given(st.floats(2e3, 15e3), st.floats(0.0, 0.1), st.floats(1.01, 1.3))
def test_more_mass_or_grade_needs_more(mass: float, grade: float, more: float) -> None:
    """Monotone where physics says so."""
    plain = RUN(combined_mass=mass, grade=grade).wheel_power
    assert RUN(combined_mass=mass * more, grade=grade).wheel_power > plain
    assert RUN(combined_mass=mass, grade=grade + 0.01).wheel_power > plain
    assert RUN(combined_mass=mass, grade=grade, height=2000.0).wheel_power < plain


def test_coefficients_of_the_same_vehicle_give_the_same() -> None:
    """A, B and C as shown, put back in, are the same road load in still air."""
    plain = RUN(**CASE)
    again = RUN(
        **CASE,
        road_load="coefficients",
        A=plain.coefficient_a,
        B=plain.coefficient_b,
        C=plain.coefficient_c,
    )
    assert again.wheel_power == pytest.approx(plain.wheel_power, rel=1e-12)


def test_more_than_the_fuel_holds_is_refused() -> None:
    """Work and coolant above one."""
    with pytest.raises(Impossible):
        RUN(coolant_share=0.5, brake_efficiency=0.55)
