"""Exhaust gas temperature before and behind the turbine, from the energy that became neither work nor heat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.constants import AFR_STOICHIOMETRIC, LHV_DIESEL, T_DATUM
from calc.contract import Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.gas import AIR, products
from calc.provenance import Grade
from calc.references import COMBUSTION_ENGINES, GRI_THERMO, PRACTICE
from calc.units import BTU_IT, POUND, PSI

_TEN_POINTS = 0.1


def _temperature(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="K", us="degF", si="degC", name=name, meaning=meaning, symbol=symbol)


def _change(name: str, meaning: str, *, group: str = "What changes it") -> Output:
    return Output(unit="delta_K", us="delta_degF", name=name, meaning=meaning, group=group, digits=2)


@dataclass(frozen=True)
class ExhaustTemperature:
    """Temperatures in K, differences in K, specific consumption in kg/J."""

    exhaust_temperature: Annotated[
        float,
        _temperature("Exhaust temperature before the turbine", "Mean state of the gas at the port, computed.", "T_3"),
    ]
    turbine_outlet_temperature: Annotated[
        float, _temperature("Exhaust temperature behind the turbine", "What a probe in the downpipe reads.", "T_4")
    ]
    drop: Annotated[
        float,
        Output(
            unit="delta_K",
            us="delta_degF",
            name="Drop across the turbine",
            meaning="The turbine's work per kilogram of gas over its heat capacity.",
        ),
    ]
    sustained_margin: Annotated[
        float,
        _change(
            "Left to the sustained limit", "Limit less temperature before the turbine; negative is beyond.", group=""
        ),
    ]
    short_margin: Annotated[
        float, _change("Left to the limit for seconds", "Limit less temperature; negative is beyond.", group="")
    ]
    verdict: Annotated[
        str,
        Output(unit="text", name="Held against the limits", meaning="Each answer that the given ranges allow."),
    ]
    air_effect: Annotated[
        float, _change("By the change of air", "Fuel and brake efficiency as they are: less of the gas is burnt.")
    ]
    lam_after_air: Annotated[
        float,
        Output(unit="1", name="Lambda after the change of air", meaning="More air, leaner.", group="What changes it"),
    ]
    fuel_effect: Annotated[
        float | None,
        _change("By the change of fuel", "Air as it is; none where the air would not suffice for the fuel."),
    ]
    lam_after_fuel: Annotated[
        float,
        Output(unit="1", name="Lambda after the change of fuel", meaning="More fuel, richer.", group="What changes it"),
    ]
    charge_effect: Annotated[
        float,
        _change("By the change of charge temperature", "At the same lambda: colder air in, colder gas out."),
    ]
    drive_pressure_effect: Annotated[
        float,
        _change(
            "By the change of drive pressure",
            "At the same fuel, air and boost: the pumping work of the pistons ends up in the gas.",
        ),
    ]
    heat_loss_effect: Annotated[
        float,
        _change(
            "By ten points more heat to the walls",
            "From five points below to five points above the value: how much the least known input decides.",
        ),
    ]
    burnt_fraction: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Share of the fuel's heat left in the gas",
            meaning="Neither work at the crank nor heat to walls, coolant and oil.",
        ),
    ]
    specific_consumption: Annotated[
        float,
        Output(
            unit="kg/J",
            us="lb/(hp.h)",
            si="g/(kW.h)",
            name="Brake specific fuel consumption",
            symbol=r"\mathrm{bsfc}",
            meaning="The given brake efficiency in the trade's measure.",
        ),
    ]
    implied_heat_loss: Annotated[
        float | None,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Heat to the walls that a measured temperature implies",
            meaning="Closes the balance for a measured temperature before the turbine; none unless one is given.",
        ),
    ]
    warnings: tuple[str, ...] = ()


def _plain(
    name: str,
    meaning: str,
    low: float,
    high: float,
    *,
    unit: str = "1",
    us: str = "",
    si: str = "",
    symbol: str = "",
    grade: Grade = Grade.PRACTICE,
) -> Quantity:
    """An input along which some outputs rise and fall, so that ranges of it are sampled inside."""
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
        monotone=False,
    )


def _percent(name: str, meaning: str, low: float, high: float, *, symbol: str = "") -> Quantity:
    return _plain(name, meaning, low, high, us="%", si="%", symbol=symbol)


def _limit(name: str, meaning: str, low: float, high: float) -> Quantity:
    return Quantity(
        unit="K",
        us="degF",
        si="degC",
        low=600.0,
        high=1400.0,
        name=name,
        meaning=meaning,
        grade=Grade.MEMORY,
        note="No primary source; said widely for aluminium pistons and an iron manifold.",
        typical=(low, high),
    )


@calculator(
    title="Exhaust temperature",
    question="How hot is the exhaust before and behind the turbine, is that too hot, and what makes it cooler?",
    formulas=(
        Formula(
            r"H_u\,(1 - \eta_b - q) + A\left[h_{\mathrm{air}}(T_m) - h_{\mathrm{air}}(T_0)\right]"
            r" = (A + 1)\left[h_{\mathrm{gas}}(T_3) - h_{\mathrm{gas}}(T_0)\right], \qquad"
            r" A = \lambda\,\mathrm{AFR}_{\mathrm{st}}",
            "First law for one kilogram of fuel: what became neither work nor heat to the walls leaves with the gas.",
            (
                Symbol("H_u", "lower heating value of the fuel", "J/kg"),
                Symbol(r"\eta_b", "brake efficiency", "1"),
                Symbol("q", "share of the fuel's heat that goes into walls, coolant and oil", "1"),
                Symbol("A", "air over fuel, by mass", "1"),
                Symbol(r"h_{\mathrm{air}}, h_{\mathrm{gas}}", "enthalpy of air and of the lean exhaust gas", "J/kg"),
                Symbol("T_m", "charge temperature in the intake manifold", "K"),
                Symbol("T_0", "datum temperature, 298.15 K", "K"),
                Symbol("T_3", "temperature before the turbine", "K"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"h_{\mathrm{gas}}(T_4) = h_{\mathrm{gas}}(T_3) - w_t",
            "The turbine takes work out of the gas, so a probe behind it reads less.",
            (
                Symbol("T_4", "temperature behind the turbine", "K"),
                Symbol("w_t", "work of the turbine per kilogram of exhaust gas", "J/kg"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\eta_b' = \eta_b\left(1 - \frac{\Delta p_3}{\mathrm{bmep}}\right)",
            "More drive pressure at the same fuel and boost: the pistons give up that much work, and the gas keeps it.",
            (
                Symbol(r"\Delta p_3", "change of the pressure before the turbine", "Pa"),
                Symbol(r"\mathrm{bmep}", "brake mean effective pressure", "Pa"),
            ),
            COMBUSTION_ENGINES,
        ),
    ),
    references=(GRI_THERMO, PRACTICE),
    constants=(LHV_DIESEL, AFR_STOICHIOMETRIC, T_DATUM),
    valid="Complete burning (lambda of 1 and more), a steady mean over all cylinders and the whole cycle. A single "
    "cylinder, a late injection, heat lost by the manifold and the lag of a probe are left out. The share of heat "
    "that goes into the walls is the least known input: the answer is a range because that share is one.",
    cautions=("hot-exhaust", "engine-overload"),
    related=("drive-pressure", "charge-air", "engine-balance"),
    curves=(
        Curve(
            title="Exhaust temperature before and behind the turbine against lambda",
            vary="lam",
            outputs=("exhaust_temperature", "turbine_outlet_temperature"),
            span=(1.1, 2.2),
            points=23,
        ),
        Curve(
            title="Exhaust temperature against lambda for three shares of heat to the walls",
            vary="lam",
            outputs=("exhaust_temperature",),
            span=(1.1, 2.2),
            compare="heat_loss_fraction",
            values=(0.15, 0.25),
            points=23,
        ),
    ),
)
def exhaust_temperature(
    lam: Annotated[
        float,
        _plain(
            "Lambda",
            "Air over the air that the fuel needs.",
            1.0,
            6.0,
            symbol=r"\lambda",
            grade=Grade.INVENTED,
        ),
    ] = 1.45,
    brake_efficiency: Annotated[
        float,
        _percent("Brake efficiency", "Work at the crank over the fuel's heat.", 0.1, 0.55, symbol=r"\eta_b"),
    ] = 0.4,
    heat_loss_fraction: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.05,
            high=0.4,
            name="Heat to walls, coolant and oil",
            symbol="q",
            meaning="Share of the fuel's heat that leaves before the exhaust port. Nobody knows it well: give a range.",
            grade=Grade.MEMORY,
            note="No source; a few hundredths move the answer more than any part on sale.",
            typical=(0.15, 0.25),
        ),
    ] = 0.2,
    charge_temperature: Annotated[
        float,
        _plain(
            "Charge temperature",
            "In the intake manifold, after the charge cooler.",
            250.0,
            500.0,
            unit="K",
            us="degF",
            si="degC",
            symbol="T_m",
            grade=Grade.INVENTED,
        ),
    ] = (125 + 459.67) / 1.8,
    turbine_specific_work: Annotated[
        float,
        _plain(
            "Work of the turbine",
            "Per kilogram of exhaust gas: the compressor's power over the gas flow, bearings included.",
            0.0,
            300e3,
            unit="J/kg",
            us="Btu/lb",
            si="kJ/kg",
            symbol="w_t",
            grade=Grade.INVENTED,
        ),
    ] = 73 * BTU_IT / POUND,
    bmep: Annotated[
        float,
        _plain(
            "Brake mean effective pressure",
            "Power over displacement and half the speed. It only serves the effect of drive pressure.",
            3e5,
            50e5,
            unit="Pa",
            us="psi",
            si="bar",
            symbol=r"\mathrm{bmep}",
            grade=Grade.INVENTED,
        ),
    ] = 320 * PSI,
    air_change: Annotated[
        float,
        _percent("Change of air to look at", "At the same fuel; plus is more air.", -0.3, 1.0),
    ] = 0.1,
    fuel_change: Annotated[
        float,
        _percent("Change of fuel to look at", "At the same air; minus is less fuel and less power.", -0.5, 1.0),
    ] = -0.1,
    charge_temperature_change: Annotated[
        float,
        _plain(
            "Change of charge temperature to look at",
            "Minus is colder, as a better charge cooler makes it.",
            -100.0,
            100.0,
            unit="delta_K",
            us="delta_degF",
        ),
    ] = -40 / 1.8,
    drive_pressure_change: Annotated[
        float,
        _plain(
            "Change of drive pressure to look at",
            "Minus is less, as a freer exhaust makes it; the boost stays.",
            -200e3,
            200e3,
            unit="Pa",
            us="psi",
            si="kPa",
            symbol=r"\Delta p_3",
        ),
    ] = -3 * PSI,
    sustained_limit: Annotated[
        float,
        _limit(
            "Sustained limit before the turbine",
            "Held for minutes, as on a grade; the turbine's maker or the piston decides.",
            948.15,
            1033.15,
        ),
    ] = 990.65,
    short_limit: Annotated[
        float, _limit("Limit for seconds", "A short pull, never a grade.", 1033.15, 1143.15)
    ] = 1088.15,
    lhv: Annotated[
        float,
        _plain(
            "Lower heating value of the fuel",
            "Of diesel fuel; blends have less.",
            35e6,
            46e6,
            unit="J/kg",
            us="Btu/lb",
            si="MJ/kg",
            symbol="H_u",
            grade=Grade.MEMORY,
        ),
    ] = float(LHV_DIESEL),
    afr_stoichiometric: Annotated[
        float,
        _plain(
            "Air that the fuel needs",
            "Mass of air over mass of fuel for complete burning without any left over.",
            13.5,
            15.5,
            symbol=r"\mathrm{AFR}_{\mathrm{st}}",
            grade=Grade.MEMORY,
        ),
    ] = float(AFR_STOICHIOMETRIC),
    turbine_inlet_temperature: Annotated[
        float | None,
        _plain(
            "Temperature before the turbine, if measured",
            "A steady reading of a probe in the manifold. It then takes the place of the computed one behind the "
            "turbine and at the limits.",
            500.0,
            1400.0,
            unit="K",
            us="degF",
            si="degC",
        ),
    ] = None,
) -> ExhaustTemperature:
    """Exhaust temperature from the first law, held against limits, and what changes it, in K.

    Inputs in coherent SI (K, J/kg, Pa). The gas is lean products at `lam` with heat capacities that change with
    temperature. Raises Impossible when the turbine's work is more than the gas holds. Sources: see `formulas`.
    """

    def port(
        *,
        lam: float = lam,
        efficiency: float = brake_efficiency,
        walls: float = heat_loss_fraction,
        warmer: float = 0.0,
    ) -> float:
        air = lam * afr_stoichiometric
        left = lhv * (1.0 - efficiency - walls) + air * AIR.h(charge_temperature + warmer)
        return products(lam).temperature_at(left / (air + 1.0), 900.0)

    computed = port()
    inlet = turbine_inlet_temperature or computed
    gas = products(lam)
    if gas.h(inlet) - turbine_specific_work < gas.h(200.0):
        raise Impossible(
            "The turbine cannot take out that much work: the gas does not hold it.", ("turbine_specific_work",)
        )
    outlet = gas.temperature_at(gas.h(inlet) - turbine_specific_work, inlet)
    leaner, richer = lam * (1.0 + air_change), lam / (1.0 + fuel_change)
    if leaner < 1.0:
        raise Impossible(
            "With so much less air lambda falls below 1, and the fuel cannot burn completely.", ("air_change", "lam")
        )
    given_up = drive_pressure_change / bmep
    if brake_efficiency * (1.0 - given_up) + heat_loss_fraction >= 1.0:
        raise Impossible("So much less drive pressure is more than this mean pressure has to give.", _PUMPING)
    air = lam * afr_stoichiometric
    return ExhaustTemperature(
        exhaust_temperature=computed,
        turbine_outlet_temperature=outlet,
        drop=inlet - outlet,
        sustained_margin=sustained_limit - inlet,
        short_margin=short_limit - inlet,
        verdict=_verdict(inlet, sustained_limit, short_limit),
        air_effect=port(lam=leaner) - computed,
        lam_after_air=leaner,
        fuel_effect=port(lam=richer) - computed if richer >= 1.0 else None,
        lam_after_fuel=richer,
        charge_effect=port(warmer=charge_temperature_change) - computed,
        drive_pressure_effect=port(efficiency=brake_efficiency * (1.0 - given_up)) - computed,
        heat_loss_effect=port(walls=heat_loss_fraction + _TEN_POINTS / 2)
        - port(walls=heat_loss_fraction - _TEN_POINTS / 2),
        burnt_fraction=1.0 - brake_efficiency - heat_loss_fraction,
        specific_consumption=1.0 / (brake_efficiency * lhv),
        implied_heat_loss=None
        if turbine_inlet_temperature is None
        else 1.0
        - brake_efficiency
        - ((air + 1.0) * gas.h(turbine_inlet_temperature) - air * AIR.h(charge_temperature)) / lhv,
        warnings=_warnings(lam, richer),
    )


_PUMPING = ("drive_pressure_change", "bmep")


def _verdict(temperature: float, sustained: float, short: float) -> str:
    if temperature <= sustained:
        return "inside the sustained limit"
    return "for seconds only" if temperature <= short else "beyond both limits"


def _warnings(lam: float, richer: float) -> tuple[str, ...]:
    found = []
    if richer < 1.0:
        found.append(
            "With that much more fuel lambda falls below 1: it cannot burn completely, so no temperature is given."
        )
    if lam < 1.2:
        found.append(
            "Below a lambda of about 1.2 a diesel smokes: part of the fuel does not burn, and the balance errs."
        )
    return tuple(found)
