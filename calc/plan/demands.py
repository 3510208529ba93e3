"""What an operating point asks of each part, and what each part can bear.

Each aspect of a limit has one measure in coherent SI, and the demand and the capacity are both in it, so that their
ratio is the share of the limit that is used. Where the data allow it the capacity is computed from the part itself
(clutch, nozzles, pumps, driveshaft, turbocharger); elsewhere the place at which a limit is observed on the standard
vehicle is turned into the measure by the standard vehicle's own operating point, and moves with what the parts change.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from calc.balance import OperatingPoint
from calc.clutch import arm_uniform_pressure, torque_held
from calc.flow import area, orifice_flow
from calc.plan.records import CatalogueError, Figure, Load, Platform, Use
from calc.turbo import charge_cooler, compressor
from calc.units import STANDARD_GRAVITY

_MILD_DAY = 298.15

Get = Callable[[str, int], float]
"""A parameter by its path; the sign says whether more of it makes the capacity larger (+1) or smaller (-1)."""


@dataclass(frozen=True)
class Measure:
    """How an aspect is shown: its name, its units, and how the inner measure becomes the shown one."""

    name: str
    unit: str
    us: str
    si: str
    digits: int = 3


POWER = Measure("power at the wheels", "W", "hp", "kW")
MEASURES: Mapping[str, Measure] = {
    "transmission": Measure("torque at the transmission's input", "N.m", "lbf.ft", "N.m"),
    "driveshaft": Measure("torque in the driveshaft, first gear at stall", "N.m", "lbf.ft", "N.m"),
    "turbocharger:flow": Measure("corrected air flow", "kg/s", "lb/min", "kg/s"),
    "turbocharger:pressure": Measure("pressure ratio of the compressor", "1", "1", "1"),
    "exhaust-temperature": Measure("gas temperature before the turbine", "K", "degF", "degC"),
    "drive-pressure": Measure("drive pressure over boost, gauge", "1", "1", "1"),
    "smoke": Measure("lambda", "1", "1", "1"),
    "charge-cooler": Measure("temperature in the intake manifold", "K", "degF", "degC"),
    "injectors": Measure("fuel for one injection", "kg", "mg", "mg"),
    "high-pressure-pump": Measure("fuel injected", "kg/s", "lb/h", "kg/h"),
    "lift-pump": Measure("fuel injected", "kg/s", "lb/h", "kg/h"),
    "head-clamping": Measure("pressure in the intake manifold, absolute", "Pa", "psi", "kPa"),
    "coolant": Measure("power held at the wheels", "W", "hp", "kW"),
    "transmission-heat": Measure("power held at the wheels", "W", "hp", "kW"),
}

TITLES: Mapping[str, str] = {
    "calibration": "Control unit's power",
    "transmission": "Transmission clutches",
    "driveshaft": "Driveshaft",
    "turbocharger": "Turbocharger",
    "exhaust-temperature": "Exhaust temperature",
    "drive-pressure": "Drive pressure",
    "smoke": "Smoke (lambda)",
    "injectors": "Injectors",
    "high-pressure-pump": "High-pressure pump",
}

# Aspects that the goal alone decides, whatever the gas path does.
BY_POWER = frozenset({"calibration", "transmission", "driveshaft", "coolant", "transmission-heat"})
# Aspects of the operating point.
BY_POINT = (
    "turbocharger:flow",
    "turbocharger:pressure",
    "exhaust-temperature",
    "drive-pressure",
    "smoke",
    "charge-cooler",
    "injectors",
    "high-pressure-pump",
    "lift-pump",
    "head-clamping",
)
# What the calibration decides rather than a part: shown, and left out when margins are compared.
NOT_A_PART = frozenset({"calibration", "smoke"})
HEAT = frozenset({"coolant", "transmission-heat"})


def limit_of(aspect: str) -> str:
    """The limit that an aspect belongs to."""
    return aspect.partition(":")[0]


def measure(aspect: str) -> Measure:
    """How an aspect is shown; power at the wheels unless it has a measure of its own."""
    return MEASURES.get(aspect, POWER)


def aspects(platform: Platform, use: Use) -> tuple[str, ...]:
    """The aspects that a platform and a use bring with them, computed ones first."""
    known = ["calibration", "transmission", "driveshaft"]
    known += [key for key in BY_POINT if key not in ("charge-cooler", "lift-pump", "head-clamping")]
    known += [key for key in platform.limits if key not in {limit_of(one) for one in known}]
    return tuple(key for key in known if key not in HEAT or (use.load is not None and key in platform.limits))


@dataclass(frozen=True)
class Standard:
    """The vehicle as sold, at its rated power near sea level on a mild day: what observed limits are anchored to."""

    platform: Platform
    use: Use
    practice: Mapping[str, Figure]
    point: OperatingPoint
    ambient_temperature: float

    @property
    def power(self) -> float:
        """Rated power at the wheels, W."""
        return self.platform.figure("ratings.wheel_power").value

    @property
    def speed(self) -> float:
        """Rated speed, r/min."""
        return self.platform.figure("ratings.rated_speed").value

    @property
    def torque_rise(self) -> float:
        """Greatest torque over the torque at rated power, 1."""
        rated = self.platform.figure("ratings.power").value * 30.0 / (math.pi * self.speed)
        return self.platform.figure("ratings.torque").value / rated

    def observed(self, limit: str) -> tuple[float, float, float]:
        """The power at the wheels (W) at which a limit is observed."""
        known = self.platform.limits.get(limit)
        if known is None or known.wheel_power is None:
            if limit == "calibration":
                return self.platform.figure("ratings.wheel_power").ends
            raise CatalogueError(f"platform {self.platform.id}: limit {limit} has no observed wheel power")
        return known.wheel_power.ends

    def general(self, name: str) -> Figure:
        """A figure of general practice."""
        try:
            return self.practice[name]
        except KeyError:
            raise CatalogueError(f"no figure of practice {name}") from None

    def per_watt(self, aspect: str) -> float:
        """The demand on an aspect for each watt at the wheels, as the standard vehicle has it at rated power."""
        return demand(aspect, self, self.point, self.power, 0.0) / self.power


def demand(aspect: str, standard: Standard, point: OperatingPoint, power: float, held: float) -> float:
    """What an operating point asks for, in the aspect's inner measure.

    `power` (W) is that at the wheels, `held` (W) what the use holds for minutes. The inner measure of the exhaust and
    charge temperature is the rise above the outside air, that of smoke the inverse of lambda.
    """
    if aspect == "transmission":
        return point.brake_torque * standard.torque_rise
    if aspect == "driveshaft":
        return point.brake_torque * standard.torque_rise * _multiplied(standard.platform)
    if aspect in HEAT:
        return held
    if aspect == "turbocharger:flow":
        return point.corrected_flow
    if aspect == "turbocharger:pressure":
        return point.pressure_ratio
    if aspect == "exhaust-temperature":
        return point.turbine_inlet_temperature - point.ambient_temperature
    if aspect == "drive-pressure":
        return point.drive_to_boost or 0.0
    if aspect == "smoke":
        return 1.0 / point.excess_air_ratio
    if aspect == "charge-cooler":
        return point.manifold_temperature - point.ambient_temperature
    if aspect == "injectors":
        return point.fuel_per_injection
    if aspect in ("high-pressure-pump", "lift-pump"):
        return point.fuel_flow
    if aspect == "head-clamping":
        return point.manifold_pressure
    return power


def by_power(aspect: str, standard: Standard, power: float, held: float, efficiency: float) -> float:
    """The demand on an aspect of `BY_POWER`, or on one known by wheel power only, without any operating point.

    `efficiency` is the driveline's: what is not lost there need not be made.
    """
    if aspect in ("transmission", "driveshaft"):
        torque = power / efficiency * 30.0 / (math.pi * standard.speed) * standard.torque_rise
        return torque if aspect == "transmission" else torque * _multiplied(standard.platform)
    return held if aspect in HEAT else power


def shown(aspect: str, value: float, ambient_temperature: float) -> float:
    """The inner measure as it is shown, in the SI unit of the aspect's `Measure`."""
    if aspect in ("exhaust-temperature", "charge-cooler"):
        return value + ambient_temperature
    if aspect == "smoke":
        return 1.0 / value
    return value


