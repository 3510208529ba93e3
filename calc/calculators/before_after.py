"""Before and after: the same vehicle with some parts changed, solved twice, and both ways in which a change pays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Annotated

from calc.balance import OperatingPoint
from calc.calculators import _vehicle as v
from calc.calculators._stations import GasPath, gas_path
from calc.calculators.engine_balance import BALANCE_FORMULAS, BALANCE_VALID, fast_gas, refusal, solved
from calc.constants import AFR_STOICHIOMETRIC, COMPRESSOR_P_REFERENCE, COMPRESSOR_T_REFERENCE, LHV_DIESEL
from calc.contract import Choice, Curve, Impossible, Output, Part, Quantity, calculator
from calc.engine import Closure, Setting
from calc.references import GRI_THERMO, VISCOUS_FLUID_FLOW
from calc.units import FOOT, HORSEPOWER, INCH, INCH_OF_MERCURY, INCH_OF_WATER, POUND, PSI

_BEFORE, _AFTER, _DIFFERENCE, _PERCENT = "Before", "After", "Difference", "Difference in per cent"


def _is(what: str, group: str, unit: str, us: str = "", si: str = "") -> Output:
    """One quantity of one of the two points; the group says which."""
    meaning = f"{what}, {group.lower()} the change."
    return Output(unit=unit, us=us, si=si, name=f"{what}, {group.lower()}", meaning=meaning, group=group, digits=4)


def _differs(what: str, unit: str, us: str = "", si: str = "") -> Output:
    return Output(
        unit=unit,
        us=us,
        si=si,
        name=f"{what}, difference",
        meaning="After minus before.",
        group=_DIFFERENCE,
        digits=2,
    )


def _percent(what: str) -> Output:
    return Output(
        unit="1",
        us="%",
        si="%",
        name=f"{what}, difference in per cent",
        meaning="Difference over the value before.",
        group=_PERCENT,
        digits=2,
    )


def _face(name: str, meaning: str, unit: str, us: str = "", si: str = "") -> Output:
    return Output(unit=unit, us=us, si=si, name=name, meaning=meaning, group="Both faces of the change", digits=2)


_POWER = ("W", "hp", "kW")
_FUEL = ("kg/s", "lb/h", "kg/h")
_PRESSURE = ("Pa", "psi", "kPa")
_BACK = ("Pa", "inHg", "kPa")
_TEMPERATURE = ("K", "degF", "degC")
_ROUNDING = 1e-7
_STEP = ("delta_K", "delta_degF", "")


@dataclass(frozen=True)
class BeforeAfter:
    """Two operating points side by side, and what the change is worth either way; coherent SI.

    Boost and drive pressure count from the air outside. A percentage of a temperature is of the absolute one.
    """

    power_gain_boost_held: Annotated[
        float, _face("Power at the wheels, boost held", "At the same fuel and lambda: less pumping.", *_POWER)
    ]
    temperature_change_boost_held: Annotated[
        float, _face("Exhaust temperature, boost held", "Before the turbine, at the same fuel and lambda.", *_STEP)
    ]
    power_gain_turbine_as_it_is: Annotated[
        float, _face("Power at the wheels, turbine as it is", "At the same fuel, with the area of before.", *_POWER)
    ]
    temperature_change_turbine_as_it_is: Annotated[
        float,
        _face(
            "Exhaust temperature, turbine as it is", "Before the turbine, at the same fuel: more air cools it.", *_STEP
        ),
    ]
    boost_change_turbine_as_it_is: Annotated[
        float, _face("Boost, turbine as it is", "At the same fuel, with the area of before.", *_PRESSURE)
    ]
    lambda_change_turbine_as_it_is: Annotated[
        float, _face("Lambda, turbine as it is", "At the same fuel, with the area of before.", "1")
    ]
    reading: Annotated[
        str, Output(unit="text", name="In words", meaning="What the change does, for what was chosen above.")
    ]
    power_before: Annotated[float, _is("Power at the wheels", _BEFORE, *_POWER)]
    power_after: Annotated[float, _is("Power at the wheels", _AFTER, *_POWER)]
    power_difference: Annotated[float, _differs("Power at the wheels", *_POWER)]
    power_percent: Annotated[float, _percent("Power at the wheels")]
    fuel_before: Annotated[float, _is("Fuel flow", _BEFORE, *_FUEL)]
    fuel_after: Annotated[float, _is("Fuel flow", _AFTER, *_FUEL)]
    fuel_difference: Annotated[float, _differs("Fuel flow", *_FUEL)]
    fuel_percent: Annotated[float, _percent("Fuel flow")]
    boost_before: Annotated[float, _is("Boost", _BEFORE, *_PRESSURE)]
    boost_after: Annotated[float, _is("Boost", _AFTER, *_PRESSURE)]
    boost_difference: Annotated[float, _differs("Boost", *_PRESSURE)]
    boost_percent: Annotated[float | None, _percent("Boost")]
    lambda_before: Annotated[float, _is("Lambda", _BEFORE, "1")]
    lambda_after: Annotated[float, _is("Lambda", _AFTER, "1")]
    lambda_difference: Annotated[float, _differs("Lambda", "1")]
    lambda_percent: Annotated[float, _percent("Lambda")]
    temperature_before: Annotated[float, _is("Exhaust temperature before the turbine", _BEFORE, *_TEMPERATURE)]
    temperature_after: Annotated[float, _is("Exhaust temperature before the turbine", _AFTER, *_TEMPERATURE)]
    temperature_difference: Annotated[float, _differs("Exhaust temperature before the turbine", *_STEP)]
    temperature_percent: Annotated[float, _percent("Exhaust temperature before the turbine, absolute")]
    drive_before: Annotated[float, _is("Drive pressure", _BEFORE, *_PRESSURE)]
    drive_after: Annotated[float, _is("Drive pressure", _AFTER, *_PRESSURE)]
    drive_difference: Annotated[float, _differs("Drive pressure", *_PRESSURE)]
    drive_percent: Annotated[float, _percent("Drive pressure")]
    drive_to_boost_before: Annotated[float | None, _is("Drive-to-boost ratio", _BEFORE, "1")]
    drive_to_boost_after: Annotated[float | None, _is("Drive-to-boost ratio", _AFTER, "1")]
    drive_to_boost_difference: Annotated[float | None, _differs("Drive-to-boost ratio", "1")]
    drive_to_boost_percent: Annotated[float | None, _percent("Drive-to-boost ratio")]
    back_pressure_before: Annotated[float, _is("Back-pressure", _BEFORE, *_BACK)]
    back_pressure_after: Annotated[float, _is("Back-pressure", _AFTER, *_BACK)]
    back_pressure_difference: Annotated[float, _differs("Back-pressure", *_BACK)]
    back_pressure_percent: Annotated[float, _percent("Back-pressure")]
    turbine_area_before: Annotated[float, _is("Effective turbine area", _BEFORE, "m2", "in2", "cm2")]
    turbine_area_after: Annotated[float, _is("Effective turbine area", _AFTER, "m2", "in2", "cm2")]
    before: Annotated[GasPath, Part("Before")]
    after: Annotated[GasPath, Part("After")]
    warnings: tuple[str, ...] = ()


def _after(given: Quantity) -> Quantity:
    """The same input once more, for the value after the change."""
    return replace(given, name=f"{given.name}, after", meaning="Empty leaves it as it is.")


@calculator(
    title="Before and after",
    question="What does a change of parts do to power, fuel, boost and exhaust temperature?",
    formulas=BALANCE_FORMULAS,
    references=(GRI_THERMO, VISCOUS_FLUID_FLOW),
    constants=(LHV_DIESEL, AFR_STOICHIOMETRIC, COMPRESSOR_T_REFERENCE, COMPRESSOR_P_REFERENCE, *v.FIXED),
    valid=BALANCE_VALID
    + " The efficiencies of the turbocharger are the same before and after; a part that moves them is not judged here.",
    cautions=("hot-exhaust", "emission-hardware", "turbocharger"),
    related=("engine-balance", "exhaust-back-pressure", "intake-restriction", "drive-pressure"),
    curves=(
        Curve(
            title="Power at the wheels, boost held, against the pipe bore after the change",
            vary="pipe_bore_after",
            outputs=("power_gain_boost_held",),
            span=(3.5 * INCH, 6 * INCH),
            points=6,
        ),
        Curve(
            title="Exhaust temperature, turbine as it is, against the pipe bore after the change",
            vary="pipe_bore_after",
            outputs=("temperature_change_turbine_as_it_is",),
            span=(3.5 * INCH, 6 * INCH),
            points=6,
        ),
    ),
)
def before_after(
    closure: Annotated[
        str,
        Choice(
            name="What decides the boost",
            meaning="It decides which face of the change you see; both are shown on top.",
            options={
                Closure.BOOST_HELD.value: "boost held: vanes or a wastegate have room left",
                Closure.TURBINE_AS_IT_IS.value: "turbine as it is: fixed, or vanes at their stop",
            },
        ),
    ] = Closure.BOOST_HELD.value,
    kept: Annotated[
        str,
        Choice(
            name="What stays the same",
            meaning="For the comparison side by side.",
            options={"fuel": "the fuel: what is the change worth as power?", "power": "the power: what does it save?"},
        ),
    ] = "fuel",
    power_goal: Annotated[
        float,
        v.quantity(
            "W", 20e3, 1.0e6, "Power at the wheels, before", "What the comparison starts from.", us="hp", si="kW"
        ),
    ] = 400 * HORSEPOWER,
    pipe_bore: v.PipeBore = 4 * INCH,
    pipe_bore_after: Annotated[float | None, _after(v.PIPE_BORE)] = 5 * INCH,
    downpipe_bore: v.DownpipeBore = 3 * INCH,
    downpipe_bore_after: Annotated[float | None, _after(v.DOWNPIPE_BORE)] = None,
    filter_loss: v.BrickLoss = 2.4 * INCH_OF_MERCURY,
    filter_loss_after: Annotated[float | None, _after(v.BRICK_LOSS)] = None,
    horn_bore: v.HornBore = 2.75 * INCH,
    horn_bore_after: Annotated[float | None, _after(v.HORN_BORE)] = None,
    duct_bore: v.DuctBore = 4.5 * INCH,
    duct_bore_after: Annotated[float | None, _after(v.DUCT_BORE)] = None,
    air_filter_loss: v.AirFilterLoss = 6.5 * INCH_OF_WATER,
    air_filter_loss_after: Annotated[float | None, _after(v.AIR_FILTER_LOSS)] = None,
    charge_cooler_effectiveness: v.Effectiveness = 0.82,
    charge_cooler_effectiveness_after: Annotated[float | None, _after(v.EFFECTIVENESS)] = None,
    lam: v.Lambda = 1.45,
    lam_after: Annotated[
        float | None,
        v.quantity("1", 1.0, 4.0, "Lambda, after", "With the boost held. Empty leaves it as it is.", symbol=r"\lambda"),
    ] = None,
    turbine_area_change: Annotated[
        float | None,
        v.percent(
            *(-0.6, 1.5, "Turbine area, change"),
            "Of a turbine as it is: plus is a larger housing or opened vanes. Empty leaves it as it is.",
        ),
    ] = None,
    speed: v.Speed = 2800.0,
    displacement: v.Displacement = 6.3e-3,
    volumetric_efficiency: v.VolumetricEfficiency = 0.92,
    indicated_efficiency: v.IndicatedEfficiency = 0.435,
    heat_loss_fraction: v.HeatLossFraction = 0.185,
    fmep: v.Fmep = 29 * PSI,
    compressor_efficiency: v.CompressorEfficiency = 0.74,
    turbine_times_mechanical_efficiency: v.TurbineEfficiency = 0.68,
    bypass_fraction: v.Bypass = 0.0,
    corrected_flow_limit: v.FlowLimit = 74 * POUND / 60,
    coolant_temperature: v.CoolantTemperature = (95 + 459.67) / 1.8,
    charge_cooler_loss: v.CoolerLoss = 1.3 * PSI,
    downpipe_length: v.DownpipeLength = 3 * FOOT,
    downpipe_bends: v.DownpipeBends = 3.0,
    pipe_length: v.PipeLength = 12 * FOOT,
    pipe_bends: v.PipeBends = 4.0,
    silencer_k: v.SilencerK = 1.0,
    height: v.Height = 0.0,
    ambient_temperature: v.AmbientTemperature = 298.15,
    driveline_efficiency: v.DrivelineEfficiency = 0.86,
) -> BeforeAfter:
    """The balance before and after a change of parts, at the same fuel flow or the same power; see `calc.balance`.

    Before the change the boost is held at `lam`, which gives the turbine's area; as it is, the turbine keeps that area,
    so both faces of the change start from one point. Inputs in coherent SI, speed in r/min. Raises Impossible where one
    of the points does not exist. Sources: see `formulas` of the calculator.
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
    changes = {
        "pipe_bore": pipe_bore_after,
        "downpipe_bore": downpipe_bore_after,
        "filter_loss": filter_loss_after,
        "horn_bore": horn_bore_after,
        "duct_bore": duct_bore_after,
        "air_filter_loss": air_filter_loss_after,
        "charge_cooler_effectiveness": charge_cooler_effectiveness_after,
    }
    changed = replace(parts, **{name: value for name, value in changes.items() if value is not None})
    before = _solve("before", True, parts.setting(lam=lam), speed, "wheel-power", power_goal)
    area = before.effective_area * (1.0 + (turbine_area_change or 0.0))
    held = changed.setting(lam=lam if lam_after is None else lam_after)
    fixed = changed.setting(lam=lam, effective_area=area)
    with_boost_held = _solve("after, with the boost held", True, held, speed, "fuel-flow", before.fuel_flow)
    as_it_is = _solve("after, with the turbine as it is", False, fixed, speed, "fuel-flow", before.fuel_flow)
    chosen_held = closure == Closure.BOOST_HELD
    if kept == "fuel":
        after = with_boost_held if chosen_held else as_it_is
    else:
        after = _solve("after", chosen_held, held if chosen_held else fixed, speed, "wheel-power", power_goal)
    vehicles = (parts, changed)
    return _result(
        before, after, with_boost_held, as_it_is, vehicles, chosen_held=chosen_held, fuel_kept=kept == "fuel"
    )


