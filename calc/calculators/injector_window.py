"""Fuel through the nozzle in the crank angle that there is, and the power which that fuel supports."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc import fuel
from calc.constants import LHV_DIESEL
from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.flow import area, orifice_flow
from calc.provenance import Grade
from calc.references import ASTM_D975, COMBUSTION_ENGINES, DIESEL_MANAGEMENT, EN_590, PETROLEUM_TABLES
from calc.units import HORSEPOWER

_G_PER_KWH = 1e-3 / 3.6e6
_LATE_BURN = "What comes after the window burns late: the heat goes to the turbine instead of the piston."


def _angle(name: str, symbol: str, meaning: str, *, along: str = "") -> Output:
    return Output(unit="deg", name=name, symbol=symbol, meaning=meaning, along=along)


def _mass(name: str, symbol: str, meaning: str) -> Output:
    return Output(unit="kg", us="mg", si="mg", name=name, symbol=symbol, meaning=meaning)


def _flow(name: str, symbol: str, meaning: str, us: str = "g/s") -> Output:
    return Output(unit="kg/s", us=us, si="g/s", name=name, symbol=symbol, meaning=meaning)


def _power(name: str, meaning: str) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning)


def _density(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="kg/m3", us="lb/gal", name=name, symbol=symbol, meaning=meaning, digits=4)


def _viscosity(name: str) -> Output:
    return Output(unit="m2/s", us="mm2/s", si="mm2/s", name=name, meaning="Kinematic, at 40 °C, by the fuel standard.")


@dataclass(frozen=True)
class InjectorWindow:
    """What the power goal asks of the nozzle, and what the injection supports."""

    crank_angle_needed: Annotated[
        float,
        _angle(
            *("Injection duration that the goal needs", r"\Delta\varphi"),
            "Crank angle at this nozzle and rail pressure.",
            along="crank angle",
        ),
    ]
    window_share: Annotated[
        float,
        Output(
            unit="1", us="%", si="%", name="Share of the usable window", meaning=f"Over 100 %: too long. {_LATE_BURN}"
        ),
    ]
    fits: Annotated[
        bool, Output(unit="bool", name="Fits the window", meaning="Whether the goal's fuel is injected in time.")
    ]
    mass_needed: Annotated[float, _mass("Fuel per injection for the goal", "m", "Each cylinder, each working cycle.")]
    duration_needed: Annotated[
        float,
        Output(
            unit="s", us="ms", si="ms", name="Injection time for the goal", symbol="t", meaning="Nozzle fully open."
        ),
    ]
    hole_diameter_needed: Annotated[
        float,
        Output(
            unit="m",
            us="um",
            si="um",
            name="Hole diameter that just fits the goal in",
            symbol="d",
            meaning="Same number of holes, same pressure.",
        ),
    ]
    crank_power: Annotated[
        float,
        _power("Crank power that this injection supports", "With the whole window, unless a time or amount is given."),
    ]
    mass_per_stroke: Annotated[
        float, _mass("Fuel per injection", "m", "In the whole window, unless a time or amount is given.")
    ]
    crank_angle: Annotated[
        float, _angle("Crank angle of this injection", r"\Delta\varphi", "The angle that it takes at this speed.")
    ]
    fuel_flow: Annotated[
        float, _flow("Fuel flow of the engine", r"\dot m_f", "All cylinders, mean over the cycle.", us="lb/h")
    ]
    brake_efficiency: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Brake efficiency",
            symbol=r"\eta_b",
            meaning="Share of the fuel's energy that becomes work, by the specific consumption.",
        ),
    ]
    pressure_drop: Annotated[
        float,
        Output(
            unit="Pa",
            us="psi",
            si="MPa",
            name="Pressure drop across the holes",
            symbol=r"\Delta p",
            meaning="Rail pressure less cylinder pressure.",
        ),
    ]
    steady_flow: Annotated[float, _flow("Flow of one open nozzle", r"\dot m", "All holes, needle fully lifted.")]
    jet_velocity: Annotated[
        float,
        Output(unit="m/s", us="ft/s", name="Jet speed", symbol="v", meaning="Without losses, from the pressure drop."),
    ]
    density: Annotated[float, _density("Fuel density", "At its temperature and low pressure.", r"\rho")]
    expansion_coefficient: Annotated[
        float,
        Output(
            unit="1/K",
            us="1/delta_degF",
            name="Thermal expansion of the fuel",
            symbol="a",
            meaning="At 15 °C, by the petroleum tables.",
        ),
    ]
    density_within_standard: Annotated[
        bool | None,
        Output(unit="bool", name="Density within the fuel standard", meaning="No answer where it sets no density."),
    ]
    density_15C_min: Annotated[float | None, _density("Least density", "At 15 °C, by the fuel standard.")]
    density_15C_max: Annotated[float | None, _density("Greatest density", "At 15 °C, by the fuel standard.")]
    viscosity_40C_min: Annotated[float, _viscosity("Least viscosity")]
    viscosity_40C_max: Annotated[float, _viscosity("Greatest viscosity")]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Injector window",
    question="Does the fuel of a power goal get in through these holes in time, and how much power would they support?",
    formulas=(
        Formula(
            r"\dot m = C_d\,n\,\frac{\pi d^2}{4}\,\sqrt{2\,\rho\,\Delta p}",
            "Flow of an open nozzle: the orifice equation for a liquid.",
            (
                Symbol(r"\dot m", "mass flow of one nozzle", "kg/s"),
                Symbol("C_d", "discharge coefficient of the holes", "1"),
                Symbol("n", "number of holes", "1"),
                Symbol("d", "hole diameter", "m"),
                Symbol(r"\rho", "fuel density", "kg/m³"),
                Symbol(r"\Delta p", "rail pressure less cylinder pressure", "Pa"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\Delta\varphi = 360^{\circ}\,\frac{N}{60}\,t = 6\,N\,t",
            "Crank angle that passes while the nozzle is open.",
            (
                Symbol(r"\Delta\varphi", "crank angle", "°"),
                Symbol("N", "engine speed", "r/min"),
                Symbol("t", "injection time", "s"),
            ),
            DIESEL_MANAGEMENT,
        ),
        Formula(
            r"P = \frac{m\,z}{b}\,\frac{N}{120}",
            "A four-stroke cylinder gets one injection in two revolutions; the specific consumption turns fuel into "
            "power.",
            (
                Symbol("P", "crank power", "W"),
                Symbol("m", "fuel per injection", "kg"),
                Symbol("z", "number of cylinders", "1"),
                Symbol("b", "brake specific fuel consumption", "kg/J"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\rho = \rho_{15}\,e^{-a\,\Delta T\,(1 + 0.8\,a\,\Delta T)},\quad a = \frac{K_0}{\rho_{15}^2}"
            r" + \frac{K_1}{\rho_{15}}",
            "Density of warm fuel. Per kelvin, fuel of 838.3 kg/m³ and more has the constants 186.97 and 0.48618, "
            "lighter fuel 594.54 and 0.",
            (
                Symbol(r"\rho_{15}", "density at 15 °C", "kg/m³"),
                Symbol(r"\Delta T", "temperature above 15 °C", "K"),
                Symbol("a", "thermal expansion coefficient", "1/K"),
            ),
            PETROLEUM_TABLES,
        ),
    ),
    references=(EN_590, ASTM_D975),
    valid="One main injection with the needle fully lifted: opening and closing take part of the time, so a real "
    "nozzle passes less and needs a longer command. The discharge coefficient is taken as constant; cavitation and "
    "worn or coked holes change it. Fuel density is taken at low pressure; at rail pressure fuel is about a tenth "
    "denser, which would raise the flow by a few per cent. Rail pressure is taken as held during the injection, and "
    "air for the fuel as present: the air-demand calculator asks that question.",
    cautions=("fuel-injection", "calibration", "engine-overload"),
    related=("fuel-supply", "air-demand"),
    curves=(
        Curve(
            title="Crank angle that a power goal needs, at three rail pressures",
            vary="power_goal",
            outputs=("crank_angle_needed",),
            span=(200 * HORSEPOWER, 900 * HORSEPOWER),
            compare="rail_pressure",
            values=(140e6, 240e6),
        ),
    ),
)
def injector_window(
    power_goal: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=10e3,
            high=1500e3,
            name="Power goal at the crank",
            symbol="P",
            meaning="Wheel power over the driveline's efficiency.",
            grade=Grade.INVENTED,
        ),
    ] = 580 * HORSEPOWER,
    speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=500,
            high=6000,
            name="Engine speed",
            symbol="N",
            meaning="Where that power is made.",
            grade=Grade.INVENTED,
        ),
    ] = 2800.0,
    holes: Annotated[
        float,
        Quantity(
            unit="1",
            low=1,
            high=20,
            whole=True,
            name="Holes of a nozzle",
            symbol="n",
            meaning="Number of spray holes of one injector.",
            grade=Grade.INVENTED,
        ),
    ] = 8.0,
    hole_diameter: Annotated[
        float,
        Quantity(
            unit="m",
            us="um",
            si="um",
            low=50e-6,
            high=600e-6,
            name="Hole diameter",
            symbol="d",
            meaning="Of one spray hole, at its narrow end.",
            grade=Grade.INVENTED,
        ),
    ] = 195e-6,
    rail_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="MPa",
            low=10e6,
            high=350e6,
            name="Rail pressure",
            symbol="p_r",
            meaning="Gauge pressure that is held while the nozzle is open.",
            grade=Grade.INVENTED,
            along="injection pressure",
        ),
    ] = 180e6,
    window: Annotated[
        float,
        Quantity(
            unit="deg",
            low=2,
            high=90,
            name="Usable window",
            symbol=r"\Delta\varphi_w",
            meaning="Crank angle in which the fuel must be in to burn in time at this speed. "
            "Common practice is 25 to 35 at rated speed.",
            grade=Grade.INVENTED,
            along="crank angle",
            typical=(31.0, 36.0),
        ),
    ] = 33.5,
    bsfc: Annotated[
        float,
        Quantity(
            unit="kg/J",
            us="lb/(hp.h)",
            si="g/(kW.h)",
            low=150 * _G_PER_KWH,
            high=500 * _G_PER_KWH,
            name="Specific consumption",
            symbol="b",
            meaning="Fuel over crank work (BSFC) at this load: it rises as fuel outruns air.",
            grade=Grade.MEMORY,
        ),
    ] = 215 * _G_PER_KWH,
    cylinders: Annotated[
        float,
        Quantity(
            unit="1",
            low=1,
            high=16,
            whole=True,
            name="Cylinders",
            symbol="z",
            meaning="One injector each.",
            grade=Grade.INVENTED,
        ),
    ] = 6.0,
    discharge_coefficient: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.3,
            high=1.0,
            name="Discharge coefficient",
            symbol="C_d",
            meaning="Real flow over ideal flow of a hole; rounded, tapered holes reach the upper end.",
            note="0.75 to 0.88 is common practice.",
        ),
    ] = 0.80,
    cylinder_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="MPa",
            low=0.0,
            high=40e6,
            name="Cylinder pressure",
            symbol="p_c",
            meaning="Mean gauge pressure that the fuel is injected against.",
            grade=Grade.INVENTED,
            along="injection pressure",
        ),
    ] = 13e6,
    density_15C: Annotated[
        float,
        Quantity(
            unit="kg/m3",
            us="lb/gal",
            low=790,
            high=1000,
            monotone=False,
            name="Fuel density at 15 °C",
            symbol=r"\rho_{15}",
            meaning="From the delivery note, or weighed.",
            grade=Grade.INVENTED,
        ),
    ] = 835.0,
    temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=233.15,
            high=423.15,
            name="Fuel temperature",
            symbol="T",
            meaning="At the injector; fuel that was compressed and returned is warmer than the tank.",
            grade=Grade.MEMORY,
        ),
    ] = 333.15,
    lhv: Annotated[
        float,
        Quantity(
            unit="J/kg",
            us="Btu/lb",
            si="MJ/kg",
            low=30e6,
            high=50e6,
            name="Lower heating value",
            symbol="H",
            meaning="Energy of the fuel, water of combustion leaving as vapour.",
            grade=Grade.MEMORY,
        ),
    ] = float(LHV_DIESEL),
    standard: Annotated[
        str,
        Choice(
            name="Fuel standard",
            meaning="Whose limits the density is held against.",
            options={name: standard.title for name, standard in fuel.STANDARDS.items()},
        ),
    ] = "EN 590",
    duration: Annotated[
        float | None,
        Quantity(
            unit="s",
            us="ms",
            si="ms",
            low=50e-6,
            high=20e-3,
            name="Injection time",
            symbol="t",
            meaning="Leave empty for the whole usable window.",
        ),
    ] = None,
    pressure_drop: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="MPa",
            low=0.1e6,
            high=350e6,
            name="Pressure drop, if known",
            symbol=r"\Delta p",
            meaning="Stands in for rail less cylinder pressure, as on a test bench. Leave empty otherwise.",
        ),
    ] = None,
    density: Annotated[
        float | None,
        Quantity(
            unit="kg/m3",
            us="lb/gal",
            low=600,
            high=1100,
            name="Fuel density, if known",
            symbol=r"\rho",
            meaning="At the fuel's own temperature; stands in for the petroleum tables. Leave empty otherwise.",
        ),
    ] = None,
    mass_per_stroke: Annotated[
        float | None,
        Quantity(
            unit="kg",
            us="mg",
            si="mg",
            low=1e-6,
            high=1e-3,
            name="Fuel mass per injection, if known",
            symbol="m",
            meaning="From a calibration; stands in for the orifice equation. Leave empty otherwise.",
        ),
    ] = None,
    volume_per_stroke: Annotated[
        float | None,
        Quantity(
            unit="m3",
            us="mm3",
            si="mm3",
            low=1e-9,
            high=1e-6,
            name="Fuel volume per injection, if known",
            symbol="V",
            meaning="From a test bench, at the fuel temperature above; it is turned into mass. Leave empty otherwise.",
        ),
    ] = None,
) -> InjectorWindow:
    """Crank angle that `power_goal` (W) needs, and the power that the injection supports; all in coherent SI units.

    Speed in r/min, angles in degrees of crank. The supported power uses the fuel of the whole `window`, of `duration`,
    or the amount given. Raises Impossible when the cylinder's pressure reaches the rail's, or when mass and volume are
    both given. Sources: see `formulas` of the calculator.
    """
    if mass_per_stroke is not None and volume_per_stroke is not None:
        raise Impossible(
            "Mass and volume per injection are both given; one of them would be ignored.",
            ("mass_per_stroke", "volume_per_stroke"),
        )
    drop = rail_pressure - cylinder_pressure if pressure_drop is None else pressure_drop
    if drop <= 0:
        raise Impossible(
            "The cylinder's pressure is as high as the rail's: no fuel would be injected.",
            ("rail_pressure", "cylinder_pressure"),
        )
    rho = fuel.density(density_15C, temperature) if density is None else density
    nozzle = orifice_flow(discharge_coefficient, holes * area(hole_diameter), rho, drop)
    injections = cylinders * speed / 120.0
    needed = power_goal * bsfc / injections
    angle_needed = 6.0 * speed * needed / nozzle
    mass = _amount(nozzle, rho, duration or window / (6.0 * speed), mass_per_stroke, volume_per_stroke)
    limits = fuel.STANDARDS[standard]
    low, high = limits.density_15 or (None, None)
    within = None if low is None or high is None else low <= density_15C <= high
    return InjectorWindow(
        crank_angle_needed=angle_needed,
        window_share=angle_needed / window,
        fits=angle_needed <= window,
        mass_needed=needed,
        duration_needed=needed / nozzle,
        hole_diameter_needed=hole_diameter * math.sqrt(angle_needed / window),
        crank_power=mass * injections / bsfc,
        mass_per_stroke=mass,
        crank_angle=6.0 * speed * mass / nozzle,
        fuel_flow=mass * injections,
        brake_efficiency=1.0 / (bsfc * lhv),
        pressure_drop=drop,
        steady_flow=nozzle,
        jet_velocity=math.sqrt(2.0 * drop / rho),
        density=rho,
        expansion_coefficient=fuel.expansion(density_15C),
        density_within_standard=within,
        density_15C_min=low,
        density_15C_max=high,
        viscosity_40C_min=limits.viscosity_40[0],
        viscosity_40C_max=limits.viscosity_40[1],
        warnings=_warnings(angle_needed, window, 1.0 / (bsfc * lhv)),
    )


def _amount(nozzle: float, rho: float, time: float, mass: float | None, volume: float | None) -> float:
    """Fuel (kg) of one injection: what was given, or the nozzle's flow (kg/s) over `time` (s)."""
    if mass is not None:
        return mass
    if volume is not None:
        return rho * volume
    return nozzle * time


def _warnings(needed: float, window: float, efficiency: float) -> tuple[str, ...]:
    found = []
    if needed > window:
        found.append(f"The goal's fuel takes longer than the usable window. {_LATE_BURN}")
    if efficiency > 0.52:
        found.append("A specific consumption this low means a brake efficiency that no pickup diesel reaches.")
    return tuple(found)
