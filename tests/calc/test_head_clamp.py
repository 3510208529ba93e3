"""Head clamping against fastener tables, real-gas compression, springs in parallel, and physics."""

import math

import CoolProp.CoolProp as coolprop
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.calculators.head_clamp import class_stress, head_clamp, thread_area
from calc.contract import Impossible
from calc.evaluate import answer
from calc.present import as_json

RUN = head_clamp.function
UNITS = pint.UnitRegistry()
INCH, PSI = 0.0254, 6894.757293168361


def outputs(**given_texts: str) -> dict[str, float]:
    """Values of all outputs in SI display units, as the terminal's JSON gives them."""
    shown = as_json(answer(head_clamp, given_texts), "si")
    return {name: entry["value"] for name, entry in shown["outputs"].items()}


def test_proof_load_of_the_standard() -> None:
    """M12x1.75 of class 12.9: 84.3 mm2, 970 MPa, 81.8 kN.

    Source: ISO 898-1:2013, table of proof loads, seen in a secondary copy; the table rounds the area.
    """
    found = outputs(diameter="12 mm", pitch="1.75 mm", property_class="12.9")
    assert found["stress_area"] == pytest.approx(84.3, rel=1e-3)
    assert found["proof_stress"] == pytest.approx(970.0, rel=1e-12)
    assert found["proof_load"] == pytest.approx(81.771, rel=1e-3)


@pytest.mark.parametrize(
    ("diameter", "pitch", "tabulated"),
    [(8, 1.25, 36.6), (10, 1.5, 58.0), (12, 1.75, 84.3), (14, 2.0, 115), (16, 2.0, 157), (12, 1.25, 92.1)],
)
def test_metric_areas(diameter: float, pitch: float, tabulated: float) -> None:
    """Nominal stress areas in mm2, recalled from the tables of ISO 898-1; rounded to three digits there."""
    assert thread_area(diameter * 1e-3, pitch * 1e-3, "metric") * 1e6 == pytest.approx(tabulated, rel=5e-3)


@pytest.mark.parametrize(
    ("inches", "per_inch", "tabulated"), [(0.5, 13, 0.1419), (0.4375, 14, 0.1063), (0.5, 20, 0.1599)]
)
def test_inch_areas(inches: float, per_inch: float, tabulated: float) -> None:
    """Tensile stress areas in square inches, recalled from ASME B1.1."""
    area = thread_area(inches * INCH, INCH / per_inch, "inch") / INCH**2
    assert area == pytest.approx(tabulated, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "diameter", "expected"),
    [("8.8", 14e-3, 580e6), ("8.8", 18e-3, 600e6), ("10.9", 14e-3, 830e6), ("12.9", 14e-3, 970e6)],
)
def test_proof_stresses_of_the_standard(name: str, diameter: float, expected: float) -> None:
    """ISO 898-1:2013 (secondary copy): 580 up to 16 mm and 600 above for 8.8, 830 for 10.9, 970 for 12.9, in MPa."""
    assert class_stress(name, diameter) == expected


def test_inch_grade() -> None:
    """Grade 8, 1/2-13: 120 ksi x 0.1419 in2 = 17,050 lbf proof load (SAE J429, recalled from memory)."""
    result = RUN(diameter=0.5 * INCH, pitch=INCH / 13, thread="inch", property_class="grade 8")
    assert UNITS.Quantity(result.proof_load, "N").to("lbf").magnitude == pytest.approx(17050, rel=2e-3)


def test_preload() -> None:
    """150 N.m at K 0.16 on 14 mm: 66.96 kN, 59.8 % of proof.

    T = K d F, Shigley's Mechanical Engineering Design, recalled from memory.
    """
    found = outputs(
        torque="150 N.m", nut_factor="0.16", diameter="14 mm", stress_area="115.4 mm2", proof_stress="970 MPa"
    )
    assert found["preload"] == pytest.approx(66.96429, rel=1e-6)
    assert found["share_of_proof"] == pytest.approx(59.82266, rel=1e-6)


def test_gas_force() -> None:
    """18 MPa on 103 mm: 149.98 kN."""
    found = outputs(bore="103 mm", peak_pressure="18 MPa", sealing_diameter="103 mm")
    assert found["gas_force"] == pytest.approx(149.9812, rel=1e-6)
    library = (UNITS("18 MPa") * math.pi / 4 * UNITS("103 mm") ** 2).to("kN").magnitude
    assert found["gas_force"] == pytest.approx(library, rel=1e-12)


def test_polytropic_compression() -> None:
    """300 kPa, 16.2 to one, 1.35: 12.88 MPa, temperature x 2.6505, by p V^n."""
    found = outputs(compression_ratio="16.2", start_pressure="300 kPa", exponent="1.35")
    assert found["compression_pressure"] == pytest.approx(12.8815, rel=1e-5)
    assert found["temperature_ratio"] == pytest.approx(2.650515, rel=1e-6)


