"""Exhaust back-pressure against worked examples, a general-purpose fluid-mechanics library, and physics."""

import math

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import flow, gas
from calc.calculators.exhaust_back_pressure import exhaust_back_pressure
from calc.contract import Impossible
from calc.units import INCH

RUN = exhaust_back_pressure.function
KPA = 1e3


def test_worked_example_of_compressible_pipe_flow() -> None:
    """Methane at 2.35 kg/s in 68.5 m of 84 mm pipe down to 560 kPa needs 960.069 kPa at the compressor.

    Source: worked example 2.1 (page 27), chapter "Pipe Flow of Gases and Gas-Liquid Mixtures" of a textbook's solved
    examples, read in a secondary copy that does not name the book. It rounds pi to 3.1428 and the section to five
    decimals; its friction number phi = 0.0032 is one eighth of Darcy's f.
    """
    section = round(3.1428 * 0.042**2 * 1e5) / 1e5
    bore = math.sqrt(4 * section / math.pi)
    inlet, _ = flow.pipe_upstream(2.35, 560 * KPA, 297, 8.314 / 16.04e-3, bore, 8 * 0.0032 * 68.5 / 0.084)
    assert inlet == pytest.approx(960.069 * KPA, rel=1e-5)


def test_exercise_of_compressible_pipe_flow() -> None:
    """Methane, 41.0 kg/(m2.s) through 305 m of 52.5 mm steel pipe at 288.8 K: 345 kPa fall to 298.4 kPa.

    Source: data of the exercise read in a secondary page; the answer 298.4 kPa is recalled from memory. The friction
    factor is computed here (steel 46 um), so this checks it as well.
    """
    bore, flux = 0.0525, 41.0
    friction = flow.friction_factor(flux * bore / 1.04e-5, 46e-6 / bore)
    inlet, _ = flow.pipe_upstream(
        flux * flow.area(bore), 298.4 * KPA, 288.8, 8314.3 / 16.0, bore, friction * 305 / bore
    )
    assert inlet == pytest.approx(345 * KPA, rel=1e-3)


def test_straight_pipe_against_the_library() -> None:
    """The pipe's friction and its whole static rise against fluids.isothermal_gas (fluids 1.3, Clamond friction)."""
    bore, length, roughness, m, t, outlet = 4 * INCH, 4.0, 50e-6, 0.5, 750.0, 101325.0
    lean = gas.products(1.5)
    result = RUN(
        flow=m,
        temperature=t,
        temperature_drop=0.0,
        outlet_pressure=outlet,
        bore=bore,
        length=length,
        bends=0.0,
        roughness=roughness,
        downpipe_length=0.0,
    )
    re = fluids.Reynolds(D=bore, rho=outlet / (lean.R * t), V=result.pipe_velocity, mu=gas.viscosity(t))
    friction = fluids.friction_factor(Re=re, eD=roughness / bore)
    assert result.pipe_reynolds == pytest.approx(re, rel=1e-9)
    assert result.pipe_friction_factor == pytest.approx(friction, rel=0.015)
    inlet = fluids.isothermal_gas(rho=outlet / (lean.R * t), fd=friction, P2=outlet, L=length, D=bore, m=m)
    # isothermal_gas takes the mean density from the ends it is given, so give it the density at the outlet's pressure.
    by_ours, _ = flow.pipe_upstream(m, outlet, t, lean.R, bore, friction * length / bore)
    assert inlet == pytest.approx(by_ours, rel=2e-3)
    incompressible = fluids.one_phase_dP(
        m=m, rho=outlet / (lean.R * t), mu=gas.viscosity(t), D=bore, L=length, roughness=roughness
    )
    assert 0.93 * incompressible < result.pipe_friction_loss < 1.01 * incompressible


