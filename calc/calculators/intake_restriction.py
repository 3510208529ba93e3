"""What filter, duct, bends and horn cost on the air's way, and what that means in boost and power."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc import gas
from calc.constants import MACH_WARNING, P_STANDARD, R_AIR, STEEL_ROUGHNESS, SUTHERLAND_BETA
from calc.contract import Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.flow import (
    bend_loss,
    dynamic_pressure,
    friction_factor,
    mach_from_total,
    medium_from_point,
    medium_loss,
    pipe_downstream,
    pipe_loss,
    reynolds,
    velocity,
)
from calc.provenance import Grade
from calc.references import (
    FRICTION_EXPLICIT,
    GAS_DYNAMICS,
    PIPE_FLOW,
    PRACTICE,
    TURBOCHARGING,
    VISCOUS_FLUID_FLOW,
)
from calc.units import FOOT, HORSEPOWER, INCH, INCH_OF_WATER, POUND, PSI, to_si

_RESTRICTION_HIGH = 6.2e3
_K = 1.4


def _pressure(name: str, meaning: str, *, us: str = "inH2O", group: str = "", part_of: str = "") -> Output:
    return Output(unit="Pa", us=us, si="kPa", name=name, meaning=meaning, group=group, part_of=part_of)


def _number(name: str, meaning: str, symbol: str = "", group: str = "Horn") -> Output:
    return Output(unit="1", name=name, meaning=meaning, symbol=symbol, group=group)


@dataclass(frozen=True)
class IntakeRestriction:
    """Pressures in Pa, speeds in m/s, densities in kg/m3, powers in W. The horn is the tract behind the cooler."""

    restriction: Annotated[
        float,
        _pressure(
            "Restriction before the compressor", "Filter and duct: what a restriction gauge there reads, at least."
        ),
    ]
    filter_loss: Annotated[
        float, _pressure("Filter", "The measured loss, brought to this flow and air.", part_of="restriction")
    ]
    duct_loss: Annotated[
        float, _pressure("Duct", "Walls and bends from the filter to the compressor.", part_of="restriction")
    ]
    duct_loss_compressible: Annotated[
        float, _pressure("Duct, checked as a gas", "With the density falling along the duct.", group="Duct")
    ]
    duct_velocity: Annotated[
        float,
        Output(unit="m/s", us="ft/s", name="Air speed in the duct", meaning="Mean speed.", group="Duct"),
    ]
    duct_mach: Annotated[float, _number("Mach number in the duct", "Air speed over speed of sound.", group="Duct")]
    total_loss: Annotated[
        float, _pressure("Loss of the horn", "Walls, bends and fittings of the tract behind the cooler.", us="psi")
    ]
    friction_loss: Annotated[
        float, _pressure("Walls of the horn", "Friction alone.", us="psi", group="Horn", part_of="total_loss")
    ]
    bend_loss: Annotated[
        float,
        _pressure("Bends and fittings of the horn", "The rest.", us="psi", group="Horn", part_of="total_loss"),
    ]
    total_loss_compressible: Annotated[
        float, _pressure("Horn, checked as a gas", "With the density falling along it.", us="psi", group="Horn")
    ]
    density: Annotated[
        float,
        Output(unit="kg/m3", us="lb/ft3", name="Charge density", symbol=r"\rho", meaning="In the horn.", group="Horn"),
    ]
    velocity: Annotated[
        float,
        Output(unit="m/s", us="ft/s", name="Air speed in the horn", symbol="v", meaning="Mean speed.", group="Horn"),
    ]
    mach: Annotated[float, _number("Mach number in the horn", "Air speed over speed of sound.", "M")]
    reynolds: Annotated[float, _number("Reynolds number of the horn", "Above 4000: turbulent.", r"\mathrm{Re}")]
    friction_factor: Annotated[float, _number("Friction factor of the horn", "Darcy's, four times Fanning's.", "f")]
    dynamic_pressure: Annotated[
        float, _pressure("Dynamic pressure in the horn", "What a loss coefficient multiplies.", us="psi", group="Horn")
    ]
    boost_lost: Annotated[
        float,
        _pressure(
            "Boost lost, turbo as it works",
            "First order: at the same pressure ratio the compressor multiplies what is lost before it.",
            us="psi",
            group="What it costs",
        ),
    ]
    power_share_lost: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Air lost, turbo as it works",
            meaning="First order: the same share of power at the same lambda, or of lambda at the same fuel.",
            group="What it costs",
        ),
    ]
    power_at_stake: Annotated[
        float,
        Output(
            unit="W",
            us="hp",
            si="kW",
            name="Power that this air would burn",
            meaning="The most that all restriction together can be worth; a bigger bore wins a part of it.",
            digits=2,
            group="What it costs",
        ),
    ]
    compressor_power: Annotated[
        float,
        Output(
            unit="W",
            us="hp",
            si="kW",
            name="Extra compressor power, boost held",
            meaning="When the boost is held, the compressor works harder by this, and the pistons pay about as much.",
            digits=2,
            group="What it costs",
        ),
    ]
    velocity_ratio: Annotated[
        float,
        _number("Air speed, horn over the other bore", "Bore squared, turned round.", group="The other bore"),
    ]
    dynamic_pressure_ratio: Annotated[
        float,
        _number(
            "Loss by bends, horn over the other bore",
            "At the same loss coefficient: the fourth power.",
            group="The other bore",
        ),
    ]
    loss_other_bore: Annotated[
        float,
        _pressure("Loss of the horn with the other bore", "Same length and bends.", us="psi", group="The other bore"),
    ]
    power_gain_other_bore: Annotated[
        float,
        Output(
            unit="W",
            us="hp",
            si="kW",
            name="Power from the other bore, at most",
            meaning="Turbo as it works, lambda kept: negative when the other bore is smaller.",
            digits=2,
            group="The other bore",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Intake restriction",
    question="What do filter, duct, bends and horn cost, and is a bigger bore worth anything?",
    formulas=(
        Formula(
            r"\Delta p = \left(f\,\frac{L}{D} + \sum K\right)\frac{\rho v^2}{2},\qquad "
            r"v = \frac{4\,\dot m}{\pi\rho D^2}",
            "Darcy-Weisbach: walls and bends lose a multiple of the air's dynamic pressure.",
            (
                Symbol(r"\Delta p", "loss of total pressure", "Pa"),
                Symbol("f", "friction factor (Darcy)", "1"),
                Symbol("L", "length", "m"),
                Symbol("D", "bore", "m"),
                Symbol("K", "loss coefficient of a bend or fitting", "1"),
                Symbol(r"\rho", "density of the air there", "kg/m³"),
                Symbol("v", "mean speed", "m/s"),
                Symbol(r"\dot m", "air flow", "kg/s"),
            ),
            VISCOUS_FLUID_FLOW,
        ),
        Formula(
            r"f = \frac{64}{\mathrm{Re}}\ \text{laminar},\qquad \frac{1}{\sqrt f} = -1.8\,\log_{10}\!\left["
            r"\left(\frac{\varepsilon/D}{3.7}\right)^{1.11} + \frac{6.9}{\mathrm{Re}}\right]\ \text{turbulent}",
            "Friction factor of a rough pipe.",
            (
                Symbol(r"\varepsilon", "roughness of the wall", "m"),
                Symbol(r"\mathrm{Re}", "Reynolds number", "1"),
            ),
            FRICTION_EXPLICIT,
        ),
        Formula(
            r"\Delta p_{\mathrm{filter}} = a\,\dot m + b\,\dot m^2",
            "A filter medium: a viscous and an inertial part through one measured point.",
            (
                Symbol("a", "viscous coefficient", "Pa·s/kg"),
                Symbol("b", "inertial coefficient", "Pa·s²/kg²"),
            ),
            PRACTICE,
        ),
        Formula(
            r"\dot m = A\,p_0\sqrt{\frac{k}{R\,T_0}}\;M\left(1 + \frac{k-1}{2}M^2\right)^{-\frac{k+1}{2(k-1)}}",
            "Mach number in a bore. Above one there is no such flow: the bore chokes and the calculator refuses.",
            (
                Symbol("M", "Mach number", "1"),
                Symbol("A", "section of the bore", "m²"),
                Symbol("p_0, T_0", "pressure and temperature of the air at rest", "Pa, K"),
                Symbol("k", "ratio of heat capacities, 1.4", "1"),
            ),
            GAS_DYNAMICS,
        ),
        Formula(
            r"\Delta p_{\mathrm{boost}} \approx \Pi\,\Delta p_1 + \Delta p_2,\qquad "
            r"\frac{\Delta P}{P} \approx \frac{\Delta p_{\mathrm{boost}}}{p_{\mathrm{man}}}",
            "Turbo as it works: what is lost before the compressor is lost multiplied by its pressure ratio.",
            (
                Symbol(r"\Delta p_1", "loss before the compressor", "Pa"),
                Symbol(r"\Delta p_2", "loss of the horn", "Pa"),
                Symbol(r"\Pi", "pressure ratio of the compressor", "1"),
                Symbol(r"p_{\mathrm{man}}", "absolute pressure in the manifold", "Pa"),
            ),
            TURBOCHARGING,
        ),
        Formula(
            r"\Delta P_c \approx \dot m\,\frac{R\,T_1}{\eta_c}\,\Pi^{\frac{k-1}{k}}"
            r"\left(\frac{\Delta p_1}{p_1} + \frac{\Delta p_2}{p_2}\right)",
            "Boost held: the compressor's extra power, to first order.",
            (
                Symbol("T_1", "temperature before the compressor", "K"),
                Symbol(r"\eta_c", "isentropic efficiency of the compressor", "1"),
                Symbol("p_1, p_2", "pressure before and behind the compressor", "Pa"),
            ),
            TURBOCHARGING,
        ),
    ),
    references=(PIPE_FLOW,),
    constants=(MACH_WARNING, R_AIR, SUTHERLAND_BETA, STEEL_ROUGHNESS, P_STANDARD),
    valid="Mean flow below about Mach 0.3 (a warning shows above), round bores, steady. The pulses of single "
    "cylinders, "
    "swirl before the compressor's wheel and the tuning of runners are left out. The costs are first-order; the engine "
    "balance on the planner's page couples them with the turbine.",
    cautions=("turbocharger", "emission-hardware"),
    related=("charge-air", "air-demand", "exhaust-back-pressure"),
    curves=(
        Curve(
            title="Loss of the horn against its bore, for three flows",
            vary="bore",
            outputs=("total_loss",),
            span=(2 * INCH, 4.5 * INCH),
            compare="mass_flow",
            values=(0.3, 0.6),
        ),
        Curve(
            title="Restriction before the compressor against flow",
            vary="mass_flow",
            outputs=("restriction", "filter_loss", "duct_loss"),
            span=(0.05, 0.7),
        ),
    ),
)
def intake_restriction(
    mass_flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.02,
            high=1.5,
            name="Air flow",
            symbol=r"\dot m",
            meaning="At the power that interests you.",
            grade=Grade.INVENTED,
        ),
    ] = 60 * POUND / 60,
    outside_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=50e3,
            high=108e3,
            name="Pressure outside",
            meaning="Absolute; it falls with height above the sea.",
            grade=Grade.MEMORY,
            note="Standard atmosphere at sea level.",
        ),
    ] = float(P_STANDARD),
    outside_temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=228.15,
            high=343.15,
            name="Temperature of the air drawn in",
            symbol="T_1",
            meaning="At filter and duct.",
            grade=Grade.INVENTED,
        ),
    ] = 298.15,
    measured_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inH2O",
            si="kPa",
            low=0.0,
            high=15e3,
            name="Filter loss, measured",
            meaning="Across filter and box as they are loaded, at the flow below.",
            note="2.5 to 3.7 kPa clean, 5.0 to 6.2 kPa when it is due for a new one.",
        ),
    ] = 10 * INCH_OF_WATER,
    measured_flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.02,
            high=1.5,
            name="Flow when it was measured",
            meaning="Air flow at that measurement, in air like the one above.",
            grade=Grade.INVENTED,
        ),
    ] = 53 * POUND / 60,
    linear_share: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Viscous share of the filter loss",
            meaning="The share that goes with flow; the rest goes with flow squared.",
            grade=Grade.MEMORY,
        ),
    ] = 1 / 3,
    duct_bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.03,
            high=0.15,
            monotone=False,
            name="Bore of the duct",
            meaning="From the filter to the compressor, at its narrowest.",
            grade=Grade.INVENTED,
        ),
    ] = 4 * INCH,
    duct_length: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=0.0,
            high=4.0,
            name="Length of the duct",
            meaning="Along the centre line.",
            grade=Grade.INVENTED,
        ),
    ] = 2.5 * FOOT,
    duct_bends: Annotated[
        float,
        Quantity(
            unit="1",
            low=0,
            high=8,
            whole=True,
            name="Bends of the duct",
            meaning="Number of right-angle bends.",
            grade=Grade.INVENTED,
        ),
    ] = 2.0,
    pressure_abs: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=60e3,
            high=900e3,
            monotone=False,
            name="Charge pressure",
            symbol="p_2",
            meaning="Absolute, where the horn begins.",
            grade=Grade.INVENTED,
        ),
    ] = 44 * PSI,
    temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=243.15,
            high=473.15,
            name="Charge temperature",
            symbol="T",
            meaning="In the horn, behind the charge cooler.",
            grade=Grade.INVENTED,
        ),
    ] = to_si(125.0, "degF"),
    bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.03,
            high=0.15,
            monotone=False,
            name="Bore of the horn",
            symbol="D",
            meaning="Inside diameter of the tract from the cooler to the manifold, at its narrowest.",
            grade=Grade.INVENTED,
        ),
    ] = 2.4 * INCH,
    length: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=0.0,
            high=5.0,
            name="Length of the horn",
            symbol="L",
            meaning="Of that bore, along the centre line.",
            grade=Grade.INVENTED,
        ),
    ] = FOOT,
    bends_90: Annotated[
        float,
        Quantity(
            unit="1",
            low=0,
            high=8,
            whole=True,
            name="Bends of the horn",
            meaning="Number of right-angle bends of that bore.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    bend_radius_to_diameter: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.5,
            high=6.0,
            monotone=False,
            name="Bend radius over bore",
            symbol="r/D",
            meaning="Centre-line radius of the bends, of duct and horn, over their bore.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    bend_k: Annotated[
        float | None,
        Quantity(
            unit="1",
            low=0.0,
            high=5.0,
            name="Loss coefficient of a bend, when known",
            symbol="K",
            meaning="Used for every bend in place of the one computed from its radius.",
        ),
    ] = None,
    fittings_k: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=20.0,
            name="Loss coefficient of other fittings of the horn",
            meaning="A flap, a step or a sharp edge, on the horn's bore.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    roughness: Annotated[
        float,
        Quantity(
            unit="m",
            us="thou",
            si="um",
            low=0.0,
            high=1e-3,
            name="Roughness of the walls",
            symbol=r"\varepsilon",
            meaning="Height of the unevenness inside duct and horn.",
            grade=Grade.MEMORY,
            note="Clean commercial steel; a casting is rougher, a moulded duct smoother.",
        ),
    ] = float(STEEL_ROUGHNESS),
    other_bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.03,
            high=0.15,
            monotone=False,
            name="Another bore of the horn",
            meaning="To compare with.",
            grade=Grade.INVENTED,
        ),
    ] = 3.5 * INCH,
    brake_power: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=2e6,
            name="Brake power at this flow",
            symbol="P",
            meaning="At the crank; it turns the share of air into power.",
            grade=Grade.INVENTED,
        ),
    ] = 480 * HORSEPOWER,
    compressor_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.3,
            high=1.0,
            name="Isentropic efficiency of the compressor",
            symbol=r"\eta_c",
            meaning="At this point.",
            note="0.65 to 0.78 inside a map.",
        ),
    ] = 0.72,
) -> IntakeRestriction:
    """Losses (Pa) before the compressor and in the horn, Mach numbers, and their first-order cost in boost and power.

    Coherent SI inputs. Raises Impossible when duct or horn would choke, or when filter and duct take all of the
    pressure outside.
    """
    slopes = medium_from_point(measured_loss, measured_flow, linear_share)
    filter_loss = medium_loss(mass_flow, *slopes)
    before_duct = outside_pressure - filter_loss
    if before_duct <= 0.0:
        raise Impossible(
            "At this flow the filter would take all of the pressure outside.", ("measured_loss", "mass_flow")
        )
    duct = _tract(
        "duct", mass_flow, before_duct, outside_temperature, duct_bore, duct_length, roughness,
        duct_bends, bend_radius_to_diameter, bend_k, 0.0,
    )  # fmt: skip
    horn = _tract(
        "horn", mass_flow, pressure_abs, temperature, bore, length, roughness,
        bends_90, bend_radius_to_diameter, bend_k, fittings_k,
    )  # fmt: skip
    other = _tract(
        "other bore", mass_flow, pressure_abs, temperature, other_bore, length, roughness,
        bends_90, bend_radius_to_diameter, bend_k, fittings_k,
    )  # fmt: skip
    restriction = filter_loss + duct.loss
    at_compressor = outside_pressure - restriction
    ratio = pressure_abs / at_compressor
    share = restriction / at_compressor + horn.loss / pressure_abs
    return IntakeRestriction(
        restriction=restriction,
        filter_loss=filter_loss,
        duct_loss=duct.loss,
        duct_loss_compressible=duct.loss_compressible,
        duct_velocity=duct.velocity,
        duct_mach=duct.mach,
        total_loss=horn.loss,
        friction_loss=horn.friction,
        bend_loss=horn.loss - horn.friction,
        total_loss_compressible=horn.loss_compressible,
        density=horn.density,
        velocity=horn.velocity,
        mach=horn.mach,
        reynolds=horn.reynolds,
        friction_factor=horn.friction_factor,
        dynamic_pressure=horn.dynamic_pressure,
        boost_lost=ratio * restriction + horn.loss,
        power_share_lost=share,
        power_at_stake=share * brake_power,
        compressor_power=mass_flow
        * R_AIR
        * outside_temperature
        / compressor_efficiency
        * math.pow(ratio, 1.0 - 1.0 / _K)
        * share,
        velocity_ratio=horn.velocity / other.velocity,
        dynamic_pressure_ratio=horn.dynamic_pressure / other.dynamic_pressure,
        loss_other_bore=other.loss,
        power_gain_other_bore=brake_power * (horn.loss - other.loss) / pressure_abs,
        warnings=_warnings(restriction, duct.mach, horn.mach),
    )


@dataclass(frozen=True)
class _State:
    loss: float
    friction: float
    loss_compressible: float
    density: float
    velocity: float
    mach: float
    reynolds: float
    friction_factor: float
    dynamic_pressure: float


_BORES = {"duct": "duct_bore", "horn": "bore", "other bore": "other_bore"}


def _tract(
    part: str,
    mass_flow: float,
    pressure: float,
    temperature: float,
    bore: float,
    length: float,
    roughness: float,
    bends: float,
    radius: float,
    bend_k: float | None,
    fittings_k: float,
) -> _State:
    """Loss of one bore with its bends (Pa), by constant density and by falling density, and the state of its air."""
    density = pressure / (R_AIR * temperature)
    viscosity = gas.viscosity(temperature)
    re = reynolds(mass_flow, viscosity, bore)
    factor = friction_factor(re, roughness / bore)
    k = bends * (bend_loss(90.0, radius, factor) if bend_k is None else bend_k) + fittings_k
    loss = pipe_loss(mass_flow, density, viscosity, bore, length, roughness, k)
    names = ("mass_flow", _BORES[part])
    try:
        number = mach_from_total(mass_flow, pressure, temperature, R_AIR, _K, bore)
        end = pipe_downstream(mass_flow, pressure, temperature, R_AIR, bore, factor * length / bore + k)
    except Impossible:
        raise Impossible(f"The {part} would choke: its bore passes no such flow at any speed.", names) from None
    if loss >= pressure:
        raise Impossible(f"The {part} would take all of the pressure.", names)
    return _State(
        loss=loss,
        friction=pipe_loss(mass_flow, density, viscosity, bore, length, roughness),
        loss_compressible=pressure - end,
        density=density,
        velocity=velocity(mass_flow, density, bore),
        mach=number,
        reynolds=re,
        friction_factor=factor,
        dynamic_pressure=dynamic_pressure(mass_flow, density, bore),
    )


def _warnings(restriction: float, duct_mach: float, horn_mach: float) -> tuple[str, ...]:
    found = [
        f"The air passes Mach {float(MACH_WARNING):.1f} in the {part}: the formula for constant density is then "
        "not good "
        "enough, see the value checked as a gas."
        for part, number in (("duct", duct_mach), ("horn", horn_mach))
        if number > MACH_WARNING
    ]
    if restriction > _RESTRICTION_HIGH:
        found.append(
            "The restriction before the compressor is above what is commonly taken as the limit at full load "
            "(practice): "
            "look at the filter first."
        )
    return tuple(found)
