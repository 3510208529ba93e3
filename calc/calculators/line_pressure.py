"""Torque that a wet multi-plate clutch holds at a line pressure, and the pressure that a torque needs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc.clutch import arm_uniform_pressure, arm_uniform_wear, torque_held
from calc.constants import Constant
from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.provenance import Grade
from calc.references import COMPONENT_DESIGN, ISO_4391, MACHINE_DESIGN, PRACTICE
from calc.units import PSI

FLUID_DENSITY = Constant(820.0, "density of warm transmission fluid", "kg/m3", PRACTICE, grade=Grade.MEMORY)
FACING_PRESSURE = Constant(2.0e6, "greatest usual pressure on paper facings", "Pa", PRACTICE, grade=Grade.MEMORY)
GREATEST_LINE_PRESSURE = Constant(
    1.7e6, "greatest line pressure of light-truck automatics", "Pa", PRACTICE, grade=Grade.MEMORY
)
_RADIANS = 2.0 * math.pi / 60.0
_L_PER_MIN = 1e-3 / 60
_MODELS = {"uniform pressure": "uniform pressure (new facings)", "uniform wear": "uniform wear (worn in)"}


def _torque(name: str, meaning: str, symbol: str = "T", *, along: str = "") -> Output:
    return Output(unit="N.m", us="lbf.ft", name=name, symbol=symbol, meaning=meaning, along=along)


def _pressure(name: str, meaning: str, symbol: str = "p", *, along: str = "") -> Output:
    return Output(unit="Pa", us="psi", si="kPa", name=name, symbol=symbol, meaning=meaning, along=along)


def _force(name: str, meaning: str) -> Output:
    return Output(unit="N", us="lbf", si="kN", name=name, symbol="F", meaning=meaning)


def _power(name: str, meaning: str) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, symbol="P", meaning=meaning)


def _ratio(name: str, meaning: str) -> Output:
    return Output(unit="1", name=name, meaning=meaning)


@dataclass(frozen=True)
class LinePressure:
    """Torques in N.m, forces in N, gauge pressures in Pa, energies in J."""

    line_pressure: Annotated[
        float,
        _pressure(
            "Line pressure needed", "Gauge, to hold the torque with the margin asked for.", along="line pressure"
        ),
    ]
    capacity: Annotated[
        float, _torque("Torque that the clutch holds", "At the line pressure that is there.", along="torque")
    ]
    demand: Annotated[
        float, _torque("Torque that it must hold", "Input torque, converter ratio and share together.", along="torque")
    ]
    margin_now: Annotated[
        float,
        _ratio(
            "Margin at the line pressure that is there", "Torque held over torque to hold; below 1 the plates slide."
        ),
    ]
    holds: Annotated[bool, Output(unit="bool", name="Holds with the margin", meaning="At the pressure that is there.")]
    clamp_force: Annotated[float, _force("Clamp force", "Piston force and centrifugal head, less the return spring.")]
    centrifugal_force: Annotated[float, _force("Centrifugal head", "Force of the fluid spinning in the drum.")]
    piston_area: Annotated[
        float,
        Output(unit="m2", us="in2", si="cm2", name="Apply area", symbol="A", meaning="Of the annular piston."),
    ]
    torque_uniform_pressure: Annotated[
        float, _torque("Torque held, uniform pressure", "New, flat facings: the usual reading of a capacity.")
    ]
    torque_uniform_wear: Annotated[
        float, _torque("Torque held, uniform wear", "Worn-in facings: a little less, under 1 % for thin rings.")
    ]
    pressure_uniform_pressure: Annotated[
        float, _pressure("Pressure on the facings", "Mean over the ring, at this clamp force.", "p_f")
    ]
    max_pressure_uniform_wear: Annotated[
        float, _pressure("Greatest facing pressure, uniform wear", "At the inner edge.", "p_f")
    ]
    torque_ratio: Annotated[
        float, _ratio("Torque, new over old", "Torque at the transmission input, after the change over before it.")
    ]
    line_pressure_ratio_at_equal_margin: Annotated[
        float,
        _ratio(
            "Line pressure, new over old, at equal margin",
            "A little less than the torque's ratio: the return spring takes its part once.",
        ),
    ]
    slip_energy: Annotated[
        float,
        Output(unit="J", us="Btu", si="kJ", name="Heat of one shift", symbol="E", meaning="Turned into heat by slip."),
    ]
    mean_power: Annotated[float, _power("Mean power of that heat", "Heat over the time of the shift.")]
    energy_per_face_area: Annotated[
        float,
        Output(
            unit="J/m2",
            us="Btu/in2",
            si="kJ/m2",
            name="Heat per friction area",
            symbol="e",
            meaning="Over all faces: what a lining has to swallow before the fluid takes it away.",
        ),
    ]
    inertia_torque: Annotated[
        float,
        _torque("Torque that slows the engine", "Of the rotating parts, during the shift; the clutch carries it."),
    ]
    pump_power: Annotated[float, _power("Power of the fluid pump", "At the line pressure that is there.")]
    pump_power_needed: Annotated[float, _power("Power of the fluid pump, at the pressure needed", "Same flow.")]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Line pressure",
    question="What torque does a clutch of the transmission hold at its line pressure, and what does more torque need?",
    formulas=(
        Formula(
            r"T = n\,\mu\,F\,\frac{2}{3}\,\frac{r_o^3 - r_i^3}{r_o^2 - r_i^2}",
            "Torque of a ring pressed evenly (uniform pressure).",
            (
                Symbol("T", "torque held", "N·m"),
                Symbol("n", "friction faces: two for each friction plate", "1"),
                Symbol(r"\mu", "coefficient of friction", "1"),
                Symbol("F", "clamp force", "N"),
                Symbol("r_o, r_i", "outer and inner radius of the facing", "m"),
            ),
            MACHINE_DESIGN,
        ),
        Formula(
            r"T = n\,\mu\,F\,\frac{r_o + r_i}{2}",
            "Torque of a ring that has worn in (uniform wear).",
            (),
            MACHINE_DESIGN,
        ),
        Formula(
            r"F = p\,A - F_s + \frac{\pi\rho\omega^2}{4}\,(R_o^2 - R_i^2)\,(R_o^2 + R_i^2 - 2 r_s^2)",
            "Forces on the piston: line pressure, return spring, and the head of fluid that spins in the drum.",
            (
                Symbol("p", "line pressure, gauge", "Pa"),
                Symbol("A", "apply area", "m²"),
                Symbol("F_s", "force of the return spring", "N"),
                Symbol(r"\rho", "density of the fluid", "kg/m³"),
                Symbol(r"\omega", "speed of the drum", "rad/s"),
                Symbol("R_o, R_i", "outer and inner radius of the piston", "m"),
                Symbol("r_s", "radius to which the fluid stands", "m"),
            ),
            MACHINE_DESIGN,
        ),
        Formula(
            r"E = \frac{1}{2}\,T_c\,\Delta\omega\,t",
            "Heat of a shift whose slip falls evenly to nothing.",
            (
                Symbol("E", "heat", "J"),
                Symbol("T_c", "torque of the clutch while it slips", "N·m"),
                Symbol(r"\Delta\omega", "difference of speed at its start", "rad/s"),
                Symbol("t", "time of the shift", "s"),
            ),
            MACHINE_DESIGN,
        ),
        Formula(
            r"P = \frac{p\,Q}{\eta}",
            "Power that the fluid pump takes.",
            (
                Symbol("P", "power", "W"),
                Symbol("Q", "flow of the pump", "m³/s"),
                Symbol(r"\eta", "efficiency of the pump", "1"),
            ),
            ISO_4391,
        ),
    ),
    references=(COMPONENT_DESIGN,),
    constants=(FLUID_DENSITY, FACING_PRESSURE, GREATEST_LINE_PRESSURE),
    valid="Flat facings that touch all over, one coefficient of friction for all, all plates sharing the force. "
    "Friction changes with slip speed, temperature, age and fluid; give it as a range. Seal drag, a wavy or cushion "
    "plate, plates that stick in worn splines and a piston that leaks all take from the clamp force. Holding is not "
    "shifting: while it slides, a clutch must also slow the engine. Read the gearbox's own schematic for the share of "
    "the torque that an element carries in each gear.",
    cautions=("lifting", "hot-fluids", "old-dust"),
    related=("driveline-torque", "wheel-power"),
    curves=(
        Curve(
            title="Torque that the clutch holds against line pressure, for three coefficients of friction",
            vary="available_pressure",
            outputs=("capacity",),
            span=(60 * PSI, 320 * PSI),
            compare="friction",
            values=(0.10, 0.14),
        ),
    ),
)
def line_pressure(
    torque: Annotated[
        float,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=10,
            high=5000,
            name="Torque of the engine, after the change",
            symbol="T",
            meaning="At the flywheel.",
            grade=Grade.INVENTED,
        ),
    ] = 1400.0,
    torque_stock: Annotated[
        float,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=10,
            high=5000,
            name="Torque of the engine, before",
            symbol="T_0",
            meaning="At the flywheel; serves the comparison only.",
            grade=Grade.INVENTED,
        ),
    ] = 1250.0,
    available_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=50e3,
            high=5e6,
            name="Line pressure that is there",
            symbol="p",
            meaning="Gauge, measured at full load.",
            grade=Grade.INVENTED,
            along="line pressure",
        ),
    ] = 1.5e6,
    margin: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=4.0,
            name="Margin asked for",
            meaning="Torque held over torque to hold; heavy towing wants more.",
            grade=Grade.INVENTED,
        ),
    ] = 1.1,
    friction: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.02,
            high=0.6,
            name="Coefficient of friction",
            symbol=r"\mu",
            meaning="Of the facings in their fluid; paper has 0.10 to 0.14.",
            grade=Grade.INVENTED,
            typical=(0.115, 0.13),
        ),
    ] = 0.1225,
    friction_faces: Annotated[
        float,
        Quantity(
            unit="1",
            low=1,
            high=80,
            whole=True,
            name="Friction faces",
            symbol="n",
            meaning="Two for each plate that is lined on both sides.",
            grade=Grade.INVENTED,
        ),
    ] = 12.0,
    outer_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.02,
            high=0.3,
            name="Outer radius of the facing",
            symbol="r_o",
            meaning="Half the outer diameter of the ring where it touches.",
            grade=Grade.INVENTED,
        ),
    ] = 82e-3,
    inner_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.01,
            high=0.29,
            monotone=False,
            name="Inner radius of the facing",
            symbol="r_i",
            meaning="Half its inner diameter.",
            grade=Grade.INVENTED,
        ),
    ] = 64e-3,
    piston_outer_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.01,
            high=0.3,
            name="Outer radius of the apply piston",
            symbol="R_o",
            meaning="At its outer seal.",
            grade=Grade.INVENTED,
        ),
    ] = 80e-3,
    piston_inner_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.0,
            high=0.29,
            monotone=False,
            name="Inner radius of the apply piston",
            symbol="R_i",
            meaning="At its inner seal.",
            grade=Grade.INVENTED,
        ),
    ] = 58.1e-3,
    return_spring_force: Annotated[
        float,
        Quantity(
            unit="N",
            us="lbf",
            low=0,
            high=20e3,
            name="Force of the return spring",
            symbol="F_s",
            meaning="With the clutch applied.",
            grade=Grade.INVENTED,
        ),
    ] = 1100.0,
    converter_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=4.0,
            name="Torque ratio of the converter",
            meaning="1 when locked; up to its stall ratio when pulling away.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    share: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.05,
            high=5.0,
            name="Share of this clutch",
            meaning="Torque of this clutch over torque at the transmission input, in the gear in question.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    model: Annotated[
        str,
        Choice(name="Contact of the facings", meaning="The two agree within 1 % for thin rings.", options=_MODELS),
    ] = "uniform pressure",
    drum_speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=0,
            high=8000,
            name="Speed of the drum",
            symbol=r"\omega",
            meaning="0 where it stands still, or where a dam balances the fluid's centrifugal head.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    head_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.0,
            high=0.29,
            name="Radius to which the fluid stands",
            symbol="r_s",
            meaning="Where it enters the drum; used with a turning drum only.",
            grade=Grade.INVENTED,
        ),
    ] = 30e-3,
    clamp_force: Annotated[
        float | None,
        Quantity(
            unit="N",
            us="lbf",
            si="kN",
            low=10,
            high=500e3,
            name="Clamp force, if known",
            symbol="F",
            meaning="Stands in for pressure, area and spring. Leave empty otherwise.",
        ),
    ] = None,
    speed_before: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=0,
            high=8000,
            monotone=False,
            name="Engine speed before the shift",
            meaning="At the start of the slip.",
            grade=Grade.INVENTED,
        ),
    ] = 2800.0,
    speed_after: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=0,
            high=8000,
            monotone=False,
            name="Engine speed after the shift",
            meaning="Speed before, times new gear ratio over old.",
            grade=Grade.INVENTED,
        ),
    ] = 1980.0,
    shift_time: Annotated[
        float,
        Quantity(
            unit="s",
            low=0.02,
            high=5.0,
            name="Time of the shift",
            symbol="t",
            meaning="From first slip to none.",
            grade=Grade.MEMORY,
        ),
    ] = 0.5,
    clutch_torque: Annotated[
        float | None,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=1,
            high=20e3,
            name="Clutch torque during the shift",
            symbol="T_c",
            meaning="Leave empty for the torque that it must hold and slow the engine with.",
        ),
    ] = None,
    inertia: Annotated[
        float,
        Quantity(
            unit="kg.m2",
            us="lb.in2",
            low=0.0,
            high=20.0,
            name="Inertia that changes speed",
            symbol="I",
            meaning="Engine, flywheel and converter, as the shift slows them.",
            grade=Grade.INVENTED,
        ),
    ] = 0.9,
    pump_flow: Annotated[
        float,
        Quantity(
            unit="m3/s",
            us="gal/h",
            si="L/min",
            low=0.0,
            high=200 * _L_PER_MIN,
            name="Flow of the fluid pump",
            symbol="Q",
            meaning="What it pushes against line pressure.",
            grade=Grade.INVENTED,
        ),
    ] = 30 * _L_PER_MIN,
    pump_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.1,
            high=1.0,
            name="Efficiency of the fluid pump",
            symbol=r"\eta",
            meaning="Hydraulic power over shaft power.",
            grade=Grade.MEMORY,
        ),
    ] = 0.75,
) -> LinePressure:
    """Capacity of a multi-plate clutch (N.m) and the line pressure (Pa, gauge) for a torque; coherent SI units.

    Speeds in r/min. `clamp_force` replaces pressure, area, spring and head in the capacity; the pressure needed still
    comes from them. Raises Impossible for rings without area, a fluid level outside the piston's inner radius, a spring
    that holds the piston back, or a head that applies the clutch without pressure. Sources: see `formulas`.
    """
    if inner_radius >= outer_radius:
        raise Impossible("The facing's inner radius is not inside its outer radius.", ("inner_radius", "outer_radius"))
    if piston_inner_radius >= piston_outer_radius:
        raise Impossible(
            "The piston's inner radius is not inside its outer radius.", ("piston_inner_radius", "piston_outer_radius")
        )
    apply_area = math.pi * (piston_outer_radius**2 - piston_inner_radius**2)
    head = _centrifugal(drum_speed, piston_outer_radius, piston_inner_radius, head_radius)
    clamp = available_pressure * apply_area - return_spring_force + head if clamp_force is None else clamp_force
    if clamp <= 0.0:
        raise Impossible(
            "The return spring is stronger than the piston: at this pressure the clutch does not touch.",
            ("available_pressure", "return_spring_force"),
        )
    ring = math.pi * (outer_radius**2 - inner_radius**2)
    arms = {
        "uniform pressure": arm_uniform_pressure(outer_radius, inner_radius),
        "uniform wear": arm_uniform_wear(outer_radius, inner_radius),
    }
    held = torque_held(friction_faces, friction, clamp, arms[model])
    demand = torque * converter_ratio * share
    per_force = torque_held(friction_faces, friction, 1.0, arms[model])
    needed = (demand * margin / per_force + return_spring_force - head) / apply_area
    if needed <= 0.0:
        raise Impossible(
            "The spinning fluid alone would hold the torque: such a drum would not release.",
            ("drum_speed", "head_radius"),
        )
    slip = abs(speed_before - speed_after) * _RADIANS
    slowing = inertia * slip / shift_time
    heat = 0.5 * (demand + slowing if clutch_torque is None else clutch_torque) * slip * shift_time
    ratio = torque / torque_stock
    return LinePressure(
        line_pressure=needed,
        capacity=held,
        demand=demand,
        margin_now=held / demand,
        holds=held >= margin * demand,
        clamp_force=clamp,
        centrifugal_force=head,
        piston_area=apply_area,
        torque_uniform_pressure=torque_held(friction_faces, friction, clamp, arms["uniform pressure"]),
        torque_uniform_wear=torque_held(friction_faces, friction, clamp, arms["uniform wear"]),
        pressure_uniform_pressure=clamp / ring,
        max_pressure_uniform_wear=clamp / (2.0 * math.pi * inner_radius * (outer_radius - inner_radius)),
        torque_ratio=ratio,
        line_pressure_ratio_at_equal_margin=_pressure_ratio(
            ratio, available_pressure * apply_area, return_spring_force - head
        ),
        slip_energy=heat,
        mean_power=heat / shift_time,
        energy_per_face_area=heat / (friction_faces * ring),
        inertia_torque=slowing,
        pump_power=available_pressure * pump_flow / pump_efficiency,
        pump_power_needed=needed * pump_flow / pump_efficiency,
        warnings=_warnings(needed, clamp / ring, held / demand),
    )


def _centrifugal(speed: float, outer: float, inner: float, level: float) -> float:
    """Force (N) of the fluid that spins behind the piston at `speed` (r/min), standing in to the radius `level` (m)."""
    if speed == 0.0:
        return 0.0
    if level > inner:
        raise Impossible(
            "The fluid must stand at least as far in as the piston's inner seal.",
            ("head_radius", "piston_inner_radius"),
        )
    omega = speed * _RADIANS
    spread = (outer**2 - inner**2) * (outer**2 + inner**2 - 2.0 * level**2)
    return math.pi * FLUID_DENSITY * omega**2 / 4.0 * spread


def _pressure_ratio(torque_ratio: float, piston: float, held_back: float) -> float:
    """New line pressure over old at equal margin: only what is left after spring and head carries torque."""
    return (torque_ratio * (piston - held_back) + held_back) / piston


def _warnings(needed: float, facing: float, margin: float) -> tuple[str, ...]:
    found = []
    if margin < 1.0:
        found.append("At the pressure that is there the plates slide under this torque, and sliding burns them.")
    if needed > GREATEST_LINE_PRESSURE:
        found.append(
            "The pressure needed lies above what light-truck automatics are made for (recalled): seals, drums and pump "
            "are at risk. More faces or a better facing answer the question that pressure cannot."
        )
    if facing > FACING_PRESSURE:
        found.append("The facings are pressed harder than paper is usually asked to bear (recalled).")
    return tuple(found)