def capacity(aspect: str, standard: Standard, get: Get, end: int) -> float:
    """What the parts can bear, in the inner measure, at the weak end (-1), the likely value (0) or the strong end (1).

    `get` gives the parameters as changed by the parts, at the end that fits.
    """
    if (computed := _COMPUTED.get(aspect)) is not None:
        return computed(standard, get, end)
    observed = standard.observed(aspect)[1 + end]
    if aspect == "lift-pump":
        flow = get("fuel_system.lift_pump_flow", 1) / standard.platform.figure("fuel_system.lift_pump_flow").value
        return observed * standard.per_watt(aspect) * flow
    if aspect == "head-clamping":
        return observed * standard.per_watt(aspect) * _clamp(get) / _clamp(_as_sold(standard.platform))
    if aspect in HEAT:
        return observed * _heat(standard, aspect, get, end)
    return observed


def _transmission(_: Standard, get: Get, __: int) -> float:
    arm = arm_uniform_pressure(get("transmission.clutch_outer_radius", 1), get("transmission.clutch_inner_radius", 1))
    pressed = get("transmission.line_pressure", 1) * get("transmission.piston_area", 1)
    force = pressed - get("transmission.spring_force", -1)
    faces, friction = get("transmission.friction_faces", 1), get("transmission.friction_coefficient", 1)
    held = torque_held(faces, friction, force, arm)
    return max(held, 1e-9) / get("transmission.clutch_share", -1)


def _driveshaft(_: Standard, get: Get, __: int) -> float:
    return get("driveline.driveshaft_torque_limit", 1)


def _turbine_inlet(standard: Standard, get: Get, end: int) -> float:
    limit = get("turbocharger.inlet_temperature_limit", 1)
    if not standard.use.sustained:
        limit = max(limit, standard.general("egt-short-pull").ends[1 + end])
    return limit - standard.ambient_temperature


