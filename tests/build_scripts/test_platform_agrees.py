"""The invented platform agrees with physics: its parts, solved as one engine, give what its ratings and limits say."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from build_scripts import catalogue
from build_scripts.building import ROOT
from build_scripts.models.figure import Figure
from build_scripts.models.platform import Platform
from calc.balance import OperatingPoint, balance
from calc.engine import ChargeCooler, Engine, Exhaust, Intake, Setting, Turbocharger
from calc.exhaust import Brick, MeasuredElement, Pipe, Silencer
from calc.flow import bend_loss, medium_from_point
from calc.units import to_si

BEND = bend_loss(90.0, 1.5, 0.017)
ATMOSPHERE = 101325.0


def si(figure: Figure) -> float:
    return to_si(figure.likely, figure.unit)


@pytest.fixture(scope="module")
def platform() -> Platform:
    return catalogue.load(ROOT).platforms["hollin-six"]


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
    """The operating point at rated speed for a power at the wheels in horsepower."""
    speed = platform.ratings.rated_speed.likely_in("r/min")
    return balance(setting, speed, wheel_power=to_si(wheel_power, "hp"))


@pytest.fixture(scope="module")
def rated(setting: Setting, platform: Platform) -> OperatingPoint:
    return at(setting, platform, platform.ratings.wheel_power.likely_in("hp"))


def test_rated_power_comes_with_a_healthy_boost_and_exhaust(rated: OperatingPoint, platform: Platform) -> None:
    assert rated.brake_power == pytest.approx(si(platform.ratings.power), rel=0.01)
    assert 1.7e5 < rated.compressor_outlet_pressure - ATMOSPHERE < 2.3e5
    assert 680 < rated.turbine_inlet_temperature - 273.15 < 720
    assert 200 < rated.specific_consumption * 3.6e12 / 1e3 < 230
    assert 0.9 < rated.drive_to_boost < 1.5  # type: ignore[operator]
    low, high = platform.turbocharger.turbine_area.ends_in("m2")
    assert low < rated.effective_area < high
    assert rated.corrected_flow < platform.turbocharger.compressor_flow_limit.ends_in("kg/s")[0]
    assert rated.pressure_ratio < platform.turbocharger.pressure_ratio_limit.ends_in("1")[0]


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
    rise = si(platform.ratings.torque) / at(setting, platform, 370).brake_torque
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
    assert rated.fuel_flow * need < 0.8 * supply
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
