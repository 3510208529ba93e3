"""Each platform agrees with physics: its parts, solved as one engine, give what its ratings and limits say."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pytest

from build_scripts import catalogue
from build_scripts.building import ROOT
from build_scripts.models.figure import Figure
from build_scripts.models.platform import Platform
from calc.balance import OperatingPoint, balance
from calc.engine import ChargeCooler, Closure, Engine, Exhaust, Intake, Setting, Turbocharger
from calc.exhaust import Brick, MeasuredElement, Pipe, Silencer
from calc.flow import bend_loss, medium_from_point
from calc.units import to_si

BEND = bend_loss(90.0, 1.5, 0.017)
ATMOSPHERE = 101325.0


def si(figure: Figure) -> float:
    return to_si(figure.likely, figure.unit)


def forms() -> dict[str, Platform]:
    """Every platform in its standard form and in every other."""
    found = catalogue.load(ROOT).platforms
    others = {f"{name}/{form}": one.varied(form) for name, one in found.items() for form in one.variants}
    return {**found, **others}


FORMS = forms()


@pytest.fixture(scope="module", params=list(FORMS))
def platform(request: pytest.FixtureRequest) -> Platform:
    return FORMS[request.param]


@pytest.fixture(scope="module")
def setting(platform: Platform) -> Setting:
    """The platform as the engine balance wants it."""
    engine, turbo, cooler = platform.engine, platform.turbocharger, platform.charge_cooler
    intake, exhaust = platform.intake, platform.exhaust
    linear, quadratic = medium_from_point(si(intake.filter_loss), si(intake.filter_flow), 0.4)
    return Setting(
        engine=Engine(
            displacement=si(engine.displacement),
            cylinders=round(si(engine.cylinders)),
            indicated_efficiency=si(engine.indicated_efficiency),
            heat_fraction=si(engine.heat_loss_fraction),
            volumetric_efficiency=si(engine.volumetric_efficiency),
            friction=si(engine.friction_pressure),
        ),
        turbocharger=Turbocharger(
            compressor_efficiency=si(turbo.compressor_efficiency), turbine_efficiency=si(turbo.turbine_efficiency)
        ),
        charge_cooler=ChargeCooler(
            effectiveness=si(cooler.effectiveness),
            coolant_rise=si(cooler.coolant_temperature) - 298.15,
            pressure_loss=si(cooler.pressure_loss),
            mass_flow=si(cooler.pressure_loss_flow),
        ),
        intake=Intake(
            filter_linear=linear,
            filter_quadratic=quadratic,
            before=(Pipe("duct", si(intake.duct_bore), si(intake.duct_length), 1e-5, BEND * si(intake.duct_bends)),),
            after=(Pipe("horn", si(intake.horn_bore), si(intake.horn_length), 1e-5, BEND * si(intake.horn_bends)),),
        ),
        exhaust=Exhaust(
            elements=(
                Pipe(
                    "downpipe",
                    si(exhaust.downpipe_bore),
                    si(exhaust.downpipe_length),
                    loss_coefficient=BEND * si(exhaust.downpipe_bends),
                ),
                Brick(
                    "catalyst",
                    si(exhaust.catalyst_diameter),
                    si(exhaust.catalyst_length),
                    si(exhaust.catalyst_cell_density),
                    si(exhaust.catalyst_wall),
                ),
                MeasuredElement(
                    "filter",
                    si(exhaust.filter_loss),
                    si(exhaust.filter_flow),
                    si(exhaust.filter_temperature),
                    ATMOSPHERE,
                    si(exhaust.filter_viscous_share),
                ),
                Pipe(
                    "pipe",
                    si(exhaust.pipe_bore),
                    si(exhaust.pipe_length),
                    loss_coefficient=BEND * si(exhaust.pipe_bends),
                ),
                Silencer("silencer", si(exhaust.pipe_bore), si(exhaust.silencer_loss_factor)),
            )
        ),
        excess_air_ratio=si(engine.lambda_full_load),
        driveline_loss=1.0 - si(platform.driveline.efficiency),
    )


def at(setting: Setting, platform: Platform, wheel_power: float) -> OperatingPoint:
    """The operating point at rated speed for a power at the wheels in horsepower.

    A turbine of fixed geometry passes what it passes; vanes and a wastegate hold the boost.
    """
    if platform.turbocharger.type == "fixed":
        turbo = replace(setting.turbocharger, effective_area=si(platform.turbocharger.turbine_area))
        setting = replace(setting, turbocharger=turbo, closure=Closure.TURBINE_AS_IT_IS)
    speed = platform.ratings.rated_speed.likely_in("r/min")
    return balance(setting, speed, wheel_power=to_si(wheel_power, "hp"))


@pytest.fixture(scope="module")
def rated(setting: Setting, platform: Platform) -> OperatingPoint:
    return at(setting, platform, platform.ratings.wheel_power.likely_in("hp"))


def test_rated_power_comes_with_a_healthy_boost_and_exhaust(rated: OperatingPoint, platform: Platform) -> None:
    assert rated.brake_power == pytest.approx(si(platform.ratings.power), rel=0.01)
    assert 1.1e5 < rated.compressor_outlet_pressure - ATMOSPHERE < 2.3e5
    assert 600 < rated.turbine_inlet_temperature - 273.15 < 720
    assert rated.turbine_inlet_temperature < platform.turbocharger.inlet_temperature_limit.ends_in("K")[0] - 20
    assert rated.excess_air_ratio == pytest.approx(si(platform.engine.lambda_full_load), abs=0.02)
    assert 200 < rated.specific_consumption * 3.6e12 / 1e3 < 232
    assert 0.9 < rated.drive_to_boost < 1.25  # type: ignore[operator]
    assert rated.corrected_flow < platform.turbocharger.compressor_flow_limit.ends_in("kg/s")[0]
    assert rated.pressure_ratio < platform.turbocharger.pressure_ratio_limit.ends_in("1")[0]


def test_the_turbine_suits_the_rated_point(setting: Setting, platform: Platform) -> None:
    speed = platform.ratings.rated_speed.likely_in("r/min")
    held = balance(setting, speed, wheel_power=si(platform.ratings.wheel_power)).effective_area
    low, high = platform.turbocharger.turbine_area.ends_in("m2")
    if platform.turbocharger.type == "variable-geometry":
        assert 1.1 * low < held < 0.9 * high
    elif platform.turbocharger.type == "wastegate":
        # The turbine alone would make more boost than is wanted, and the gate leads some gas past it.
        assert 1.02 * low < held < 1.4 * low
    else:
        assert held == pytest.approx(low, rel=0.03)


def test_the_wheels_get_what_the_driveline_leaves(platform: Platform) -> None:
    ratings = platform.ratings
    assert si(ratings.power) * si(platform.driveline.efficiency) == pytest.approx(si(ratings.wheel_power), rel=0.01)
    assert si(ratings.torque) > si(ratings.power) / (ratings.rated_speed.likely * 2 * math.pi / 60)


def overlap(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] <= other[1] and other[0] <= one[1]


def test_the_weakest_clutch_holds_what_the_transmission_is_said_to_hold(platform: Platform) -> None:
    box = platform.transmission
    outer, inner = si(box.clutch_outer_radius), si(box.clutch_inner_radius)
    radius = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)
    force = si(box.line_pressure) * si(box.piston_area) - si(box.spring_force)
    low, high = (
        si(box.friction_faces) * friction * force * radius / si(box.clutch_share)
        for friction in box.friction_coefficient.ends
    )
    assert overlap((low, high), box.input_torque_limit.ends_in("N.m"))
    assert low > si(platform.ratings.torque)


def passed(platform: Platform, setting: Setting, limit: str) -> Iterator[OperatingPoint]:
    """The operating points at the lower and upper end of an observed limit."""
    for power in platform.limits[limit].wheel_power.ends_in("hp"):
        yield at(setting, platform, power)


def test_observed_and_computed_limits_of_the_transmission_agree(platform: Platform, setting: Setting) -> None:
    standard = at(setting, platform, platform.ratings.wheel_power.likely_in("hp"))
    rise = si(platform.ratings.torque) / standard.brake_torque
    low, high = (point.brake_torque * rise for point in passed(platform, setting, "transmission"))
    assert overlap((low, high), platform.transmission.input_torque_limit.ends_in("N.m"))


def test_observed_and_computed_limits_of_the_turbocharger_agree(platform: Platform, setting: Setting) -> None:
    low, high = (point.corrected_flow for point in passed(platform, setting, "turbocharger"))
    assert overlap((low, high), platform.turbocharger.compressor_flow_limit.ends_in("kg/s"))


def injection(platform: Platform, point: OperatingPoint) -> float:
    """The crank angle that the injectors need."""
    fuel = platform.fuel_system
    hole = math.pi / 4 * si(fuel.hole_diameter) ** 2 * si(fuel.injector_holes)
    drop = si(fuel.rail_pressure) - si(platform.engine.cylinder_pressure)
    flow = si(fuel.discharge_coefficient) * hole * math.sqrt(2 * si(fuel.fuel_density) * drop)
    return 6 * point.speed * point.fuel_per_injection / flow


def test_observed_and_computed_limits_of_the_injectors_agree(
    platform: Platform, setting: Setting, rated: OperatingPoint
) -> None:
    window = platform.fuel_system.injection_window.ends
    assert injection(platform, rated) < window[0]
    low, high = (injection(platform, point) for point in passed(platform, setting, "injectors"))
    assert overlap((low, high), window)


def test_observed_and_computed_limits_of_the_pumps_agree(
    platform: Platform, setting: Setting, rated: OperatingPoint
) -> None:
    fuel = platform.fuel_system
    turns = si(fuel.pump_drive_ratio) * platform.ratings.rated_speed.likely / 60
    supply = si(fuel.pump_displacement) * turns * si(fuel.pump_efficiency) * si(fuel.fuel_density)
    need = 1 + si(fuel.return_share)
    assert rated.fuel_flow * need < 0.9 * supply
    low, high = (point.fuel_flow * need for point in passed(platform, setting, "high-pressure-pump"))
    assert low * 0.9 < supply < high * 1.1


def test_observed_and_computed_limits_of_the_driveshaft_agree(platform: Platform, rated: OperatingPoint) -> None:
    box = platform.transmission
    assert box.converter is not None
    standard = si(platform.ratings.torque) * si(box.converter.stall_torque_ratio) * box.gear_ratios[0].likely
    low, high = (
        standard * power / platform.ratings.wheel_power.likely_in("hp")
        for power in platform.limits["driveshaft"].wheel_power.ends_in("hp")
    )
    assert standard < platform.driveline.driveshaft_torque_limit.ends_in("N.m")[0]
    assert overlap((low, high), platform.driveline.driveshaft_torque_limit.ends_in("N.m"))


def test_the_head_stays_clamped_up_to_its_limit(platform: Platform) -> None:
    bolts, engine = platform.fasteners, platform.engine
    friction = bolts.nut_factor.ends
    low, high = (
        si(bolts.bolts_per_cylinder) * si(bolts.tightening_torque) / (k * si(bolts.diameter))
        for k in reversed(friction)
    )
    area = math.pi / 4 * si(bolts.sealing_diameter) ** 2
    relieved = 1 - si(bolts.stiffness_share)
    opens = [clamp / (relieved * area) for clamp in (low, high)]
    assert opens[0] > engine.cylinder_pressure_limit.ends_in("Pa")[1]
    assert opens[1] < 3 * engine.cylinder_pressure_limit.ends_in("Pa")[1]
    assert engine.cylinder_pressure_limit.ends_in("Pa")[0] > si(engine.cylinder_pressure)


def test_limits_lie_above_what_the_vehicle_is_sold_with(platform: Platform) -> None:
    standard, goal = (figure.likely_in("W") for figure in (platform.ratings.wheel_power, platform.ratings.goal_power))
    lows = {name: limit.wheel_power.ends_in("W")[0] for name, limit in platform.limits.items()}
    assert lows.pop("calibration") == pytest.approx(standard)
    assert min(lows.values()) > 1.04 * standard
    assert min(lows.values()) < goal


def test_platforms_differ_in_what_gives_out_first() -> None:
    first = {}
    for name, platform in FORMS.items():
        limits = {key: limit for key, limit in platform.limits.items() if key != "calibration"}
        if "/" not in name:
            first[name] = min(limits, key=lambda key: limits[key].wheel_power.likely_in("W"))
    assert len(first) >= 4
    assert len(set(first.values())) == len(first)
