"""Compressor outlet, charge cooler, charge density and corrected flow."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc.constants import COMPRESSOR_P_REFERENCE, COMPRESSOR_T_REFERENCE, P_STANDARD, R_AIR, T_STANDARD
from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.gas import AIR
from calc.provenance import Grade
from calc.references import COMPACT_HEAT_EXCHANGERS, GRI_THERMO, TURBOCHARGING
from calc.turbo import charge_cooler, compressor, corrected_flow
from calc.units import POUND, PSI, to_si

_ONE_STAGE = 4.5
_REFERENCES = {
    "298-k-100-kpa": ("298 K and 100 kPa", float(COMPRESSOR_T_REFERENCE), float(COMPRESSOR_P_REFERENCE)),
    "85-degf-28.4-inhg": ("85 °F and 28.4 inHg", to_si(85.0, "degF"), to_si(28.4, "inHg")),
    "288-k-101-kpa": ("288.15 K and 101.325 kPa, the standard atmosphere", float(T_STANDARD), float(P_STANDARD)),
}


def _temperature(name: str, meaning: str, symbol: str) -> Output:
    return Output(unit="K", us="degF", si="degC", name=name, meaning=meaning, symbol=symbol)


@dataclass(frozen=True)
class ChargeAir:
    """Temperatures in K, pressures in Pa (absolute), powers in W, densities in kg/m3, flows in kg/s."""

    outlet_temperature: Annotated[
        float,
        _temperature("Compressor outlet", "With air's heat capacity as it changes with temperature.", "T_2"),
    ]
    outlet_temperature_constant_k: Annotated[
        float,
        _temperature(
            "The same with constant k", "The formula of the handbook, k = 1.4: compare, and see it suffice.", "T_2"
        ),
    ]
    outlet_pressure: Annotated[
        float,
        Output(
            unit="Pa",
            us="psi",
            si="kPa",
            name="Compressor outlet pressure",
            symbol="p_2",
            meaning="Absolute, at the flange.",
            digits=4,
        ),
    ]
    specific_work: Annotated[
        float,
        Output(
            unit="J/kg",
            us="Btu/lb",
            si="kJ/kg",
            name="Work of the compressor",
            symbol="w_c",
            meaning="For each kilogram or pound of air.",
        ),
    ]
    shaft_power: Annotated[
        float,
        Output(
            unit="W",
            us="hp",
            si="kW",
            name="Compressor power",
            symbol="P_c",
            meaning="That the turbine has to find in the exhaust gas, bearing loss left out.",
        ),
    ]
    overall_efficiency: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Overall isentropic efficiency",
            meaning="Of all stages together; with two stages it lies below that of each.",
        ),
    ]
    charge_temperature: Annotated[float, _temperature("Charge temperature", "Behind the charge cooler.", "T_3")]
    charge_pressure: Annotated[
        float,
        Output(
            unit="Pa",
            us="psi",
            si="kPa",
            name="Charge pressure",
            symbol="p_3",
            meaning="Absolute, behind the charge cooler.",
            digits=4,
        ),
    ]
    effectiveness: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Cooler effectiveness",
            symbol=r"\varepsilon",
            meaning="As given, or from a measured charge temperature or the cooler's size.",
        ),
    ]
    cooler_heat: Annotated[
        float,
        Output(
            unit="W",
            us="Btu/min",
            si="kW",
            name="Heat to the cooling air or water",
            meaning="That the charge gives up in the cooler.",
        ),
    ]
    charge_density: Annotated[
        float,
        Output(
            unit="kg/m3",
            us="lb/ft3",
            name="Charge density",
            symbol=r"\rho_3",
            meaning="Behind the cooler: power follows this, not the pressure.",
        ),
    ]
    density_ratio: Annotated[
        float,
        Output(
            unit="1",
            name="Density ratio",
            symbol=r"\rho_3/\rho_1",
            meaning="Behind the cooler over the compressor's inlet.",
        ),
    ]
    corrected_flow: Annotated[
        float,
        Output(
            unit="kg/s",
            us="lb/min",
            name="Corrected flow",
            symbol=r"\dot m_{\mathrm{corr}}",
            meaning="To look up in a compressor map that is drawn for the same reference.",
        ),
    ]
    reference: Annotated[
        str, Output(unit="text", name="Corrected to", meaning="The reference inlet state of that flow.")
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Charge air",
    question="How hot does the compressor make the air, what does that cost, and how dense is it behind the cooler?",
    formulas=(
        Formula(
            r"h(T_2) = h(T_1) + \frac{h(T_{2s}) - h(T_1)}{\eta_c} \;\approx\; c_p T_1 + \frac{c_p T_1}{\eta_c}"
            r"\left(\Pi^{\frac{k-1}{k}} - 1\right)",
            "Compression with loss: the ideal rise over the isentropic efficiency. The left form uses enthalpies "
            "of air, "
            "the right one a constant ratio of heat capacities.",
            (
                Symbol("h", "enthalpy of air", "J/kg"),
                Symbol("T_1, T_2", "temperature at compressor inlet and outlet", "K"),
                Symbol("T_{2s}", "outlet temperature of a loss-free compression", "K"),
                Symbol(r"\eta_c", "isentropic efficiency, total to total", "1"),
                Symbol(r"\Pi", "pressure ratio at the flanges", "1"),
                Symbol("k", "ratio of heat capacities, 1.4", "1"),
            ),
            TURBOCHARGING,
        ),
        Formula(
            r"P_c = \dot m\,w_c,\qquad w_c = h(T_2) - h(T_1)",
            "Power of the compressor.",
            (Symbol(r"\dot m", "air flow", "kg/s"), Symbol("w_c", "specific work", "J/kg")),
            TURBOCHARGING,
        ),
        Formula(
            r"T_3 = T_2 - \varepsilon\,(T_2 - T_{\mathrm{cool}})",
            "The cooler takes this share of the difference to what cools it, the charge being the smaller stream "
            "of heat "
            "capacity.",
            (
                Symbol(r"\varepsilon", "effectiveness", "1"),
                Symbol(r"T_{\mathrm{cool}}", "temperature of the cooling air or water at its inlet", "K"),
            ),
            COMPACT_HEAT_EXCHANGERS,
        ),
        Formula(
            r"\varepsilon = \frac{1}{C_r N}\sum_{n=0}^{\infty}\left(1 - e^{-N}\sum_{m=0}^{n}\frac{N^m}{m!}\right)"
            r"\left(1 - e^{-C_r N}\sum_{m=0}^{n}\frac{(C_r N)^m}{m!}\right)",
            "Effectiveness of a crossflow cooler from its size, neither stream mixing across its way.",
            (
                Symbol("N", "number of transfer units", "1"),
                Symbol("C_r", "heat capacity rate of the charge over that of the coolant", "1"),
            ),
            COMPACT_HEAT_EXCHANGERS,
        ),
        Formula(
            r"\frac{\rho_3}{\rho_1} = \frac{p_3}{p_1}\,\frac{T_1}{T_3}",
            "Density, with the cooler's pressure loss counted.",
            (
                Symbol("p_3", "pressure behind the cooler", "Pa"),
                Symbol("p_1", "pressure at the compressor inlet", "Pa"),
            ),
            TURBOCHARGING,
        ),
        Formula(
            r"\dot m_{\mathrm{corr}} = \dot m\,\frac{\sqrt{T_1/T_{\mathrm{ref}}}}{p_1/p_{\mathrm{ref}}}",
            "Flow that would mean the same Mach numbers in the compressor at the reference inlet.",
            (
                Symbol(r"T_{\mathrm{ref}}", "reference inlet temperature", "K"),
                Symbol(r"p_{\mathrm{ref}}", "reference inlet pressure", "Pa"),
            ),
            TURBOCHARGING,
        ),
    ),
    references=(GRI_THERMO,),
    constants=(COMPRESSOR_T_REFERENCE, COMPRESSOR_P_REFERENCE, R_AIR, T_STANDARD, P_STANDARD),
    valid="Dry air as an ideal gas, steady flow, no heat from the hot housing into the air (at small flows that "
    "lifts the "
    "outlet temperature), no water condensing in the cooler, no intercooling between two stages.",
    cautions=("turbocharger", "hot-exhaust"),
    related=("air-demand", "intake-restriction", "drive-pressure"),
    curves=(
        Curve(
            title="Density ratio against pressure ratio, for three coolers",
            vary="pressure_ratio",
            outputs=("density_ratio",),
            span=(1.0, 5.0),
            compare="cooler_effectiveness",
            values=(0.0, 0.6),
        ),
        Curve(
            title="Temperatures against pressure ratio",
            vary="pressure_ratio",
            outputs=("outlet_temperature", "charge_temperature"),
            span=(1.0, 5.0),
        ),
    ),
)
def charge_air(
    air_flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.001,
            high=5.0,
            name="Air flow",
            symbol=r"\dot m",
            meaning="Through the compressor.",
            grade=Grade.INVENTED,
        ),
    ] = 65 * POUND / 60,
    inlet_temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=223.15,
            high=373.15,
            name="Temperature at the compressor inlet",
            symbol="T_1",
            meaning="Of the air that really enters, engine bay included.",
            grade=Grade.INVENTED,
        ),
    ] = 298.15,
    inlet_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=30e3,
            high=120e3,
            name="Pressure at the compressor inlet",
            symbol="p_1",
            meaning="Absolute, behind filter and duct.",
            grade=Grade.INVENTED,
        ),
    ] = 14.2 * PSI,
    pressure_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=8.0,
            name="Pressure ratio",
            symbol=r"\Pi",
            meaning="Absolute outlet over absolute inlet pressure, at the compressor's flanges.",
            grade=Grade.INVENTED,
        ),
    ] = 3.3,
    compressor_outlet_pressure: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=30e3,
            high=960e3,
            name="Compressor outlet pressure, when measured",
            symbol="p_2",
            meaning="Absolute; used in place of the pressure ratio.",
        ),
    ] = None,
    isentropic_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.3,
            high=1.0,
            name="Isentropic efficiency of a stage",
            symbol=r"\eta_c",
            meaning="Total to total, at this point of the compressor's map.",
            note="0.65 to 0.78 inside a map, less at its edge.",
        ),
    ] = 0.72,
    stages: Annotated[
        float,
        Quantity(
            unit="1",
            low=1,
            high=3,
            whole=True,
            name="Compressor stages in series",
            meaning="Each takes the same share of the pressure ratio; nothing cools between them.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    compressor_outlet_temperature: Annotated[
        float | None,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=223.15,
            high=773.15,
            name="Compressor outlet temperature, when measured",
            symbol="T_2",
            meaning="Used in place of the computed one, for work, power and cooler alike.",
        ),
    ] = None,
    coolant_temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=223.15,
            high=373.15,
            name="Temperature of the cooling air or water",
            symbol=r"T_{\mathrm{cool}}",
            meaning="Where it enters the charge cooler.",
            grade=Grade.INVENTED,
        ),
    ] = 303.15,
    cooler_effectiveness: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Effectiveness of the charge cooler",
            symbol=r"\varepsilon",
            meaning="Nothing at zero; the coolant's temperature at one.",
            note="0.7 to 0.9 for an air-to-air cooler on the road.",
        ),
    ] = 0.82,
    measured_charge_temperature: Annotated[
        float | None,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=223.15,
            high=573.15,
            name="Charge temperature, when measured",
            symbol="T_3",
            meaning="Gives the effectiveness in place of the one above.",
        ),
    ] = None,
    transfer_units: Annotated[
        float | None,
        Quantity(
            unit="1",
            low=0.01,
            high=10.0,
            name="Transfer units of the cooler, when known",
            symbol="N",
            meaning="Heat transfer times area over the charge's heat capacity rate; gives the effectiveness.",
        ),
    ] = None,
    capacity_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.01,
            high=1.0,
            name="Capacity ratio of the cooler",
            symbol="C_r",
            meaning="Heat capacity rate of the charge over that of the coolant; used with the transfer units.",
            grade=Grade.INVENTED,
        ),
    ] = 0.4,
    cooler_pressure_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=0.0,
            high=100e3,
            name="Pressure loss of the cooler",
            meaning="Between the compressor's outlet and the charge pressure.",
            grade=Grade.INVENTED,
        ),
    ] = 1.3 * PSI,
    reference: Annotated[
        str,
        Choice(
            name="Reference of the corrected flow",
            meaning="The inlet state that the compressor map is drawn for; it stands on the map.",
            options={key: label for key, (label, _, _) in _REFERENCES.items()},
            grade=Grade.MEMORY,
        ),
    ] = "298-k-100-kpa",
    reference_temperature: Annotated[
        float | None,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=223.15,
            high=373.15,
            name="Another reference temperature",
            symbol=r"T_{\mathrm{ref}}",
            meaning="Used in place of the choice above, when the map states another one.",
        ),
    ] = None,
    reference_pressure: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=50e3,
            high=120e3,
            name="Another reference pressure",
            symbol=r"p_{\mathrm{ref}}",
            meaning="Used in place of the choice above, when the map states another one.",
        ),
    ] = None,
) -> ChargeAir:
    """State of the air behind the compressor (K, Pa) and behind the charge cooler, and the flow for a compressor map.

    Coherent SI inputs. Raises Impossible when the outlet pressure lies below the inlet's, when a measured temperature
    lies below what a loss-free compression gives or outside what a cooler can do, or when the cooler's loss takes all
    of the pressure.
    """
    if compressor_outlet_pressure is not None:
        pressure_ratio = compressor_outlet_pressure / inlet_pressure
        if not 1.0 <= pressure_ratio <= 8.0:
            raise Impossible(
                "The measured outlet pressure over the inlet pressure must lie between one and eight.",
                ("compressor_outlet_pressure", "inlet_pressure"),
            )
    computed = _stages(inlet_temperature, pressure_ratio, isentropic_efficiency, round(stages))
    t2 = computed if compressor_outlet_temperature is None else compressor_outlet_temperature
    ideal = AIR.isentropic(inlet_temperature, pressure_ratio)
    if compressor_outlet_temperature is not None and t2 < ideal:
        raise Impossible(
            "The air cannot leave colder than a compression without any loss would make it; was it measured behind the "
            "cooler?",
            ("compressor_outlet_temperature", "pressure_ratio"),
        )
    work = AIR.h(t2) - AIR.h(inlet_temperature)
    effectiveness = _effectiveness(
        t2, coolant_temperature, cooler_effectiveness, measured_charge_temperature, transfer_units, capacity_ratio
    )
    t3 = charge_cooler(t2, effectiveness, coolant_temperature)
    p2 = inlet_pressure * pressure_ratio
    p3 = p2 - cooler_pressure_loss
    if p3 <= 0.0:
        raise Impossible("The cooler's loss takes all of the charge pressure.", ("cooler_pressure_loss",))
    label, t_ref, p_ref = _REFERENCES[reference]
    if reference_temperature is not None or reference_pressure is not None:
        t_ref = t_ref if reference_temperature is None else reference_temperature
        p_ref = p_ref if reference_pressure is None else reference_pressure
        label = f"{t_ref:.2f} K and {p_ref / 1e3:.3f} kPa"
    return ChargeAir(
        outlet_temperature=t2,
        outlet_temperature_constant_k=_constant_k(
            inlet_temperature, pressure_ratio, isentropic_efficiency, round(stages)
        ),
        outlet_pressure=p2,
        specific_work=work,
        shaft_power=air_flow * work,
        overall_efficiency=(AIR.h(ideal) - AIR.h(inlet_temperature)) / work
        if pressure_ratio > 1.0 and work > 0.0
        else isentropic_efficiency,
        charge_temperature=t3,
        charge_pressure=p3,
        effectiveness=effectiveness,
        cooler_heat=air_flow * (AIR.h(t2) - AIR.h(t3)),
        charge_density=p3 / (R_AIR * t3),
        density_ratio=p3 / inlet_pressure * inlet_temperature / t3,
        corrected_flow=corrected_flow(air_flow, inlet_temperature, inlet_pressure, t_ref, p_ref),
        reference=label,
        warnings=_warnings(pressure_ratio, round(stages), t2, coolant_temperature, effectiveness),
    )


def _stages(temperature: float, ratio: float, efficiency: float, stages: int) -> float:
    """Outlet temperature (K) of equal stages in series without cooling between them."""
    for _ in range(stages):
        temperature, _work = compressor(temperature, math.pow(ratio, 1.0 / stages), efficiency)
    return temperature


def _constant_k(temperature: float, ratio: float, efficiency: float, stages: int) -> float:
    rise = 1.0 + (math.pow(ratio, 0.4 / 1.4 / stages) - 1.0) / efficiency
    return float(temperature * rise**stages)


def _effectiveness(
    hot: float, cold: float, given: float, measured: float | None, units: float | None, capacity_ratio: float
) -> float:
    if measured is not None:
        if hot == cold or not 0.0 <= (hot - measured) / (hot - cold) <= 1.0:
            raise Impossible(
                "A cooler brings the charge to between the compressor's outlet temperature and its coolant's.",
                ("measured_charge_temperature", "coolant_temperature"),
            )
        return (hot - measured) / (hot - cold)
    if units is not None:
        return _crossflow(units, capacity_ratio)
    return given


def _crossflow(units: float, capacity_ratio: float) -> float:
    """Effectiveness (1) of crossflow with both streams unmixed: the exact series, summed until its terms vanish."""
    x, y = units, capacity_ratio * units
    term_x, term_y = math.exp(-x), math.exp(-y)
    left_x, left_y = 1.0 - term_x, 1.0 - term_y
    total, n = 0.0, 0
    while left_x * left_y > 1e-15:
        total += left_x * left_y
        n += 1
        term_x *= x / n
        term_y *= y / n
        left_x -= term_x
        left_y -= term_y
    return min(total / y, 1.0)


def _warnings(ratio: float, stages: int, hot: float, cold: float, effectiveness: float) -> tuple[str, ...]:
    found = []
    if ratio ** (1.0 / stages) > _ONE_STAGE:
        found.append(
            f"A pressure ratio of {ratio ** (1.0 / stages):.1f} in one stage is more than one usually gives (practice)."
        )
    if hot < cold and effectiveness > 0.0:
        found.append("What should cool the charge is hotter than the charge: the cooler heats it.")
    return tuple(found)