@pytest.mark.parametrize(("start", "low", "high"), [(1e3, 1.36, 1.39), (300e3, 1.38, 1.41)])
def test_compression_against_real_air(start: float, low: float, high: float) -> None:
    """Air compressed 16 to one without loss (CoolProp 8.0, constant entropy) behaves as these exponents do.

    Thin air is an ideal gas whose heat capacity rises: clearly below 1.4. At engine pressures real air is stiffer.
    Heat lost to the walls brings an engine down to the 1.32..1.38 of practice.
    """
    density = coolprop.PropsSI("D", "T", 330.0, "P", start, "Air")
    entropy = coolprop.PropsSI("S", "T", 330.0, "P", start, "Air")
    real = coolprop.PropsSI("P", "D", density * 16.0, "S", entropy, "Air")
    least, most = (16.0**n * start for n in (low, high))
    assert least < real < most
    if start >= 50e3:
        ours = RUN(compression_ratio=16.0, start_pressure=start, exponent=1.39).compression_pressure
        assert real == pytest.approx(ours, rel=0.04)


def test_boost_multiplies_compression() -> None:
    """16 to one at 350 kPa: 13.6 to 16.1 MPa over exponents 1.32 to 1.38 (common practice; an order of magnitude)."""
    found = answer(
        head_clamp, {"compression_ratio": "16", "start_pressure": "350286 Pa", "exponent": "1.32..1.38"}
    ).outputs["compression_pressure"]
    assert found.low == pytest.approx(13.61009e6, rel=1e-6)
    assert found.high == pytest.approx(16.07342e6, rel=1e-6)


@given(st.floats(1e8, 1e9), st.floats(1e8, 5e9), st.floats(20e3, 90e3), st.floats(5e6, 30e6))
def test_joint_is_two_springs(fastener: float, members: float, preload: float, peak: float) -> None:
    """Fastener and members share the gas force by stiffness as long as they touch: both stretch by the same amount.

    Worked here from stiffnesses (N/m) of one fastener and its part of the members.
    """
    share = fastener / (fastener + members)
    if not 0.02 <= share <= 0.9:
        return
    result = RUN(measured_preload=preload, peak_pressure=peak, stiffness_share=share, bolts_per_cylinder=4.0)
    per_bolt = peak * math.pi / 4 * 0.110**2 / 4
    stretch = per_bolt / (fastener + members)
    assert result.bolt_force == pytest.approx(preload + fastener * stretch, rel=1e-9)
    assert result.clamp_left == pytest.approx(4 * (preload - members * stretch), rel=1e-6, abs=1e-3)
    # Equilibrium: fasteners pull what gas and gasket push.
    assert 4 * result.bolt_force == pytest.approx(result.gas_force + result.clamp_left, rel=1e-9, abs=1e-3)


def test_at_its_limits_the_joint_has_nothing_left() -> None:
    """At the separation pressure no clamp load is left; at the sealing limit the reserve is."""
    first = RUN()
    lifted = RUN(peak_pressure=first.separation_pressure)
    assert lifted.clamp_left == pytest.approx(0.0, abs=1e-3)
    sealing = RUN(peak_pressure=first.sealing_pressure, sealing_factor=0.5)
    assert sealing.clamp_left == pytest.approx(0.5 * sealing.gas_force, rel=1e-9)
    boosted = RUN(start_pressure=first.charge_pressure_limit)
    assert boosted.peak_pressure == pytest.approx(first.sealing_pressure, rel=1e-9)


def test_friction_scatter_is_large() -> None:
    """A nut factor of 0.13 to 0.20 spreads the preload by about 21 % to each side of its middle (recalled)."""
    found = answer(head_clamp, {"nut_factor": "0.13..0.20"}).outputs["preload"]
    assert found.low is not None
    assert found.high is not None
    assert (found.high - found.low) / (found.high + found.low) == pytest.approx(0.21, abs=0.01)


@given(st.floats(20, 400), st.floats(20, 400))
def test_turned_to_yield_torque_does_not_matter(one: float, other: float) -> None:
    """T = K d F is not used, and the answer says so."""
    first, second = (RUN(tightening="yield", torque=torque) for torque in (one, other))
    assert first.preload == second.preload == first.proof_load
    assert any("does not follow" in warning for warning in first.warnings)


@given(st.floats(1e5, 8e5), st.floats(1.01, 1.5))
def test_more_boost_leaves_less_clamp(pressure: float, more: float) -> None:
    """Gas force grows with charge pressure, and the gasket pays."""
    assert RUN(start_pressure=pressure * more).clamp_left < RUN(start_pressure=pressure).clamp_left


def test_what_cannot_be_is_refused() -> None:
    """A gasket inside the bore, a thread with no core."""
    with pytest.raises(Impossible, match="inside the bore"):
        RUN(sealing_diameter=0.1, bore=0.104)
    with pytest.raises(Impossible, match="coarse"):
        RUN(diameter=8e-3, pitch=2.5e-3)


def test_warnings_name_what_gives() -> None:
    """Lift-off, a gasket without reserve, a fastener past proof, and a peak below compression are told apart."""
    assert any("lifts" in w for w in RUN(peak_pressure=50e6).warnings)
    assert any("reserve" in w for w in RUN(peak_pressure=28e6).warnings)
    assert any("proof load" in w for w in RUN(torque=220.0).warnings)
    assert any("below the compression" in w for w in RUN(peak_pressure=5e6).warnings)
    assert RUN().warnings == ()
