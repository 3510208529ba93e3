"""Inputs that the calculators of the whole engine share: what a vehicle is made of, as a form asks for it.

Each alias is an annotated input; `Parts` holds one value of each and turns them into a `calc.engine.Setting`. What a
form does not ask for is fixed here, and graded as invented.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated

from calc.atmosphere import standard_air
from calc.constants import Constant
from calc.contract import Impossible, Quantity
from calc.engine import Ambient, ChargeCooler, Closure, Engine, Exhaust, Intake, Limits, Setting, Turbocharger
from calc.exhaust import Brick, MeasuredElement, Pipe, Silencer
from calc.flow import bend_loss, medium_from_point
from calc.provenance import Grade
from calc.units import INCH


def _fixed(value: float, name: str, unit: str) -> Constant:
    return Constant(value, name, unit, None, grade=Grade.INVENTED, note="Fixed in this calculator.")


BEND_LOSS = _fixed(bend_loss(90.0, 1.5, 0.017), "loss coefficient of a right-angle bend, r/D 1.5", "1")
TIGHT_BEND_LOSS = _fixed(bend_loss(90.0, 1.0, 0.017), "loss coefficient of a downpipe's right-angle bend, r/D 1", "1")
CATALYST_DIAMETER = _fixed(0.24, "diameter of the catalyst brick", "m")
CATALYST_LENGTH = _fixed(0.11, "length of the catalyst brick", "m")
CATALYST_CELLS = _fixed(300 / INCH**2, "cell density of the catalyst brick", "1/m2")
CATALYST_WALL = _fixed(0.152e-3, "wall thickness of the catalyst brick", "m")
LOSS_FLOW = _fixed(0.4, "air flow at which the losses of air filter and charge cooler are given", "kg/s")
COOLER_DENSITY = _fixed(3.0, "density of the charge at which the loss of the cooler is given", "kg/m3")
FILTER_LINEAR_SHARE = _fixed(0.4, "share of the air filter's loss that goes with flow", "1")
BRICK_FLOW = _fixed(0.42, "exhaust gas flow at which the particulate filter's loss is given", "kg/s")
BRICK_TEMPERATURE = _fixed(648.15, "gas temperature at which the particulate filter's loss is given", "K")
BRICK_VISCOUS_SHARE = _fixed(0.6, "share of the particulate filter's loss that goes with flow", "1")
DUCT_LENGTH = _fixed(0.9, "length of the duct from air filter to compressor", "m")
HORN_LENGTH = _fixed(0.45, "length of the intake horn", "m")
INTAKE_BENDS = _fixed(2.0, "right-angle bends in the duct and in the horn", "1")
FIXED = (
    *(
        BEND_LOSS,
        TIGHT_BEND_LOSS,
        CATALYST_DIAMETER,
        CATALYST_LENGTH,
        CATALYST_CELLS,
        CATALYST_WALL,
        LOSS_FLOW,
        COOLER_DENSITY,
    ),
    *(FILTER_LINEAR_SHARE, BRICK_FLOW, BRICK_TEMPERATURE, BRICK_VISCOUS_SHARE, DUCT_LENGTH, HORN_LENGTH, INTAKE_BENDS),
)


def quantity(
    unit: str,
    low: float,
    high: float,
    name: str,
    meaning: str,
    *,
    us: str = "",
    si: str = "",
    symbol: str = "",
    grade: Grade = Grade.INVENTED,
    whole: bool = False,
) -> Quantity:
    """An input of a balance. Everything acts on everything there, so ranges are sampled inside."""
    return Quantity(
        unit=unit,
        us=us,
        si=si,
        low=low,
        high=high,
        name=name,
        meaning=meaning,
        symbol=symbol,
        grade=grade,
        whole=whole,
        monotone=False,
    )


def percent(low: float, high: float, name: str, meaning: str, *, symbol: str = "") -> Quantity:
    """A share between `low` and `high`, shown in per cent."""
    return quantity("1", low, high, name, meaning, us="%", si="%", symbol=symbol)


def temperature(low: float, high: float, name: str, meaning: str, *, symbol: str = "") -> Quantity:
    """A temperature in K."""
    return quantity("K", low, high, name, meaning, us="degF", si="degC", symbol=symbol)


def bore(name: str, meaning: str, low: float = 0.045, high: float = 0.2) -> Quantity:
    """An inside diameter in m."""
    return quantity("m", low, high, name, meaning, us="in", si="mm")


def area(name: str, meaning: str, *, symbol: str = "") -> Quantity:
    """An effective flow area of a turbine in m2."""
    return quantity("m2", 1e-4, 60e-4, name, meaning, us="in2", si="cm2", symbol=symbol)


_FITTED = "It stays fitted and working."
BRICK_LOSS = quantity(
    *("Pa", 500.0, 40e3, "Particulate filter, loss"),
    f"Pressure difference at 0.42 kg/s (56 lb/min) of gas of 375 °C (707 °F). {_FITTED}",
    us="inHg",
    si="kPa",
)
DOWNPIPE_BORE = bore("Downpipe bore", "From the turbine to the emission hardware.")
PIPE_BORE = bore("Pipe bore behind the hardware", "From the emission hardware to the tailpipe.")
HORN_BORE = bore("Intake horn bore", "From the charge cooler's pipe to the intake manifold.")
DUCT_BORE = bore("Intake duct bore", "From the air filter to the compressor.")
AIR_FILTER_LOSS = quantity(
    *("Pa", 0.0, 12e3, "Air filter, loss", "As it is loaded, at an air flow of 0.40 kg/s (53 lb/min)."),
    us="inH2O",
    si="kPa",
)
EFFECTIVENESS = percent(
    *(0.0, 1.0, "Charge cooler effectiveness", "How much of the possible cooling it does, at speed on the road."),
    symbol=r"\varepsilon",
)

Speed = Annotated[float, quantity("r/min", 600, 5000, "Engine speed", "Of the crankshaft.", symbol="n")]
Lambda = Annotated[float, quantity("1", 1.0, 4.0, "Lambda", "Air over the air that the fuel needs.", symbol=r"\lambda")]
Displacement = Annotated[
    float, quantity("m3", 2e-3, 16e-3, "Displacement", "Of all cylinders.", us="L", si="L", symbol="V_d")
]
Cylinders = Annotated[float, quantity("1", 3, 12, "Cylinders", "Number of cylinders.", whole=True)]
VolumetricEfficiency = Annotated[
    float,
    percent(
        *(0.5, 1.1, "Volumetric efficiency", "Air drawn over what the displacement holds at manifold density."),
        symbol=r"\eta_v",
    ),
]
IndicatedEfficiency = Annotated[
    float,
    percent(
        *(0.3, 0.52, "Indicated efficiency", "Work of the closed cycle over the fuel's heat, before gas exchange."),
        symbol=r"\eta_i",
    ),
]
HeatLossFraction = Annotated[
    float,
    percent(
        *(0.05, 0.35, "Heat to walls, coolant and oil", "Share of the fuel's heat lost before the exhaust port."),
        symbol="q",
    ),
]
Fmep = Annotated[
    float,
    quantity(
        *("Pa", 0.3e5, 5e5, "Friction", "Mean effective pressure of friction with the driven auxiliaries."),
        us="psi",
        si="bar",
        symbol=r"\mathrm{FMEP}",
    ),
]
CompressorEfficiency = Annotated[
    float,
    percent(
        *(0.45, 0.88, "Compressor efficiency", "Isentropic, at its best; near the edge of the map it falls by itself."),
        symbol=r"\eta_c",
    ),
]
TurbineEfficiency = Annotated[
    float,
    percent(
        *(0.35, 0.88, "Turbine efficiency, bearings included", "Total to static, times that of the bearings."),
        symbol=r"\eta_t\,\eta_m",
    ),
]
Bypass = Annotated[
    float,
    percent(0.0, 0.5, "Share led past the turbine", "Through an open wastegate; 0 with variable geometry.", symbol="x"),
]
FlowLimit = Annotated[
    float,
    quantity(
        *("kg/s", 0.15, 1.5, "Flow limit of the compressor"),
        "Right edge of its map, corrected to 298 K and 100 kPa. Efficiency falls on the way there.",
        us="lb/min",
    ),
]
Effectiveness = Annotated[float, EFFECTIVENESS]
CoolantTemperature = Annotated[
    float, temperature(253.15, 363.15, "Air or water at the charge cooler", "Temperature of what cools the charge.")
]
CoolerLoss = Annotated[
    float,
    quantity(
        *("Pa", 0.0, 40e3, "Charge cooler, loss", "At an air flow of 0.40 kg/s (53 lb/min) and normal charge density."),
        us="psi",
        si="kPa",
    ),
]
AirFilterLoss = Annotated[float, AIR_FILTER_LOSS]
DuctBore = Annotated[float, DUCT_BORE]
HornBore = Annotated[float, HORN_BORE]
DownpipeBore = Annotated[float, DOWNPIPE_BORE]
DownpipeLength = Annotated[float, quantity("m", 0.0, 4.0, "Downpipe length", "Along the centre line.", us="ft", si="m")]
DownpipeBends = Annotated[float, quantity("1", 0, 6, "Downpipe bends", "Number of right-angle bends.", whole=True)]
BrickLoss = Annotated[float, BRICK_LOSS]
PipeBore = Annotated[float, PIPE_BORE]
PipeLength = Annotated[
    float, quantity("m", 0.0, 10.0, "Length of that pipe", "Along the centre line.", us="ft", si="m")
]
PipeBends = Annotated[float, quantity("1", 0, 12, "Bends of that pipe", "Number of right-angle bends.", whole=True)]
SilencerK = Annotated[
    float,
    quantity(
        *("1", 0.0, 20.0, "Loss coefficient of the silencer"),
        "On the pipe's bore; without a measurement it is a guess.",
        symbol="K",
    ),
]
Height = Annotated[
    float, quantity("m", -200.0, 4500.0, "Height above the sea", "It sets the pressure of the air.", us="ft", si="m")
]
AmbientTemperature = Annotated[
    float, temperature(243.15, 323.15, "Air outside", "Temperature of the day.", symbol=r"T_{\mathrm{amb}}")
]
DrivelineEfficiency = Annotated[
    float, percent(0.6, 1.0, "Driveline efficiency", "Power at the wheels over power at the crank.")
]


@dataclass(frozen=True, kw_only=True)
class Parts:
    """One value of every shared input, by its name in the forms; coherent SI, speed in r/min."""

    displacement: float
    cylinders: float
    volumetric_efficiency: float
    indicated_efficiency: float
    heat_loss_fraction: float
    fmep: float
    compressor_efficiency: float
    turbine_times_mechanical_efficiency: float
    bypass_fraction: float
    corrected_flow_limit: float
    charge_cooler_effectiveness: float
    coolant_temperature: float
    charge_cooler_loss: float
    air_filter_loss: float
    duct_bore: float
    horn_bore: float
    downpipe_bore: float
    downpipe_length: float
    downpipe_bends: float
    filter_loss: float
    pipe_bore: float
    pipe_length: float
    pipe_bends: float
    silencer_k: float
    height: float
    ambient_temperature: float
    driveline_efficiency: float

    def setting(
        self,
        *,
        lam: float,
        effective_area: float | None = None,
        smallest_area: float | None = None,
        largest_area: float | None = None,
        limits: Limits | None = None,
    ) -> Setting:
        """The setting of the balance. With an `effective_area` (m2) the turbine is as it is, else the boost is held."""
        linear, quadratic = medium_from_point(self.air_filter_loss, LOSS_FLOW, FILTER_LINEAR_SHARE)
        bends = INTAKE_BENDS * BEND_LOSS
        return Setting(
            engine=Engine(
                displacement=self.displacement,
                cylinders=round(self.cylinders),
                indicated_efficiency=self.indicated_efficiency,
                heat_fraction=self.heat_loss_fraction,
                volumetric_efficiency=self.volumetric_efficiency,
                friction=self.fmep,
            ),
            turbocharger=Turbocharger(
                compressor_efficiency=self.compressor_efficiency,
                turbine_efficiency=self.turbine_times_mechanical_efficiency,
                effective_area=effective_area,
                smallest_area=smallest_area,
                largest_area=largest_area,
                bypass=self.bypass_fraction,
                flow_limit=self.corrected_flow_limit,
            ),
            charge_cooler=ChargeCooler(
                effectiveness=self.charge_cooler_effectiveness,
                coolant_rise=self.coolant_temperature - self.ambient_temperature,
                pressure_loss=self.charge_cooler_loss,
                mass_flow=LOSS_FLOW,
                density=COOLER_DENSITY,
            ),
            intake=Intake(
                filter_linear=linear,
                filter_quadratic=quadratic,
                before=(Pipe("intake duct", self.duct_bore, DUCT_LENGTH, loss_coefficient=bends),),
                after=(Pipe("intake horn", self.horn_bore, HORN_LENGTH, loss_coefficient=bends),),
            ),
            exhaust=self._exhaust(),
            ambient=Ambient(pressure=standard_air(self.height).pressure, temperature=self.ambient_temperature),
            closure=Closure.BOOST_HELD if effective_area is None else Closure.TURBINE_AS_IT_IS,
            excess_air_ratio=lam,
            driveline_loss=1.0 - self.driveline_efficiency,
            limits=limits or Limits(),
        )

    def _exhaust(self) -> Exhaust:
        downpipe = self.downpipe_bends * TIGHT_BEND_LOSS
        pipe = self.pipe_bends * BEND_LOSS
        return Exhaust(
            elements=(
                Pipe("downpipe", self.downpipe_bore, self.downpipe_length, loss_coefficient=downpipe),
                Brick("catalyst brick", CATALYST_DIAMETER, CATALYST_LENGTH, CATALYST_CELLS, CATALYST_WALL),
                MeasuredElement(
                    *("particulate filter", self.filter_loss, BRICK_FLOW, BRICK_TEMPERATURE, 101325.0),
                    viscous_share=BRICK_VISCOUS_SHARE,
                ),
                Silencer("silencer", self.pipe_bore, self.silencer_k),
                Pipe("pipe behind the hardware", self.pipe_bore, self.pipe_length, loss_coefficient=pipe),
            )
        )


_FORM_NAMES = {
    "friction": "fmep",
    "heat_fraction": "heat_loss_fraction",
    "turbine_efficiency": "turbine_times_mechanical_efficiency",
    "mechanical_efficiency": "turbine_times_mechanical_efficiency",
    "bypass": "bypass_fraction",
    "flow_limit": "corrected_flow_limit",
    "effectiveness": "charge_cooler_effectiveness",
    "filter_quadratic": "air_filter_loss",
    "excess_air_ratio": "lam",
    "temperature": "ambient_temperature",
    "bore": "pipe_bore",
}


def named_as_in_the_form(problem: Impossible, known: frozenset[str], otherwise: str) -> Impossible:
    """The same refusal with the names of the form's inputs; `otherwise` where the balance names none of them."""
    names = tuple(name for name in (_FORM_NAMES.get(given, given) for given in problem.inputs) if name in known)
    return Impossible(str(problem), names or (otherwise,))


PART_NAMES = frozenset(field.name for field in fields(Parts))
