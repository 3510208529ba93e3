"""Charge air against a property library's real air, a heat-exchanger library, and limits."""

import math

import CoolProp.CoolProp as coolprop
import ht
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.calculators.charge_air import charge_air
from calc.contract import Impossible
from calc.units import to_si

RUN = charge_air.function


def real_outlet(t1: float, p1: float, ratio: float, efficiency: float) -> tuple[float, float]:
    """Outlet temperature (K) and work (J/kg) of real air by enthalpy and entropy (CoolProp)."""
    h1, s1 = (coolprop.PropsSI(what, "T", t1, "P", p1, "Air") for what in "HS")
    ideal = coolprop.PropsSI("H", "S", s1, "P", p1 * ratio, "Air")
    work = (ideal - h1) / efficiency
    return coolprop.PropsSI("T", "H", h1 + work, "P", p1 * ratio, "Air"), work


@pytest.mark.parametrize("ratio", [1.5, 2.0, 3.0, 4.0])
def test_compressor_against_real_air(ratio: float) -> None:
    """298.15 K, 100 kPa, efficiency 0.72: outlet temperature and work within 0.3 % of CoolProp's real air."""
    result = RUN(
        inlet_temperature=298.15, inlet_pressure=100e3, pressure_ratio=ratio, isentropic_efficiency=0.72, air_flow=0.49
    )
    t2, work = real_outlet(298.15, 100e3, ratio, 0.72)
    assert result.outlet_temperature == pytest.approx(t2, rel=3e-3)
    assert result.specific_work == pytest.approx(work, rel=3e-3)
    assert result.shaft_power == pytest.approx(0.49 * work, rel=3e-3)


def test_constant_k_of_the_handbook() -> None:
    """At a ratio of 3 the handbook's formula gives 450.8434 K.

    Source: Turbocharging the Internal Combustion Engine, memory.
    """
    result = RUN(inlet_temperature=298.15, inlet_pressure=100e3, pressure_ratio=3.0, isentropic_efficiency=0.72)
    assert result.outlet_temperature_constant_k == pytest.approx(450.8434, rel=1e-6)
    assert result.outlet_temperature == pytest.approx(450.8434, rel=5e-3)


def test_limits() -> None:
    """No compression, no rise; an ideal cooler brings the charge to the coolant. Exact."""
    result = RUN(inlet_temperature=300.0, pressure_ratio=1.0, isentropic_efficiency=0.7, cooler_effectiveness=1.0,
                 coolant_temperature=300.0)  # fmt: skip
    assert result.outlet_temperature == pytest.approx(300.0, rel=1e-9)
    assert result.charge_temperature == pytest.approx(300.0, rel=1e-9)
    assert result.shaft_power == pytest.approx(0.0, abs=1e-6)


def test_charge_cooler() -> None:
    """440 K to 326.4 K at 0.8 over 298 K; 300 less 9 kPa: density ratio 2.6568. Source: definition of effectiveness."""
    result = RUN(
        compressor_outlet_temperature=440.0,
        coolant_temperature=298.0,
        cooler_effectiveness=0.8,
        compressor_outlet_pressure=300e3,
        cooler_pressure_loss=9e3,
        inlet_temperature=298.0,
        inlet_pressure=100e3,
    )
    assert result.charge_temperature == pytest.approx(326.4, rel=1e-9)
    assert result.density_ratio == pytest.approx(2.656801, rel=1e-6)
    real = coolprop.PropsSI("D", "T", 326.4, "P", 291e3, "Air") / coolprop.PropsSI("D", "T", 298, "P", 100e3, "Air")
    assert result.density_ratio == pytest.approx(real, rel=2e-3)


