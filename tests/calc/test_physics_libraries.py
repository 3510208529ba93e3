"""The shared physics against general-purpose libraries, over the range that engines use."""

import math

import cantera
import CoolProp.CoolProp as coolprop
import fluids
import pytest

from calc import atmosphere, constants, flow, gas, turbo
from calc.contract import Impossible

CARBON, HYDROGEN = 12.0, 23.0
OXYGEN_NEEDED = CARBON + HYDROGEN / 4


def burnt_mixture(lam: float) -> cantera.Solution:
    """The products of C12H23 in dry air, by hand from the reaction equation."""
    air = OXYGEN_NEEDED * lam / 0.2095
    solution = cantera.Solution("gri30.yaml")
    solution.TPX = (
        298.15,
        1e5,
        {
            "N2": 0.7808 * air,
            "AR": 0.0093 * air,
            "CO2": 0.0004 * air + CARBON,
            "H2O": HYDROGEN / 2,
            "O2": OXYGEN_NEEDED * (lam - 1),
        },
    )
    return solution


@pytest.mark.parametrize("lam", [1.0, 1.2, 1.5, 2.2, 5.0])
def test_products_against_cantera(lam: float) -> None:
    lean, library = gas.products(lam), burnt_mixture(lam)
    h0, s0 = library.enthalpy_mass, library.entropy_mass
    assert lean.R == pytest.approx(cantera.gas_constant / library.mean_molecular_weight, rel=1e-4)
    for t in (300.0, 500.0, 800.0, 999.0, 1001.0, 1100.0, 1400.0, 2000.0):
        library.TP = t, 1e5
        assert lean.cp(t) == pytest.approx(library.cp_mass, rel=1e-4)
        assert lean.h(t) == pytest.approx(library.enthalpy_mass - h0, rel=1e-4, abs=20)
        assert lean.s(t) == pytest.approx(library.entropy_mass - s0, rel=1e-4, abs=0.1)
        assert lean.temperature_at(lean.h(t), 700.0) == pytest.approx(t, abs=1e-6)
        library.transport_model = "mixture-averaged"
        if 500 <= t <= 1100:
            assert gas.viscosity(t) == pytest.approx(library.viscosity, rel=0.05 if lam >= 1.5 else 0.08)


def test_fraction_of_burnt_gas_is_the_same_mixture() -> None:
    """The quick blend of the balance is `products` itself, humid or not."""
    for lam, water in ((1.3, 0.0), (1.7, 0.015)):
        whole = gas.products(lam, water_in_air=water)
        dry = lam * gas.stoichiometric_afr()
        total = 1 + dry * (1 + water)
        parts = (
            (1 + gas.stoichiometric_afr()) / total,
            (dry - gas.stoichiometric_afr()) / total,
            dry * water / total,
        )
        assert sum(parts) == pytest.approx(1)
        mixed = gas.mix(
            tuple(zip(parts, (gas.burnt().coefficients, gas.AIR.coefficients, gas.STEAM.coefficients), strict=True))
        )
        assert whole.coefficients == pytest.approx(mixed, rel=1e-12)


@pytest.mark.parametrize("pressure_ratio", [1.2, 2.0, 3.0, 4.5])
@pytest.mark.parametrize("temperature", [260.0, 298.15, 320.0])
def test_compressor_against_coolprop(temperature: float, pressure_ratio: float) -> None:
    """Real air by enthalpy and entropy; 0.5 % of the rise allows for its departure from an ideal gas."""
    h1 = coolprop.PropsSI("H", "T", temperature, "P", 1e5, "Air")
    s1 = coolprop.PropsSI("S", "T", temperature, "P", 1e5, "Air")
    work = (coolprop.PropsSI("H", "P", pressure_ratio * 1e5, "S", s1, "Air") - h1) / 0.72
    t2 = coolprop.PropsSI("T", "P", pressure_ratio * 1e5, "H", h1 + work, "Air")
    found, found_work = turbo.compressor(temperature, pressure_ratio, 0.72)
    assert found_work == pytest.approx(work, rel=5e-3)
    assert found - temperature == pytest.approx(t2 - temperature, rel=1e-2)


@pytest.mark.parametrize("height", [-400.0, 0.0, 1609.344, 3000.0, 4300.0, 9000.0])
def test_atmosphere_against_fluids(height: float) -> None:
    found, library = atmosphere.standard_air(height), fluids.ATMOSPHERE_1976(height)
    assert found.temperature == pytest.approx(library.T, rel=2e-5)
    assert found.pressure == pytest.approx(library.P, rel=5e-5)
    assert found.density == pytest.approx(library.rho, rel=5e-5)
    assert atmosphere.height_at(found.pressure) == pytest.approx(height, abs=1e-6)


@pytest.mark.parametrize("celsius", [0.5, 10.0, 25.0, 40.0, 50.0])
def test_humidity_against_coolprop(celsius: float) -> None:
    t = celsius + 273.15
    assert atmosphere.saturation_pressure(t) == pytest.approx(coolprop.PropsSI("P", "T", t, "Q", 0, "Water"), rel=4e-3)
    humid = coolprop.HAPropsSI("W", "T", t, "P", 101325, "R", 0.6)
    assert atmosphere.water_in_air(101325, t, 0.6) == pytest.approx(humid, rel=1e-2)
    volume = coolprop.HAPropsSI("Vha", "T", t, "P", 101325, "R", 0.6)
    assert atmosphere.humid_density(101325, t, 0.6) == pytest.approx(1 / volume, rel=2e-3)


