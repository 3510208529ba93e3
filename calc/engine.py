"""What a turbocharged diesel is made of, for the engine balance: engine, turbocharger, cooler, intake, exhaust, air.

Coherent SI: m, m2, m3, kg/s, Pa (absolute), K, J/kg, W; engine speed in r/min. Nothing here computes more than a range
check; `calc.balance` does the rest. All classes are immutable and can be compared, hashed and changed with
`dataclasses.replace`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from calc import atmosphere
from calc.constants import HYDROGEN_PER_CARBON, LHV_DIESEL
from calc.contract import Impossible
from calc.exhaust import Element, Pipe

SpeedTable = float | tuple[tuple[float, float], ...]
"""A constant, or (r/min, value) pairs in rising order, read by straight lines and held at the ends."""


@dataclass(frozen=True, kw_only=True)
class Engine:
    """A four-stroke compression-ignition engine.

    displacement: m3, all cylinders. indicated_efficiency: work of the closed cycle over fuel energy, before gas
    exchange and friction. heat_fraction: fuel energy that goes into the walls. volumetric_efficiency: referred to the
    density in the intake manifold. friction: mean effective pressure, Pa, with the driven auxiliaries. Each of these
    four is a number or a table against engine speed in r/min.
    """

    displacement: float
    cylinders: int
    indicated_efficiency: SpeedTable
    heat_fraction: SpeedTable
    volumetric_efficiency: SpeedTable
    friction: SpeedTable
    lower_heating_value: float = float(LHV_DIESEL)
    hydrogen_per_carbon: float = float(HYDROGEN_PER_CARBON)


@dataclass(frozen=True, kw_only=True)
class Turbocharger:
    """One compressor stage driven by one turbine stage.

    compressor_efficiency: isentropic, total to total, at its best; turbine_efficiency: total to static;
    mechanical_efficiency: bearings. effective_area: m2, what the turbine passes as it is (vanes at their stop, or
    fixed). smallest_area, largest_area: m2, the ends of the vanes' travel where they are known. bypass: share of the
    gas that a wastegate leads past the wheel. With a flow_limit (kg/s, corrected to 298 K and 100 kPa, the right edge
    of the compressor's map) the efficiency falls beyond `best_share` of it, by `efficiency_fall` of its best value at
    the edge, with the square of the distance: the stand-in for a map.
    """

    compressor_efficiency: float
    turbine_efficiency: float
    mechanical_efficiency: float = 1.0
    effective_area: float | None = None
    smallest_area: float | None = None
    largest_area: float | None = None
    bypass: float = 0.0
    flow_limit: float | None = None
    best_share: float = 0.75
    efficiency_fall: float = 0.25


@dataclass(frozen=True, kw_only=True)
class ChargeCooler:
    """Charge cooler. `coolant_rise` (K): cooling air or water above the outside air.

    `pressure_loss` (Pa) was seen at `mass_flow` (kg/s) and `density` (kg/m3, at its outlet); it scales with m^2/rho.
    """

    effectiveness: float
    coolant_rise: float = 0.0
    pressure_loss: float = 0.0
    mass_flow: float = 1.0
    density: float = 3.0


@dataclass(frozen=True, kw_only=True)
class Intake:
    """The way of the air. Filter loss = (linear m + quadratic m^2) at `filter_density`, thinner air losing more.

    filter_linear: Pa.s/kg; filter_quadratic: Pa.s2/kg2 (see flow.medium_from_point). `before` lists the ducts up to the
    compressor, `after` those from the charge cooler to the manifold, in flow direction; K on their own bore.
    `temperature_rise` (K): air picked up warmer than outside.
    """

    filter_linear: float = 0.0
    filter_quadratic: float = 0.0
    filter_density: float = 1.2
    before: tuple[Pipe, ...] = ()
    after: tuple[Pipe, ...] = ()
    temperature_rise: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Exhaust:
    """Everything after the turbine, in flow direction."""

    elements: tuple[Element, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Ambient:
    """Outside air: pressure (Pa), temperature (K), relative humidity (0 to 1)."""

    pressure: float = 101325.0
    temperature: float = 298.15
    relative_humidity: float = 0.0

    @classmethod
    def at_height(cls, height: float, temperature: float | None = None, relative_humidity: float = 0.0) -> Ambient:
        """Air at a geometric `height` (m): standard pressure, and the day's own `temperature` (K) when given."""
        standard = atmosphere.standard_air(height)
        return cls(
            pressure=standard.pressure,
            temperature=standard.temperature if temperature is None else temperature,
            relative_humidity=relative_humidity,
        )


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Bounds that an operating point is held against; None where nothing is known.

    excess_air_ratio: least lambda before smoke; turbine_inlet_temperature: K; corrected_flow: kg/s at 298 K and 100
    kPa; pressure_ratio, expansion_ratio: 1; drive_ratio: turbine inlet over manifold pressure, both absolute;
    manifold_pressure: Pa; brake_torque: N.m; fuel_per_injection: kg in one cylinder and cycle.
    """

    excess_air_ratio: float | None = None
    turbine_inlet_temperature: float | None = None
    corrected_flow: float | None = None
    pressure_ratio: float | None = None
    expansion_ratio: float | None = None
    drive_ratio: float | None = None
    manifold_pressure: float | None = None
    brake_torque: float | None = None
    fuel_per_injection: float | None = None


class Closure(StrEnum):
    """What decides the boost."""

    BOOST_HELD = "boost-held"
    """Vanes or a wastegate have authority left: lambda is given, the turbine's area follows."""
    TURBINE_AS_IT_IS = "turbine-as-it-is"
    """A fixed turbine, or vanes at their stop: the effective area is given, lambda and boost follow."""
    WASTEGATE = "wastegate"
    """A wastegate holds the boost: lambda and the turbine's area are given, what is led past the wheel follows."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One vehicle as it stands on one day.

    `excess_air_ratio` is lambda where the boost is held, and only a first guess where the turbine is as it is.
    `driveline_loss` is the share of brake power that does not reach the wheels.
    """

    engine: Engine
    turbocharger: Turbocharger
    charge_cooler: ChargeCooler
    intake: Intake = field(default_factory=Intake)
    exhaust: Exhaust = field(default_factory=Exhaust)
    ambient: Ambient = field(default_factory=Ambient)
    closure: Closure = Closure.BOOST_HELD
    excess_air_ratio: float = 1.45
    driveline_loss: float = 0.0
    limits: Limits = field(default_factory=Limits)

    def __post_init__(self) -> None:
        _check(self)


def _check(setting: Setting) -> None:
    """Raise Impossible for a part that cannot exist, naming it."""
    engine, turbo = setting.engine, setting.turbocharger
    positive = {
        "displacement": engine.displacement,
        "cylinders": engine.cylinders,
        "lower_heating_value": engine.lower_heating_value,
        "pressure": setting.ambient.pressure,
        "mass_flow": setting.charge_cooler.mass_flow,
        "density": setting.charge_cooler.density,
        "filter_density": setting.intake.filter_density,
    }
    for name, value in positive.items():
        if not value > 0.0:
            raise Impossible(f"The {name.replace('_', ' ')} must be above zero.", (name,))
    shares = {
        "compressor_efficiency": turbo.compressor_efficiency,
        "turbine_efficiency": turbo.turbine_efficiency,
        "mechanical_efficiency": turbo.mechanical_efficiency,
    }
    for name, value in shares.items():
        if not 0.0 < value <= 1.0:
            raise Impossible(f"The {name.replace('_', ' ')} lies above 0 and up to 1.", (name,))
    if not 0.0 <= turbo.bypass < 1.0:
        raise Impossible("A wastegate cannot lead all of the gas past the turbine.", ("bypass",))
    if not 0.0 <= setting.driveline_loss < 1.0:
        raise Impossible("The driveline loss lies between 0 and 1.", ("driveline_loss",))
    if not 0.0 <= setting.charge_cooler.effectiveness <= 1.0:
        raise Impossible("The effectiveness of a charge cooler lies between 0 and 1.", ("effectiveness",))
    if not 200.0 < setting.ambient.temperature < 340.0:
        raise Impossible("The outside air must lie between 200 and 340 K.", ("temperature",))
    if setting.closure is not Closure.BOOST_HELD and not (turbo.effective_area or 0.0) > 0.0:
        raise Impossible("A turbine as it is needs its effective area.", ("effective_area",))
    if not setting.excess_air_ratio >= 1.0:
        raise Impossible("Below lambda 1 the fuel cannot burn completely.", ("excess_air_ratio",))


@dataclass(frozen=True, kw_only=True)
class Energy:
    """Where the energy of one operating point goes, W; sensible enthalpies count from 298.15 K.

    In: fuel (by its lower heating value) and air. Out: brake, friction, walls, charge_cooler, bearings, exhaust (at the
    turbine outlet). `closure` is the part of the fuel that is not accounted for: it should be nothing.
    """

    fuel: float
    air: float
    brake: float
    friction: float
    walls: float
    charge_cooler: float
    bearings: float
    exhaust: float

    @property
    def closure(self) -> float:
        """(in - out) / fuel, 1."""
        out = self.brake + self.friction + self.walls + self.charge_cooler + self.bearings + self.exhaust
        return (self.fuel + self.air - out) / self.fuel


@dataclass(frozen=True, kw_only=True)
class Finding:
    """A limit that an operating point passes: the point exists, and the part named by `limit` is beyond its bound.

    `limit` is a field of `Limits`, or "smallest_area" or "largest_area". `margin` is negative here: the distance to the
    bound over the bound.
    """

    limit: str
    value: float
    bound: float
    margin: float
    sentence: str