@pytest.mark.parametrize("units", [0.5, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("capacity_ratio", [0.2, 0.5, 1.0])
def test_crossflow_effectiveness_against_a_library(units: float, capacity_ratio: float) -> None:
    """Both streams unmixed, against ht's effectiveness_from_NTU, which integrates numerically."""
    expected = ht.effectiveness_from_NTU(units, capacity_ratio, subtype="crossflow")
    result = RUN(transfer_units=units, capacity_ratio=capacity_ratio)
    assert result.effectiveness == pytest.approx(expected, rel=1e-6)


def test_effectiveness_from_a_measurement_comes_back() -> None:
    """A measured charge temperature gives the effectiveness that gives that temperature."""
    plain = RUN(cooler_effectiveness=0.77)
    again = RUN(measured_charge_temperature=plain.charge_temperature)
    assert again.effectiveness == pytest.approx(0.77, rel=1e-9)
    assert again.charge_density == pytest.approx(plain.charge_density, rel=1e-9)


def test_corrected_flow_names_its_reference() -> None:
    """0.5 kg/s at 310 K and 95 kPa: 0.536808 kg/s at 298 K and 100 kPa.

    Source: similarity; SAE J1826 reference, memory.
    """
    result = RUN(air_flow=0.5, inlet_temperature=310.0, inlet_pressure=95e3, reference="298-k-100-kpa")
    assert result.corrected_flow == pytest.approx(0.5368082, rel=1e-6)
    assert result.corrected_flow / to_si(1, "lb/min") == pytest.approx(71.00757, rel=1e-6)
    assert "298 K and 100 kPa" in result.reference


def test_references_differ_by_several_per_cent() -> None:
    """The same point on two maps: 298 K, 100 kPa against 85 degF, 28.4 inHg."""
    first = RUN(reference="298-k-100-kpa").corrected_flow
    second = RUN(reference="85-degf-28.4-inhg").corrected_flow
    own = RUN(reference_temperature=to_si(85, "degF"), reference_pressure=to_si(28.4, "inHg"))
    assert first / second == pytest.approx(math.sqrt(302.594 / 298) / (96.1734 / 100), rel=1e-3)
    assert first / second > 1.03
    assert own.corrected_flow == pytest.approx(second, rel=1e-9)


@pytest.mark.parametrize("stages", [2, 3])
def test_stages_in_series_are_worse_than_each(stages: int) -> None:
    """Reheat: the overall efficiency is below the stage's. Source: second law, any thermodynamics textbook."""
    result = RUN(pressure_ratio=6.0, isentropic_efficiency=0.7, stages=stages)
    assert result.overall_efficiency < 0.7 - 0.01
    assert RUN(pressure_ratio=6.0, isentropic_efficiency=0.7).overall_efficiency == pytest.approx(0.7, rel=1e-6)


def test_energy_is_conserved() -> None:
    """What the compressor put in less what the cooler took out is what the charge carries, by CoolProp's enthalpies."""
    result = RUN(air_flow=0.4, inlet_temperature=300.0)
    kept = coolprop.PropsSI("H", "T", result.charge_temperature, "P", 101325, "Air") - coolprop.PropsSI(
        "H", "T", 300.0, "P", 101325, "Air"
    )
    assert result.shaft_power - result.cooler_heat == pytest.approx(0.4 * kept, rel=5e-3)


@given(st.floats(1.1, 4.0), st.floats(0.5, 0.8), st.floats(1.01, 1.2))
def test_directions(ratio: float, efficiency: float, more: float) -> None:
    """More ratio is hotter, more efficiency cooler, a better cooler denser."""
    plain = RUN(pressure_ratio=ratio, isentropic_efficiency=efficiency, cooler_effectiveness=0.7)
    hotter = RUN(pressure_ratio=ratio * more, isentropic_efficiency=efficiency)
    assert hotter.outlet_temperature > plain.outlet_temperature
    better = RUN(pressure_ratio=ratio, isentropic_efficiency=efficiency * more, cooler_effectiveness=0.7)
    assert better.outlet_temperature < plain.outlet_temperature
    assert better.charge_density >= plain.charge_density


@pytest.mark.parametrize(
    "changed",
    [
        {"compressor_outlet_pressure": 90e3, "inlet_pressure": 98e3},
        {"compressor_outlet_temperature": 330.0, "pressure_ratio": 3.0},
        {"measured_charge_temperature": 290.0, "coolant_temperature": 300.0},
        {"pressure_ratio": 1.0, "inlet_pressure": 40e3, "cooler_pressure_loss": 60e3},
    ],
)
def test_impossible_measurements_are_refused(changed: dict[str, float]) -> None:
    """An outlet below the inlet or below the ideal compression, a charge colder than its coolant, all pressure lost."""
    with pytest.raises(Impossible):
        RUN(**changed)