@pytest.mark.parametrize("re", [4e3, 1e4, 1e5, 1e6, 1e7])
@pytest.mark.parametrize("rough", [0.0, 1e-5, 5e-4, 5e-3])
def test_turbulent_friction_against_colebrook(re: float, rough: float) -> None:
    assert flow.friction_factor(re, rough) == pytest.approx(
        fluids.friction_factor(Re=re, eD=rough, Method="Colebrook"), rel=0.02
    )


def test_friction_between_laminar_and_turbulent_has_no_step() -> None:
    for edge in (2300.0, 4000.0):
        assert flow.friction_factor(edge * (1 - 1e-9), 1e-4) == pytest.approx(
            flow.friction_factor(edge * (1 + 1e-9), 1e-4), rel=1e-6
        )
    assert flow.friction_factor(1500.0) == 64 / 1500


@pytest.mark.parametrize("angle", [30.0, 90.0, 135.0])
@pytest.mark.parametrize("radius", [0.7, 1.0, 1.5, 4.0])
def test_bend_against_fluids(angle: float, radius: float) -> None:
    library = fluids.bend_rounded(Di=0.1, angle=angle, fd=0.018, bend_diameters=radius, method="Rennels")
    assert flow.bend_loss(angle, radius, 0.018) == pytest.approx(library, rel=1e-12)


@pytest.mark.parametrize(("small", "large"), [(0.06, 0.10), (0.09, 0.24)])
def test_change_of_section_against_fluids(small: float, large: float) -> None:
    ratio = (flow.area(small), flow.area(large))
    assert flow.enlargement_loss(*ratio) == pytest.approx(fluids.diffuser_sharp(small, large), rel=1e-12)
    # The library's sharp contraction is a later correlation; the two differ by up to a quarter for small steps.
    assert flow.contraction_loss(*ratio) == pytest.approx(fluids.contraction_sharp(large, small), rel=0.30)


@pytest.mark.parametrize("outlet", [101325.0, 250e3])
@pytest.mark.parametrize("mass_flow", [0.2, 0.5, 0.75])
def test_compressible_pipe_against_fluids(mass_flow: float, outlet: float) -> None:
    """Static pressure with acceleration, up to a Mach number of 0.37 at the outlet."""
    bore, length, t, r, f = 0.1016, 4.0, 750.0, 287.0, 0.019
    found, friction_only = flow.pipe_upstream(mass_flow, outlet, t, r, bore, f * length / bore)

    library = fluids.isothermal_gas(rho=found / (r * t), fd=f, P1=found, P2=outlet, L=length, D=bore)
    assert library == pytest.approx(mass_flow, rel=1e-9)
    assert outlet < friction_only < found


def test_pipe_that_would_choke_is_refused() -> None:
    with pytest.raises(Impossible, match="choke"):
        flow.pipe_upstream(1.0, 101325.0, 800.0, 287.0, 0.05, 1.0)
    with pytest.raises(Impossible, match="choke"):
        flow.pipe_downstream(1.0, 101325.0, 300.0, 287.0, 0.05, 1.0)
    with pytest.raises(Impossible, match="speed of sound"):
        flow.mach_from_total(1.0, 101325.0, 300.0, 287.0, 1.4, 0.05)


@pytest.mark.parametrize("m", [0.1, 0.3, 0.7, 0.99])
def test_mach_from_stagnation_state(m: float) -> None:
    """A flow made at a known Mach number, its static pressure from the library, and back to that number."""
    p0, t0, k, r, bore = 98e3, 300.0, 1.4, 287.0, 0.06
    t = t0 / (1 + 0.5 * (k - 1) * m * m)
    p = p0 / fluids.P_stagnation(1.0, t, t0, k)
    flowing = p / (r * t) * m * math.sqrt(k * r * t) * flow.area(bore)
    assert flow.mach_from_total(flowing, p0, t0, r, k, bore) == pytest.approx(m, rel=1e-6)
    assert flow.mach(flowing, p, t, r, k, bore) == pytest.approx(m, rel=1e-9)


def test_square_channel_friction_from_the_series() -> None:
    """f Re of a square duct recomputed from the series solution of the laminar momentum equation."""
    total = sum(math.tanh(0.5 * math.pi * n) / n**5 for n in range(1, 60, 2))
    fanning = 24 / (4 * (1 - 192 / math.pi**5 * total))
    assert float(constants.SQUARE_CHANNEL_FRICTION) == pytest.approx(4 * fanning, rel=1e-5)


@pytest.mark.parametrize("gamma", [1.3, 1.34, 1.4])
def test_nozzle_function_against_fluids(gamma: float) -> None:
    critical = 1 / fluids.P_critical_flow(1.0, gamma)
    assert turbo.nozzle_function(3.0, gamma) == turbo.nozzle_function(critical * 1.001, gamma)
    assert turbo.nozzle_function(critical, gamma) == pytest.approx(
        math.sqrt(gamma) * (2 / (gamma + 1)) ** ((gamma + 1) / (2 * (gamma - 1))), rel=1e-9
    )
    assert turbo.nozzle_function(1.0, gamma) == 0
    area = turbo.effective_area(0.5, 287.0, 900.0, 3e5, 1.6, gamma)
    assert turbo.turbine_flow(area, 287.0, 900.0, 3e5, 1.6, gamma) == pytest.approx(0.5)
