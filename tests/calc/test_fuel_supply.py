"""Fuel supply against definitions, a fluid-mechanics library with a root finder, and conservation of mass."""

import math

import fluids
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.calculators.fuel_supply import fuel_supply
from calc.evaluate import answer
from calc.present import as_json

RUN = fuel_supply.function
UNITS = pint.UnitRegistry()
HP = 745.69987158227022
L_PER_H = 1e-3 / 3600


def outputs(**given_texts: str) -> dict[str, float]:
    """Values of all outputs in SI display units, as the terminal's JSON gives them."""
    shown = as_json(answer(fuel_supply, given_texts), "si")
    return {name: entry["value"] for name, entry in shown["outputs"].items()}


def test_pump_capacity() -> None:
    """0.8 cm3/rev at 3000 r/min: 122.4 L/h, 100.4 kg/h, of which 88.3 kg/h make 410.8 kW. By the definitions."""
    found = outputs(
        displacement="0.8 cm3/rev",
        engine_speed="3000",
        drive_ratio="1",
        volumetric_efficiency="0.85",
        density="820 kg/m3",
        injector_return_fraction="0.12",
        bsfc="215 g/(kW.h)",
    )
    assert found["delivery"] == pytest.approx(122.4, rel=1e-9)
    assert found["mass_delivery"] == pytest.approx(100.368, rel=1e-9)
    assert found["injectable"] == pytest.approx(88.32384, rel=1e-9)
    assert found["supported_crank_power"] == pytest.approx(410.8086, rel=1e-6)


def test_cold_line_is_laminar() -> None:
    """190 L/h of 12 mm2/s fuel through 4 m of 9.5 mm line: Re 589.46, 10.708 kPa.

    Source: fluids 1.3.1 one_phase_dP, run here too; Hagen-Poiseuille by hand agrees.
    """
    found = outputs(flow="190 L/h", bore="9.5 mm", length="4 m", kinematic_viscosity="12 mm2/s", density="845 kg/m3")
    library = fluids.one_phase_dP(m=190 * L_PER_H * 845, rho=845, mu=12e-6 * 845, D=9.5e-3, L=4.0)
    by_hand = 128 * 12e-6 * 845 * 4.0 * 190 * L_PER_H / (math.pi * 9.5e-3**4)
    assert found["reynolds"] == pytest.approx(589.4628, rel=1e-5)
    assert found["pressure_loss"] == pytest.approx(10.70816, rel=1e-5)
    assert found["pressure_loss"] * 1e3 == pytest.approx(library, rel=1e-9)
    assert found["pressure_loss"] * 1e3 == pytest.approx(by_hand, rel=1e-9)
    assert found["flow_regime"] == "laminar"


def test_lift_pump_operating_point() -> None:
    """A straight 100 kPa, 500 L/h curve into 4 m of 9.5 mm line: 255.1 L/h at 48.98 kPa.

    Source: fluids 1.3.1 one_phase_dP and scipy 1.18.1 brentq, run here too. 2 % for friction near transition.
    """
    found = outputs(
        shutoff_pressure="100 kPa",
        free_flow="500 L/h",
        curve="linear",
        bore="9.5 mm",
        length="4 m",
        kinematic_viscosity="3 mm2/s",
        density="825 kg/m3",
        roughness="0.0000015 m",
        fittings_K="6",
        lift="0.5 m",
        inlet_pressure_required="35 kPa",
    )
    assert found["flow"] == pytest.approx(255.119, rel=0.01)
    assert found["pressure"] == pytest.approx(48.97619, rel=0.015)

    def surplus(litres: float) -> float:
        q = litres * L_PER_H
        wall = fluids.one_phase_dP(m=q * 825, rho=825, mu=3e-6 * 825, D=9.5e-3, L=4.0, roughness=1.5e-6)
        speed = q / (math.pi / 4 * 9.5e-3**2)
        return 100e3 * (1 - litres / 500) - wall - 6 * 825 * speed**2 / 2 - 825 * 9.80665 * 0.5 - 35e3

    assert found["flow"] == pytest.approx(brentq(surplus, 1.0, 499.0), rel=0.01)


@pytest.mark.parametrize("litres", [400.0, 800.0, 1500.0])
def test_turbulent_line_against_the_library(litres: float) -> None:
    """Turbulent friction within 2 % of the library's Colebrook form (fluids 1.3)."""
    q = litres * L_PER_H
    result = RUN(flow=q, bore=9.5e-3, length=4.0, kinematic_viscosity=2.5e-6, density=830.0, roughness=1.5e-6)
    library = fluids.one_phase_dP(m=q * 830, rho=830, mu=2.5e-6 * 830, D=9.5e-3, L=4.0, roughness=1.5e-6)
    assert result.flow_regime == "turbulent"
    assert result.pressure_loss == pytest.approx(library, rel=0.02)
    assert result.pressure_loss == result.pressure_loss_low == result.pressure_loss_high


