"""Clutch capacity against textbook values, quadrature by a numerical library, and physics."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from calc.calculators.line_pressure import line_pressure
from calc.contract import Impossible
from calc.evaluate import answer
from calc.present import as_json

RUN = line_pressure.function
UNITS = pint.UnitRegistry()
PSI = 6894.757293168361


def outputs(**given_texts: str) -> dict[str, float]:
    """Values of all outputs in SI display units, as the terminal's JSON gives them."""
    shown = as_json(answer(line_pressure, given_texts), "si")
    return {name: entry["value"] for name, entry in shown["outputs"].items()}


def test_pack_by_quadrature() -> None:
    """18 kN on twelve faces of 75..95 mm at 0.12: 2213.4 N.m even, 2203.2 N.m worn in.

    Source: disk clutches, Shigley's Mechanical Engineering Design (from memory); integrals by scipy quad, run here.
    """
    result = RUN(friction=0.12, clamp_force=18e3, friction_faces=12.0, outer_radius=95e-3, inner_radius=75e-3)
    ring = math.pi * (0.095**2 - 0.075**2)
    even = quad(lambda r: 12 * 0.12 * 18e3 / ring * r * 2 * math.pi * r, 0.075, 0.095)[0]
    # Uniform wear: pressure falls as 1/r, p r = F / (2 pi (ro - ri)).
    worn = quad(lambda r: 12 * 0.12 * 18e3 / (2 * math.pi * 0.020) * 2 * math.pi * r, 0.075, 0.095)[0]
    assert result.torque_uniform_pressure == pytest.approx(2213.365, rel=1e-6)
    assert result.torque_uniform_wear == pytest.approx(2203.2, rel=1e-9)
    assert result.torque_uniform_pressure == pytest.approx(even, rel=1e-9)
    assert result.torque_uniform_wear == pytest.approx(worn, rel=1e-9)


def test_single_disk_of_the_textbook() -> None:
    """250 and 175 mm, 0.30, 4 kN: 127.5 N.m worn in, 128.8 N.m even; 194 and 160 kPa.

    Source: Shigley's Mechanical Engineering Design, chapter 16 exercise, data and 127.5 N.m recalled from memory.
    """
    result = RUN(friction=0.30, clamp_force=4e3, friction_faces=1.0, outer_radius=0.125, inner_radius=0.0875)
    assert result.torque_uniform_wear == pytest.approx(127.5, rel=1e-9)
    assert result.torque_uniform_pressure == pytest.approx(128.8235, rel=1e-6)
    assert result.max_pressure_uniform_wear == pytest.approx(0.1940175e6, rel=1e-6)
    assert result.pressure_uniform_pressure == pytest.approx(0.1597791e6, rel=1e-6)


def test_required_pressure() -> None:
    """1350 N.m with a margin of 1.25 on this pack needs 986.6 kPa (143.1 psi): force balance on an annular piston."""
    found = outputs(
        torque="1350 N.m",
        friction="0.13",
        friction_faces="12",
        outer_radius="92 mm",
        inner_radius="72 mm",
        piston_outer_radius="88 mm",
        piston_inner_radius="55 mm",
        return_spring_force="1500 N",
        margin="1.25",
        model="uniform pressure",
    )
    assert found["piston_area"] == pytest.approx(148.2518, rel=1e-6)
    assert found["line_pressure"] == pytest.approx(986.6166, rel=1e-6)
    assert found["line_pressure"] * 1e3 / PSI == pytest.approx(143.0966, rel=1e-6)


def test_heat_of_a_shift() -> None:
    """1100 N.m from 2900 to 2050 r/min in 0.45 s: 22.03 kJ, 48.96 kW, 171.9 kJ/m2; integral of T w dt by scipy quad."""
    result = RUN(
        clutch_torque=1100.0,
        speed_before=2900.0,
        speed_after=2050.0,
        shift_time=0.45,
        friction_faces=12.0,
        outer_radius=95e-3,
        inner_radius=75e-3,
    )
    slip = 850 * 2 * math.pi / 60
    heat = quad(lambda t: 1100 * slip * (1 - t / 0.45), 0, 0.45)[0]
    assert result.slip_energy == pytest.approx(22030.42, rel=1e-6)
    assert result.slip_energy == pytest.approx(heat, rel=1e-9)
    assert result.mean_power == pytest.approx(48956.49, rel=1e-6)
    assert result.energy_per_face_area == pytest.approx(171.875e3, rel=1e-4)