def test_bends_against_the_library() -> None:
    """The bends' loss coefficient against fluids.bend_rounded (Rennels), for the pipe's own friction factor."""
    m, t, bore, outlet = 0.4, 700.0, 4 * INCH, 101325.0
    result = RUN(
        flow=m,
        temperature=t,
        temperature_drop=0.0,
        bore=bore,
        length=0.0,
        bends=1.0,
        bend_radius=2.0,
        outlet_pressure=outlet,
    )
    k = fluids.bend_rounded(Di=bore, angle=90, bend_diameters=2.0, fd=result.pipe_friction_factor)
    lean = gas.products(1.5)
    expected = fluids.dP_from_K(K=k, rho=outlet / (lean.R * t), V=result.pipe_velocity)
    # Over a short resistance the density at the outlet is the density throughout, within the loss itself (about 1 %).
    assert result.pipe_bends_loss == pytest.approx(expected, rel=0.015)


def test_silencer_is_a_multiple_of_the_dynamic_pressure() -> None:
    """K = 1 costs fluids.dP_from_K at the silencer's outlet density: here the pipe behind it has no length."""
    result = RUN(
        flow=0.52,
        temperature=780.0,
        temperature_drop=0.0,
        outlet_pressure=104 * KPA,
        bore=4 * INCH,
        length=0.0,
        bends=0.0,
        silencer_k=1.0,
    )
    assert result.pipe_velocity == pytest.approx(138.05, rel=2e-3)
    assert result.silencer_loss == pytest.approx(
        fluids.dP_from_K(K=1.0, rho=104e3 / (286.985 * 780), V=138.0531), rel=2e-3
    )


def test_catalyst_brick_against_the_square_duct_series() -> None:
    """Laminar square channels: f Re from the duct's series solution, summed here (Viscous Fluid Flow, from memory)."""
    series = sum(math.tanh(n * math.pi / 2) / n**5 for n in range(1, 99, 2))
    friction_reynolds = 4 * 24 / (4 * (1 - 192 / math.pi**5 * series))
    assert friction_reynolds == pytest.approx(56.908, rel=1e-4)
    diameter, length, cells, wall = 0.24, 0.15, 400 / INCH**2, 0.165e-3
    result = RUN(
        flow=0.5,
        temperature=700.0,
        temperature_drop=0.0,
        catalyst_diameter=diameter,
        catalyst_length=length,
        cell_density=cells,
        wall_thickness=wall,
    )
    pitch = 1 / math.sqrt(cells)
    channel = pitch - wall
    downstream = 101325.0 + result.back_pressure - result.downpipe_loss - result.catalyst_loss
    v = 0.5 / (downstream / (gas.products(1.5).R * 700)) / (math.pi / 4 * diameter**2 * (channel / pitch) ** 2)
    viscous = friction_reynolds * gas.viscosity(700) * v * length / (2 * channel**2)
    assert viscous < result.catalyst_loss < 1.15 * viscous


def test_filter_gives_back_its_measured_point() -> None:
    """At the flow, temperature and pressure of the measurement the filter loses what was measured."""
    result = RUN(
        flow=0.45,
        temperature=723.15,
        temperature_drop=0.0,
        filter_loss=8000.0,
        filter_flow=0.45,
        filter_temperature=723.15,
        silencer_k=0.0,
        bends=0.0,
        length=0.0,
        bore=0.2,
    )
    assert result.filter_brick_loss == pytest.approx(8000.0, rel=0.01)


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"flow": 0.2},
        {"bore": 0.2, "catalyst_diameter": 0.15},
        {"bends": 0.0, "length": 0.0},
        {"outlet_pressure": 60e3},
    ],
)
def test_the_parts_add_up(changed: dict[str, float]) -> None:
    """The losses and the speeding up of the gas are the whole back-pressure."""
    result = RUN(**changed)
    parts = [getattr(result, name) for name, output in exhaust_back_pressure.outputs.items() if output.part_of]
    assert sum(parts) == pytest.approx(result.back_pressure, rel=1e-9)
    assert result.total_loss + result.acceleration == pytest.approx(result.back_pressure, rel=1e-9)


@given(st.floats(0.1, 0.6), st.floats(1.01, 1.5))
def test_more_flow_loses_more(m: float, more: float) -> None:
    """Every loss grows with flow."""
    less_flow, more_flow = RUN(flow=m), RUN(flow=m * more)
    assert more_flow.back_pressure > less_flow.back_pressure
    assert more_flow.pipe_friction_loss > less_flow.pipe_friction_loss