def test_transition_shows_both_ends() -> None:
    """At Re 3000 the ends are Hagen-Poiseuille and the library's turbulent law (fluids 1.3, within 3 %)."""
    bore, nu, rho = 9.5e-3, 3e-6, 825.0
    q = 3000 * math.pi / 4 * bore * nu
    result = RUN(flow=q, bore=bore, length=4.0, kinematic_viscosity=nu, density=rho, roughness=1.5e-6)
    speed = q / (math.pi / 4 * bore**2)
    scale = 4.0 / bore * rho * speed**2 / 2
    assert result.flow_regime == "in transition"
    assert result.pressure_loss_low == pytest.approx(64 / 3000 * scale, rel=1e-9)
    assert result.pressure_loss_high == pytest.approx(
        fluids.friction_factor(Re=3000, eD=1.5e-6 / bore, Method="Colebrook") * scale, rel=0.03
    )
    assert result.pressure_loss_low < result.pressure_loss < result.pressure_loss_high


def test_unit_conversions() -> None:
    """150 gal/h at 7 lb/gal: 567.81 L/h, 476.27 kg/h, 838.785 kg/m3 (exact definitions, NIST SP 811)."""
    shown = as_json(answer(fuel_supply, {"flow": "150 gal/h", "density": "7.0 lb/gal"}), "si")
    assert shown["inputs"]["flow"]["value"] == pytest.approx(567.8118, rel=1e-6)
    assert shown["inputs"]["density"]["value"] == pytest.approx(838.785, rel=1e-5)
    assert shown["outputs"]["mass_flow"]["value"] == pytest.approx(476.272, rel=1e-6)


def test_eight_hundred_at_the_wheels() -> None:
    """800 wheel hp burn 160 to 187 L/h and ask the pump for 181 to 234 (common practice; an order of magnitude)."""
    found = outputs(wheel_power="800 hp", bsfc="215 g/(kW.h)", driveline_efficiency="0.9", density="825 kg/m3")
    assert 160.6 < found["engine_demand"] < 186.6
    assert 181.3 < found["pump_delivery_with_return"] < 233.3
    library = (800 * UNITS.hp / 0.9 * UNITS("215 g/(kW*h)") / UNITS("825 kg/m^3")).to("L/h").magnitude
    assert found["engine_demand"] == pytest.approx(library, rel=1e-6)


@given(st.floats(0.0, 0.8), st.floats(0.3e-6, 3e-6), st.floats(500, 4000))
def test_mass_is_conserved(back: float, displacement: float, speed: float) -> None:
    """What the pump delivers is injected or goes back: at the supported power demand and delivery are one."""
    result = RUN(injector_return_fraction=back, displacement=displacement, engine_speed=speed)
    assert result.injectable + back * result.mass_delivery == pytest.approx(result.mass_delivery, rel=1e-12)
    wheel = min(max(result.supported_crank_power * 0.86, 10e3), 1500e3)
    if wheel == result.supported_crank_power * 0.86:
        at_limit = RUN(injector_return_fraction=back, displacement=displacement, engine_speed=speed, wheel_power=wheel)
        assert at_limit.pump_use == pytest.approx(1.0, rel=1e-9)


@given(st.floats(100, 800), st.floats(1.02, 2.0))
def test_more_flow_leaves_less_pressure(litres: float, more: float) -> None:
    """The pump gives less and the line takes more."""
    slow, fast = RUN(flow=litres * L_PER_H), RUN(flow=litres * more * L_PER_H)
    assert fast.system_pressure > slow.system_pressure
    assert fast.lift_pump_pressure < slow.lift_pump_pressure


@given(st.floats(50e3, 600e3), st.floats(4e-3, 15e-3), st.sampled_from(["linear", "parabolic"]))
def test_at_the_greatest_flow_the_inlet_has_what_it_requires(required: float, bore: float, curve: str) -> None:
    """Sending the feed's greatest flow back in leaves the required pressure, or a little more in transition."""
    result = RUN(inlet_pressure_required=required, bore=bore, curve=curve)
    if result.flow < 10 * L_PER_H:
        return
    again = RUN(inlet_pressure_required=required, bore=bore, curve=curve, flow=result.flow)
    assert again.lift_pump_pressure == pytest.approx(result.pressure, rel=1e-9)
    left = again.inlet_pressure or 0.0
    assert left >= required - 1.0
    # Where turbulence would take the rest at once, the feed stops at its onset with some pressure in hand.
    at_onset = again.reynolds == pytest.approx(2300, rel=1e-6)
    assert at_onset or left <= required + again.pressure_loss_high - again.pressure_loss + 1.0


def test_the_parts_add_up() -> None:
    """Line, fittings, filter and height make the whole."""
    result = RUN(filter_loss=20e3, flow=250 * L_PER_H)
    parts = result.pressure_loss + result.fittings_loss + result.filter_pressure + result.lift_pressure
    assert parts == pytest.approx(result.system_pressure, rel=1e-12)
    assert result.inlet_pressure == pytest.approx(result.lift_pump_pressure - parts, rel=1e-12)


def test_a_weak_feed_says_so() -> None:
    """Vacuum, more than free flow and a shut-off pressure that is too low are told apart."""
    assert any("vacuum" in w for w in RUN(filter_loss=490e3, flow=250 * L_PER_H).warnings)
    assert any("free flow" in w for w in RUN(flow=2000 * L_PER_H).warnings)
    assert any("shut-off" in w for w in RUN(shutoff_pressure=100e3).warnings)
    assert RUN(shutoff_pressure=100e3).flow == 0.0
    assert RUN(flow=2900 * L_PER_H, bore=3e-3).inlet_pressure is None
    assert RUN().warnings == ()
