"""Torque from the flywheel through converter and gears to driveshaft and axle, and where the tyres let go."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc.contract import Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.provenance import Grade
from calc.references import HYDRODYNAMIC_DRIVES, MACHINE_DESIGN, VEHICLE_DYNAMICS
from calc.units import POUND, STANDARD_GRAVITY

_RADIANS = 2.0 * math.pi / 60.0


def _torque(name: str, meaning: str) -> Output:
    return Output(unit="N.m", us="lbf.ft", name=name, symbol="T", meaning=meaning)


def _force(name: str, meaning: str) -> Output:
    return Output(unit="N", us="lbf", si="kN", name=name, symbol="F", meaning=meaning)


def _power(name: str, meaning: str) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, symbol="P", meaning=meaning)


def _ratio(name: str, symbol: str, meaning: str, low: float, high: float) -> Quantity:
    return Quantity(unit="1", low=low, high=high, name=name, symbol=symbol, meaning=meaning, grade=Grade.INVENTED)


def _efficiency(name: str, symbol: str, meaning: str) -> Quantity:
    return Quantity(unit="1", low=0.5, high=1.0, name=name, symbol=symbol, meaning=meaning, grade=Grade.MEMORY)


@dataclass(frozen=True)
class DrivelineTorque:
    """Torques in N.m, forces in N, powers in W; "arrives" is the smaller of engine's and grip's torque."""

    driveshaft_torque_arriving: Annotated[
        float, _torque("Driveshaft torque that arrives", "The tyres turn on the road before it gets any higher.")
    ]
    fuse: Annotated[
        str, Output(unit="text", name="What gives way first", meaning="The tyres' grip, or the engine's own torque.")
    ]
    driveshaft_torque: Annotated[
        float, _torque("Driveshaft torque that the engine can make", "Through converter, gears and transfer case.")
    ]
    axle_torque_arriving: Annotated[float, _torque("Axle torque that arrives", "Both wheels of the axle together.")]
    half_shaft_torque: Annotated[
        float, _torque("Half-shaft torque that arrives", "Each side, with equal grip; one side may carry it all.")
    ]
    driveshaft_share: Annotated[
        float,
        Output(unit="1", us="%", si="%", name="Share of the driveshaft's limit", meaning="Arriving torque over limit."),
    ]
    driveshaft_torque_at_grip: Annotated[
        float, _torque("Driveshaft torque at the grip limit", "The most that the tyres can ask of it, steadily.")
    ]
    axle_torque: Annotated[float, _torque("Axle torque that the engine can make", "Both wheels of the axle together.")]
    axle_torque_at_grip: Annotated[float, _torque("Axle torque at the grip limit", "Where the tyres start to spin.")]
    transmission_output_torque: Annotated[float, _torque("Transmission output torque", "Before the transfer case.")]
    tractive_force: Annotated[float, _force("Tractive force that the engine can make", "At the tread of this axle.")]
    grip_force: Annotated[float, _force("Tractive force at the grip limit", "With the load that pulling adds.")]
    axle_force: Annotated[float, _force("Load on the axle at the grip limit", "Standing load and what pulling adds.")]
    engine_torque_at_grip: Annotated[
        float, _torque("Engine torque at which the tyres spin", "In this gear, at this state of the converter.")
    ]
    converter_torque_ratio: Annotated[
        float,
        Output(unit="1", name="Torque ratio of the converter", symbol=r"\mu_c", meaning="Turbine over pump torque."),
    ]
    converter_efficiency: Annotated[
        float,
        Output(unit="1", us="%", si="%", name="Efficiency of the converter", meaning="Torque ratio times speed ratio."),
    ]
    engine_power: Annotated[float, _power("Engine power", "Torque times speed, at the flywheel.")]
    converter_heat: Annotated[float, _power("Heat of the converter", "Engine power that ends in its fluid.")]
    overall_ratio: Annotated[
        float, Output(unit="1", name="Overall ratio", symbol="i", meaning="Gear, transfer case and axle.")
    ]
    shear_stress: Annotated[
        float,
        Output(
            unit="Pa",
            us="psi",
            si="MPa",
            name="Shear stress of the driveshaft tube",
            symbol=r"\tau",
            meaning="At its surface, with the torque that arrives; welds and joints are weaker.",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Driveline torque",
    question="How much torque reaches driveshaft and axle, and do the tyres let go before a part does?",
    formulas=(
        Formula(
            r"T_d = T_e\,\mu_c\,i_g\,i_t\,\eta_g\,s,\quad T_a = T_d\,i_a\,\eta_a",
            "Torque is multiplied by every ratio on its way and reduced by every loss.",
            (
                Symbol("T_d, T_a", "torque at driveshaft and axle", "N·m"),
                Symbol("T_e", "engine torque", "N·m"),
                Symbol(r"\mu_c", "torque ratio of the converter", "1"),
                Symbol("i_g, i_t, i_a", "ratio of gear, transfer case and axle", "1"),
                Symbol(r"\eta_g, \eta_a", "efficiency of transmission and axle", "1"),
                Symbol("s", "share of the torque that goes to this axle", "1"),
            ),
            VEHICLE_DYNAMICS,
        ),
        Formula(
            r"\mu_c = \mu_0 - (\mu_0 - 1)\,\frac{\nu}{\nu_c}\quad(\nu < \nu_c),\qquad \eta_c = \mu_c\,\nu",
            "The converter multiplies most at stall, and no longer from its coupling point on; a line between.",
            (
                Symbol(r"\mu_0", "torque ratio at stall", "1"),
                Symbol(r"\nu", "speed ratio: turbine over pump", "1"),
                Symbol(r"\nu_c", "speed ratio at the coupling point", "1"),
                Symbol(r"\eta_c", "efficiency of the converter", "1"),
            ),
            HYDRODYNAMIC_DRIVES,
        ),
        Formula(
            r"F_g = \frac{\mu\,m\,g}{1 - \mu\,h/\ell},\quad T_{a,g} = F_g\,r",
            "Grip: friction times the axle's load, which grows while the vehicle pulls.",
            (
                Symbol("F_g", "tractive force at the grip limit", "N"),
                Symbol(r"\mu", "coefficient of friction between tyre and road", "1"),
                Symbol("m", "mass standing on the axle", "kg"),
                Symbol("g", "acceleration of gravity", "m/s²"),
                Symbol(r"h/\ell", "height of the centre of gravity over wheelbase", "1"),
                Symbol("r", "rolling radius of the tyre", "m"),
            ),
            VEHICLE_DYNAMICS,
        ),
        Formula(
            r"\tau = \frac{16\,T\,D}{\pi\,(D^4 - d^4)}",
            "Shear stress at the surface of a tube under torsion.",
            (
                Symbol(r"\tau", "shear stress", "Pa"),
                Symbol("T", "torque", "N·m"),
                Symbol("D, d", "outer and inner diameter", "m"),
            ),
            MACHINE_DESIGN,
        ),
    ),
    valid="Steady torque on level ground, both tyres of the axle on the same surface, front wheels on the ground. "
    "Wheel hop, a tyre that lands after spinning, backlash taken up with a blow and a trailer that surges make peaks "
    "far above these figures. An open differential gives both sides the torque of the side with less grip. Torque at "
    "stall is limited by the stall speed: take the engine's torque there, not its peak. With both axles driven, enter "
    "the share of this axle; the share moves with the load.",
    cautions=("lifting", "towing-ratings"),
    related=("line-pressure", "tow-grade"),
    curves=(
        Curve(
            title="Driveshaft torque against the converter's speed ratio: from stall to lock-up",
            vary="speed_ratio",
            outputs=("driveshaft_torque", "driveshaft_torque_at_grip"),
            span=(0.0, 1.0),
        ),
    ),
)
def driveline_torque(
    engine_torque: Annotated[
        float,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=10,
            high=5000,
            name="Engine torque",
            symbol="T_e",
            meaning="At the speed in question; at stall, the torque at stall speed.",
            grade=Grade.INVENTED,
        ),
    ] = 1250.0,
    engine_speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=200,
            high=6000,
            name="Engine speed",
            symbol="N",
            meaning="Serves power and heat only.",
            grade=Grade.INVENTED,
        ),
    ] = 1750.0,
    speed_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=1.0,
            monotone=False,
            name="Speed ratio of the converter",
            symbol=r"\nu",
            meaning="0 at stall, 1 when locked.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    stall_torque_ratio: Annotated[
        float, _ratio("Torque ratio at stall", r"\mu_0", "1 for a dry clutch or a locked converter.", 1.0, 4.0)
    ] = 1.9,
    coupling_ratio: Annotated[
        float, _ratio("Speed ratio at the coupling point", r"\nu_c", "From here on it no longer multiplies.", 0.5, 1.0)
    ] = 0.88,
    gear_ratio: Annotated[
        float, _ratio("Gear ratio", "i_g", "Transmission input speed over output speed.", 0.3, 20.0)
    ] = 3.46,
    transfer_ratio: Annotated[float, _ratio("Transfer-case ratio", "i_t", "1 in high range.", 0.5, 6.0)] = 1.0,
    axle_ratio: Annotated[float, _ratio("Axle ratio", "i_a", "Driveshaft speed over wheel speed.", 1.0, 15.0)] = 3.62,
    axle_share: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.05,
            high=1.0,
            name="Share of this axle",
            symbol="s",
            meaning="1 with one driven axle.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    transmission_efficiency: Annotated[
        float, _efficiency("Efficiency of the transmission", r"\eta_g", "Gears and pump, converter left out.")
    ] = 0.96,
    axle_efficiency: Annotated[
        float, _efficiency("Efficiency of the axle", r"\eta_a", "Crown wheel, pinion and bearings.")
    ] = 0.97,
    tyre_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.15,
            high=1.0,
            name="Rolling radius of the tyre",
            symbol="r",
            meaning="Loaded: from the hub to the ground.",
            grade=Grade.INVENTED,
        ),
    ] = 0.398,
    axle_load: Annotated[
        float,
        Quantity(
            unit="kg",
            us="lb",
            low=50,
            high=15e3,
            name="Mass on the driven axle",
            symbol="m",
            meaning="Standing, from a scale, with bed load and trailer tongue.",
            grade=Grade.INVENTED,
        ),
    ] = 4200 * POUND,
    grip: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.05,
            high=1.5,
            name="Friction of tyre and road",
            symbol=r"\mu",
            meaning="Dry pavement about 0.7 to 0.9, wet 0.4 to 0.6, snow 0.2 (recalled).",
            grade=Grade.MEMORY,
            typical=(0.7, 0.9),
        ),
    ] = 0.8,
    height_to_wheelbase: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=0.5,
            name="Height of the centre of gravity over wheelbase",
            symbol=r"h/\ell",
            meaning="Moves load to the rear axle when pulling; 0 leaves it out.",
            grade=Grade.INVENTED,
        ),
    ] = 0.2,
    driveshaft_limit: Annotated[
        float,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=100,
            high=100e3,
            name="Torque limit of the driveshaft",
            meaning="Of its weakest part, joints included, by its maker.",
            grade=Grade.INVENTED,
            typical=(11000.0, 13500.0),
        ),
    ] = 12250.0,
    tube_diameter: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.03,
            high=0.3,
            name="Outer diameter of the driveshaft tube",
            symbol="D",
            meaning="Of the tube, not of the joints.",
            grade=Grade.INVENTED,
        ),
    ] = 0.1016,
    tube_wall: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.5e-3,
            high=0.15,
            name="Wall of the driveshaft tube",
            meaning="Half the outer diameter makes a solid shaft.",
            grade=Grade.INVENTED,
        ),
    ] = 2.4e-3,
) -> DrivelineTorque:
    """Torques (N.m) at driveshaft and axle, made by the engine and allowed by the tyres; coherent SI, speeds in r/min.

    The grip counts the load that the tractive force itself adds to the axle. Raises Impossible for a tube whose wall is
    thicker than its radius. Sources: see `formulas` of the calculator.
    """
    if tube_wall > tube_diameter / 2.0:
        raise Impossible("The tube's wall is thicker than its radius.", ("tube_wall", "tube_diameter"))
    multiplied = _converter(speed_ratio, stall_torque_ratio, coupling_ratio)
    to_driveshaft = multiplied * gear_ratio * transfer_ratio * transmission_efficiency * axle_share
    to_axle = axle_ratio * axle_efficiency
    driveshaft = engine_torque * to_driveshaft
    grip_force = grip * axle_load * STANDARD_GRAVITY / (1.0 - grip * height_to_wheelbase)
    at_grip = grip_force * tyre_radius / to_axle
    arriving = min(driveshaft, at_grip)
    power = engine_torque * engine_speed * _RADIANS
    efficiency = multiplied * speed_ratio
    return DrivelineTorque(
        driveshaft_torque=driveshaft,
        fuse="the tyres spin" if at_grip < driveshaft else "the engine's torque, with grip left",
        driveshaft_torque_arriving=arriving,
        axle_torque_arriving=arriving * to_axle,
        half_shaft_torque=arriving * to_axle / 2.0,
        driveshaft_share=arriving / driveshaft_limit,
        driveshaft_torque_at_grip=at_grip,
        axle_torque=driveshaft * to_axle,
        axle_torque_at_grip=grip_force * tyre_radius,
        transmission_output_torque=engine_torque * multiplied * gear_ratio * transmission_efficiency,
        tractive_force=driveshaft * to_axle / tyre_radius,
        grip_force=grip_force,
        axle_force=grip_force / grip,
        engine_torque_at_grip=at_grip / to_driveshaft,
        converter_torque_ratio=multiplied,
        converter_efficiency=efficiency,
        engine_power=power,
        converter_heat=power * (1.0 - efficiency),
        overall_ratio=gear_ratio * transfer_ratio * axle_ratio,
        shear_stress=_torsion(arriving, tube_diameter, tube_wall),
        warnings=_warnings(driveshaft, at_grip, driveshaft_limit),
    )


def _converter(speed_ratio: float, stall: float, coupling: float) -> float:
    """Torque ratio (1): falling from `stall` in a straight line to 1 at the coupling point, 1 beyond it."""
    return stall - (stall - 1.0) * speed_ratio / coupling if speed_ratio < coupling else 1.0


def _torsion(torque: float, outer: float, wall: float) -> float:
    """Shear stress (Pa) at the surface of a tube."""
    inner = outer - 2.0 * wall
    return 16.0 * torque * outer / (math.pi * (outer**4 - inner**4))


def _warnings(driveshaft: float, at_grip: float, limit: float) -> tuple[str, ...]:
    if min(driveshaft, at_grip) > limit:
        return ("The torque that arrives is above the driveshaft's limit: here the shaft is the fuse, not the tyres.",)
    if driveshaft > limit:
        return (
            "Only the tyres keep the driveshaft below its limit: more load on the axle, a second driven axle or "
            "grippier ground takes that fuse out.",
        )
    return ()
