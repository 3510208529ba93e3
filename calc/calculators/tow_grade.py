"""Power, heat and engine speed that a load on a grade takes, and what a descent gives back."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from calc.atmosphere import standard_air
from calc.constants import G_STANDARD, LHV_DIESEL, R_AIR
from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.provenance import Grade
from calc.references import CFR_1066, COMBUSTION_ENGINES, ISO_2533, PRACTICE, VEHICLE_DYNAMICS
from calc.solve import bracketed
from calc.units import FOOT, HORSEPOWER, INCH, MILE, POUND, POUND_FORCE, RADIANS_PER_SECOND_PER_RPM

_MPH = MILE / 3600.0
_FASTEST = 60.0


def _force(name: str, meaning: str, symbol: str = "") -> Output:
    return Output(unit="N", us="lbf", name=name, meaning=meaning, symbol=symbol, group="Forces")


def _power(name: str, meaning: str, group: str = "", symbol: str = "") -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning, group=group, symbol=symbol)


def _heat(name: str, meaning: str) -> Output:
    return Output(unit="W", us="Btu/min", si="kW", name=name, meaning=meaning, group="Heat", digits=2)


@dataclass(frozen=True)
class TowGrade:
    """Forces in N, powers in W, engine speed in r/min.

    Power at the wheels is negative on a descent that drives itself.
    """

    wheel_power: Annotated[
        float,
        _power("Power at the wheels", "To hold this speed; negative where the hill drives the vehicle.", symbol="P"),
    ]
    retarding_power: Annotated[
        float,
        _power("Retarding power", "That brakes, engine brake and driveline drag must hold back to keep this speed."),
    ]
    crank_power: Annotated[
        float, _power("Power at the crank", "Through the driveline's loss; nothing while the hill drives.")
    ]
    speed_possible: Annotated[
        float | None,
        Output(
            unit="m/s",
            us="mph",
            si="km/h",
            name="Speed that the power on hand holds",
            meaning="On this grade, in this wind; no answer where it is beyond any road speed.",
        ),
    ]
    engine_speed: Annotated[float, Output(unit="r/min", name="Engine speed", symbol="N", meaning="In this gear.")]
    engine_torque: Annotated[
        float,
        Output(
            unit="N.m",
            us="lbf.ft",
            name="Engine torque",
            symbol="T",
            meaning="At the crank, for that power at that speed; nothing while the hill drives.",
        ),
    ]
    rolling_force: Annotated[float | None, _force("Rolling resistance", "Of all tyres, on the slope.")]
    drag_force: Annotated[float | None, _force("Air drag", "Of vehicle and load; negative when a tail wind pushes.")]
    grade_force: Annotated[float, _force("Grade", "The weight's part along the slope.")]
    force: Annotated[float, _force("Sum of the forces", "At the wheels.", "F")]
    angle: Annotated[
        float,
        Output(
            unit="deg", name="Angle of the slope", symbol=r"\theta", meaning="Grade is its tangent.", group="Forces"
        ),
    ]
    air_density: Annotated[
        float,
        Output(
            unit="kg/m3", us="lb/ft3", name="Air density", symbol=r"\rho", meaning="Used for the drag.", group="Forces"
        ),
    ]
    fuel_flow: Annotated[
        float,
        Output(
            unit="kg/s",
            us="lb/h",
            si="kg/h",
            name="Fuel flow",
            meaning="At that crank power; nothing while the hill drives, the injection being cut.",
            group="Heat",
        ),
    ]
    fuel_power: Annotated[float, _heat("Energy of the fuel", "By its lower heating value.")]
    coolant_heat: Annotated[
        float | None,
        _heat("Heat to the coolant", "No answer while the hill drives: an engine brake's heat is not in this model."),
    ]
    transmission_heat: Annotated[
        float | None,
        _heat("Heat to the transmission oil", "No answer while the hill drives."),
    ]
    coefficient_a: Annotated[
        float,
        Output(
            unit="N", us="lbf", name="Road-load coefficient A", symbol="A", meaning="Constant part.", group="Road load"
        ),
    ]
    coefficient_b: Annotated[
        float,
        Output(
            unit="N.s/m",
            us="lbf/mph",
            name="Road-load coefficient B",
            symbol="B",
            meaning="Part that grows with speed.",
            group="Road load",
        ),
    ]
    coefficient_c: Annotated[
        float,
        Output(
            unit="N.s2/m2",
            us="lbf/mph2",
            name="Road-load coefficient C",
            symbol="C",
            meaning="Part that grows with speed squared, still air.",
            group="Road load",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Towing on a grade",
    question="How much power does this load on this grade really need, and what must brakes and coolers take?",
    formulas=(
        Formula(
            r"F = m\,g\cos\theta\;C_{rr} + \tfrac12\,\rho\,C_dA\,(v+w)\,|v+w| + m\,g\sin\theta,\qquad "
            r"\theta = \arctan(\text{grade})",
            "Rolling resistance, air drag in a head wind, and the weight's part along the slope.",
            (
                Symbol("m", "mass of vehicle, trailer and load", "kg"),
                Symbol("g", "acceleration of gravity", "m/s²"),
                Symbol("C_{rr}", "rolling resistance coefficient", "1"),
                Symbol(r"\rho", "density of the air", "kg/m³"),
                Symbol("C_dA", "drag area of vehicle and trailer", "m²"),
                Symbol("v", "road speed", "m/s"),
                Symbol("w", "head wind", "m/s"),
                Symbol(r"\theta", "angle of the slope", "rad"),
            ),
            VEHICLE_DYNAMICS,
        ),
        Formula(
            r"P = F\,v,\qquad P_{\mathrm{retard}} = -P\ \text{where}\ P < 0",
            "Power at the wheels. On a descent it may be negative: that much must be held back.",
            (Symbol("P", "power at the wheels", "W"), Symbol(r"P_{\mathrm{retard}}", "retarding power", "W")),
            VEHICLE_DYNAMICS,
        ),
        Formula(
            r"F = A + B\,v + C\,v^2 + m\,g\sin\theta",
            "The same from coast-down coefficients, which hold rolling and drag together for the vehicle as tested.",
            (
                Symbol("A", "constant coefficient", "N"),
                Symbol("B", "linear coefficient", "N·s/m"),
                Symbol("C", "square coefficient", "N·s²/m²"),
            ),
            CFR_1066,
        ),
        Formula(
            r"\dot Q_f = \frac{P}{\eta_d\,\eta_b},\qquad \dot Q_{\mathrm{coolant}} = c\,\dot Q_f,\qquad "
            r"\dot Q_{\mathrm{trans}} = s\,(1-\eta_d)\,\frac{P}{\eta_d}",
            "Energy of the fuel, and the shares of it and of the driveline loss that coolers must get rid of.",
            (
                Symbol(r"\eta_d", "driveline efficiency", "1"),
                Symbol(r"\eta_b", "brake thermal efficiency of the engine", "1"),
                Symbol("c", "share of the fuel's energy that goes into the coolant", "1"),
                Symbol("s", "share of the driveline loss that heats the transmission oil", "1"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"N = \frac{60\,v}{2\pi r}\,\frac{i_g\,i_a}{1 - s_c}",
            "Engine speed from the gearing; a slipping converter adds its slip.",
            (
                Symbol("r", "rolling radius of the driven tyres", "m"),
                Symbol("i_g, i_a", "gear and axle ratio", "1"),
                Symbol("s_c", "slip of the converter, nothing when locked", "1"),
            ),
            VEHICLE_DYNAMICS,
        ),
    ),
    references=(ISO_2533, PRACTICE),
    constants=(G_STANDARD, R_AIR, LHV_DIESEL),
    valid="Steady speed on an even grade. No acceleration, no curves, no rolling resistance that grows with speed, no "
    "side wind. Whether the tyres find that grip, and whether weight and tow ratings allow the load, is not "
    "computed: the "
    "label on the door still rules.",
    cautions=("towing-ratings", "hot-fluids"),
    related=("wheel-power", "line-pressure", "exhaust-temperature"),
    curves=(
        Curve(
            title="Power at the wheels against speed, for three grades",
            vary="speed",
            outputs=("wheel_power",),
            span=(5.0, 33.5),
            compare="grade",
            values=(0.0, 0.03),
        ),
    ),
)
def tow_grade(
    combined_mass: Annotated[
        float,
        Quantity(
            unit="kg",
            us="lb",
            low=500.0,
            high=40e3,
            name="Combined mass",
            symbol="m",
            meaning="Vehicle, trailer, load and people.",
            grade=Grade.INVENTED,
        ),
    ] = 20e3 * POUND,
    grade: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=-0.3,
            high=0.3,
            monotone=False,
            name="Grade",
            meaning="Rise over run; negative downhill.",
            grade=Grade.INVENTED,
        ),
    ] = 0.06,
    speed: Annotated[
        float,
        Quantity(
            unit="m/s",
            us="mph",
            si="km/h",
            low=0.5,
            high=50.0,
            monotone=False,
            name="Road speed",
            symbol="v",
            meaning="That is to be held.",
            grade=Grade.INVENTED,
        ),
    ] = 55 * _MPH,
    wind: Annotated[
        float,
        Quantity(
            unit="m/s",
            us="mph",
            si="km/h",
            low=-30.0,
            high=30.0,
            name="Head wind",
            symbol="w",
            meaning="Negative for a tail wind.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    road_load: Annotated[
        str,
        Choice(
            name="Road load by",
            meaning="How rolling resistance and drag are known.",
            options={
                "rolling-and-drag": "rolling coefficient and drag area",
                "coefficients": "coast-down coefficients A, B and C",
            },
        ),
    ] = "rolling-and-drag",
    rolling_coefficient: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=0.1,
            name="Rolling resistance coefficient",
            symbol="C_{rr}",
            meaning="Of all tyres together.",
            note="0.006 to 0.010 for truck and trailer tyres on asphalt.",
        ),
    ] = 0.008,
    drag_area: Annotated[
        float,
        Quantity(
            unit="m2",
            us="ft2",
            low=0.0,
            high=20.0,
            name="Drag area",
            symbol="C_dA",
            meaning="Drag coefficient times frontal area, with the trailer.",
            grade=Grade.INVENTED,
        ),
    ] = 60 * FOOT**2,
    height: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=-400.0,
            high=6000.0,
            name="Height above the sea",
            meaning="Thins the air that has to be pushed aside.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    air_temperature: Annotated[
        float | None,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=228.15,
            high=328.15,
            name="Air temperature",
            meaning="Leave blank for the standard temperature of the height.",
        ),
    ] = None,
    air_density: Annotated[
        float | None,
        Quantity(
            unit="kg/m3",
            us="lb/ft3",
            low=0.4,
            high=1.6,
            name="Air density, when known",
            symbol=r"\rho",
            meaning="Used in place of height and temperature.",
        ),
    ] = None,
    A: Annotated[
        float,
        Quantity(
            unit="N",
            us="lbf",
            low=0.0,
            high=10e3,
            name="Coefficient A",
            symbol="A",
            meaning="From a coast-down; used only when the road load is given by coefficients.",
            grade=Grade.INVENTED,
        ),
    ] = 160 * POUND_FORCE,
    B: Annotated[
        float,
        Quantity(
            unit="N.s/m",
            us="lbf/mph",
            low=-100.0,
            high=1e3,
            name="Coefficient B",
            symbol="B",
            meaning="From a coast-down; may be a little negative.",
            grade=Grade.INVENTED,
        ),
    ] = 0.4 * POUND_FORCE / _MPH,
    C: Annotated[
        float,
        Quantity(
            unit="N.s2/m2",
            us="lbf/mph2",
            low=0.0,
            high=50.0,
            name="Coefficient C",
            symbol="C",
            meaning="From a coast-down, in the air of that test: it is used as it is, in still air.",
            grade=Grade.INVENTED,
        ),
    ] = 0.14 * POUND_FORCE / _MPH**2,
    driveline_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.3,
            high=1.0,
            name="Driveline efficiency",
            symbol=r"\eta_d",
            meaning="Wheel power over crank power.",
            note="0.80 to 0.90 for an automatic with a locked converter.",
        ),
    ] = 0.85,
    brake_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.1,
            high=0.6,
            name="Brake thermal efficiency",
            symbol=r"\eta_b",
            meaning="Crank work over the fuel's energy.",
            grade=Grade.MEMORY,
        ),
    ] = 0.39,
    coolant_share: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=0.5,
            name="Share of the fuel's energy into the coolant",
            symbol="c",
            meaning="Charge cooler, oil and exhaust take the rest.",
            note="0.15 to 0.25; the range is the default.",
            typical=(0.15, 0.25),
        ),
    ] = 0.2,
    transmission_share: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Share of the driveline loss into the transmission oil",
            symbol="s",
            meaning="Axle and tyres take the rest.",
            grade=Grade.INVENTED,
            typical=(0.4, 0.7),
        ),
    ] = 0.55,
    power_on_hand: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=1.5e6,
            name="Power on hand at the wheels",
            meaning="That engine and coolers can hold for the whole climb.",
            grade=Grade.INVENTED,
        ),
    ] = 330 * HORSEPOWER,
    tyre_rolling_radius: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.2,
            high=0.7,
            name="Rolling radius of the tyres",
            symbol="r",
            meaning="Loaded: a little less than half the diameter on the tyre's data.",
            grade=Grade.INVENTED,
        ),
    ] = 16 * INCH,
    axle_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=12.0,
            name="Axle ratio",
            symbol="i_a",
            meaning="Turns of the driveshaft for one of the wheels.",
            grade=Grade.INVENTED,
        ),
    ] = 3.55,
    gear_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.3,
            high=12.0,
            name="Gear ratio",
            symbol="i_g",
            meaning="Turns of the transmission's input for one of the driveshaft.",
            grade=Grade.INVENTED,
        ),
    ] = 1.15,
    converter_slip: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=0.8,
            name="Converter slip",
            symbol="s_c",
            meaning="Nothing when locked. Its loss belongs into the driveline efficiency.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
) -> TowGrade:
    """Forces (N), power at wheels and crank (W), heat to coolers (W) and engine speed (r/min) at a steady speed.

    Coherent SI inputs; `grade` is the tangent of the slope's angle. Where the hill drives the vehicle, wheel power is
    negative and `retarding_power` is what has to be held back. Raises Impossible when coolant and brake work together
    would take more than the fuel's energy.
    """
    if coolant_share + brake_efficiency > 1.0:
        raise Impossible(
            "Crank work and coolant together cannot take more than the fuel's energy.",
            ("coolant_share", "brake_efficiency"),
        )
    density = _density(height, air_temperature, air_density)
    angle = math.atan(grade)
    grade_force = combined_mass * G_STANDARD * math.sin(angle)
    normal = combined_mass * G_STANDARD * math.cos(angle)
    by_parts = road_load == "rolling-and-drag"
    a, b, c = (rolling_coefficient * normal, 0.0, 0.5 * density * drag_area) if by_parts else (A, B, C)
    head = wind if by_parts else 0.0

    def force_at(v: float) -> float:
        return a + b * v + c * (v + head) * abs(v + head) + grade_force

    force = force_at(speed)
    wheel = force * speed
    crank = max(wheel, 0.0) / driveline_efficiency
    engine_speed = (
        speed / (tyre_rolling_radius * RADIANS_PER_SECOND_PER_RPM) * axle_ratio * gear_ratio / (1.0 - converter_slip)
    )
    fuel_power = crank / brake_efficiency
    drives = wheel < 0.0
    return TowGrade(
        wheel_power=wheel,
        retarding_power=max(-wheel, 0.0),
        crank_power=crank,
        speed_possible=_speed_for(lambda v: force_at(v) * v - power_on_hand),
        engine_speed=engine_speed,
        engine_torque=crank / (engine_speed * RADIANS_PER_SECOND_PER_RPM),
        rolling_force=a if by_parts else None,
        drag_force=c * (speed + head) * abs(speed + head) if by_parts else None,
        grade_force=grade_force,
        force=force,
        angle=math.degrees(angle),
        air_density=density,
        fuel_flow=fuel_power / LHV_DIESEL,
        fuel_power=fuel_power,
        coolant_heat=None if drives else coolant_share * fuel_power,
        transmission_heat=None if drives else transmission_share * (1.0 - driveline_efficiency) * crank,
        coefficient_a=a,
        coefficient_b=b,
        coefficient_c=c,
        warnings=_warnings(wheel, power_on_hand, by_parts, wind),
    )


def _density(height: float, temperature: float | None, given: float | None) -> float:
    if given is not None:
        return given
    outside = standard_air(height)
    return outside.density if temperature is None else outside.pressure / (R_AIR * temperature)


def _speed_for(excess: Callable[[float], float]) -> float | None:
    """The speed (m/s) at which `excess` power (W) over what is on hand passes zero; None beyond any road speed."""
    if excess(_FASTEST) < 0.0:
        return None
    return bracketed(excess, 0.0, _FASTEST)


def _warnings(wheel: float, on_hand: float, by_parts: bool, wind: float) -> tuple[str, ...]:
    found = []
    if wheel > on_hand:
        found.append("The power on hand does not hold this speed: see the speed that it holds.")
    if wheel < 0.0:
        found.append(
            "The hill drives the vehicle: hold the speed with the gear and the engine brake, not with the "
            "service brakes "
            "alone, which fade when hot."
        )
    if not by_parts and wind != 0.0:
        found.append("Coast-down coefficients are for still air: the wind is left out.")
    return tuple(found)