def _drive_pressure(standard: Standard, _: Get, end: int) -> float:
    return standard.general("drive-to-boost").ends[1 + end]


def _smoke(standard: Standard, _: Get, end: int) -> float:
    return 1.0 / standard.general("lambda-full-load").ends[1 - end]


def _charge(standard: Standard, _: Get, end: int) -> float:
    """The manifold temperature of the standard vehicle where the limit is observed, its pressure ratio taken to grow
    with power."""
    point, platform = standard.point, standard.platform
    ratio = point.pressure_ratio * standard.observed("charge-cooler")[1 + end] / standard.power
    hot, _work = compressor(
        point.compressor_inlet_temperature, ratio, platform.figure("turbocharger.compressor_efficiency").value
    )
    coolant = platform.figure("charge_cooler.coolant_temperature").value
    effectiveness = platform.figure("charge_cooler.effectiveness").value
    return charge_cooler(hot, effectiveness, coolant) - standard.ambient_temperature


def _injectors(standard: Standard, get: Get, _: int) -> float:
    drop = get("fuel_system.rail_pressure", 1) - get("engine.cylinder_pressure", -1)
    holes = get("fuel_system.injector_holes", 1) * area(get("fuel_system.hole_diameter", 1))
    flow = orifice_flow(
        get("fuel_system.discharge_coefficient", 1), holes, get("fuel_system.fuel_density", 1), max(drop, 0.0)
    )
    return flow * get("fuel_system.injection_window", 1) / (6.0 * standard.speed)


def _pump(standard: Standard, get: Get, _: int) -> float:
    turns = get("fuel_system.pump_drive_ratio", 1) * standard.speed / 60.0
    delivered = get("fuel_system.pump_displacement", 1) * turns * get("fuel_system.pump_efficiency", 1)
    return delivered * get("fuel_system.fuel_density", 1) / (1.0 + get("fuel_system.return_share", -1))


_COMPUTED: Mapping[str, Callable[[Standard, Get, int], float]] = {
    "transmission": _transmission,
    "driveshaft": _driveshaft,
    "turbocharger:flow": lambda _, get, __: get("turbocharger.compressor_flow_limit", 1),
    "turbocharger:pressure": lambda _, get, __: get("turbocharger.pressure_ratio_limit", 1),
    "exhaust-temperature": _turbine_inlet,
    "drive-pressure": _drive_pressure,
    "smoke": _smoke,
    "charge-cooler": _charge,
    "injectors": _injectors,
    "high-pressure-pump": _pump,
}


def _clamp(get: Get) -> float:
    """Clamp load of one cylinder's fasteners, N: torque over nut factor and diameter. At the likely nut factor: its
    scatter is already in what is observed."""
    load = get("fasteners.bolts_per_cylinder", 1) * get("fasteners.tightening_torque", 1)
    return load / (get("fasteners.nut_factor", 0) * get("fasteners.diameter", -1))


def _as_sold(platform: Platform) -> Get:
    def get(path: str, _: int) -> float:
        return platform.figure(path).value

    return get


def _heat(standard: Standard, aspect: str, get: Get, end: int) -> float:
    """How much of its heat a cooler still sheds today: the limit above the outside air, over the same on a mild day."""
    if aspect == "coolant":
        hottest = standard.general("coolant-temperature").ends[1 + end]
    else:
        hottest = get("transmission.fluid_temperature_limit", 1)
    return max(1e-9, hottest - standard.ambient_temperature) / (hottest - _MILD_DAY)


def tow_mass(load: Load, platform: Platform) -> float:
    """The combined mass (kg) that a use pulls on this platform."""
    rated = platform.figure("ratings.gross_combination_weight").value
    return load.mass.value * rated if load.mass_is_share else load.mass.value


def tow_power(load: Load, platform: Platform, density: float) -> float:
    """Power at the wheels (W) that holds the use's speed on its grade, in air of `density` (kg/m3).

    Rolling, grade and the air drag of vehicle and trailer. Source: Fundamentals of Vehicle Dynamics.
    """
    slope = math.atan(load.grade.value)
    weight = tow_mass(load, platform) * STANDARD_GRAVITY
    rolling = platform.figure("vehicle.rolling_coefficient").value * math.cos(slope)
    speed = load.speed.value
    behind = load.trailer_drag_area.value if load.trailer_drag_area else 0.0
    air = 0.5 * density * (platform.figure("vehicle.drag_area").value + behind) * speed * speed
    return (weight * (rolling + math.sin(slope)) + air) * speed


def _multiplied(platform: Platform) -> float:
    stall = platform.figures.get("transmission.converter.stall_torque_ratio")
    return (stall.value if stall else 1.0) * platform.figure("transmission.gear_ratios.0").value


def read_by(aspect: str, standard: Standard, figures: Mapping[str, Figure]) -> Iterator[str]:
    """The paths of the parameters that the capacity of an aspect depends on."""
    found: dict[str, None] = {}

    def get(path: str, _: int) -> float:
        found[path] = None
        if path not in figures:
            raise CatalogueError(f"platform {standard.platform.id}: no figure {path}")
        return figures[path].value

    capacity(aspect, standard, get, 0)
    yield from found
