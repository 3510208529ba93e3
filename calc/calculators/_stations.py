"""The stations along the gas path of one operating point: pressure, temperature and flow from air filter to tailpipe.

Calculators of the balance give them as one `Part` of their result, for the picture of the path and the table behind it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.balance import OperatingPoint
from calc.calculators._vehicle import Parts
from calc.contract import Output

_EXHAUST = ("downpipe", "catalyst brick", "particulate filter", "silencer", "pipe behind the hardware")


def _absolute(place: str) -> Output:
    return Output(
        unit="Pa",
        us="psi",
        si="kPa",
        name=f"Absolute pressure {place}",
        meaning="Static, counted from vacuum.",
        along="pressure",
    )


def _gauge(place: str) -> Output:
    return Output(
        unit="Pa", us="psi", si="kPa", name=f"Gauge pressure {place}", meaning="Static, above the air outside."
    )


def _temperature(place: str) -> Output:
    meaning = "Mean over the section."
    return Output(unit="K", us="degF", si="degC", name=f"Temperature {place}", meaning=meaning, along="temperature")


def _flow(what: str, meaning: str, us: str = "lb/min", si: str = "") -> Output:
    return Output(unit="kg/s", us=us, si=si, name=what, meaning=meaning)


def _bore(what: str) -> Output:
    return Output(unit="m", us="in", si="mm", name=f"Bore of the {what}", meaning="As it was given.", along="bore")


@dataclass(frozen=True)
class GasPath:
    """Stations in the direction of flow: pressures in Pa, temperatures in K, flows in kg/s, bores in m.

    Gauge pressures count from the air outside. The gas is as hot behind the catalyst as behind the turbine, because the
    model loses no heat on the way.
    """

    air_flow: Annotated[float, _flow("Air flow", "The same at every station before the cylinders.")]
    fuel_flow: Annotated[float, _flow("Fuel flow", "Injected into the cylinders.", "lb/h", "kg/h")]
    exhaust_flow: Annotated[float, _flow("Exhaust gas flow", "The same at every station behind the cylinders.")]
    excess_air_ratio: Annotated[
        float, Output(unit="1", name="Lambda in the cylinders", meaning="Air over the air that the fuel needs.")
    ]
    outside_pressure: Annotated[float, _absolute("outside")]
    outside_gauge: Annotated[float, _gauge("outside")]
    outside_temperature: Annotated[float, _temperature("outside")]
    air_filter_pressure: Annotated[float, _absolute("behind the air filter")]
    air_filter_gauge: Annotated[float, _gauge("behind the air filter")]
    compressor_inlet_pressure: Annotated[float, _absolute("at the compressor inlet")]
    compressor_inlet_gauge: Annotated[float, _gauge("at the compressor inlet")]
    inlet_temperature: Annotated[float, _temperature("from the air filter to the compressor inlet")]
    compressor_outlet_pressure: Annotated[float, _absolute("at the compressor outlet")]
    compressor_outlet_gauge: Annotated[float, _gauge("at the compressor outlet")]
    compressor_outlet_temperature: Annotated[float, _temperature("at the compressor outlet")]
    charge_cooler_pressure: Annotated[float, _absolute("behind the charge cooler")]
    charge_cooler_gauge: Annotated[float, _gauge("behind the charge cooler")]
    manifold_pressure: Annotated[float, _absolute("in the intake manifold")]
    manifold_gauge: Annotated[float, _gauge("in the intake manifold")]
    charge_temperature: Annotated[float, _temperature("from the charge cooler to the intake manifold")]
    turbine_inlet_pressure: Annotated[float, _absolute("in the exhaust manifold")]
    turbine_inlet_gauge: Annotated[float, _gauge("in the exhaust manifold")]
    turbine_inlet_temperature: Annotated[float, _temperature("in the exhaust manifold")]
    turbine_outlet_pressure: Annotated[float, _absolute("at the turbine outlet")]
    turbine_outlet_gauge: Annotated[float, _gauge("at the turbine outlet")]
    turbine_outlet_temperature: Annotated[float, _temperature("from the turbine outlet to the silencer")]
    downpipe_pressure: Annotated[float, _absolute("at the end of the downpipe")]
    downpipe_gauge: Annotated[float, _gauge("at the end of the downpipe")]
    catalyst_pressure: Annotated[float, _absolute("behind the catalyst")]
    catalyst_gauge: Annotated[float, _gauge("behind the catalyst")]
    particulate_filter_pressure: Annotated[float, _absolute("behind the particulate filter")]
    particulate_filter_gauge: Annotated[float, _gauge("behind the particulate filter")]
    silencer_pressure: Annotated[float, _absolute("behind the silencer")]
    silencer_gauge: Annotated[float, _gauge("behind the silencer")]
    tail_pressure: Annotated[float, _absolute("at the end of the tailpipe")]
    tail_gauge: Annotated[float, _gauge("at the end of the tailpipe")]
    tail_temperature: Annotated[float, _temperature("at the end of the tailpipe")]
    duct_bore: Annotated[float, _bore("intake duct")]
    horn_bore: Annotated[float, _bore("intake horn")]
    downpipe_bore: Annotated[float, _bore("downpipe")]
    pipe_bore: Annotated[float, _bore("pipe behind the hardware")]


def gas_path(point: OperatingPoint, parts: Parts) -> GasPath:
    """The stations of an operating point that was solved for these parts."""
    outside = point.ambient_pressure
    ends = {state.name: state.pressure_out for state in point.exhaust if not state.change_of_section}
    downpipe, catalyst, particulate_filter, silencer, tail = (ends[name] for name in _EXHAUST)
    behind_filter = outside - point.filter_loss
    behind_cooler = point.compressor_outlet_pressure - point.cooler_loss
    return GasPath(
        air_flow=point.air_flow,
        fuel_flow=point.fuel_flow,
        exhaust_flow=point.exhaust_flow,
        excess_air_ratio=point.excess_air_ratio,
        outside_pressure=outside,
        outside_gauge=0.0,
        outside_temperature=point.ambient_temperature,
        air_filter_pressure=behind_filter,
        air_filter_gauge=behind_filter - outside,
        compressor_inlet_pressure=point.compressor_inlet_pressure,
        compressor_inlet_gauge=point.compressor_inlet_pressure - outside,
        inlet_temperature=point.compressor_inlet_temperature,
        compressor_outlet_pressure=point.compressor_outlet_pressure,
        compressor_outlet_gauge=point.compressor_outlet_pressure - outside,
        compressor_outlet_temperature=point.compressor_outlet_temperature,
        charge_cooler_pressure=behind_cooler,
        charge_cooler_gauge=behind_cooler - outside,
        manifold_pressure=point.manifold_pressure,
        manifold_gauge=point.boost,
        charge_temperature=point.manifold_temperature,
        turbine_inlet_pressure=point.turbine_inlet_pressure,
        turbine_inlet_gauge=point.turbine_inlet_pressure - outside,
        turbine_inlet_temperature=point.turbine_inlet_temperature,
        turbine_outlet_pressure=point.turbine_outlet_pressure,
        turbine_outlet_gauge=point.back_pressure,
        turbine_outlet_temperature=point.turbine_outlet_temperature,
        downpipe_pressure=downpipe,
        downpipe_gauge=downpipe - outside,
        catalyst_pressure=catalyst,
        catalyst_gauge=catalyst - outside,
        particulate_filter_pressure=particulate_filter,
        particulate_filter_gauge=particulate_filter - outside,
        silencer_pressure=silencer,
        silencer_gauge=silencer - outside,
        tail_pressure=tail,
        tail_gauge=tail - outside,
        tail_temperature=point.tailpipe_temperature,
        duct_bore=parts.duct_bore,
        horn_bore=parts.horn_bore,
        downpipe_bore=parts.downpipe_bore,
        pipe_bore=parts.pipe_bore,
    )
