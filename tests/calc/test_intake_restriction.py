"""Intake restriction against a general-purpose fluid-mechanics library, continuity, and gas dynamics."""

import math

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import flow
from calc.calculators.intake_restriction import intake_restriction
from calc.contract import Impossible
from calc.gas import viscosity
from calc.units import INCH

RUN = intake_restriction.function
HORN = {
    "mass_flow": 0.45,
    "pressure_abs": 300e3,
    "temperature": 325.0,
    "bore": 2.4 * INCH,
    "length": 0.3,
    "roughness": 50e-6,
    "bends_90": 1.0,
    "bend_radius_to_diameter": 1.0,
}


def test_horn_of_2_4_inches() -> None:
    """0.45 kg/s at 300 kPa and 325 K: 47.94 m/s, 3.696 kPa dynamic, 1.584 kPa lost at K 0.33293.

    Source: fluids (Clamond friction factor, one_phase_dP, Rennels bend); air from a chemical-kinetics library. The
    tolerance allows the explicit friction formula and Sutherland's viscosity.
    """
    result = RUN(**HORN, bend_k=0.3329307)
    assert result.density == pytest.approx(3.215829, rel=2e-3)
    assert result.velocity == pytest.approx(47.9446, rel=2e-3)
    assert result.reynolds == pytest.approx(473657.1, rel=0.03)
    assert result.friction_factor == pytest.approx(0.01944578, rel=0.02)
    assert result.dynamic_pressure == pytest.approx(3696.089, rel=5e-3)
    assert result.friction_loss == pytest.approx(353.7074, rel=0.03)
    assert result.total_loss == pytest.approx(1584.249, rel=0.03)


def test_bend_and_friction_against_the_library() -> None:
    """Friction and bend from fluids run here, for the same viscosity."""
    result = RUN(**HORN)
    re = fluids.Reynolds(D=2.4 * INCH, rho=result.density, V=result.velocity, mu=viscosity(325.0))
    factor = fluids.friction_factor(Re=re, eD=50e-6 / (2.4 * INCH))
    bend = fluids.bend_rounded(Di=2.4 * INCH, angle=90, bend_diameters=1.0, fd=factor)
    expected = (factor * 0.3 / (2.4 * INCH) + bend) * result.density * result.velocity**2 / 2
    assert result.reynolds == pytest.approx(re, rel=1e-9)
    assert result.total_loss == pytest.approx(expected, rel=0.02)


def test_bore_ratio() -> None:
    """2.4 against 3.5 in: speed 2.1267, dynamic pressure 4.5230. Source: continuity."""
    result = RUN(bore=2.4 * INCH, other_bore=3.5 * INCH)
    assert result.velocity_ratio == pytest.approx(2.126736, rel=1e-6)
    assert result.dynamic_pressure_ratio == pytest.approx(4.523006, rel=1e-6)


@pytest.mark.parametrize("re", [1500.0, 4e3, 1e5, 1e6, 1e7])
@pytest.mark.parametrize("rough", [0.0, 1e-4, 1e-3])
def test_friction_factor_against_the_library(re: float, rough: float) -> None:
    """Darcy's factor within 2 % of fluids (Clamond's solution of Colebrook-White), and not Fanning's."""
    assert flow.friction_factor(re, rough) == pytest.approx(fluids.friction_factor(Re=re, eD=rough), rel=0.02)


def test_charge_tube_as_a_gas() -> None:
    """0.5 kg/s to 260 kPa at 320 K through 2 m of 3 in: 0.9167 kPa. Source: fluids.isothermal_gas."""
    factor = fluids.friction_factor(Re=fluids.Reynolds(D=3 * INCH, V=0.5 / (math.pi / 4 * (3 * INCH) ** 2), rho=1.0,
                                                       mu=viscosity(320.0)), eD=2e-5 / (3 * INCH))  # fmt: skip
    density = 260.4e3 / (287.05 * 320)
    inlet = fluids.isothermal_gas(rho=density, fd=factor, P2=260e3, L=2.0, D=3 * INCH, m=0.5)
    result = RUN(mass_flow=0.5, pressure_abs=inlet, temperature=320.0, bore=3 * INCH, length=2.0, roughness=2e-5,
                 bends_90=0.0)  # fmt: skip
    assert result.total_loss_compressible == pytest.approx(916.6744, rel=0.03)
    assert result.total_loss == pytest.approx(916.6744, rel=0.03)


