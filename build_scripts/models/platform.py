"""A platform: an engine with its vehicle, what it is made of and what gives out first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, Field

from build_scripts.models.base import CautionId, Model, NotEmpty, Record, Slug, Text
from build_scripts.models.figure import Figure, Wants
from build_scripts.models.partial import partly


class Ratings(Model):
    """What the vehicle is sold as."""

    power: Annotated[Figure, Wants("power", "hp", 50, 1500)] = Field(
        title="Power at the crankshaft", description="Rated power at the flywheel, standard calibration."
    )
    wheel_power: Annotated[Figure, Wants("power", "hp", 40, 1400)] = Field(
        title="Power at the wheels", description="Power at the driven wheels, standard calibration."
    )
    goal_power: Annotated[Figure, Wants("power", "hp", 40, 1400)] = Field(
        title="Example goal", description="A power goal at the wheels, to start a reader off."
    )
    torque: Annotated[Figure, Wants("torque", "N.m", 100, 4000)] = Field(
        title="Torque", description="Greatest torque at the flywheel, standard calibration."
    )
    rated_speed: Annotated[Figure, Wants("rotational speed", "r/min", 1200, 5500)] = Field(
        title="Rated speed", description="Engine speed at which the rated power is reached."
    )
    torque_speed: Annotated[Figure, Wants("rotational speed", "r/min", 800, 4500)] = Field(
        title="Speed of greatest torque", description="Engine speed at which the greatest torque is reached."
    )
    governed_speed: Annotated[Figure, Wants("rotational speed", "r/min", 1500, 6500)] = Field(
        title="Governed speed", description="Highest engine speed that the governor allows."
    )
    gross_vehicle_weight: Annotated[Figure, Wants("mass", "lb", 3000, 33000)] = Field(
        title="Gross vehicle weight rating", description="Greatest mass of the loaded vehicle, as on its label."
    )
    gross_combination_weight: Annotated[Figure, Wants("mass", "lb", 5000, 80000)] = Field(
        title="Gross combination weight rating", description="Greatest mass of vehicle and trailer together."
    )
    tow_rating: Annotated[Figure, Wants("mass", "lb", 1000, 50000)] = Field(
        title="Tow rating", description="Greatest mass of the trailer."
    )


class Engine(Model):
    """The engine itself."""

    cylinders: Annotated[Figure, Wants("ratio", "1", 1, 16)] = Field(
        title="Cylinders", description="Number of cylinders."
    )
    displacement: Annotated[Figure, Wants("volume", "L", 0.5, 20)] = Field(
        title="Displacement", description="Swept volume of all cylinders together."
    )
    bore: Annotated[Figure, Wants("length", "mm", 60, 200)] = Field(title="Bore", description="Diameter of a cylinder.")
    stroke: Annotated[Figure, Wants("length", "mm", 60, 250)] = Field(title="Stroke", description="Travel of a piston.")
    compression_ratio: Annotated[Figure, Wants("ratio", "1", 12, 24)] = Field(
        title="Compression ratio", description="Cylinder volume at the lower over that at the upper dead centre."
    )
    volumetric_efficiency: Annotated[Figure, Wants("ratio", "1", 0.6, 1.15)] = Field(
        title="Volumetric efficiency",
        description="Air taken in over what the swept volume holds at manifold density, at rated speed.",
    )
    indicated_efficiency: Annotated[Figure, Wants("ratio", "1", 0.3, 0.56)] = Field(
        title="Indicated efficiency",
        description="Share of the fuel's energy that becomes work on the pistons, at full load.",
    )
    heat_loss_fraction: Annotated[Figure, Wants("ratio", "1", 0.05, 0.4)] = Field(
        title="Heat-loss fraction",
        description="Share of the fuel's energy that walls, coolant and oil take before the exhaust port.",
    )
    friction_pressure: Annotated[Figure, Wants("pressure", "bar", 0.5, 5)] = Field(
        title="Friction mean effective pressure",
        description="Mean effective pressure lost to friction and accessories, at rated speed.",
    )
    lambda_full_load: Annotated[Figure, Wants("ratio", "1", 1.0, 3)] = Field(
        title="Air-fuel equivalence ratio", description="Air supplied over the air that the fuel needs, at rated power."
    )
    cylinder_pressure: Annotated[Figure, Wants("pressure", "bar", 80, 350)] = Field(
        title="Peak cylinder pressure",
        description="Greatest pressure in a cylinder at full load, standard calibration.",
    )
    cylinder_pressure_limit: Annotated[Figure, Wants("pressure", "bar", 80, 400)] = Field(
        title="Limit of peak cylinder pressure",
        description="Peak pressure below which the engine is clear and above which it is beyond.",
    )


class Turbocharger(Model):
    """The turbocharger and what it stands."""

    type: Literal["variable-geometry", "wastegate", "fixed"] = Field(
        title="Type",
        description="What sets boost: vanes that move, a wastegate, or nothing.",
        examples=["variable-geometry"],
    )
    compressor_flow_limit: Annotated[Figure, Wants("mass flow", "lb/min", 10, 250)] = Field(
        title="Compressor flow limit", description="Corrected air flow at which the compressor runs out of flow."
    )
    pressure_ratio_limit: Annotated[Figure, Wants("ratio", "1", 1.5, 8)] = Field(
        title="Pressure-ratio limit",
        description="Absolute pressure ratio of the compressor, as far as shaft speed allows.",
    )
    compressor_efficiency: Annotated[Figure, Wants("ratio", "1", 0.5, 0.86)] = Field(
        title="Compressor efficiency", description="Isentropic efficiency at rated power, total to total."
    )
    turbine_efficiency: Annotated[Figure, Wants("ratio", "1", 0.4, 0.86)] = Field(
        title="Turbine efficiency",
        description="Isentropic efficiency at rated power, total to static, bearing loss included.",
    )
    turbine_area: Annotated[Figure, Wants("area", "cm2", 2, 60)] = Field(
        title="Turbine effective area",
        description="Effective flow area: vanes most closed to most open; one value when the geometry is fixed.",
    )
    rotor_inertia: Annotated[Figure, Wants("moment of inertia", "kg.m2", 5e-06, 0.005)] = Field(
        title="Rotor inertia", description="Moment of inertia of shaft and both wheels."
    )
    inlet_temperature_limit: Annotated[Figure, Wants("temperature", "degC", 550, 1050)] = Field(
        title="Turbine inlet temperature limit",
        description="Gas temperature before the turbine: clear below, beyond above, held for minutes.",
    )


class ChargeCooler(Model):
    """The charge cooler."""

    medium: Literal["air", "water"] = Field(
        title="Medium",
        description="What cools the charge: outside air, or water in a circuit of its own.",
        examples=["air"],
    )
    effectiveness: Annotated[Figure, Wants("ratio", "1", 0.3, 1)] = Field(
        title="Charge-cooler effectiveness",
        description="Temperature drop of the charge over the greatest possible drop.",
    )
    pressure_loss: Annotated[Figure, Wants("pressure", "kPa", 0.5, 50)] = Field(
        title="Charge-cooler pressure loss",
        description="Pressure lost by the charge through the cooler, at `pressure_loss_flow`.",
    )
    pressure_loss_flow: Annotated[Figure, Wants("mass flow", "kg/s", 0.05, 2)] = Field(
        title="Flow at the charge cooler's loss", description="Air flow at which the pressure loss was taken."
    )
    coolant_temperature: Annotated[Figure, Wants("temperature", "degC", -40, 110)] = Field(
        title="Charge-cooler coolant temperature",
        description="Temperature of what cools the charge, as it enters the cooler.",
    )


class Intake(Model):
    """From the air filter to the manifold."""

    filter_loss: Annotated[Figure, Wants("pressure", "kPa", 0.1, 10)] = Field(
        title="Filter loss", description="Pressure lost in a clean air filter, at `filter_flow`."
    )
    filter_flow: Annotated[Figure, Wants("mass flow", "kg/s", 0.05, 2)] = Field(
        title="Flow at the filter loss", description="Air flow at which the filter loss was taken."
    )
    duct_bore: Annotated[Figure, Wants("length", "mm", 40, 200)] = Field(
        title="Duct bore", description="Inner diameter of the duct from filter to compressor."
    )
    duct_length: Annotated[Figure, Wants("length", "mm", 100, 3000)] = Field(
        title="Duct length", description="Length of that duct along its middle."
    )
    duct_bends: Annotated[Figure, Wants("ratio", "1", 0, 10)] = Field(
        title="Duct bends", description="Number of bends of about a right angle in that duct."
    )
    horn_bore: Annotated[Figure, Wants("length", "mm", 30, 200)] = Field(
        title="Horn bore", description="Inner diameter of the intake horn between cooler pipe and manifold."
    )
    horn_length: Annotated[Figure, Wants("length", "mm", 50, 1500)] = Field(
        title="Horn length", description="Length of the horn along its middle."
    )
    horn_bends: Annotated[Figure, Wants("ratio", "1", 0, 10)] = Field(
        title="Horn bends", description="Number of bends of about a right angle in the horn."
    )


class Exhaust(Model):
    """From the turbine outlet to the tailpipe."""

    downpipe_bore: Annotated[Figure, Wants("length", "mm", 40, 200)] = Field(
        title="Downpipe bore", description="Inner diameter of the pipe from turbine to first brick."
    )
    downpipe_length: Annotated[Figure, Wants("length", "mm", 100, 3000)] = Field(
        title="Downpipe length", description="Length of the downpipe along its middle."
    )
    downpipe_bends: Annotated[Figure, Wants("ratio", "1", 0, 10)] = Field(
        title="Downpipe bends", description="Number of bends of about a right angle in the downpipe."
    )
    catalyst_diameter: Annotated[Figure, Wants("length", "mm", 80, 400)] = Field(
        title="Catalyst diameter", description="Diameter of the catalyst brick."
    )
    catalyst_length: Annotated[Figure, Wants("length", "mm", 30, 400)] = Field(
        title="Catalyst length", description="Length of the catalyst brick."
    )
    catalyst_cell_density: Annotated[Figure, Wants("cell density", "1/in2", 50, 1200)] = Field(
        title="Catalyst cell density", description="Cells for each unit of frontal area."
    )
    catalyst_wall: Annotated[Figure, Wants("length", "thou", 1, 20)] = Field(
        title="Catalyst wall", description="Thickness of a cell wall, coating included."
    )
    filter_loss: Annotated[Figure, Wants("pressure", "kPa", 0.2, 40)] = Field(
        title="Particulate-filter loss",
        description="Pressure lost in the particulate filter, at `filter_flow` and `filter_temperature`.",
    )
    filter_flow: Annotated[Figure, Wants("mass flow", "kg/s", 0.02, 2)] = Field(
        title="Flow at the particulate filter's loss", description="Exhaust flow at which the filter loss was taken."
    )
    filter_temperature: Annotated[Figure, Wants("temperature", "degC", -20, 800)] = Field(
        title="Temperature at the particulate filter's loss",
        description="Gas temperature at which the filter loss was taken.",
    )
    filter_viscous_share: Annotated[Figure, Wants("ratio", "1", 0, 1)] = Field(
        title="Viscous share of the particulate filter's loss",
        description="Share of the filter loss that grows with viscosity and flow; the rest grows with flow squared.",
    )
    pipe_bore: Annotated[Figure, Wants("length", "in", 2, 8)] = Field(
        title="Pipe bore", description="Inner diameter of the pipe behind the emission hardware."
    )
    pipe_length: Annotated[Figure, Wants("length", "m", 0.5, 10)] = Field(
        title="Pipe length", description="Length of that pipe along its middle."
    )
    pipe_bends: Annotated[Figure, Wants("ratio", "1", 0, 15)] = Field(
        title="Pipe bends", description="Number of bends of about a right angle in that pipe."
    )
    silencer_loss_factor: Annotated[Figure, Wants("ratio", "1", 0, 20)] = Field(
        title="Silencer loss factor", description="Pressure lost in the silencer over the dynamic pressure in the pipe."
    )


class FuelSystem(Model):
    """From the tank to the nozzle."""

    injector_holes: Annotated[Figure, Wants("ratio", "1", 3, 16)] = Field(
        title="Injector holes", description="Number of holes in a nozzle."
    )
    hole_diameter: Annotated[Figure, Wants("length", "um", 60, 400)] = Field(
        title="Hole diameter", description="Diameter of a nozzle hole."
    )
    discharge_coefficient: Annotated[Figure, Wants("ratio", "1", 0.5, 0.95)] = Field(
        title="Discharge coefficient", description="Flow through a nozzle hole over the ideal flow."
    )
    rail_pressure: Annotated[Figure, Wants("pressure", "bar", 300, 3000)] = Field(
        title="Rail pressure", description="Pressure in the rail at full load, gauge."
    )
    injection_window: Annotated[Figure, Wants("angle", "deg", 10, 60)] = Field(
        title="Injection window",
        description="Crank angle in which the fuel can still burn in time at rated speed: clear below, beyond above.",
    )
    pump_displacement: Annotated[Figure, Wants("displacement per revolution", "cm3/rev", 0.2, 6)] = Field(
        title="High-pressure pump displacement", description="Volume delivered in a turn of the pump."
    )
    pump_drive_ratio: Annotated[Figure, Wants("ratio", "1", 0.3, 2.5)] = Field(
        title="Pump drive ratio", description="Turns of the high-pressure pump for each turn of the crankshaft."
    )
    pump_efficiency: Annotated[Figure, Wants("ratio", "1", 0.4, 1)] = Field(
        title="Pump volumetric efficiency", description="Volume delivered over displacement at full load, fuel warm."
    )
    return_share: Annotated[Figure, Wants("ratio", "1", 0, 1)] = Field(
        title="Return share", description="Fuel returned from injectors and rail, over the fuel injected."
    )
    lift_pump_flow: Annotated[Figure, Wants("volume flow", "L/h", 40, 1200)] = Field(
        title="Lift-pump flow", description="Flow of the lift pump at its working pressure."
    )
    lift_pump_pressure: Annotated[Figure, Wants("pressure", "bar", 0.2, 10)] = Field(
        title="Lift-pump pressure", description="Gauge pressure at the lift pump's outlet at that flow."
    )
    inlet_pressure_needed: Annotated[Figure, Wants("pressure", "bar", 0, 8)] = Field(
        title="Inlet pressure needed", description="Least gauge pressure at the inlet of the high-pressure pump."
    )
    line_bore: Annotated[Figure, Wants("length", "mm", 4, 30)] = Field(
        title="Line bore", description="Inner diameter of the feed line."
    )
    line_length: Annotated[Figure, Wants("length", "m", 0.5, 12)] = Field(
        title="Line length", description="Length of the feed line, tank to pump."
    )
    fuel_density: Annotated[Figure, Wants("density", "kg/m3", 760, 900)] = Field(
        title="Fuel density", description="Density of the fuel at 15 °C."
    )


class Converter(Model):
    """The torque converter."""

    stall_torque_ratio: Annotated[Figure, Wants("ratio", "1", 1, 3.5)] = Field(
        title="Stall torque ratio", description="Output over input torque with the output held still."
    )
    stall_speed: Annotated[Figure, Wants("rotational speed", "r/min", 800, 4000)] = Field(
        title="Stall speed", description="Engine speed at full load with the output held still."
    )


class Transmission(Model):
    """The transmission and its weakest clutch."""

    type: Literal["automatic", "manual"] = Field(title="Type", description="How it shifts.", examples=["automatic"])
    gear_ratios: Annotated[
        tuple[Annotated[Figure, Wants("ratio", "1", 0.3, 20)], ...], Field(strict=False), NotEmpty
    ] = Field(title="Gear ratios", description="Turns of the input for each turn of the output, first gear first.")
    input_torque_limit: Annotated[Figure, Wants("torque", "N.m", 200, 4000)] = Field(
        title="Input torque limit", description="Torque at the input shaft: clear below, beyond above."
    )
    friction_faces: Annotated[Figure, Wants("ratio", "1", 2, 40)] = Field(
        title="Friction faces",
        description="Number of faces in contact in the weakest clutch, two for each friction plate.",
    )
    clutch_outer_radius: Annotated[Figure, Wants("length", "mm", 30, 250)] = Field(
        title="Clutch outer radius", description="Outer radius of the friction ring."
    )
    clutch_inner_radius: Annotated[Figure, Wants("length", "mm", 20, 240)] = Field(
        title="Clutch inner radius", description="Inner radius of the friction ring."
    )
    friction_coefficient: Annotated[Figure, Wants("ratio", "1", 0.04, 0.25)] = Field(
        title="Friction coefficient", description="Facing in fluid, in motion."
    )
    piston_area: Annotated[Figure, Wants("area", "cm2", 10, 600)] = Field(
        title="Piston area", description="Area of the clutch's apply piston."
    )
    spring_force: Annotated[Figure, Wants("force", "N", 0, 10000)] = Field(
        title="Return-spring force", description="Force of the return springs with the clutch applied."
    )
    line_pressure: Annotated[Figure, Wants("pressure", "MPa", 0.2, 3)] = Field(
        title="Line pressure", description="Gauge pressure behind the piston at full load."
    )
    clutch_share: Annotated[Figure, Wants("ratio", "1", 0.1, 3)] = Field(
        title="Clutch torque share", description="Torque in the weakest clutch over torque at the input shaft."
    )
    fluid_temperature_limit: Annotated[Figure, Wants("temperature", "degC", 70, 170)] = Field(
        title="Fluid temperature limit", description="Fluid in the pan: clear below, beyond above."
    )
    converter: Converter | None = Field(
        None, title="Torque converter", description="Left out when there is a clutch pedal."
    )


class Driveline(Model):
    """From the transmission to the road."""

    efficiency: Annotated[Figure, Wants("ratio", "1", 0.6, 1)] = Field(
        title="Driveline efficiency",
        description="Power at the wheels over power at the crankshaft, at full power on rollers.",
    )
    axle_ratio: Annotated[Figure, Wants("ratio", "1", 2, 8)] = Field(
        title="Axle ratio", description="Turns of the driveshaft for each turn of the wheels."
    )
    tyre_radius: Annotated[Figure, Wants("length", "mm", 250, 600)] = Field(
        title="Rolling radius", description="Rolling radius of a driven tyre."
    )
    driveshaft_torque_limit: Annotated[Figure, Wants("torque", "N.m", 1000, 60000)] = Field(
        title="Driveshaft torque limit", description="Torque in the driveshaft: clear below, beyond above."
    )


class Fasteners(Model):
    """What holds the cylinder head down."""

    property_class: Literal["8.8", "10.9", "12.9"] = Field(
        title="Property class", description="Strength class of the fastener, in quotes.", examples=["10.9"]
    )
    bolts_per_cylinder: Annotated[Figure, Wants("ratio", "1", 2, 10)] = Field(
        title="Bolts for each cylinder", description="Head fasteners whose force one cylinder can count on."
    )
    diameter: Annotated[Figure, Wants("length", "mm", 6, 30)] = Field(
        title="Thread diameter", description="Nominal diameter of the thread."
    )
    pitch: Annotated[Figure, Wants("length", "mm", 0.75, 4)] = Field(
        title="Thread pitch", description="Distance from thread to thread."
    )
    tightening_torque: Annotated[Figure, Wants("torque", "N.m", 20, 800)] = Field(
        title="Tightening torque", description="Torque to which a fastener is tightened."
    )
    nut_factor: Annotated[Figure, Wants("ratio", "1", 0.08, 0.35)] = Field(
        title="Nut factor", description="Torque over diameter times force, for this thread and lubricant."
    )
    stiffness_share: Annotated[Figure, Wants("ratio", "1", 0.05, 0.8)] = Field(
        title="Stiffness share",
        description="Share of the gas force that loads the bolts rather than relieving the gasket.",
    )
    sealing_diameter: Annotated[Figure, Wants("length", "mm", 60, 220)] = Field(
        title="Sealing diameter", description="Diameter of the ring on which the gasket seals the gas."
    )


class Vehicle(Model):
    """The vehicle on the road."""

    mass: Annotated[Figure, Wants("mass", "lb", 2000, 20000)] = Field(
        title="Mass ready to drive", description="Mass ready to drive, with driver."
    )
    drag_area: Annotated[Figure, Wants("area", "m2", 0.4, 12)] = Field(
        title="Drag area", description="Drag coefficient times frontal area, without a trailer."
    )
    rolling_coefficient: Annotated[Figure, Wants("ratio", "1", 0.004, 0.03)] = Field(
        title="Rolling coefficient", description="Rolling resistance over weight."
    )
    coolant_heat_share: Annotated[Figure, Wants("ratio", "1", 0.05, 0.5)] = Field(
        title="Coolant heat share", description="Share of the fuel's energy that the coolant carries away at full load."
    )


# What the planner holds an operating point against; `converter` only where there is one.
LIMITS = (
    "calibration",
    "charge-cooler",
    "converter",
    "coolant",
    "drive-pressure",
    "driveshaft",
    "exhaust-temperature",
    "head-clamping",
    "high-pressure-pump",
    "injectors",
    "lift-pump",
    "smoke",
    "transmission",
    "transmission-heat",
    "turbocharger",
)


class Limit(Model):
    """One thing that can give out first, placed along the power at the wheels."""

    title: Text = Field(
        title="Title", description="What gives out, in a few words.", examples=["Transmission clutches"]
    )
    part: Literal[
        "engine",
        "turbocharger",
        "charge-cooler",
        "intake",
        "exhaust",
        "fuel-system",
        "transmission",
        "converter",
        "driveline",
        "fasteners",
        "cooling",
        "calibration",
    ] = Field(title="Part", description="The part of the platform that it belongs to.", examples=["transmission"])
    wheel_power: Annotated[Figure, Wants("power", "hp", 40, 2000)] = Field(
        title="Observed limit",
        description="Power at the wheels below which the part is clear and above which it is beyond: `low` and `high`.",
        json_schema_extra={"range": True},
    )
    first_sign: Text = Field(
        title="First sign",
        description="What a driver or a mechanic notices first.",
        examples=["A flare between gears."],
    )
    why: Text = Field(
        title="Why",
        description="One sentence on the mechanism.",
        examples=["Torque passes what the clutches can hold."],
    )
    cautions: Annotated[tuple[CautionId, ...], Field(strict=False)] = Field(
        (), title="Cautions", description="The ids of the cautions that belong to it.", examples=[["lifting"]]
    )


class Parts(Model):
    """What a platform is made of."""

    title: Text = Field(title="Title", description="What people call it.", examples=["Example Six"])
    summary: Text = Field(
        title="Summary", description="One or two sentences: what it is for, and whether it exists.",
        examples=["An inline six for towing. Invented for the demo."],
    )  # fmt: skip
    layout: Literal["inline", "vee", "flat"] = Field(
        title="Layout", description="How the cylinders stand.", examples=["inline"]
    )
    ratings: Ratings = Field(title="Ratings", description="What the vehicle is sold as.")
    engine: Engine = Field(title="Engine", description="The engine itself.")
    turbocharger: Turbocharger = Field(title="Turbocharger", description="The turbocharger and what it stands.")
    charge_cooler: ChargeCooler = Field(title="Charge cooler", description="The charge cooler.")
    intake: Intake = Field(title="Intake", description="From the air filter to the manifold.")
    exhaust: Exhaust = Field(title="Exhaust", description="From the turbine outlet to the tailpipe.")
    fuel_system: FuelSystem = Field(title="Fuel system", description="From the tank to the nozzle.")
    transmission: Transmission = Field(title="Transmission", description="The transmission and its weakest clutch.")
    driveline: Driveline = Field(title="Driveline", description="From the transmission to the road.")
    fasteners: Fasteners = Field(title="Head fasteners", description="What holds the cylinder head down.")
    vehicle: Vehicle = Field(title="Vehicle", description="The vehicle on the road.")
    limits: Annotated[dict[Slug, Limit], NotEmpty] = Field(
        title="Limits",
        description="Everything that can give out first, each under its name; `converter` only where there is one.",
        json_schema_extra={"names": list(LIMITS)},
    )


if TYPE_CHECKING:
    Differs = Model
else:
    Differs = partly(Parts, without=frozenset({"title", "summary", "layout"}))


class Variant(Model):
    """A form of the platform: other model years, another axle, another transmission."""

    title: Text = Field(title="Title", description="What tells it apart, in a few words.", examples=["Tall axle"])
    years: Text | None = Field(
        None, title="Years", description="The model years of this form, as a person says it.", examples=["first three"]
    )
    differs: Differs = Field(
        title="Differs", description="Only what differs from the platform: sections and figures as there."
    )
    note: Text | None = Field(
        None, title="Note", description="What it means in practice.", examples=["Slower away from rest."]
    )


class Platform(Parts, Record):
    """An engine in a vehicle, in its standard form."""

    folder: ClassVar[str] = "platforms"
    purpose: ClassVar[str] = "A platform: an engine with its vehicle, in standard form, and what gives out first."

    variants: dict[Slug, Variant] = Field(
        {}, title="Variants", description="Other forms, each under a short name of its own: what differs, and no more.",
        examples=[{"tall-axle": {"title": "Tall axle", "differs": {"driveline": {"axle_ratio": {
            "value": 3.3, "unit": "1", "grade": "invented", "reviewed": "2026-11-24",
        }}}}}],
    )  # fmt: skip

    def varied(self, variant: str) -> Platform:
        """The platform in one of its other forms, under the same id. KeyError when it has no such form."""
        changed = _over(self, self.variants[variant].differs)
        changed.at(self._origin)
        return changed


def _over[T: BaseModel](whole: T, differs: BaseModel) -> T:
    """`whole` with what `differs` says otherwise."""
    update = {name: _other(getattr(whole, name), value) for name, value in differs if value is not None}
    return whole.model_copy(update=update)


def _other(whole: Any, value: Any) -> Any:
    if isinstance(value, Figure) or not isinstance(value, BaseModel | dict):
        return value
    if isinstance(value, dict):
        return {**whole, **{key: _other(whole[key], inner) for key, inner in value.items()}}
    return _over(whole, value)