def _solve(which: str, held: bool, setting: Setting, speed: float, given: str, value: float) -> OperatingPoint:
    try:
        return solved(setting, speed, given, value)
    except Impossible as problem:
        refused = refusal(problem, "wheel-power", held=True)
        names = tuple(name for name in refused.inputs if name != "cylinders")
        raise Impossible(f"No operating point {which}: {refused}", names or ("power_goal",)) from problem


def _result(
    before: OperatingPoint,
    after: OperatingPoint,
    held: OperatingPoint,
    as_it_is: OperatingPoint,
    parts: tuple[v.Parts, v.Parts],
    *,
    chosen_held: bool,
    fuel_kept: bool,
) -> BeforeAfter:
    def both(read: Callable[[OperatingPoint], float]) -> tuple[float, float, float, float]:
        """Before, after, difference and share; a difference within the balance's own rounding is none."""
        first, second = read(before), read(after)
        step = second - first if abs(second - first) > _ROUNDING * abs(first) else 0.0
        return first, second, step, step / first if first else 0.0

    power = both(lambda point: point.wheel_power)
    fuel = both(lambda point: point.fuel_flow)
    lam = both(lambda point: point.excess_air_ratio)
    temperature = both(lambda point: point.turbine_inlet_temperature)
    drive = both(lambda point: point.turbine_inlet_pressure - point.ambient_pressure)
    back = both(lambda point: point.back_pressure)
    ratio = (before.drive_to_boost, after.drive_to_boost)
    ratio_difference = None if ratio[0] is None or ratio[1] is None else ratio[1] - ratio[0]
    boost = both(lambda point: point.boost)
    return BeforeAfter(
        power_gain_boost_held=held.wheel_power - before.wheel_power,
        temperature_change_boost_held=held.turbine_inlet_temperature - before.turbine_inlet_temperature,
        power_gain_turbine_as_it_is=as_it_is.wheel_power - before.wheel_power,
        temperature_change_turbine_as_it_is=as_it_is.turbine_inlet_temperature - before.turbine_inlet_temperature,
        boost_change_turbine_as_it_is=as_it_is.boost - before.boost,
        lambda_change_turbine_as_it_is=as_it_is.excess_air_ratio - before.excess_air_ratio,
        reading=_reading(before, after, chosen_held=chosen_held, fuel_kept=fuel_kept),
        power_before=power[0],
        power_after=power[1],
        power_difference=power[2],
        power_percent=power[3],
        fuel_before=fuel[0],
        fuel_after=fuel[1],
        fuel_difference=fuel[2],
        fuel_percent=fuel[3],
        boost_before=boost[0],
        boost_after=boost[1],
        boost_difference=boost[2],
        boost_percent=boost[3] if before.drive_to_boost is not None else None,
        lambda_before=lam[0],
        lambda_after=lam[1],
        lambda_difference=lam[2],
        lambda_percent=lam[3],
        temperature_before=temperature[0],
        temperature_after=temperature[1],
        temperature_difference=temperature[2],
        temperature_percent=temperature[3],
        drive_before=drive[0],
        drive_after=drive[1],
        drive_difference=drive[2],
        drive_percent=drive[3],
        drive_to_boost_before=ratio[0],
        drive_to_boost_after=ratio[1],
        drive_to_boost_difference=ratio_difference,
        drive_to_boost_percent=None if ratio_difference is None or not ratio[0] else ratio_difference / ratio[0],
        back_pressure_before=back[0],
        back_pressure_after=back[1],
        back_pressure_difference=back[2],
        back_pressure_percent=back[3],
        turbine_area_before=before.effective_area,
        turbine_area_after=after.effective_area,
        before=gas_path(before, parts[0]),
        after=gas_path(after, parts[1]),
        warnings=tuple(dict.fromkeys((*fast_gas(before), *fast_gas(after)))),
    )


def _reading(before: OperatingPoint, after: OperatingPoint, *, chosen_held: bool, fuel_kept: bool) -> str:
    power = (after.wheel_power - before.wheel_power) / before.wheel_power
    fuel = (after.fuel_flow - before.fuel_flow) / before.fuel_flow
    lam = (after.excess_air_ratio - before.excess_air_ratio) / before.excess_air_ratio
    decided = "The boost is held" if chosen_held else "The turbine stays as it is"
    kept = f"power {_moves(power)}" if fuel_kept else f"fuel {_moves(fuel)}"
    cooler = after.turbine_inlet_temperature - before.turbine_inlet_temperature
    heat = "stays as hot" if abs(cooler) < 0.5 else "gets cooler" if cooler < 0.0 else "gets hotter"
    same = "fuel" if fuel_kept else "power"
    return f"{decided}: at the same {same}, {kept}, lambda {_moves(lam)}, and the exhaust before the turbine {heat}."


def _moves(share: float) -> str:
    if abs(share) < 5e-4:
        return "stays"
    return f"{'rises' if share > 0.0 else 'falls'} by {abs(share) * 100:.1f} %"
