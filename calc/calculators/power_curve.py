"""Power and torque along engine speed: the most that every limit still allows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from calc.calculators import _vehicle as v
from calc.calculators.engine_balance import (
    BALANCE_FORMULAS,
    BALANCE_VALID,
    LAMBDA_LIMIT,
    LARGEST_AREA,
    LIMIT_NAMES,
    PRESSURE_RATIO_LIMIT,
    SMALLEST_AREA,
    TEMPERATURE_LIMIT,
    TORQUE_LIMIT,
    fast_gas,
    refusal,
)
from calc.constants import AFR_STOICHIOMETRIC, COMPRESSOR_P_REFERENCE, COMPRESSOR_T_REFERENCE, LHV_DIESEL
from calc.contract import Choice, Curve, Impossible, Output, calculator
from calc.engine import Closure, Limits, Setting
from calc.full_load import FullLoad, full_load
from calc.references import GRI_THERMO, VISCOUS_FLUID_FLOW
from calc.units import FOOT, INCH, INCH_OF_MERCURY, INCH_OF_WATER, POUND, POUND_FORCE, PSI

_ENDS = {
    "turbine": "the turbine finds no more power for the compressor",
    "compressor": "the compressor passes no more air",
    "air": "no air is left for more fuel",
    "bore": "a pipe or filter passes no more gas",
}


def _power(name: str, meaning: str) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning)


@dataclass(frozen=True)
class PowerCurve:
    """The full-load point at one engine speed; coherent SI."""

    wheel_power: Annotated[float, _power("Most power at the wheels", "What every limit together still allows.")]
    brake_torque: Annotated[
        float, Output(unit="N.m", us="lbf.ft", name="Torque at the crank", meaning="At that power.", symbol="T")
    ]
    limited_by: Annotated[
        str, Output(unit="text", name="Ended by", meaning="The limit that is met first at this engine speed.")
    ]
    brake_power: Annotated[float, _power("Power at the crank", "At that point.")]
    lam: Annotated[float, Output(unit="1", name="Lambda", meaning="At that point.", symbol=r"\lambda")]
    boost: Annotated[
        float, Output(unit="Pa", us="psi", si="kPa", name="Boost on a gauge", meaning="Above the air outside.")
    ]
    turbine_inlet_temperature: Annotated[
        float,
        Output(
            unit="K",
            us="degF",
            si="degC",
            name="Exhaust temperature before the turbine",
            meaning="At that point.",
            symbol="T_3",
        ),
    ]
    drive_to_boost: Annotated[
        float | None, Output(unit="1", name="Drive-to-boost ratio", meaning="Gauge over gauge; none without boost.")
    ]
    fuel_flow: Annotated[
        float, Output(unit="kg/s", us="lb/h", si="kg/h", name="Fuel flow", meaning="Injected, at that point.")
    ]
    corrected_flow: Annotated[
        float,
        Output(unit="kg/s", us="lb/min", name="Corrected compressor flow", meaning="Referred to 298 K and 100 kPa."),
    ]
    compressor_pressure_ratio: Annotated[
        float, Output(unit="1", name="Pressure ratio of the compressor", meaning="Absolute, flange to flange.")
    ]
    turbine_area: Annotated[
        float, Output(unit="m2", us="in2", si="cm2", name="Effective turbine area", meaning="At that point.")
    ]
    vanes_shut: Annotated[
        bool,
        Output(
            unit="bool",
            name="Vanes at their closed stop",
            meaning="If so, lambda is what the turbine gives, not what was asked for.",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Power and torque along engine speed",
    question="How much power do all limits together allow at each engine speed, and which one ends it?",
    formulas=BALANCE_FORMULAS,
    references=(GRI_THERMO, VISCOUS_FLUID_FLOW),
    constants=(LHV_DIESEL, AFR_STOICHIOMETRIC, COMPRESSOR_T_REFERENCE, COMPRESSOR_P_REFERENCE, *v.FIXED),
    valid=BALANCE_VALID
    + " Along the curve only speed changes: in an engine, friction, filling and the turbocharger's efficiencies "
    "change too, so its ends are rough.",
    cautions=("engine-overload", "hot-exhaust", "dynamometer"),
    related=("engine-balance", "wheel-power", "line-pressure"),
    curves=(
        Curve(
            title="Most power at the wheels along engine speed",
            vary="speed",
            outputs=("wheel_power",),
            span=(1200, 3300),
            points=7,
        ),
        Curve(
            title="Torque at the crank along engine speed",
            vary="speed",
            outputs=("brake_torque",),
            span=(1200, 3300),
            points=7,
        ),
    ),
)
def power_curve(
    speed: v.Speed = 2800.0,
    closure: Annotated[
        str,
        Choice(
            name="Turbine",
            meaning="How the turbine is made.",
            options={
                Closure.BOOST_HELD.value: "variable: vanes hold the boost between their stops",
                Closure.TURBINE_AS_IT_IS.value: "fixed: its area decides boost and lambda",
            },
        ),
    ] = Closure.BOOST_HELD.value,
    lam: v.Lambda = 1.45,
    smallest_area: Annotated[float | None, SMALLEST_AREA] = 1.3 * INCH**2,
    largest_area: Annotated[float | None, LARGEST_AREA] = 2.6 * INCH**2,
    effective_area: Annotated[
        float, v.area("Area of a fixed turbine", "Effective area; only where the turbine is fixed.", symbol="A")
    ] = 1.4 * INCH**2,
    lam_limit: Annotated[float, LAMBDA_LIMIT] = 1.2,
    turbine_inlet_temperature_limit: Annotated[float, TEMPERATURE_LIMIT] = (1400 + 459.67) / 1.8,
    corrected_flow_limit: v.FlowLimit = 74 * POUND / 60,
    pressure_ratio_limit: Annotated[float, PRESSURE_RATIO_LIMIT] = 4.3,
    torque_limit: Annotated[float | None, TORQUE_LIMIT] = 1120 * FOOT * POUND_FORCE,
    displacement: v.Displacement = 6.3e-3,
    volumetric_efficiency: v.VolumetricEfficiency = 0.92,
    indicated_efficiency: v.IndicatedEfficiency = 0.435,
    heat_loss_fraction: v.HeatLossFraction = 0.185,
    fmep: v.Fmep = 29 * PSI,
    compressor_efficiency: v.CompressorEfficiency = 0.74,
    turbine_times_mechanical_efficiency: v.TurbineEfficiency = 0.68,
    bypass_fraction: v.Bypass = 0.0,
    charge_cooler_effectiveness: v.Effectiveness = 0.82,
    coolant_temperature: v.CoolantTemperature = (95 + 459.67) / 1.8,
    charge_cooler_loss: v.CoolerLoss = 1.3 * PSI,
    air_filter_loss: v.AirFilterLoss = 6.5 * INCH_OF_WATER,
    duct_bore: v.DuctBore = 4.5 * INCH,
    horn_bore: v.HornBore = 2.75 * INCH,
    downpipe_bore: v.DownpipeBore = 3 * INCH,
    downpipe_length: v.DownpipeLength = 3 * FOOT,
    downpipe_bends: v.DownpipeBends = 3.0,
    filter_loss: v.BrickLoss = 2.4 * INCH_OF_MERCURY,
    pipe_bore: v.PipeBore = 4 * INCH,
    pipe_length: v.PipeLength = 12 * FOOT,
    pipe_bends: v.PipeBends = 4.0,
    silencer_k: v.SilencerK = 1.0,
    height: v.Height = 0.0,
    ambient_temperature: v.AmbientTemperature = 298.15,
    driveline_efficiency: v.DrivelineEfficiency = 0.86,
) -> PowerCurve:
    """The operating point with the most fuel at which no limit is passed; see `calc.full_load`.

    Inputs in coherent SI, speed in r/min. Raises Impossible where a limit is passed even at light load. Sources: see
    `formulas` of the calculator.
    """
    parts = v.Parts(
        displacement=displacement,
        cylinders=6.0,
        volumetric_efficiency=volumetric_efficiency,
        indicated_efficiency=indicated_efficiency,
        heat_loss_fraction=heat_loss_fraction,
        fmep=fmep,
        compressor_efficiency=compressor_efficiency,
        turbine_times_mechanical_efficiency=turbine_times_mechanical_efficiency,
        bypass_fraction=bypass_fraction,
        corrected_flow_limit=corrected_flow_limit,
        charge_cooler_effectiveness=charge_cooler_effectiveness,
        coolant_temperature=coolant_temperature,
        charge_cooler_loss=charge_cooler_loss,
        air_filter_loss=air_filter_loss,
        duct_bore=duct_bore,
        horn_bore=horn_bore,
        downpipe_bore=downpipe_bore,
        downpipe_length=downpipe_length,
        downpipe_bends=downpipe_bends,
        filter_loss=filter_loss,
        pipe_bore=pipe_bore,
        pipe_length=pipe_length,
        pipe_bends=pipe_bends,
        silencer_k=silencer_k,
        height=height,
        ambient_temperature=ambient_temperature,
        driveline_efficiency=driveline_efficiency,
    )
    setting = parts.setting(
        lam=lam,
        effective_area=effective_area if closure == Closure.TURBINE_AS_IT_IS else None,
        smallest_area=smallest_area,
        largest_area=largest_area,
        limits=Limits(
            excess_air_ratio=lam_limit,
            turbine_inlet_temperature=turbine_inlet_temperature_limit,
            corrected_flow=corrected_flow_limit,
            pressure_ratio=pressure_ratio_limit,
            brake_torque=torque_limit,
        ),
    )
    try:
        found = _full_load(setting, speed)
    except Impossible as problem:
        refused = refusal(problem, "wheel-power", held=True)
        names = tuple(name for name in refused.inputs if name not in ("cylinders", "power_goal"))
        raise Impossible(str(refused), names or ("speed",)) from problem
    point = found.point
    return PowerCurve(
        wheel_power=point.wheel_power,
        brake_torque=point.brake_torque,
        limited_by=LIMIT_NAMES.get(found.limited_by) or _ENDS.get(found.limited_by, "the balance itself"),
        brake_power=point.brake_power,
        lam=point.excess_air_ratio,
        boost=point.boost,
        turbine_inlet_temperature=point.turbine_inlet_temperature,
        drive_to_boost=point.drive_to_boost,
        fuel_flow=point.fuel_flow,
        corrected_flow=point.corrected_flow,
        compressor_pressure_ratio=point.pressure_ratio,
        turbine_area=point.effective_area,
        vanes_shut=found.vanes_shut,
        warnings=fast_gas(point),
    )


@lru_cache(maxsize=64)
def _full_load(setting: Setting, speed: float) -> FullLoad:
    """Kept, because two charts ask for the same points."""
    return full_load(setting, speed)