@given(st.floats(0.08, 0.15), st.floats(1.01, 1.3))
def test_a_bigger_bore_loses_less(bore: float, bigger: float) -> None:
    """Pipe and silencer lose less in a bigger bore."""
    small, big = RUN(bore=bore), RUN(bore=bore * bigger)
    assert big.pipe_friction_loss < small.pipe_friction_loss
    assert big.silencer_loss < small.silencer_loss
    assert big.back_pressure < small.back_pressure


@given(st.floats(600, 1000), st.floats(1.01, 1.2))
def test_hotter_gas_loses_more(temperature: float, hotter: float) -> None:
    """The same mass needs more speed when it is hot."""
    assert RUN(temperature=temperature * hotter).total_loss > RUN(temperature=temperature).total_loss


def test_one_pipe_size_up_is_worth_a_few_kilopascals() -> None:
    """From 4 in to 5 in behind the hardware, 2 to 10 kPa at a flow of 400 to 550 hp at the wheels.

    Common practice, no source: an order of magnitude. The flow is that of the trade's mid-500s hp at the crank.
    """
    saved = RUN(flow=0.5, bore=4 * INCH).back_pressure - RUN(flow=0.5, bore=5 * INCH).back_pressure
    assert 2e3 < saved < 10.4e3


def test_a_pipe_that_chokes_is_refused_with_the_reason() -> None:
    """No number comes out of a flow that cannot exist."""
    with pytest.raises(Impossible, match="choke"):
        RUN(flow=1.5, bore=0.05)


def test_fast_gas_is_warned_about() -> None:
    """Past Mach 0.3 the page says where."""
    assert RUN(bore=6 * INCH, downpipe_bore=5 * INCH).warnings == ()
    warning = RUN(bore=3 * INCH, flow=0.45).warnings[0]
    assert "Mach 0.3" in warning
    assert "pipe behind the hardware" in warning


def test_inside_of_the_catalyst_and_the_gas() -> None:
    """A brick of 240 by 150 mm, 400 cells/in2, 0.165 mm walls, 0.5 kg/s at 700 K: 75.7 % open, channel Re 494.7, and at
    110 kPa 3.039 kPa of channel friction and 0.175 kPa of entry and exit. Lean products at lambda 1.5 and 800 K.

    Source: the friction constant 56.91 of a square channel (Laminar Flow Forced Convection in Ducts, from memory) put
    through by hand; the gas by Cantera 3.2 with the gri30 mechanism. The calculator takes the viscosity of hot air, a
    few per cent above that of the products.
    """
    result = RUN(
        flow=0.5,
        temperature=700.0,
        temperature_drop=0.0,
        outlet_pressure=108 * KPA,
        catalyst_diameter=0.24,
        catalyst_length=0.15,
        cell_density=400 / INCH**2,
        wall_thickness=0.165e-3,
        filter_loss=100.0,
        bore=0.2,
        length=0.0,
        bends=0.0,
        silencer_k=0.0,
    )
    assert result.open_frontal_area == pytest.approx(0.757037, rel=1e-3)
    assert result.channel_reynolds == pytest.approx(494.7, rel=0.04)
    assert result.catalyst_viscous_loss == pytest.approx(3039.3 * 110 / 108, rel=0.04)
    assert result.catalyst_inertial_loss == pytest.approx(175.17 * 110 / 108, rel=0.02)
    assert result.catalyst_viscous_loss + result.catalyst_inertial_loss == pytest.approx(result.catalyst_loss)
    lean = RUN(temperature=800.0, lam=1.5)
    assert lean.cp == pytest.approx(1170.45, rel=0.01)
    assert lean.gamma == pytest.approx(1.32484, rel=0.005)
    assert lean.gas_constant == pytest.approx(286.985, rel=0.005)
    assert lean.viscosity == pytest.approx(3.5808e-5, rel=0.05)
