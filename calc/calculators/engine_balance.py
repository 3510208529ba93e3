"""The engine balance: one operating point of a turbocharged diesel, from power to fuel or from fuel to power."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from calc import text, units
from calc.balance import OperatingPoint, balance
from calc.calculators import _vehicle as v
from calc.calculators._stations import GasPath, gas_path
from calc.constants import AFR_STOICHIOMETRIC, COMPRESSOR_P_REFERENCE, COMPRESSOR_T_REFERENCE, LHV_DIESEL, MACH_WARNING
from calc.contract import Choice, Curve, Formula, Impossible, Output, Part, Quantity, Symbol, calculator
from calc.engine import Closure, Limits, Setting
from calc.limits import margins
from calc.provenance import Grade
from calc.references import (
    COMBUSTION_ENGINES,
    COMPACT_HEAT_EXCHANGERS,
    GAS_DYNAMICS,
    GRI_THERMO,
    TURBOCHARGING,
    VISCOUS_FLUID_FLOW,
)
from calc.solve import NoBalance
from calc.units import FOOT, HORSEPOWER, INCH, INCH_OF_MERCURY, INCH_OF_WATER, POUND, POUND_FORCE, PSI

_DRIVE_TO_BOOST = "drive_to_boost"
_FIRST_GUESS = 1.25
LIMIT_NAMES = {
    "excess_air_ratio": "lambda",
    "turbine_inlet_temperature": "exhaust temperature before the turbine",
    "corrected_flow": "compressor flow",
    "pressure_ratio": "compressor pressure ratio",
    "brake_torque": "torque at the crank",
    "smallest_area": "turbine vanes, shut",
    "largest_area": "turbine vanes, open",
    _DRIVE_TO_BOOST: "drive-to-boost ratio",
}


def _power(name: str, meaning: str, symbol: str = "", *, part_of: str = "") -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning, symbol=symbol, part_of=part_of)


def _pressure(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="Pa", us="psi", si="kPa", name=name, meaning=meaning, symbol=symbol)


def _temperature(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="K", us="degF", si="degC", name=name, meaning=meaning, symbol=symbol)


def _ratio(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="1", name=name, meaning=meaning, symbol=symbol)


def _words(name: str, meaning: str) -> Output:
    return Output(unit="text", name=name, meaning=meaning)


def _state(of: str) -> Output:
    return _words(f"{of} against its limit", "Clear, close to the limit, or beyond it.")


@dataclass(frozen=True)
class EngineBalance:
    """One operating point; coherent SI, pressures absolute unless the name says boost, gauge or back-pressure."""

    wheel_power: Annotated[float, _power("Power at the wheels", "What reaches the road.")]
    findings: Annotated[str, _words("Findings", "What gives out, and why that matters.")]
    first_limit: Annotated[str, _words("Nearest limit", "The limit with the least room, or the most overrun.")]
    first_limit_margin: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Room to the nearest limit",
            meaning="Distance to the limit over the limit (a temperature from the air outside); negative is beyond.",
            digits=2,
        ),
    ]
    lambda_state: Annotated[str, _state("Lambda")]
    temperature_state: Annotated[str, _state("Exhaust temperature")]
    flow_state: Annotated[str, _state("Compressor flow")]
    pressure_ratio_state: Annotated[str, _state("Compressor pressure ratio")]
    drive_to_boost_state: Annotated[str | None, _state("Drive-to-boost ratio")]
    torque_state: Annotated[str | None, _state("Torque at the crank")]
    vanes_state: Annotated[str | None, _state("Turbine vanes")]
    brake_power: Annotated[float, _power("Power at the crank", "Brake power.", "P_b")]
    brake_torque: Annotated[
        float, Output(unit="N.m", us="lbf.ft", name="Torque at the crank", meaning="Brake torque.", symbol="T")
    ]
    fuel_flow: Annotated[
        float,
        Output(
            unit="kg/s",
            us="lb/h",
            si="kg/h",
            name="Fuel flow",
            meaning="Injected, return not counted.",
            symbol=r"\dot m_f",
        ),
    ]
    fuel_per_injection: Annotated[
        float, Output(unit="kg", us="mg", si="mg", name="Fuel per injection", meaning="One cylinder, one cycle.")
    ]
    specific_consumption: Annotated[
        float,
        Output(
            unit="kg/J",
            us="lb/(hp.h)",
            si="g/(kW.h)",
            name="Brake specific fuel consumption",
            meaning="Fuel flow over power at the crank.",
        ),
    ]
    brake_efficiency: Annotated[
        float,
        Output(unit="1", us="%", si="%", name="Brake efficiency", meaning="Power at the crank over the fuel's heat."),
    ]
    lam: Annotated[float, _ratio("Lambda", "Air over the air that the fuel needs.", r"\lambda")]
    air_flow: Annotated[
        float, Output(unit="kg/s", us="lb/min", name="Air flow", meaning="What the engine draws.", symbol=r"\dot m_a")
    ]
    corrected_flow: Annotated[
        float,
        Output(
            unit="kg/s",
            us="lb/min",
            name="Corrected compressor flow",
            meaning="Referred to 298 K and 100 kPa at the compressor inlet, as maps are.",
        ),
    ]
    compressor_pressure_ratio: Annotated[
        float, _ratio("Pressure ratio of the compressor", "Absolute, flange to flange.", r"\mathrm{PR}")
    ]
    compressor_efficiency_used: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Compressor efficiency at this point",
            meaning="The given one, less what nearing the edge of the map costs.",
        ),
    ]
    boost: Annotated[float, _pressure("Boost on a gauge", "Intake manifold above the air outside.")]
    intake_manifold_pressure: Annotated[float, _pressure("Intake manifold pressure", "Absolute.", "p_m")]
    charge_temperature: Annotated[float, _temperature("Charge temperature", "In the intake manifold.", "T_m")]
    exhaust_flow: Annotated[
        float, Output(unit="kg/s", us="lb/min", name="Exhaust gas flow", meaning="Air and fuel.", symbol=r"\dot m_e")
    ]
    turbine_inlet_temperature: Annotated[
        float, _temperature("Exhaust temperature before the turbine", "The EGT that counts.", "T_3")
    ]
    turbine_outlet_temperature: Annotated[
        float, _temperature("Exhaust temperature behind the turbine", "What a probe in the downpipe reads.", "T_4")
    ]
    turbine_inlet_pressure: Annotated[float, _pressure("Drive pressure", "Before the turbine, absolute.", "p_3")]
    drive_pressure: Annotated[float, _pressure("Drive pressure on a gauge", "Above the air outside.")]
    expansion_ratio: Annotated[
        float, _ratio("Expansion ratio of the turbine", "Absolute pressure before over behind it.", r"\mathrm{ER}")
    ]
    drive_to_boost: Annotated[
        float | None, _ratio("Drive-to-boost ratio", "Both as gauges show them; none without boost.")
    ]
    drive_ratio: Annotated[float, _ratio("The same with absolute pressures", "What physics counts.", "p_3/p_m")]
    back_pressure: Annotated[
        float,
        Output(
            unit="Pa",
            us="inHg",
            si="kPa",
            name="Back-pressure",
            meaning="At the turbine outlet, above the air outside.",
        ),
    ]
    turbine_area: Annotated[
        float,
        Output(
            unit="m2",
            us="in2",
            si="cm2",
            name="Effective turbine area",
            meaning="What the turbine passes, or must pass to hold this boost.",
            symbol="A",
        ),
    ]
    pmep: Annotated[
        float,
        _pressure("Pumping mean effective pressure", "Drive less manifold pressure; positive costs.", r"\mathrm{PMEP}"),
    ]
    pumping_power: Annotated[float, _power("Pumping power", "What the gas exchange takes.", r"P_{\mathrm{pump}}")]
    fuel_heat: Annotated[float, _power("Heat of the fuel", "By its lower heating value; the shares follow.")]
    heat_to_crank: Annotated[float, _power("To the crank", "Brake power.", part_of="fuel_heat")]
    heat_to_friction: Annotated[
        float, _power("To friction", "Engine, auxiliaries and the turbocharger's bearings.", part_of="fuel_heat")
    ]
    heat_to_walls: Annotated[float, _power("To walls, coolant and oil", "The given share.", part_of="fuel_heat")]
    heat_to_charge_cooler: Annotated[
        float, _power("To the charge cooler", "What it takes out of the charge.", part_of="fuel_heat")
    ]
    heat_to_exhaust: Annotated[
        float,
        _power("Out of the exhaust", "Behind the turbine, less what the air brought along.", part_of="fuel_heat"),
    ]
    path: Annotated[GasPath, Part()]
    warnings: tuple[str, ...] = ()


def _limit(unit: str, low: float, high: float, name: str, meaning: str, *, us: str = "", si: str = "") -> Quantity:
    return Quantity(
        unit=unit, us=us, si=si, low=low, high=high, name=name, meaning=meaning, grade=Grade.MEMORY, monotone=False
    )


LAMBDA_LIMIT = _limit("1", 1.0, 2.0, "Least lambda", "Where smoke begins; 1.2 to 1.4 is said.")
TEMPERATURE_LIMIT = _limit(
    *("K", 800.0, 1300.0, "Highest exhaust temperature", "Before the turbine, held for minutes."), us="degF", si="degC"
)
PRESSURE_RATIO_LIMIT = _limit("1", 1.5, 6.0, "Highest pressure ratio", "Of the compressor, top of its map.")
TORQUE_LIMIT = _limit(
    *("N.m", 200.0, 5000.0, "Highest torque", "At the crank: what the transmission takes. Empty is no limit."),
    us="lbf.ft",
)
SMALLEST_AREA = v.area("Turbine area, vanes shut", "Empty where it is not known.")
LARGEST_AREA = v.area("Turbine area, vanes open", "Empty where it is not known.")

BALANCE_FORMULAS = (
    Formula(
        r"\dot m_a = \lambda\,\mathrm{AFR}_{\mathrm{st}}\,\dot m_f = \eta_v\,\frac{p_m}{R\,T_m}\,V_d\,\frac{n}{2}",
        "Air: what the fuel needs, and what the cylinders draw. It gives the pressure in the manifold.",
        (
            Symbol(r"\dot m_a, \dot m_f", "mass flow of air and of fuel", "kg/s"),
            Symbol(r"\lambda", "air over the air that the fuel needs", "1"),
            Symbol(r"\mathrm{AFR}_{\mathrm{st}}", "air that one kilogram of fuel needs", "1"),
            Symbol(r"\eta_v", "volumetric efficiency, referred to manifold density", "1"),
            Symbol("p_m, T_m", "pressure and temperature in the intake manifold", "Pa, K"),
            Symbol("V_d", "displacement", "m³"),
            Symbol("n", "engine speed, in revolutions per second", "1/s"),
            Symbol("R", "gas constant", "J/(kg·K)"),
        ),
        COMBUSTION_ENGINES,
    ),
    Formula(
        r"T_m = T_2 - \varepsilon\,(T_2 - T_{\mathrm{cool}})",
        "The charge cooler, after the compressor has heated the air.",
        (
            Symbol("T_2", "temperature after the compressor", "K"),
            Symbol(r"\varepsilon", "effectiveness of the charge cooler", "1"),
            Symbol(r"T_{\mathrm{cool}}", "temperature of what cools it", "K"),
        ),
        COMPACT_HEAT_EXCHANGERS,
    ),
    Formula(
        r"\dot m_e\,h(T_3) = \dot m_f H_u\,(1 - \eta_i - q) + \dot m_a\,h(T_m) + P_{\mathrm{pump}}",
        "Exhaust: what became neither work nor heat to the walls stays in the gas, and so does the pumping work.",
        (
            Symbol(r"\dot m_e", "mass flow of exhaust gas", "kg/s"),
            Symbol("T_3", "temperature before the turbine", "K"),
            Symbol("H_u", "lower heating value of the fuel", "J/kg"),
            Symbol(r"\eta_i", "indicated efficiency of the closed cycle", "1"),
            Symbol("q", "share of heat that goes into walls, coolant and oil", "1"),
            Symbol("h", "enthalpy above 298.15 K", "J/kg"),
        ),
        COMBUSTION_ENGINES,
    ),
    Formula(
        r"\frac{\dot m_a\,\Delta h_{c,\mathrm{is}}}{\eta_c} = \eta_t\,\eta_m\,\dot m_e\,(1 - x)\,"
        r"\Delta h_{t,\mathrm{is}}, \qquad p_3 = \mathrm{ER}\;p_4",
        "The turbine pays for the compressor; the expansion ratio and the back-pressure give the drive pressure.",
        (
            Symbol(r"\eta_c, \eta_t\,\eta_m", "efficiency of compressor and of turbine with bearings", "1"),
            Symbol("x", "share that a wastegate leads past the wheel", "1"),
            Symbol(r"\mathrm{ER}", "expansion ratio that holds the turbine's enthalpy step", "1"),
            Symbol("p_3, p_4", "pressure before and behind the turbine", "Pa"),
        ),
        TURBOCHARGING,
    ),
    Formula(
        r"P_b = \eta_i\,\dot m_f H_u - \left(\mathrm{FMEP} + p_3 - p_m\right) V_d\,\frac{n}{2}",
        "Power at the crank: the closed cycle's work less friction and pumping.",
        (
            Symbol("P_b", "brake power", "W"),
            Symbol(r"\mathrm{FMEP}", "mean effective pressure of friction and auxiliaries", "Pa"),
        ),
        COMBUSTION_ENGINES,
    ),
    Formula(
        r"\frac{\dot m_e\,(1 - x)\sqrt{R\,T_3}}{p_3} = A\;\psi(\mathrm{ER})",
        "The turbine's area. With the boost held it follows; with the turbine as it is it decides.",
        (
            Symbol("A", "effective flow area of the turbine", "m²"),
            Symbol(r"\psi", "flow function of a nozzle, constant once it chokes", "1"),
        ),
        GAS_DYNAMICS,
    ),
)
BALANCE_VALID = (
    "One steady operating point, mean values over cycle and cylinders. Left out: transients, pulse energy, combustion "
    "timing, exhaust gas recirculation, heat lost by the exhaust manifold, heat soak, and the map of a real compressor "
    "(its efficiency only falls towards the flow limit). Efficiencies stay as given while everything else moves."
)


@calculator(
    title="Engine balance",
    question="What does a power goal take in fuel, air, heat and pressure, and what gives out on the way?",
    formulas=BALANCE_FORMULAS,
    references=(GRI_THERMO, VISCOUS_FLUID_FLOW),
    constants=(LHV_DIESEL, AFR_STOICHIOMETRIC, COMPRESSOR_T_REFERENCE, COMPRESSOR_P_REFERENCE, MACH_WARNING, *v.FIXED),
    valid=BALANCE_VALID,
    cautions=("hot-exhaust", "engine-overload", "emission-hardware"),
    related=("before-after", "power-curve", "drive-pressure", "exhaust-temperature", "air-demand"),
    curves=(
        Curve(
            title="Exhaust temperature before the turbine as the goal rises, for both ways to decide the boost",
            vary="power_goal",
            outputs=("turbine_inlet_temperature",),
            span=(260 * HORSEPOWER, 460 * HORSEPOWER),
            compare="closure",
            values=(Closure.BOOST_HELD.value, Closure.TURBINE_AS_IT_IS.value),
            points=6,
        ),
        Curve(
            title="Drive pressure and boost as the goal rises",
            vary="power_goal",
            outputs=("drive_pressure", "boost"),
            span=(260 * HORSEPOWER, 460 * HORSEPOWER),
            points=6,
        ),
    ),
)
def engine_balance(
    solve_for: Annotated[
        str,
        Choice(
            name="Solve for",
            meaning="What is given: a power, or the fuel.",
            options={
                "wheel-power": "the fuel that a power at the wheels takes",
                "brake-power": "the fuel that a power at the crank takes",
                "fuel-flow": "the power that a fuel flow gives",
            },
        ),
    ] = "wheel-power",
    closure: Annotated[
        str,
        Choice(
            name="What decides the boost",
            meaning="Vanes or a wastegate with room left hold it. A fixed turbine, or vanes at their stop, do not.",
            options={
                Closure.BOOST_HELD.value: "boost held: lambda is given, the turbine follows",
                Closure.TURBINE_AS_IT_IS.value: "turbine as it is: its area is given, lambda and boost follow",
            },
        ),
    ] = Closure.BOOST_HELD.value,
    power_goal: Annotated[
        float,
        v.quantity("W", 20e3, 1.2e6, "Power goal", "At the wheels or the crank, as chosen above.", us="hp", si="kW"),
    ] = 450 * HORSEPOWER,
    fuel_flow: Annotated[
        float,
        v.quantity(
            "kg/s", 1e-3, 0.1, "Fuel flow", "Only where the power is wanted.", us="lb/h", si="kg/h", symbol=r"\dot m_f"
        ),
    ] = 180 * POUND / 3600,
    speed: v.Speed = 2800.0,
    lam: v.Lambda = 1.45,
    effective_area: Annotated[
        float, v.area("Turbine area as it is", "Effective area; only where the turbine decides.", symbol="A")
    ] = 1.37 * INCH**2,
    displacement: v.Displacement = 6.3e-3,
    cylinders: v.Cylinders = 6.0,
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
    corrected_flow_limit: v.FlowLimit = 74 * POUND / 60,
    pressure_ratio_limit: Annotated[float, PRESSURE_RATIO_LIMIT] = 4.3,
    lam_limit: Annotated[float, LAMBDA_LIMIT] = 1.2,
    turbine_inlet_temperature_limit: Annotated[float, TEMPERATURE_LIMIT] = (1400 + 459.67) / 1.8,
    drive_to_boost_limit: Annotated[
        float, _limit("1", 1.0, 5.0, "Highest drive-to-boost ratio", "Gauge over gauge; from 2 a turbine is too small.")
    ] = 2.0,
    torque_limit: Annotated[float | None, TORQUE_LIMIT] = 1120 * FOOT * POUND_FORCE,
    smallest_area: Annotated[float | None, SMALLEST_AREA] = 1.3 * INCH**2,
    largest_area: Annotated[float | None, LARGEST_AREA] = 2.6 * INCH**2,
    margin: Annotated[
        float, v.percent(0.0, 0.5, "Room to keep", "What comes nearer to a limit than this counts as close.")
    ] = 0.1,
) -> EngineBalance:
    """One operating point with everything that follows from it, and its findings; see `calc.balance`.

    Inputs in coherent SI (pressures Pa, temperatures K, areas m2; speed in r/min). A point beyond its limits is an
    answer with findings; where no point exists at all Impossible says why, and how much power is reached where that has
    a meaning. Sources: see `formulas` of the calculator.
    """
    held = closure == Closure.BOOST_HELD
    parts = v.Parts(
        displacement=displacement,
        cylinders=cylinders,
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
        lam=lam if held else _FIRST_GUESS,
        effective_area=None if held else effective_area,
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
    goal = fuel_flow if solve_for == "fuel-flow" else power_goal
    try:
        point = solved(setting, speed, solve_for, goal)
    except Impossible as problem:
        raise refusal(problem, solve_for, held=held) from problem
    return _result(setting, point, parts, margin, drive_to_boost_limit)


@lru_cache(maxsize=256)
def solved(setting: Setting, speed: float, given: str, value: float) -> OperatingPoint:
    """The balance for one of "wheel-power" (W), "brake-power" (W) and "fuel-flow" (kg/s); a chart asks twice."""
    if given == "fuel-flow":
        return balance(setting, speed, fuel_flow=value)
    if given == "brake-power":
        return balance(setting, speed, brake_power=value)
    return balance(setting, speed, wheel_power=value)


def refusal(problem: Impossible, given: str, *, held: bool) -> Impossible:
    """Why there is no operating point, in the words and input names of a form."""
    asked = "fuel_flow" if given == "fuel-flow" else "power_goal"
    known = v.PART_NAMES | {"speed", asked, "lam" if held else "effective_area"}
    named = v.named_as_in_the_form(problem, known, asked)
    if isinstance(problem, NoBalance) and problem.reached is not None and problem.reached > 0.0:
        most = " or ".join(
            text.quantity(units.from_si(problem.reached, unit), unit).replace(text.NO_BREAK, " ")
            for unit in ("hp", "kW")
        )
        names = tuple(dict.fromkeys((asked, *named.inputs)))
        return Impossible(f"{problem} The most that is reached at the crank is {most}", names)
    return named


def _result(
    setting: Setting, point: OperatingPoint, parts: v.Parts, margin: float, drive_to_boost_limit: float
) -> EngineBalance:
    room = margins(setting, vars(point))
    if (hottest := setting.limits.turbine_inlet_temperature) is not None:
        # Room in a temperature is counted from the air outside: a share of the absolute one would look like nothing.
        left = hottest - point.turbine_inlet_temperature
        room["turbine_inlet_temperature"] = left / (hottest - point.ambient_temperature)
    if point.drive_to_boost is not None:
        room[_DRIVE_TO_BOOST] = 1.0 - point.drive_to_boost / drive_to_boost_limit
    nearest = min(room, key=room.__getitem__)
    energy = point.energy
    return EngineBalance(
        wheel_power=point.wheel_power,
        findings=_findings(point, room),
        first_limit=LIMIT_NAMES[nearest],
        first_limit_margin=room[nearest],
        lambda_state=_stands(room["excess_air_ratio"], margin),
        temperature_state=_stands(room["turbine_inlet_temperature"], margin),
        flow_state=_stands(room["corrected_flow"], margin),
        pressure_ratio_state=_stands(room["pressure_ratio"], margin),
        drive_to_boost_state=_least(room, margin, _DRIVE_TO_BOOST),
        torque_state=_least(room, margin, "brake_torque"),
        vanes_state=_least(room, margin, "smallest_area", "largest_area"),
        brake_power=point.brake_power,
        brake_torque=point.brake_torque,
        fuel_flow=point.fuel_flow,
        fuel_per_injection=point.fuel_per_injection,
        specific_consumption=point.specific_consumption,
        brake_efficiency=point.brake_efficiency,
        lam=point.excess_air_ratio,
        air_flow=point.air_flow,
        corrected_flow=point.corrected_flow,
        compressor_pressure_ratio=point.pressure_ratio,
        compressor_efficiency_used=point.compressor_efficiency,
        boost=point.boost,
        intake_manifold_pressure=point.manifold_pressure,
        charge_temperature=point.manifold_temperature,
        exhaust_flow=point.exhaust_flow,
        turbine_inlet_temperature=point.turbine_inlet_temperature,
        turbine_outlet_temperature=point.turbine_outlet_temperature,
        turbine_inlet_pressure=point.turbine_inlet_pressure,
        drive_pressure=point.turbine_inlet_pressure - point.ambient_pressure,
        expansion_ratio=point.expansion_ratio,
        drive_to_boost=point.drive_to_boost,
        drive_ratio=point.drive_ratio,
        back_pressure=point.back_pressure,
        turbine_area=point.effective_area,
        pmep=point.pmep,
        pumping_power=point.pumping_power,
        fuel_heat=energy.fuel,
        heat_to_crank=energy.brake,
        heat_to_friction=energy.friction + energy.bearings,
        heat_to_walls=energy.walls,
        heat_to_charge_cooler=energy.charge_cooler,
        heat_to_exhaust=energy.exhaust - energy.air,
        path=gas_path(point, parts),
        warnings=fast_gas(point),
    )


def _findings(point: OperatingPoint, room: dict[str, float]) -> str:
    """A sentence for each limit that is passed."""
    said = [finding.sentence for finding in point.beyond]
    if room.get(_DRIVE_TO_BOOST, 1.0) < 0.0:
        said.append("Drive pressure is too high for the boost that it buys: the turbocharger runs out.")
    return " ".join(said) or "No limit is passed."


def _stands(room: float, margin: float) -> str:
    return "beyond" if room < -1e-6 else "close" if room < margin else "clear"


def _least(room: dict[str, float], margin: float, *names: str) -> str | None:
    """Where the worst of some limits stands; None where none of them is known."""
    known = [room[name] for name in names if name in room]
    return _stands(min(known), margin) if known else None


def fast_gas(point: OperatingPoint) -> tuple[str, ...]:
    """A warning where the gas is too fast for the formulas of fittings."""
    if point.largest_mach <= MACH_WARNING:
        return ()
    fastest = max(point.exhaust, key=lambda state: state.mach)
    where = f"the {fastest.name}" if fastest.mach == point.largest_mach else "the intake"
    return (
        f"The gas passes Mach {float(MACH_WARNING):.1f} in {where}: bends and changes of section then lose more than "
        "the formulas for slow flow say.",
    )
