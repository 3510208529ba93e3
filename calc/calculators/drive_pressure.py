"""Drive pressure: what the turbine must be given so that the compressor gets its power, and what that costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.constants import AFR_STOICHIOMETRIC, P_STANDARD, Constant
from calc.contract import Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.gas import products
from calc.provenance import Grade
from calc.references import COMBUSTION_ENGINES, GRI_THERMO, PRACTICE, TURBOCHARGING
from calc.turbo import compressor, turbine
from calc.units import POUND, PSI

HIGHEST_EXPANSION = Constant(6.0, "expansion ratio that a single turbine stage is not taken beyond", "1", PRACTICE)
HIGH_DRIVE_TO_BOOST = Constant(
    2.0,
    "drive pressure over boost (gauge over gauge) from which a turbine counts as too small",
    "1",
    PRACTICE,
    grade=Grade.MEMORY,
)
_CP, _GAMMA_SHARE = 1150.0, 4.0  # the textbook's round figures for exhaust gas: cp and k/(k-1) with k = 4/3
_CP_AIR, _AIR_POWER = 1005.0, 2.0 / 7.0


def _pressure(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="Pa", us="psi", si="kPa", name=name, meaning=meaning, symbol=symbol)


def _power(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning, symbol=symbol)


@dataclass(frozen=True)
class DrivePressure:
    """Pressures absolute in Pa unless said otherwise, temperatures in K, powers in W."""

    turbine_inlet_pressure: Annotated[
        float, _pressure("Drive pressure", "Before the turbine, absolute: what the pistons push against.", "p_3")
    ]
    expansion_ratio: Annotated[
        float,
        Output(
            unit="1",
            name="Expansion ratio of the turbine",
            symbol=r"\mathrm{ER}",
            meaning="Pressure before the turbine over pressure behind it, both absolute.",
        ),
    ]
    drive_to_boost: Annotated[
        float | None,
        Output(
            unit="1",
            name="Drive-to-boost ratio",
            meaning="Drive pressure over boost, both as a gauge shows them; none without boost.",
        ),
    ]
    drive_ratio: Annotated[
        float,
        Output(
            unit="1",
            name="The same with absolute pressures",
            symbol="p_3/p_m",
            meaning="Pressure before the turbine over pressure in the intake manifold: what physics counts.",
        ),
    ]
    drive_pressure_gauge: Annotated[
        float, _pressure("Drive pressure on a gauge", "Drive pressure above the air outside.")
    ]
    manifold_pressure: Annotated[
        float, _pressure("Intake manifold pressure", "Absolute, after charge cooler and tract.", "p_m")
    ]
    boost: Annotated[float, _pressure("Boost on a gauge", "Intake manifold pressure above the air outside.")]
    compressor_power: Annotated[
        float, _power("Power of the compressor", "What the turbine has to find, bearings not counted.", "P_c")
    ]
    compressor_outlet_temperature: Annotated[
        float,
        Output(
            unit="K",
            us="degF",
            si="degC",
            name="Air after the compressor",
            symbol="T_2",
            meaning="Temperature before the charge cooler.",
        ),
    ]
    turbine_outlet_temperature: Annotated[
        float,
        Output(
            unit="K",
            us="degF",
            si="degC",
            name="Gas behind the turbine",
            symbol="T_4",
            meaning="Mixed with what the wastegate leads past the wheel.",
        ),
    ]
    turbine_drop: Annotated[
        float,
        Output(
            unit="delta_K",
            us="delta_degF",
            name="Temperature drop across the turbine",
            meaning="How much less a probe behind the turbine reads.",
        ),
    ]
    pmep: Annotated[
        float,
        _pressure(
            "Pumping mean effective pressure",
            "Drive pressure less manifold pressure. Positive costs work, negative gives some back.",
            r"\mathrm{PMEP}",
        ),
    ]
    pumping_power: Annotated[
        float, _power("Pumping power", "What the gas exchange takes from the crankshaft.", r"P_{\mathrm{pump}}")
    ]
    turbine_inlet_pressure_rise: Annotated[
        float,
        _pressure(
            "What the back-pressure rise becomes before the turbine",
            "The rise multiplied by the expansion ratio, at the same turbine work.",
            r"\Delta p_3",
        ),
    ]
    extra_pumping_power: Annotated[
        float, _power("Power that this rise costs", "By pumping alone, with the boost held; a fall gives it back.")
    ]
    expansion_ratio_constant_cp_1150_k_4_3: Annotated[
        float | None,
        Output(
            unit="1",
            name="Expansion ratio by the textbook's short formula",
            meaning="With constant heat capacity of 1150 J/(kg·K) and k = 4/3: a check, a little high.",
        ),
    ]
    implied_efficiency: Annotated[
        float | None,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Turbine efficiency that the given drive pressure implies",
            meaning="Turbine times bearings, from a measured drive pressure; none unless one is given.",
        ),
    ]
    warnings: tuple[str, ...] = ()


def _temperature(name: str, meaning: str, low: float, high: float, symbol: str) -> Quantity:
    return Quantity(
        unit="K", us="degF", si="degC", low=low, high=high, name=name, meaning=meaning, symbol=symbol, monotone=False
    )


@calculator(
    title="Drive pressure",
    question="How much pressure does the turbine need, how does it compare with the boost, and what does it cost?",
    formulas=(
        Formula(
            r"\dot m_a\,\frac{\Delta h_{c,\mathrm{is}}}{\eta_c} = \eta_t\,\eta_m\,\dot m_e\,(1-x)\,"
            r"\Delta h_{t,\mathrm{is}}",
            "The turbocharger's power balance: the turbine finds what the compressor takes. The ideal enthalpy steps "
            "are taken with heat capacities that change with temperature.",
            (
                Symbol(r"\dot m_a, \dot m_e", "mass flow of air and of exhaust gas", "kg/s"),
                Symbol(
                    r"\Delta h_{c,\mathrm{is}}, \Delta h_{t,\mathrm{is}}",
                    "loss-free enthalpy step of compressor and turbine",
                    "J/kg",
                ),
                Symbol(r"\eta_c", "isentropic efficiency of the compressor", "1"),
                Symbol(
                    r"\eta_t\,\eta_m", "efficiency of the turbine (total to static) times that of the bearings", "1"
                ),
                Symbol("x", "share of the gas that a wastegate leads past the wheel", "1"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\mathrm{ER} = \exp\!\left(\frac{s(T_3) - s(T_{4,\mathrm{is}})}{R}\right), \qquad p_3 = \mathrm{ER}\;p_4",
            "The expansion ratio that holds this step, and with the pressure behind the turbine the one before it.",
            (
                Symbol("s", "entropy of the gas at constant pressure", "J/(kg·K)"),
                Symbol("T_3", "temperature before the turbine", "K"),
                Symbol(r"T_{4,\mathrm{is}}", "temperature after a loss-free expansion", "K"),
                Symbol("R", "gas constant of the exhaust gas", "J/(kg·K)"),
                Symbol("p_3, p_4", "pressure before and behind the turbine, absolute", "Pa"),
            ),
            TURBOCHARGING,
        ),
        Formula(
            r"\Delta p_3 = \mathrm{ER}\;\Delta p_4",
            "At the same turbine work a rise of back-pressure reaches the pistons multiplied by the expansion ratio.",
            (Symbol(r"\Delta p_4, \Delta p_3", "rise of pressure behind and before the turbine", "Pa"),),
            TURBOCHARGING,
        ),
        Formula(
            r"\mathrm{PMEP} \approx p_3 - p_m, \qquad P_{\mathrm{pump}} = \mathrm{PMEP}\;V_d\,\frac{n}{2}",
            "Pumping work of the gas exchange, first order: losses in the valves are left out.",
            (
                Symbol("p_m", "pressure in the intake manifold, absolute", "Pa"),
                Symbol("V_d", "displacement", "m³"),
                Symbol("n", "engine speed, in revolutions per second", "1/s"),
            ),
            COMBUSTION_ENGINES,
        ),
    ),
    references=(GRI_THERMO,),
    constants=(HIGHEST_EXPANSION, HIGH_DRIVE_TO_BOOST, AFR_STOICHIOMETRIC),
    valid="One compressor stage and one turbine stage in steady mean flow, efficiencies as given, lean exhaust gas. "
    "Pulses of single cylinders, a twin-scroll housing and the valves' own losses are left out. Beyond an expansion "
    "ratio of about 6 a single stage is refused.",
    cautions=("hot-exhaust", "turbocharger"),
    related=("exhaust-back-pressure", "engine-balance", "charge-air"),
    curves=(
        Curve(
            title="Drive pressure and manifold pressure against the compressor's pressure ratio",
            vary="compressor_pressure_ratio",
            outputs=("turbine_inlet_pressure", "manifold_pressure"),
            span=(1.4, 4.5),
            points=16,
        ),
        Curve(
            title="Drive-to-boost ratio against turbine efficiency",
            vary="turbine_times_mechanical_efficiency",
            outputs=("drive_to_boost",),
            span=(0.45, 0.8),
            points=15,
        ),
    ),
)
def drive_pressure(
    air_flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.02,
            high=1.5,
            monotone=False,
            name="Air flow",
            symbol=r"\dot m_a",
            meaning="Through the compressor, at the power that interests you.",
            grade=Grade.INVENTED,
        ),
    ] = 65 * POUND / 60,
    lam: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=6.0,
            monotone=False,
            name="Lambda",
            symbol=r"\lambda",
            meaning="Air over the air that the fuel needs: it sets how much fuel joins the air.",
            grade=Grade.INVENTED,
        ),
    ] = 1.45,
    compressor_pressure_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=6.0,
            monotone=False,
            name="Pressure ratio of the compressor",
            symbol=r"\mathrm{PR}",
            meaning="Absolute pressure after the compressor over that at its inlet flange, behind the air filter.",
            grade=Grade.INVENTED,
        ),
    ] = 3.0,
    compressor_inlet_temperature: Annotated[
        float, _temperature("Air at the compressor inlet", "Temperature at the flange.", 233.15, 333.15, "T_1")
    ] = 298.15,
    compressor_inlet_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=40e3,
            high=110e3,
            monotone=False,
            name="Pressure at the compressor inlet",
            symbol="p_1",
            meaning="Absolute, behind filter and duct.",
            grade=Grade.INVENTED,
        ),
    ] = 14.3 * PSI,
    compressor_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.4,
            high=0.9,
            monotone=False,
            name="Efficiency of the compressor",
            symbol=r"\eta_c",
            meaning="Isentropic, total to total; it falls towards the edges of its map.",
        ),
    ] = 0.72,
    turbine_inlet_temperature: Annotated[
        float,
        _temperature(
            "Gas before the turbine", "The EGT that counts, from a probe in the manifold.", 450, 1373.15, "T_3"
        ),
    ] = (1250 + 459.67) / 1.8,
    turbine_times_mechanical_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.3,
            high=0.9,
            monotone=False,
            name="Efficiency of the turbine, bearings included",
            symbol=r"\eta_t\,\eta_m",
            meaning="Total to static, times that of the bearings.",
        ),
    ] = 0.66,
    bypass_fraction: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=0.6,
            monotone=False,
            name="Share led past the turbine",
            symbol="x",
            meaning="Through an open wastegate; 0 with a shut one or with variable geometry.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    turbine_outlet_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=50e3,
            high=200e3,
            monotone=False,
            name="Pressure behind the turbine",
            symbol="p_4",
            meaning="Absolute: the air outside and the back-pressure of the exhaust.",
            grade=Grade.INVENTED,
        ),
    ] = 18 * PSI,
    turbine_outlet_pressure_rise: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=-50e3,
            high=100e3,
            monotone=False,
            name="Rise of that pressure to look at",
            symbol=r"\Delta p_4",
            meaning="Such as a loaded filter adds; negative for a freer exhaust.",
            grade=Grade.INVENTED,
        ),
    ] = 1.5 * PSI,
    charge_path_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=0.0,
            high=80e3,
            monotone=False,
            name="Loss from compressor to manifold",
            meaning="Charge cooler, pipes and intake horn.",
            grade=Grade.INVENTED,
        ),
    ] = 1.5 * PSI,
    ambient_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=50e3,
            high=108e3,
            monotone=False,
            name="Pressure of the air outside",
            symbol=r"p_{\mathrm{amb}}",
            meaning="What gauges count from; it falls with height above the sea.",
            grade=Grade.MEMORY,
            note="Standard atmosphere at sea level.",
        ),
    ] = float(P_STANDARD),
    displacement: Annotated[
        float,
        Quantity(
            unit="m3",
            us="L",
            si="L",
            low=0.5e-3,
            high=20e-3,
            monotone=False,
            name="Displacement",
            symbol="V_d",
            meaning="Of all cylinders.",
            grade=Grade.INVENTED,
        ),
    ] = 6.3e-3,
    speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=500,
            high=6000,
            monotone=False,
            name="Engine speed",
            symbol="n",
            meaning="Of the crankshaft.",
            grade=Grade.INVENTED,
        ),
    ] = 2800.0,
    afr_stoichiometric: Annotated[
        float,
        Quantity(
            unit="1",
            low=13.5,
            high=15.5,
            monotone=False,
            name="Air that the fuel needs",
            symbol=r"\mathrm{AFR}_{\mathrm{st}}",
            meaning="Mass of air over mass of fuel for complete burning without any left over.",
            grade=Grade.MEMORY,
            note="Mass balance for C12H23.",
        ),
    ] = float(AFR_STOICHIOMETRIC),
    intake_manifold_pressure: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=50e3,
            high=800e3,
            monotone=False,
            name="Intake manifold pressure, if measured",
            meaning="Absolute. Left empty it is the compressor's outlet less the loss on the way.",
        ),
    ] = None,
    exhaust_manifold_pressure: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=50e3,
            high=1200e3,
            monotone=False,
            name="Drive pressure, if measured",
            meaning="Absolute, before the turbine. Left empty it is computed from the power balance.",
        ),
    ] = None,
    expansion_ratio: Annotated[
        float | None,
        Quantity(
            unit="1",
            low=1.0,
            high=8.0,
            monotone=False,
            name="Expansion ratio, if known",
            meaning="Left empty it is computed from the power balance.",
        ),
    ] = None,
) -> DrivePressure:
    """Turbine inlet pressure from the turbocharger's power balance, pumping work, what a back-pressure rise becomes.

    Inputs in coherent SI (kg/s, Pa absolute, K, m3; speed in r/min). A measured drive pressure or a known expansion
    ratio takes the place of the computed one. Raises Impossible where the turbine cannot find the compressor's power,
    and for measured values that contradict each other. Sources: see `formulas` of the calculator.
    """
    gas = products(lam)
    exhaust_flow = air_flow * (1.0 + 1.0 / (lam * afr_stoichiometric))
    hot_air, work = compressor(compressor_inlet_temperature, compressor_pressure_ratio, compressor_efficiency)
    per_kg = air_flow * work / exhaust_flow
    outlet_temperature = gas.temperature_at(gas.h(turbine_inlet_temperature) - per_kg, turbine_inlet_temperature)
    if exhaust_manifold_pressure is not None and expansion_ratio is not None:
        raise Impossible(
            "Give the measured drive pressure or the expansion ratio, not both: with the pressure behind the turbine "
            "one follows from the other.",
            ("exhaust_manifold_pressure", "expansion_ratio"),
        )
    known = expansion_ratio
    if exhaust_manifold_pressure is not None:
        known = exhaust_manifold_pressure / turbine_outlet_pressure
        if known < 1.0:
            raise Impossible(
                "The pressure before the turbine cannot lie below the one behind it.",
                ("exhaust_manifold_pressure", "turbine_outlet_pressure"),
            )
    ratio = known or _expansion(
        turbine_inlet_temperature, lam, per_kg / (1.0 - bypass_fraction), turbine_times_mechanical_efficiency
    )
    inlet_pressure = ratio * turbine_outlet_pressure
    manifold = intake_manifold_pressure or compressor_inlet_pressure * compressor_pressure_ratio - charge_path_loss
    if manifold <= 0.3 * ambient_pressure:
        raise Impossible(
            "The loss from compressor to manifold leaves no pressure in the manifold.",
            ("charge_path_loss", "compressor_pressure_ratio"),
        )
    boost = manifold - ambient_pressure
    drive_to_boost = (inlet_pressure - ambient_pressure) / boost if boost > 0.02 * ambient_pressure else None
    swept = displacement * speed / 120.0
    return DrivePressure(
        turbine_inlet_pressure=inlet_pressure,
        expansion_ratio=ratio,
        drive_to_boost=drive_to_boost,
        drive_ratio=inlet_pressure / manifold,
        drive_pressure_gauge=inlet_pressure - ambient_pressure,
        manifold_pressure=manifold,
        boost=boost,
        compressor_power=air_flow * work,
        compressor_outlet_temperature=hot_air,
        turbine_outlet_temperature=outlet_temperature,
        turbine_drop=turbine_inlet_temperature - outlet_temperature,
        pmep=inlet_pressure - manifold,
        pumping_power=(inlet_pressure - manifold) * swept,
        turbine_inlet_pressure_rise=ratio * turbine_outlet_pressure_rise,
        extra_pumping_power=ratio * turbine_outlet_pressure_rise * swept,
        expansion_ratio_constant_cp_1150_k_4_3=_short_formula(
            compressor_inlet_temperature
            * (compressor_pressure_ratio**_AIR_POWER - 1.0)
            * _CP_AIR
            / compressor_efficiency,
            exhaust_flow / air_flow * (1.0 - bypass_fraction) * turbine_times_mechanical_efficiency,
            turbine_inlet_temperature,
        ),
        implied_efficiency=_implied(turbine_inlet_temperature, lam, per_kg / (1.0 - bypass_fraction), known),
        warnings=_warnings(drive_to_boost),
    )


def _expansion(temperature: float, lam: float, work: float, efficiency: float) -> float:
    """Expansion ratio (1) that gives `work` (J per kg through the wheel) from `temperature` (K)."""
    if work <= 0.0:
        return 1.0
    try:
        ratio = turbine(products(lam), temperature, work, efficiency)[1]
    except Impossible as problem:
        raise Impossible(str(problem), _TO_CHANGE) from problem
    if ratio > HIGHEST_EXPANSION:
        raise Impossible(
            f"The turbine would need an expansion ratio of {ratio:.1f}, and a single stage does not go beyond about "
            f"{float(HIGHEST_EXPANSION):.0f}: it cannot find the power that the compressor takes.",
            _TO_CHANGE,
        )
    return ratio


_TO_CHANGE = ("turbine_inlet_temperature", "compressor_pressure_ratio")


def _short_formula(compressor_work: float, turbine_share: float, temperature: float) -> float | None:
    """The textbook's closed form for constant properties; None where its bracket has no power left."""
    bracket = 1.0 - compressor_work / (turbine_share * _CP * temperature)
    return float(bracket**-_GAMMA_SHARE) if bracket > 0.2 else None


def _implied(temperature: float, lam: float, work: float, ratio: float | None) -> float | None:
    """Turbine times bearing efficiency (1) that a known expansion ratio stands for; None without one."""
    if ratio is None or ratio <= 1.0:
        return None
    gas = products(lam)
    ideal = gas.h(temperature) - gas.h(gas.isentropic(temperature, 1.0 / ratio))
    return work / ideal


def _warnings(drive_to_boost: float | None) -> tuple[str, ...]:
    if drive_to_boost is None or drive_to_boost < HIGH_DRIVE_TO_BOOST:
        return ()
    return (
        "Drive pressure is twice the boost or more: the trade calls such a turbine too small for the air that is "
        "asked of it.",
    )
