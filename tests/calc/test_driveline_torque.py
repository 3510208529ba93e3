"""Driveline torque against conservation of power, quadrature, moments about the front axle, and the unit library."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from calc.calculators.driveline_torque import driveline_torque
from calc.contract import Impossible
from calc.evaluate import answer

RUN = driveline_torque.function
UNITS = pint.UnitRegistry()
G = 9.80665


def test_stall_in_first_gear_by_hand() -> None:
    """600 lbf.ft x 2.0 x 3.0 is 3600 lbf.ft at the driveshaft and x 3.73 13,428 at the axle, without losses."""
    result = RUN(
        engine_torque=600 * 1.3558179483314004,
        stall_torque_ratio=2.0,
        gear_ratio=3.0,
        axle_ratio=3.73,
        transmission_efficiency=1.0,
        axle_efficiency=1.0,
    )
    driveshaft = UNITS.Quantity(result.driveshaft_torque, "N*m").to("lbf*ft").magnitude
    axle = UNITS.Quantity(result.axle_torque, "N*m").to("lbf*ft").magnitude
    assert driveshaft == pytest.approx(3600.0, rel=1e-9)
    assert axle == pytest.approx(13428.0, rel=1e-9)


@given(st.floats(0.0, 1.0), st.floats(0.5, 5.0), st.floats(2.0, 5.0), st.floats(0.8, 1.0), st.floats(0.8, 1.0))
def test_power_is_conserved(ratio: float, gear: float, axle: float, first: float, second: float) -> None:
    """Engine power is power at the wheels, heat of the converter, and the losses of transmission and axle."""
    result = RUN(
        speed_ratio=ratio, gear_ratio=gear, axle_ratio=axle, transmission_efficiency=first, axle_efficiency=second
    )
    turbine_power = result.engine_power - result.converter_heat
    wheel_speed = 1750 * 2 * math.pi / 60 * ratio / (gear * axle)
    assert result.axle_torque * wheel_speed == pytest.approx(turbine_power * first * second, rel=1e-9, abs=1e-6)
    assert 0.0 <= result.converter_efficiency <= 1.0 + 1e-12


def test_converter_end_points() -> None:
    """At stall the stall ratio and all power turned to heat, locked neither (Automotive Transmissions, from memory)."""
    stall, locked = RUN(speed_ratio=0.0), RUN(speed_ratio=1.0)
    assert stall.converter_torque_ratio == 1.9
    assert stall.converter_heat == stall.engine_power
    assert locked.converter_torque_ratio == 1.0
    assert locked.converter_heat == pytest.approx(0.0, abs=1e-9)


def test_grip_by_moments() -> None:
    """Moments about the front axle: rear load = standing load + F h/l, and F = mu times it (statics, iterated here)."""
    result = RUN(axle_load=2000.0, grip=0.8, height_to_wheelbase=0.22)
    force = 0.0
    for _ in range(200):
        force = 0.8 * (2000.0 * G + force * 0.22)
    assert result.grip_force == pytest.approx(force, rel=1e-9)
    assert result.axle_force == pytest.approx(2000.0 * G + force * 0.22, rel=1e-9)


def test_tube_in_torsion_by_quadrature() -> None:
    """Surface stress T R / J with the polar moment J integrated over the wall (scipy quad)."""
    result = RUN(tube_diameter=0.1, tube_wall=0.003)
    polar = quad(lambda r: 2 * math.pi * r**3, 0.047, 0.05)[0]
    assert result.shear_stress == pytest.approx(result.driveshaft_torque_arriving * 0.05 / polar, rel=1e-9)


def test_solid_shaft_of_the_textbook() -> None:
    """A solid shaft has 16 T/(pi d^3) (Shigley's Mechanical Engineering Design, from memory)."""
    result = RUN(tube_diameter=0.05, tube_wall=0.025)
    expected = 16 * result.driveshaft_torque_arriving / (math.pi * 0.05**3)
    assert result.shear_stress == pytest.approx(expected, rel=1e-12)


@given(st.floats(100, 3000), st.floats(0.1, 1.2), st.floats(0.6, 5.0))
def test_no_more_arrives_than_grip_or_engine_give(torque: float, grip: float, gear: float) -> None:
    """The weaker of the two rules, and the answer names it."""
    result = RUN(engine_torque=torque, grip=grip, gear_ratio=gear)
    assert result.driveshaft_torque_arriving == min(result.driveshaft_torque, result.driveshaft_torque_at_grip)
    spins = result.fuse == "the tyres spin"
    assert spins == (torque > result.engine_torque_at_grip)


@given(st.floats(200, 4000), st.floats(1.01, 2.0))
def test_more_load_lets_more_through(load: float, more: float) -> None:
    """Bed load and tongue weight raise what the shaft has to carry."""
    assert RUN(axle_load=load * more).driveshaft_torque_at_grip > RUN(axle_load=load).driveshaft_torque_at_grip


def test_first_gear_at_stall_is_thousands() -> None:
    """A large pickup diesel at stall makes several thousand lbf.ft of driveshaft torque, and spins an empty rear axle.

    Common practice, no source: an order of magnitude.
    """
    result = RUN()
    assert 4000 < result.driveshaft_torque / 1.3558 < 9000
    assert result.fuse == "the tyres spin"
    assert RUN(gear_ratio=0.77, speed_ratio=1.0).fuse == "the engine's torque, with grip left"


def test_warnings_say_which_fuse_holds() -> None:
    """Grip that protects the shaft, and grip that does not."""
    assert "Only the tyres" in RUN(driveshaft_limit=5000.0).warnings[0]
    assert "the shaft is the fuse" in RUN(driveshaft_limit=5000.0, axle_load=9000.0).warnings[0]
    assert RUN().warnings == ()


def test_a_range_of_grip_may_change_the_fuse() -> None:
    """Both words are given where the range holds both."""
    fuse = answer(driveline_torque, {"gear_ratio": "1.47", "speed_ratio": "1", "grip": "0.5..0.9"}).outputs["fuse"]
    assert " or " in fuse.value


def test_a_wall_thicker_than_the_radius_is_refused() -> None:
    """No such tube."""
    with pytest.raises(Impossible, match="thicker"):
        RUN(tube_diameter=0.05, tube_wall=0.03)
