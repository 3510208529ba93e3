"""Back-pressure of the exhaust behind the turbine, element by element, marched from the tailpipe upstream."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.constants import (
    BRICK_ENTRY_EXIT,
    MACH_WARNING,
    P_STANDARD,
    SQUARE_CHANNEL_FRICTION,
    STEEL_ROUGHNESS,
    SUTHERLAND_BETA,
)
from calc.contract import Curve, Formula, Output, Quantity, Symbol, calculator
from calc.exhaust import Brick, Element, ElementState, MeasuredElement, Pipe, Silencer, back_pressure
from calc.flow import bend_loss, brick_channels, friction_factor, reynolds
from calc.gas import products, viscosity
from calc.provenance import Grade
from calc.references import (
    DUCT_CONVECTION,
    FRICTION_EXPLICIT,
    GRI_THERMO,
    HYDRAULIC_RESISTANCE,
    PIPE_FLOW,
    VISCOUS_FLUID_FLOW,
)
from calc.units import FOOT, INCH, POUND

_FITTED = "It stays fitted and working: every answer here contains it."


def _pressure(name: str, meaning: str, *, part: bool = True) -> Output:
    part_of, along = ("back_pressure", "loss") if part else ("", "")
    return Output(unit="Pa", us="inHg", si="kPa", name=name, meaning=meaning, part_of=part_of, along=along)


_PRESSURE = ("Pa", "inHg", "kPa")
_HEAT_CAPACITY = ("J/(kg.K)", "Btu/(lb.degF)", "J/(kg.K)")


def _inside(
    name: str, meaning: str, unit: str, us: str = "", si: str = "", *, symbol: str = "", digits: int = 3
) -> Output:
    return Output(
        unit=unit, us=us, si=si, name=name, symbol=symbol, meaning=meaning, digits=digits, group="Inside the formulas"
    )


@dataclass(frozen=True)
class ExhaustBackPressure:
    """Pressures in Pa; the parts add up to `back_pressure`."""

    back_pressure: Annotated[
        float,
        _pressure(
            "Back-pressure at the turbine outlet",
            "Static pressure above the air outside, just behind the turbine (gauge).",
            part=False,
        ),
    ]
    downpipe_loss: Annotated[float, _pressure("Downpipe", "Friction and bends of the downpipe.")]
    catalyst_loss: Annotated[float, _pressure("Catalyst brick", "Friction in the channels, their entry and exit.")]
    filter_brick_loss: Annotated[
        float, _pressure("Particulate filter", "The measured loss, brought to this flow, temperature and pressure.")
    ]
    silencer_loss: Annotated[float, _pressure("Silencer", "Loss of the silencer on the pipe's bore.")]
    pipe_friction_loss: Annotated[
        float, _pressure("Pipe behind the hardware, walls", "Wall friction from the emission hardware to the tailpipe.")
    ]
    pipe_bends_loss: Annotated[float, _pressure("Pipe behind the hardware, bends", "Loss of the bends of that pipe.")]
    cones_loss: Annotated[
        float,
        _pressure(
            "Changes of section",
            "Widening into the hardware and narrowing out of it, taken as sudden: real cones lose less.",
        ),
    ]
    acceleration: Annotated[
        float,
        _pressure(
            "Speeding up of the gas",
            "Static pressure spent on speeding up the expanding gas, less what widening gives back; not a loss.",
        ),
    ]
    largest_part: Annotated[
        str, Output(unit="text", name="Largest part", meaning="The part that costs most pressure: look there first.")
    ]
    total_loss: Annotated[
        float,
        _pressure(
            "Sum of the losses",
            "Without the speeding up of the gas: what a plain sum of resistances gives.",
            part=False,
        ),
    ]
    pipe_velocity: Annotated[
        float,
        Output(
            unit="m/s", us="ft/s", name="Gas speed at the tailpipe", symbol="v", meaning="Mean speed at the pipe's end."
        ),
    ]
    highest_mach: Annotated[
        float,
        Output(
            unit="1",
            name="Highest Mach number",
            symbol="M",
            meaning="Gas speed over the speed of sound, where the gas is fastest.",
            digits=2,
        ),
    ]
    pipe_reynolds: Annotated[
        float,
        Output(unit="1", name="Reynolds number of the pipe", symbol=r"\mathrm{Re}", meaning="Above 4000: turbulent."),
    ]
    pipe_friction_factor: Annotated[
        float,
        Output(unit="1", name="Friction factor of the pipe", symbol="f", meaning="Darcy's, four times Fanning's."),
    ]
    catalyst_viscous_loss: Annotated[
        float,
        _inside("Catalyst, channel friction", "Grows with the flow and with hotter, more viscous gas.", *_PRESSURE),
    ]
    catalyst_inertial_loss: Annotated[
        float, _inside("Catalyst, entry and exit", "Grows with the square of the flow.", *_PRESSURE)
    ]
    open_frontal_area: Annotated[
        float, _inside("Catalyst, open share of its face", "Channels over channels and walls.", "1", "%", "%")
    ]
    channel_reynolds: Annotated[
        float, _inside("Catalyst, Reynolds number of a channel", "Below 2300 its flow is laminar, as assumed.", "1")
    ]
    cp: Annotated[
        float,
        _inside("Heat capacity of the gas", "At constant pressure, behind the turbine.", *_HEAT_CAPACITY, symbol="c_p"),
    ]
    gamma: Annotated[
        float, _inside("Heat capacity ratio of the gas", "Behind the turbine.", "1", symbol=r"\gamma", digits=4)
    ]
    gas_constant: Annotated[
        float, _inside("Gas constant", "Of lean products at this lambda.", *_HEAT_CAPACITY, symbol="R")
    ]
    viscosity: Annotated[
        float, _inside("Viscosity of the gas", "Behind the turbine, taken as hot air's.", "Pa.s", symbol=r"\mu")
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Exhaust back-pressure",
    question="How much pressure does the exhaust behind the turbine cost, and which part is worth money?",
    formulas=(
        Formula(
            r"\Delta p = \left(f\,\frac{L}{D} + \sum K\right)\frac{\rho v^2}{2}",
            "Darcy-Weisbach: a pipe with bends and fittings loses a multiple of the gas's dynamic pressure.",
            (
                Symbol(r"\Delta p", "pressure loss", "Pa"),
                Symbol("f", "friction factor (Darcy)", "1"),
                Symbol("L", "length", "m"),
                Symbol("D", "bore", "m"),
                Symbol("K", "loss coefficient of a bend, step or silencer", "1"),
                Symbol(r"\rho", "gas density at the local pressure and temperature", "kg/m³"),
                Symbol("v", "mean gas speed", "m/s"),
            ),
            VISCOUS_FLUID_FLOW,
        ),
        Formula(
            r"p_1^2 - p_2^2 = \left(\frac{\dot m}{A}\right)^2 R\,T"
            r" \left(f\,\frac{L}{D} + K + 2\ln\frac{p_1}{p_2}\right)",
            "The same for a gas that expands on its way: the density is taken where the gas is, and speeding it up "
            "costs static pressure too.",
            (
                Symbol(r"p_1, p_2", "static pressure at the upstream and downstream end", "Pa"),
                Symbol(r"\dot m", "mass flow of exhaust gas (air and fuel)", "kg/s"),
                Symbol("A", "section of the bore", "m²"),
                Symbol("R", "gas constant of the exhaust gas", "J/(kg·K)"),
                Symbol("T", "gas temperature in this element", "K"),
            ),
            VISCOUS_FLUID_FLOW,
        ),
        Formula(
            r"\frac{1}{\sqrt f} = -1.8\,\log_{10}\!\left[\left(\frac{\varepsilon/D}{3.7}\right)^{1.11}"
            r" + \frac{6.9}{\mathrm{Re}}\right]",
            "Friction factor of turbulent flow in a rough pipe.",
            (
                Symbol(r"\varepsilon", "roughness of the wall", "m"),
                Symbol(r"\mathrm{Re}", "Reynolds number", "1"),
            ),
            FRICTION_EXPLICIT,
        ),
        Formula(
            r"\Delta p_{\mathrm{brick}} = \frac{56.9\,\mu\,v_c\,L}{2\,d_h^2} + K_c\,\frac{\rho v_c^2}{2}",
            "A catalyst brick: laminar flow in its square channels, and their entry and exit.",
            (
                Symbol(r"\mu", "viscosity of the gas", "Pa·s"),
                Symbol("v_c", "gas speed in the channels", "m/s"),
                Symbol("d_h", "channel width between the walls", "m"),
                Symbol("K_c", "entry and exit loss coefficient of the channels", "1"),
            ),
            DUCT_CONVECTION,
        ),
        Formula(
            r"\Delta p_{\mathrm{filter}} = \Delta p_0 \left[s\,\frac{\mu\,\dot m/\rho}{\mu_0\,\dot m_0/\rho_0}"
            r" + (1-s)\,\frac{\dot m^2/\rho}{\dot m_0^2/\rho_0}\right]",
            "A particulate filter has no such closed form: one measured point is scaled, part of it as viscous, the "
            "rest as inertial loss.",
            (
                Symbol(r"\Delta p_0", "measured loss, at the flow, temperature and pressure marked 0", "Pa"),
                Symbol("s", "viscous share of the measured loss", "1"),
            ),
            DUCT_CONVECTION,
        ),
    ),
    references=(PIPE_FLOW, HYDRAULIC_RESISTANCE, GRI_THERMO),
    constants=(BRICK_ENTRY_EXIT, SQUARE_CHANNEL_FRICTION, STEEL_ROUGHNESS, SUTHERLAND_BETA, MACH_WARNING),
    valid="Steady mean flow, gas speeds below about Mach 0.3 in the fittings (a warning shows above that), lean "
    "exhaust gas, a filter loaded as it was when measured. Pulses of single cylinders, swirl behind the turbine and "
    "real cones are left out.",
    cautions=("hot-exhaust", "emission-hardware"),
    curves=(
        Curve(
            title="Back-pressure against flow, for three bores of the pipe behind the hardware",
            vary="flow",
            outputs=("back_pressure",),
            compare="bore",
            values=(3.5 * INCH, 5 * INCH),
        ),
    ),
)
def exhaust_back_pressure(
    flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.05,
            high=1.5,
            name="Exhaust gas flow",
            symbol=r"\dot m",
            meaning="Air and fuel together, at the power that interests you.",
        ),
    ] = 66 * POUND / 60,
    temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=373.15,
            high=1223.15,
            name="Gas temperature behind the turbine",
            symbol="T_4",
            meaning="Cooler than the EGT before the turbine.",
        ),
    ] = 773.15,
    temperature_drop: Annotated[
        float,
        Quantity(
            unit="delta_K",
            us="delta_degF",
            low=0,
            high=300,
            name="Cooling along the exhaust",
            meaning="How much cooler the gas is at the tailpipe than behind the turbine, falling evenly.",
        ),
    ] = 60.0,
    outlet_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=55e3,
            high=108e3,
            name="Pressure of the air outside",
            symbol=r"p_{\mathrm{amb}}",
            meaning="Absolute pressure at the tailpipe; it falls with height above the sea.",
            grade=Grade.MEMORY,
            note="Standard atmosphere at sea level.",
        ),
    ] = float(P_STANDARD),
    lam: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=6.0,
            name="Lambda",
            symbol=r"\lambda",
            meaning="Air over the air that the fuel needs; it sets the gas's composition.",
        ),
    ] = 1.5,
    downpipe_bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.05,
            high=0.2,
            monotone=False,
            name="Downpipe bore",
            meaning="Inside diameter of the pipe from the turbine to the emission hardware.",
            grade=Grade.INVENTED,
        ),
    ] = 4 * INCH,
    downpipe_length: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=0.0,
            high=4.0,
            monotone=False,
            name="Downpipe length",
            meaning="Along the centre line.",
            grade=Grade.INVENTED,
        ),
    ] = 2.5 * FOOT,
    downpipe_bends: Annotated[
        float,
        Quantity(
            unit="1",
            low=0,
            high=6,
            whole=True,
            name="Downpipe bends",
            meaning="Number of right-angle bends.",
            grade=Grade.INVENTED,
        ),
    ] = 2.0,
    catalyst_diameter: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.1,
            high=0.4,
            monotone=False,
            name="Catalyst diameter",
            meaning=f"Diameter of the flow-through brick. {_FITTED}",
            grade=Grade.INVENTED,
        ),
    ] = 9.5 * INCH,
    catalyst_length: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.02,
            high=0.5,
            name="Catalyst length",
            meaning="Length of the brick along the flow.",
            grade=Grade.INVENTED,
        ),
    ] = 6 * INCH,
    cell_density: Annotated[
        float,
        Quantity(
            unit="1/m2",
            us="1/in2",
            si="1/cm2",
            low=100 / INCH**2,
            high=1200 / INCH**2,
            name="Catalyst cell density",
            meaning="Channels per area of the brick's face.",
        ),
    ] = 400 / INCH**2,
    wall_thickness: Annotated[
        float,
        Quantity(
            unit="m",
            us="thou",
            si="mm",
            low=0.05e-3,
            high=0.5e-3,
            name="Catalyst wall thickness",
            meaning="Thickness of the walls between the channels, coating included.",
        ),
    ] = 0.165e-3,
    filter_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=100.0,
            high=40e3,
            name="Filter loss, measured",
            symbol=r"\Delta p_0",
            meaning=f"Pressure difference across the particulate filter as it is loaded. {_FITTED}",
            grade=Grade.INVENTED,
        ),
    ] = 8000.0,
    filter_flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.05,
            high=1.5,
            name="Flow when it was measured",
            symbol=r"\dot m_0",
            meaning="Exhaust gas flow at that measurement.",
            grade=Grade.INVENTED,
        ),
    ] = 0.45,
    filter_temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=293.15,
            high=1223.15,
            name="Gas temperature when it was measured",
            meaning="At the filter, at that measurement.",
            grade=Grade.INVENTED,
        ),
    ] = 723.15,
    viscous_share: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Viscous share of the filter loss",
            symbol="s",
            meaning="The share that goes with flow; the rest goes with flow squared.",
        ),
    ] = 0.7,
    bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.05,
            high=0.2,
            monotone=False,
            name="Bore of the pipe behind the hardware",
            symbol="D",
            meaning="Inside diameter from the emission hardware to the tailpipe.",
            grade=Grade.INVENTED,
        ),
    ] = 4 * INCH,
    length: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=0.0,
            high=10.0,
            monotone=False,
            name="Length of that pipe",
            symbol="L",
            meaning="Along the centre line, silencer left out.",
            grade=Grade.INVENTED,
        ),
    ] = 12 * FOOT,
    bends: Annotated[
        float,
        Quantity(
            unit="1",
            low=0,
            high=12,
            whole=True,
            name="Bends of that pipe",
            meaning="Number of right-angle bends; count two of 45° as one.",
            grade=Grade.INVENTED,
        ),
    ] = 4.0,
    bend_radius: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.7,
            high=6.0,
            monotone=False,
            name="Bend radius over bore",
            symbol="r/D",
            meaning="Centre-line radius of the bends, of both pipes, over the bore.",
        ),
    ] = 1.5,
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
            meaning="Height of the unevenness inside the pipes.",
            grade=Grade.MEMORY,
            note="Clean commercial steel.",
        ),
    ] = float(STEEL_ROUGHNESS),
    silencer_k: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=20.0,
            name="Loss coefficient of the silencer",
            symbol="K",
            meaning="On the pipe's bore. About 1 for a straight-through one, several for one with chambers; without a "
            "measurement it is a guess.",
        ),
    ] = 1.0,
) -> ExhaustBackPressure:
    """Static pressure above ambient at the turbine outlet and what each element adds to it, all in Pa.

    Inputs in coherent SI units (kg/s, K, Pa, m). The gas is lean products at `lam`; its temperature falls evenly along
    the pipes by `temperature_drop`. The march starts at the tailpipe and runs upstream with the local density (see
    `calc.exhaust`). Raises Impossible when a pipe chokes. Sources: see `formulas` of the calculator.
    """
    gas = products(lam)
    mean_downpipe, hardware, mean_pipe = _temperatures(temperature, temperature_drop, downpipe_length, length)
    downpipe_k = downpipe_bends * _bend(flow, mean_downpipe, downpipe_bore, roughness, bend_radius)
    pipe_k = bends * _bend(flow, mean_pipe, bore, roughness, bend_radius)
    elements: tuple[Element, ...] = (
        Pipe("downpipe", downpipe_bore, downpipe_length, roughness, downpipe_k),
        Brick("catalyst brick", catalyst_diameter, catalyst_length, cell_density, wall_thickness),
        MeasuredElement(
            "particulate filter", filter_loss, filter_flow, filter_temperature, outlet_pressure, viscous_share
        ),
        Silencer("silencer", bore, silencer_k),
        Pipe("pipe behind the hardware", bore, length, roughness, pipe_k),
    )
    states: list[ElementState] = []
    inlet = back_pressure(
        elements,
        flow,
        (mean_downpipe, hardware, hardware, hardware, mean_pipe),
        outlet_pressure,
        gas.R,
        states,
        gas.gamma(mean_pipe),
    )
    found = {state.name: state for state in states if not state.change_of_section}
    downpipe, brick, soot, silencer, pipe = (found[element.name] for element in elements)
    parts = {
        "downpipe": downpipe.friction + downpipe.fittings,
        "catalyst brick": brick.friction + brick.fittings,
        "particulate filter": soot.friction + soot.fittings,
        "silencer": silencer.fittings,
        "pipe behind the hardware": pipe.friction + pipe.fittings,
        "changes of section": sum(state.fittings for state in states if state.change_of_section),
    }
    fastest = max(states, key=lambda state: state.mach)
    re = reynolds(flow, viscosity(mean_pipe), bore)
    open_share, channel = brick_channels(cell_density, wall_thickness)
    return ExhaustBackPressure(
        back_pressure=inlet - outlet_pressure,
        downpipe_loss=parts["downpipe"],
        catalyst_loss=parts["catalyst brick"],
        filter_brick_loss=parts["particulate filter"],
        silencer_loss=parts["silencer"],
        pipe_friction_loss=pipe.friction,
        pipe_bends_loss=pipe.fittings,
        cones_loss=parts["changes of section"],
        acceleration=sum(state.acceleration for state in states),
        largest_part=max(parts, key=parts.__getitem__),
        total_loss=sum(parts.values()),
        pipe_velocity=pipe.velocity,
        highest_mach=fastest.mach,
        pipe_reynolds=re,
        pipe_friction_factor=friction_factor(re, roughness / bore),
        catalyst_viscous_loss=brick.friction,
        catalyst_inertial_loss=brick.fittings,
        open_frontal_area=open_share,
        channel_reynolds=reynolds(flow, viscosity(hardware), catalyst_diameter)
        * channel
        / (catalyst_diameter * open_share),
        cp=gas.cp(temperature),
        gamma=gas.gamma(temperature),
        gas_constant=gas.R,
        viscosity=viscosity(temperature),
        warnings=_warnings(fastest),
    )


def _temperatures(behind_turbine: float, drop: float, downpipe: float, pipe: float) -> tuple[float, float, float]:
    """Gas temperature (K) in the middle of the downpipe, at the hardware and in the middle of the pipe behind it."""
    run = downpipe + pipe
    hardware = behind_turbine - (drop * downpipe / run if run else 0.0)
    tailpipe = behind_turbine - drop
    return (behind_turbine + hardware) / 2, hardware, (hardware + tailpipe) / 2


def _bend(mass_flow: float, temperature: float, bore: float, roughness: float, radius: float) -> float:
    """Loss coefficient (1) of one right-angle bend of this bore."""
    friction = friction_factor(reynolds(mass_flow, viscosity(temperature), bore), roughness / bore)
    return bend_loss(90.0, radius, friction)


def _warnings(fastest: ElementState) -> tuple[str, ...]:
    if fastest.mach <= MACH_WARNING:
        return ()
    where = "a change of section" if fastest.change_of_section else f"the {fastest.name}"
    return (
        f"The gas passes Mach {float(MACH_WARNING):.1f} in {where}: losses of bends and fittings are then larger "
        "than the formulas for slow flow say.",
    )
