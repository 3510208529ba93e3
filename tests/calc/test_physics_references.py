"""The shared physics against outside values, which stand in tests/references/physics.json with their sources."""

import json
import math
from pathlib import Path
from typing import Any

import pytest

from calc import atmosphere, exhaust, flow, fuel, gas, turbo

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in json.loads((Path(__file__).parents[1] / "references" / "physics.json").read_text(encoding="utf-8"))
}


def check(case: str, **found: float) -> None:
    """Hold what was found against what the case expects, within the case's own tolerance."""
    expected = CASES[case]["expected"]
    assert found
    for name, value in found.items():
        assert value == pytest.approx(expected[name]["value"], rel=expected[name]["rel"]), (case, name)


def given(case: str, *names: str) -> list[Any]:
    return [CASES[case]["inputs"][name] for name in names]


def test_compressor() -> None:
    t1, ratio, eta, m = given(
        "ca-compressor-pr3", "inlet_temperature", "pressure_ratio", "isentropic_efficiency", "air_flow"
    )
    t2, work = turbo.compressor(t1, ratio, eta)
    check("ca-compressor-pr3", outlet_temperature=t2, specific_work=work, shaft_power=m * work)


def test_compressor_without_pressure_ratio_does_nothing() -> None:
    assert turbo.compressor(300.0, 1.0, 0.7) == pytest.approx((300.0, 0.0), abs=1e-6)
    assert turbo.charge_cooler(300.0, 1.0, 300.0) == 300.0


def test_charge_cooler() -> None:
    t2, coolant, eps = given("ca-intercooler", "compressor_outlet_temperature", "coolant_temperature", "effectiveness")
    p2, loss, t1, p1 = given(
        "ca-intercooler", "compressor_outlet_pressure", "cooler_pressure_loss", "inlet_temperature", "inlet_pressure"
    )
    t3 = turbo.charge_cooler(t2, eps, coolant)
    check("ca-intercooler", charge_temperature=t3, density_ratio=(p2 - loss) / p1 * t1 / t3)


def test_corrected_flow() -> None:
    values = given("ca-corrected-flow-298-100", "air_flow", "inlet_temperature", "inlet_pressure")
    check("ca-corrected-flow-298-100", corrected_flow=turbo.corrected_flow(*values))


def test_stoichiometric_air() -> None:
    check("ad-afr-c12h23", afr_stoichiometric=gas.stoichiometric_afr(23 / 12))


def test_standard_atmosphere() -> None:
    air = atmosphere.standard_air(*given("ad-isa-5280ft", "geometric_altitude"))
    check("ad-isa-5280ft", temperature=air.temperature, pressure=air.pressure, density=air.density)


def test_dry_pressure() -> None:
    barometer, t, humidity = given("wp-dry-pressure", "barometer", "air_temperature", "relative_humidity")
    vapour = atmosphere.vapour_pressure(t, humidity)
    check("wp-dry-pressure", vapour_pressure=vapour, dry_pressure=barometer - vapour)


def test_intake_horn() -> None:
    m, p, t, bore, length, rough, k = given(
        "ir-horn-2.4", "mass_flow", "pressure_abs", "temperature", "bore", "length", "roughness", "bend_K_used"
    )
    density, mu = p / (gas.AIR.R * t), gas.viscosity(t)
    re = flow.reynolds(m, mu, bore)
    check(
        "ir-horn-2.4",
        density=density,
        velocity=flow.velocity(m, density, bore),
        reynolds=re,
        friction_factor=flow.friction_factor(re, rough / bore),
        dynamic_pressure=flow.dynamic_pressure(m, density, bore),
        friction_loss=flow.pipe_loss(m, density, mu, bore, length, rough),
        total_loss=flow.pipe_loss(m, density, mu, bore, length, rough, k),
    )
    ends = flow.pipe_downstream(m, p, t, gas.AIR.R, bore, flow.friction_factor(re, rough / bore) * length / bore + k)
    check("ir-horn-2.4", total_loss=p - ends)


@pytest.mark.parametrize("case", ["ir-friction-laminar", "ir-friction-smooth-1e5"])
def test_friction_factor(case: str) -> None:
    check(case, darcy_friction_factor=flow.friction_factor(*given(case, "reynolds", "relative_roughness")))


def test_charge_tube() -> None:
    m, p, t, bore, length, rough = given(
        "ir-charge-tube", "mass_flow", "outlet_pressure", "temperature", "bore", "length", "roughness"
    )
    pipe = exhaust.Pipe("tube", bore, length, rough)
    check("ir-charge-tube", loss=pipe.upstream(m, p, t, gas.AIR.R)[0] - p)
    check("ir-charge-tube", loss=flow.pipe_loss(m, p / (gas.AIR.R * t), gas.viscosity(t), bore, length, rough))


def test_filter_medium() -> None:
    loss, m, share, new = given("ir-filter-scaling", "measured_loss", "measured_flow", "linear_share", "new_flow")
    check("ir-filter-scaling", loss=flow.medium_loss(new, *flow.medium_from_point(loss, m, share)))