def test_heat_of_a_shift_conserves_energy() -> None:
    """What the engine and its inertia give while slipping is heat and work on the output: first law.

    Clutch torque is engine torque plus I dw/dt; the output turns at the lower speed throughout.
    """
    t, inertia, torque, high, low = 0.4, 0.9, 1300.0, 300.0, 210.0
    rpm = 60 / (2 * math.pi)
    result = RUN(
        torque=torque, inertia=inertia, speed_before=high * rpm, speed_after=low * rpm, shift_time=t, share=1.0
    )
    clutch = torque + inertia * (high - low) / t
    engine_work = quad(lambda s: torque * (high - (high - low) * s / t), 0, t)[0]
    given_up = 0.5 * inertia * (high**2 - low**2)
    output_work = clutch * low * t
    assert result.slip_energy == pytest.approx(engine_work + given_up - output_work, rel=1e-9)
    assert result.inertia_torque == pytest.approx(clutch - torque, rel=1e-12)


def test_spinning_fluid_by_quadrature() -> None:
    """Centrifugal head: the integral of rho w^2 (r^2 - rs^2)/2 over the piston (scipy quad)."""
    result = RUN(drum_speed=3000.0, head_radius=0.03, piston_outer_radius=0.08, piston_inner_radius=0.05)
    omega = 3000 * 2 * math.pi / 60
    force = quad(lambda r: 820 * omega**2 * (r**2 - 0.03**2) / 2 * 2 * math.pi * r, 0.05, 0.08)[0]
    assert result.centrifugal_force == pytest.approx(force, rel=1e-9)


def test_more_wheel_torque_asks_for_more_pressure() -> None:
    """150 lbf.ft on 850 is 1.176 in torque and 1.12 to 1.176 in line pressure (common practice; order of magnitude)."""
    result = RUN(torque=1000.0, torque_stock=850.0)
    assert result.torque_ratio == pytest.approx(1.176471, rel=1e-6)
    assert 1.12 < result.line_pressure_ratio_at_equal_margin < 1.1765


def test_pressure_ratio_keeps_the_margin() -> None:
    """At the old torque and pressure, and at the new ones, the margin is the same."""
    old = RUN(torque=1250.0)
    ratio = RUN(torque=1400.0, torque_stock=1250.0).line_pressure_ratio_at_equal_margin
    new = RUN(torque=1400.0, available_pressure=1.5e6 * ratio)
    assert new.margin_now == pytest.approx(old.margin_now, rel=1e-12)


@given(
    st.floats(300, 2500),
    st.floats(1.0, 2.0),
    st.floats(0.08, 0.2),
    st.sampled_from(["uniform pressure", "uniform wear"]),
)
def test_the_needed_pressure_holds_exactly(torque: float, margin: float, friction: float, model: str) -> None:
    """Running the pack at the pressure needed gives the torque times the margin back."""
    needed = RUN(torque=torque, margin=margin, friction=friction, model=model).line_pressure
    held = RUN(torque=torque, friction=friction, model=model, available_pressure=needed).capacity
    assert held == pytest.approx(torque * margin, rel=1e-9)


@given(st.floats(0.02, 0.1), st.floats(1.001, 3.0))
def test_wear_never_holds_more(inner: float, wider: float) -> None:
    """Uniform wear holds less than uniform pressure, by less than 1 % for rings under a quarter of their radius."""
    result = RUN(inner_radius=inner, outer_radius=inner * wider if inner * wider < 0.3 else 0.3)
    ratio = result.torque_uniform_wear / result.torque_uniform_pressure
    assert 0.75 - 1e-9 <= ratio <= 1 + 1e-12
    if wider < 1.25:
        assert ratio > 0.99


def test_pump_power_against_the_unit_library() -> None:
    """30 L/min at 1.5 MPa and 75 %: exactly 1 kW (pint)."""
    power = (UNITS("30 L/min") * UNITS("1.5 MPa") / 0.75).to("W").magnitude
    assert RUN(pump_flow=30e-3 / 60, available_pressure=1.5e6, pump_efficiency=0.75).pump_power == pytest.approx(power)
    assert power == pytest.approx(1000.0)


def test_what_cannot_be_is_refused() -> None:
    """Rings without area, a spring stronger than the piston, fluid that stands outside the seal."""
    with pytest.raises(Impossible, match="facing's inner"):
        RUN(inner_radius=0.09, outer_radius=0.08)
    with pytest.raises(Impossible, match="piston's inner radius"):
        RUN(piston_inner_radius=0.09, piston_outer_radius=0.08)
    with pytest.raises(Impossible, match="does not touch"):
        RUN(available_pressure=50e3, return_spring_force=5e3)
    with pytest.raises(Impossible, match="stand at least"):
        RUN(drum_speed=1000.0, head_radius=0.07)
    with pytest.raises(Impossible, match="would not release"):
        RUN(drum_speed=8000.0, head_radius=0.0, torque=10.0, return_spring_force=0.0)


def test_warnings_name_the_limit_that_is_passed() -> None:
    """Sliding, too much line pressure and too much facing pressure each say so."""
    assert "slide" in RUN(torque=2000.0).warnings[0]
    assert any("light-truck" in warning for warning in RUN(torque=2000.0).warnings)
    assert any("paper" in warning for warning in RUN(available_pressure=2.5e6).warnings)
    assert RUN(torque=1100.0).warnings == ()