def test_filter_scales_with_both_parts() -> None:
    """1.44 kPa at 0.4 kg/s, a third of it viscous: 2.475 kPa at 0.55 kg/s. Source: a m + b m^2 through the point."""
    result = RUN(measured_loss=1440.0, measured_flow=0.4, linear_share=1 / 3, mass_flow=0.55)
    assert result.filter_loss == pytest.approx(2475.0, rel=1e-9)


def test_mach_number_against_gas_dynamics() -> None:
    """The Mach number found passes the flow again, by fluids' stagnation relation for ideal gases."""
    result = RUN(mass_flow=0.6, duct_bore=3 * INCH, measured_loss=0.0)
    mach = result.duct_mach
    ratio = 1 / fluids.P_stagnation(P=1.0, T=1.0, Tst=1 + 0.2 * mach * mach, k=1.4)
    static = 298.15 / (1 + 0.2 * mach * mach)
    speed = mach * math.sqrt(1.4 * 287.0529 * static)
    density = 101325 * ratio / (287.0529 * static)
    assert density * speed * math.pi / 4 * (3 * INCH) ** 2 == pytest.approx(0.6, rel=1e-6)


def test_a_fast_duct_is_warned_of_and_loses_more_than_the_plain_formula() -> None:
    """Above Mach 0.3 the warning names the duct, and the compressible check is the larger loss."""
    slow, fast = RUN(), RUN(duct_bore=2.2 * INCH)
    assert not any("Mach" in warning for warning in slow.warnings)
    assert any("in the duct" in warning for warning in fast.warnings)
    assert fast.duct_mach > 0.3
    assert fast.duct_loss_compressible > 1.03 * fast.duct_loss


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"duct_bore": 0.04, "mass_flow": 0.6}, "duct_bore"),
        ({"bore": 0.03, "pressure_abs": 100e3, "mass_flow": 0.6}, "bore"),
        ({"measured_loss": 15e3, "measured_flow": 0.1, "mass_flow": 1.4}, "measured_loss"),
    ],
)
def test_choking_is_refused(changed: dict[str, float], named: str) -> None:
    """No flow above the speed of sound, and no filter that takes all of the pressure."""
    with pytest.raises(Impossible) as refused:
        RUN(**changed)
    assert named in refused.value.inputs


def test_parts_add_up() -> None:
    """Filter and duct are the restriction; walls and bends are the horn."""
    result = RUN()
    assert result.filter_loss + result.duct_loss == pytest.approx(result.restriction, rel=1e-12)
    assert result.friction_loss + result.bend_loss == pytest.approx(result.total_loss, rel=1e-12)


def test_extra_compressor_power_is_the_slope_of_the_compressor() -> None:
    """First order: against the difference of two whole compressions with and without the losses."""
    result = RUN(mass_flow=0.45, pressure_abs=300e3, length=0.0, bends_90=0.0)
    exponent, efficiency = 0.4 / 1.4, 0.72
    cp = 287.0529 / exponent

    def power(inlet: float) -> float:
        return 0.45 * cp * 298.15 * ((300e3 / inlet) ** exponent - 1) / efficiency

    exact = power(101325 - result.restriction) - power(101325)
    assert result.compressor_power == pytest.approx(exact, rel=0.03)


def test_a_bigger_horn_is_worth_a_fraction_of_a_horsepower_to_two() -> None:
    """Half as wide again: 0.2 to 3 hp, of a few hundred. Common practice, no source: an order of magnitude."""
    gain = RUN(bore=2.4 * INCH, other_bore=3.5 * INCH).power_gain_other_bore / 745.7
    assert 0.2 < gain < 3.0


@given(st.floats(0.1, 0.6), st.floats(1.01, 1.5))
def test_more_flow_loses_more(m: float, more: float) -> None:
    """Everything grows with flow."""
    less, much = RUN(mass_flow=m), RUN(mass_flow=m * more)
    assert much.restriction > less.restriction
    assert much.total_loss > less.total_loss
    assert much.boost_lost > less.boost_lost


@given(st.floats(0.055, 0.11), st.floats(1.01, 1.3))
def test_a_bigger_bore_loses_less(bore: float, more: float) -> None:
    """Horn and duct alike."""
    assert RUN(bore=bore * more).total_loss < RUN(bore=bore).total_loss
    assert RUN(duct_bore=bore * more).duct_loss < RUN(duct_bore=bore).duct_loss