def test_lean_products() -> None:
    lam, t = given("eb-gas-1.5-800K", "lam", "temperature")
    lean = gas.products(lam)
    check("eb-gas-1.5-800K", cp=lean.cp(t), gamma=lean.gamma(t), gas_constant=lean.R, viscosity=gas.viscosity(t))


def test_straight_exhaust_pipe() -> None:
    m, t, p, bore, length, rough, lam = given(
        "eb-straight-4in", "mass_flow", "temperature", "outlet_pressure", "bore", "length", "roughness", "lam"
    )
    r = gas.products(lam).R
    pipe = exhaust.Pipe("pipe", bore, length, rough)
    inlet, friction, fittings, _ = pipe.upstream(m, p, t, r)
    re = flow.reynolds(m, gas.viscosity(t), bore)
    check(
        "eb-straight-4in",
        reynolds=re,
        friction_factor=flow.friction_factor(re, rough / bore),
        outlet_velocity=flow.velocity(m, p / (r * t), bore),
        friction_loss=friction,
        static_rise_with_acceleration=inlet - p,
    )
    assert fittings == 0.0


def test_silencer() -> None:
    m, t, p, bore, k, r = given("eb-silencer-K", "mass_flow", "temperature", "pressure", "bore", "K", "gas_constant")
    inlet, _, loss, _ = exhaust.Silencer("silencer", bore, k).upstream(m, p, t, r)
    check("eb-silencer-K", loss=loss, velocity=flow.velocity(m, p / (r * t), bore))
    assert inlet == p + loss


def test_flow_through_brick() -> None:
    m, d, length, cells, wall, k, mu, rho = given(
        "eb-flow-through-brick",
        "mass_flow",
        "diameter",
        "length",
        "cell_density",
        "wall_thickness",
        "entry_exit_K",
        "gas_viscosity",
        "gas_density",
    )
    viscous, inertial = flow.brick_loss(m, rho, mu, d, length, cells, wall, k)
    check("eb-flow-through-brick", viscous_loss=viscous, inertial_loss=inertial, total=viscous + inertial)


@pytest.mark.parametrize("case", ["dp-balance-pr3", "dp-wastegate-15pct"])
def test_turbocharger_power_balance(case: str) -> None:
    m, lam, t1, ratio, eta_c, t3, eta = given(
        case,
        "air_flow",
        "lam",
        "compressor_inlet_temperature",
        "compressor_pressure_ratio",
        "compressor_efficiency",
        "turbine_inlet_temperature",
        "turbine_times_mechanical_efficiency",
    )
    bypass = CASES[case]["inputs"].get("bypass_fraction", 0.0)
    _, work = turbo.compressor(t1, ratio, eta_c)
    through = m * (1 + 1 / (lam * gas.stoichiometric_afr()))
    t4, expansion = turbo.expansion_ratio(gas.products(lam), t3, m * work, through, eta, bypass)
    check(case, expansion_ratio=expansion)
    if not bypass:
        p4 = CASES[case]["inputs"]["turbine_outlet_pressure"]
        check(case, turbine_outlet_temperature=t4, turbine_inlet_pressure=expansion * p4)


def exhaust_temperature(lam: float, efficiency: float, walls: float, charge: float, lhv: float) -> float:
    """The first-law balance that step 3 of the engine balance makes, on one kilogram of fuel."""
    air = lam * gas.stoichiometric_afr()
    return gas.products(lam).temperature_at((lhv * (1 - efficiency - walls) + air * gas.AIR.h(charge)) / (air + 1))


@pytest.mark.parametrize("case", ["et-base-1.5", "et-1.7"])
def test_exhaust_temperature(case: str) -> None:
    values = given(case, "lam", "brake_efficiency", "heat_loss_fraction", "charge_temperature", "lhv")
    check(case, exhaust_temperature=exhaust_temperature(*values))


def test_exhaust_temperature_against_heat_loss() -> None:
    lam, eta, low, high, charge, lhv = given(
        "et-heat-loss-effect", "lam", "brake_efficiency", "heat_loss_from", "heat_loss_to", "charge_temperature", "lhv"
    )
    change = exhaust_temperature(lam, eta, high, charge, lhv) - exhaust_temperature(lam, eta, low, charge, lhv)
    check("et-heat-loss-effect", temperature_change=change)


def test_temperature_over_the_turbine() -> None:
    t3, work, lam = given("et-turbine-drop", "turbine_inlet_temperature", "turbine_specific_work", "lam")
    t4, _ = turbo.turbine(gas.products(lam), t3, work, 0.7)
    check("et-turbine-drop", turbine_outlet_temperature=t4, drop=t3 - t4)


def test_fuel_density() -> None:
    rho, t = given("iw-density-840-40C", "density_15C", "temperature")
    check("iw-density-840-40C", expansion_coefficient=fuel.expansion(rho), density=fuel.density(rho, t))


def test_orifice() -> None:
    cd, holes, d, drop, rho = given(
        "iw-orifice-forward", "discharge_coefficient", "holes", "hole_diameter", "pressure_drop", "density"
    )
    area = holes * flow.area(d)
    m = flow.orifice_flow(cd, area, rho, drop)
    check("iw-orifice-forward", steady_flow=m, jet_velocity=math.sqrt(2 * drop / rho))
    assert flow.orifice_drop(cd, area, rho, m) == pytest.approx(drop)
