"""Torque, speed and power, from the crank to the wheels and back, and what a pull would have given in standard air."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc.atmosphere import vapour_pressure
from calc.constants import (
    P_STANDARD,
    R85_LARGEST,
    R85_P_HIGHEST,
    R85_P_LOWEST,
    R85_P_REFERENCE,
    R85_SMALLEST,
    R85_T_HIGHEST,
    R85_T_LOWEST,
    R85_T_REFERENCE,
)
from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.provenance import Grade
from calc.references import COMBUSTION_ENGINES, METEOROLOGICAL_GUIDE, UN_R85
from calc.units import HORSEPOWER, POUND, RADIANS_PER_SECOND_PER_RPM

_EDITIONS = {
    "0.2-below-37.2": "UN R85 / ISO 1585, form with the engine factor 0.2 below 37.2",
    "0.3-below-40": "UN R85 / ISO 1585, older form with the engine factor 0.3 below 40",
}
_CLAMPS = {"0.2-below-37.2": (37.2, 0.2), "0.3-below-40": (40.0, 0.3)}
_UPPER_CLAMP = (65.0, 1.2)


def _power(name: str, meaning: str) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning, digits=4)


def _factor(name: str, symbol: str, meaning: str) -> Output:
    return Output(unit="1", name=name, symbol=symbol, meaning=meaning, digits=4, group="Correction")


@dataclass(frozen=True)
class WheelPower:
    """Powers in W, torque in N.m, pressures in Pa; `corrected_power` is None where the standard allows no
    correction.
    """

    power: Annotated[float, _power("Power observed", "Where it was observed, uncorrected.")]
    torque: Annotated[
        float,
        Output(
            unit="N.m",
            us="lbf.ft",
            name="Torque",
            symbol="T",
            meaning="Of that power at the engine's speed, so before any gear ratio.",
            digits=4,
        ),
    ]
    wheel_power: Annotated[float, _power("Power at the wheels", "Observed or computed through the loss, uncorrected.")]
    crank_power: Annotated[float, _power("Power at the crank", "Observed or computed through the loss, uncorrected.")]
    loss_fraction: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Driveline loss",
            meaning="Share of the crank's power that does not reach the wheels, fixed losses included.",
        ),
    ]
    crank_needed: Annotated[float, _power("Crank power needed", "To see the goal at the wheels with the same losses.")]
    valid: Annotated[
        bool,
        Output(
            unit="bool",
            name="Correction allowed",
            meaning="Whether factor, temperature and pressure lie within the standard's limits.",
            group="Correction",
        ),
    ]
    corrected_power: Annotated[
        float | None,
        Output(
            unit="W",
            us="hp",
            si="kW",
            name="Power corrected",
            symbol="P_0",
            meaning="The observed power in the standard's reference air; no answer outside the standard's limits.",
            digits=4,
            group="Correction",
        ),
    ]
    alpha: Annotated[
        float, _factor("Correction factor", r"\alpha", "The observed power times this is the corrected power.")
    ]
    f_a: Annotated[float, _factor("Atmospheric factor", "f_a", "Above one where the air is thinner or hotter.")]
    f_m: Annotated[float, _factor("Engine factor", "f_m", "How much this engine at this fuelling feels the air.")]
    q: Annotated[
        float,
        Output(
            unit="mg/(L.cycle)",
            name="Fuel per cycle and displacement",
            symbol="q",
            meaning="For each litre of displacement.",
            group="Correction",
        ),
    ]
    q_c: Annotated[
        float,
        Output(
            unit="mg/(L.cycle)",
            name="The same over the boost ratio",
            symbol="q_c",
            meaning="Decides the engine factor.",
            group="Correction",
        ),
    ]
    vapour_pressure: Annotated[
        float | None,
        Output(
            unit="Pa",
            us="inHg",
            si="kPa",
            name="Vapour pressure",
            meaning="What the water vapour takes of the barometer; no answer when the dry pressure was given.",
            group="Correction",
        ),
    ]
    dry_pressure: Annotated[
        float,
        Output(
            unit="Pa",
            us="inHg",
            si="kPa",
            name="Dry pressure",
            symbol="p_s",
            meaning="Barometer less vapour pressure.",
            digits=4,
            group="Correction",
        ),
    ]
    standard: Annotated[
        str,
        Output(unit="text", name="Correction by", meaning="The standard and its form used.", group="Correction"),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Wheel power, crank power and correction",
    question="What do torque and speed make at the crank and at the wheels, and what would the pull be in "
    "standard air?",
    formulas=(
        Formula(
            r"P = 2\pi\,n\,T",
            "Power is torque times angular speed. In horsepower, pound-force feet and r/min the two numbers are equal "
            "at 33000 over two pi.",
            (
                Symbol("P", "power", "W"),
                Symbol("n", "engine speed", "1/s"),
                Symbol("T", "torque referred to the engine's speed", "N·m"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"P_{\mathrm{crank}} = \frac{P_{\mathrm{wheel}} + P_{\mathrm{fixed}}}{1 - \ell}",
            "Back to the crank one divides by what is left, and does not multiply by one plus the loss. Losses that do "
            "not grow with power are added.",
            (
                Symbol(r"P_{\mathrm{wheel}}", "power at the wheels", "W"),
                Symbol(r"P_{\mathrm{fixed}}", "loss that does not grow with power", "W"),
                Symbol(r"\ell", "share of crank power lost in gears and tyres", "1"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"P_0 = \alpha\,P,\quad \alpha = f_a^{\,f_m}",
            "Corrected power of a compression-ignition engine; allowed only while the factor stays within its limits.",
            (
                Symbol("P_0", "corrected power", "W"),
                Symbol(r"\alpha", "correction factor", "1"),
                Symbol("f_a", "atmospheric factor", "1"),
                Symbol("f_m", "engine factor", "1"),
            ),
            UN_R85,
        ),
        Formula(
            r"f_a = \left(\frac{99}{p_s}\right)^{0.7}\left(\frac{T}{298}\right)^{1.5}"
            r"\ \text{turbocharged},\qquad f_a = \frac{99}{p_s}\left(\frac{T}{298}\right)^{0.7}\ \text{otherwise}",
            "The atmospheric factor, with or without charge cooling; the second form is for natural or mechanically "
            "driven charging.",
            (
                Symbol("p_s", "dry air pressure", "kPa"),
                Symbol("T", "air temperature at the engine's air inlet", "K"),
            ),
            UN_R85,
        ),
        Formula(
            r"f_m = 0.036\,q_c - 1.14,\quad q_c = \frac{q}{r},\quad q = \frac{120\,000\,F}{D\,N}",
            "The engine factor, held at its end values outside the range of the chosen edition.",
            (
                Symbol("q", "fuel per cycle and displacement", "mg/(L·cycle)"),
                Symbol("r", "absolute pressure behind the compressor over that before it", "1"),
                Symbol("F", "fuel flow", "g/s"),
                Symbol("D", "displacement", "L"),
                Symbol("N", "engine speed", "r/min"),
            ),
            UN_R85,
        ),
        Formula(
            r"p_s = p_{\mathrm{baro}} - \varphi\,p_{\mathrm{sat}}(T)",
            "Dry pressure: the barometer less what the water vapour takes.",
            (
                Symbol(r"p_{\mathrm{baro}}", "barometer where the vehicle stands, not reduced to sea level", "Pa"),
                Symbol(r"\varphi", "relative humidity", "1"),
                Symbol(r"p_{\mathrm{sat}}", "saturation pressure of water, Magnus form", "Pa"),
            ),
            METEOROLOGICAL_GUIDE,
        ),
    ),
    constants=(
        R85_T_REFERENCE,
        R85_P_REFERENCE,
        R85_SMALLEST,
        R85_LARGEST,
        R85_T_LOWEST,
        R85_T_HIGHEST,
        R85_P_LOWEST,
        R85_P_HIGHEST,
    ),
    valid="Steady full load of a compression-ignition engine, converter locked, one driven axle's loss as given. The "
    "correction holds while its factor stays within a tenth of one and temperature and pressure within the standard's "
    "limits; outside, only the observed value and the conditions are shown. Engines whose control holds charge air and "
    "fuel against the weather need no correction.",
    cautions=("dynamometer",),
    related=("dyno-gain", "air-demand", "tow-grade"),
    curves=(
        Curve(
            title="Correction factor against air temperature, for three barometers",
            vary="air_temperature",
            outputs=("alpha",),
            span=(273.15, 318.15),
            compare="barometer",
            values=(84e3, 92e3),
        ),
    ),
)
def wheel_power(
    power: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Power observed",
            symbol="P",
            meaning="As read, without any correction by the dynamometer's own program.",
            grade=Grade.INVENTED,
        ),
    ] = 430 * HORSEPOWER,
    torque: Annotated[
        float | None,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=1.0,
            high=20e3,
            name="Torque observed",
            symbol="T",
            meaning="Referred to the engine's speed. When given, it is used in place of the power.",
        ),
    ] = None,
    speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=300.0,
            high=10e3,
            name="Engine speed",
            symbol="N",
            meaning="At which power or torque was observed.",
            grade=Grade.INVENTED,
        ),
    ] = 2800.0,
    measured_at: Annotated[
        str,
        Choice(
            name="Observed at",
            meaning="Where power or torque was observed.",
            options={"wheels": "the wheels", "crank": "the crank"},
        ),
    ] = "wheels",
    loss_fraction: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=0.6,
            name="Driveline loss that grows with power",
            symbol=r"\ell",
            meaning="Share of crank power lost in converter, gears, axle and tyres. Not used when both powers "
            "are given.",
            note="About 10 to 20 % for an automatic with a locked converter.",
        ),
    ] = 0.15,
    fixed_loss: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=0.0,
            high=100e3,
            name="Loss that does not grow with power",
            symbol=r"P_{\mathrm{fixed}}",
            meaning="Churning oil and pumps, at this speed; it is added, not multiplied.",
        ),
    ] = 0.0,
    crank_power: Annotated[
        float | None,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Crank power, when known too",
            meaning="From an engine dynamometer or a rating; the loss is then computed from the two powers.",
        ),
    ] = None,
    wheel_goal: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=3e6,
            name="Goal at the wheels",
            meaning="Wheel power that is wanted, uncorrected.",
            grade=Grade.INVENTED,
        ),
    ] = 550 * HORSEPOWER,
    air_temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=243.15,
            high=331.15,
            name="Air temperature",
            symbol="T",
            meaning="At the engine's air inlet.",
            grade=Grade.INVENTED,
        ),
    ] = 303.15,
    barometer: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=50e3,
            high=110e3,
            name="Barometer",
            symbol=r"p_{\mathrm{baro}}",
            meaning="Absolute pressure where the vehicle stands. Weather reports reduce theirs to sea level: not "
            "that one.",
            grade=Grade.MEMORY,
            note="Standard atmosphere at sea level.",
        ),
    ] = float(P_STANDARD),
    relative_humidity: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Relative humidity",
            symbol=r"\varphi",
            meaning="Of that air.",
            grade=Grade.INVENTED,
        ),
    ] = 0.5,
    dry_pressure: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=45e3,
            high=110e3,
            name="Dry pressure, when known",
            symbol="p_s",
            meaning="Used in place of barometer and humidity.",
        ),
    ] = None,
    charging: Annotated[
        str,
        Choice(
            name="Charging",
            meaning="Decides the exponents.",
            options={
                "turbocharged": "Turbocharged, with or without charge cooler",
                "mechanical": "Mechanically driven charging",
                "natural": "Natural aspiration",
            },
        ),
    ] = "turbocharged",
    boost_pressure_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=8.0,
            name="Boost pressure ratio",
            symbol="r",
            meaning="Absolute pressure behind the compressor over that before it; not used for natural aspiration.",
            grade=Grade.INVENTED,
        ),
    ] = 2.9,
    fuel_flow: Annotated[
        float,
        Quantity(
            unit="kg/s",
            us="lb/h",
            si="g/s",
            low=0.1e-3,
            high=0.3,
            name="Fuel flow",
            symbol="F",
            meaning="Measured or estimated at this pull.",
            grade=Grade.INVENTED,
        ),
    ] = 182 * POUND / 3600,
    displacement: Annotated[
        float,
        Quantity(
            unit="m3",
            us="L",
            si="L",
            low=0.3e-3,
            high=30e-3,
            name="Displacement",
            symbol="D",
            meaning="Of all cylinders.",
            grade=Grade.INVENTED,
        ),
    ] = 6.3e-3,
    q: Annotated[
        float | None,
        Quantity(
            unit="mg/(L.cycle)",
            low=1.0,
            high=1000.0,
            name="Fuel per cycle and displacement, when known",
            symbol="q",
            meaning="Used in place of fuel flow, displacement and speed.",
        ),
    ] = None,
    edition: Annotated[
        str,
        Choice(
            name="Edition of the correction",
            meaning="The editions differ in the engine factor of a small fuelling.",
            options=_EDITIONS,
        ),
    ] = "0.2-below-37.2",
    control: Annotated[
        str,
        Choice(
            name="Engine control",
            meaning="A control that holds charge air and fuelling whatever the weather leaves nothing to correct.",
            options={"feels-the-air": "Power changes with the air", "compensates": "Control compensates for the air"},
        ),
    ] = "feels-the-air",
) -> WheelPower:
    """Power and torque at crank and wheels (W, N.m) and the corrected power of a compression-ignition engine.

    Inputs in coherent SI units, engine speed in r/min, q in mg per litre and cycle. `torque`, `crank_power`,
    `dry_pressure` and `q` replace what they are computed from. Outside the standard's limits `corrected_power` is None
    and a warning names the conditions. Raises Impossible when the wheels would make more than the crank, or when the
    losses take everything.
    """
    if torque is None:
        torque = power / (speed * RADIANS_PER_SECOND_PER_RPM)
    else:
        power = torque * speed * RADIANS_PER_SECOND_PER_RPM
    crank, wheels, share = _both_ends(power, measured_at, loss_fraction, fixed_loss, crank_power)
    vapour = None
    if dry_pressure is None:
        vapour = vapour_pressure(air_temperature, relative_humidity)
        dry_pressure = barometer - vapour
    if q is None:
        q = 120e3 * (fuel_flow * 1e3) / (displacement * 1e3 * speed)
    q_c = q if charging == "natural" else q / boost_pressure_ratio
    f_m = _engine_factor(q_c, edition)
    f_a = _atmospheric_factor(dry_pressure, air_temperature, charging)
    alpha = 1.0 if control == "compensates" else math.pow(f_a, f_m)
    why_not = _why_not(alpha, air_temperature, dry_pressure)
    return WheelPower(
        power=power,
        torque=torque,
        wheel_power=wheels,
        crank_power=crank,
        loss_fraction=1.0 - wheels / crank,
        crank_needed=(wheel_goal + fixed_loss) / (1.0 - share),
        valid=not why_not,
        corrected_power=None if why_not else alpha * power,
        alpha=alpha,
        f_a=f_a,
        f_m=f_m,
        q=q,
        q_c=q_c,
        vapour_pressure=vapour,
        dry_pressure=dry_pressure,
        standard="None: the control compensates for the air" if control == "compensates" else _EDITIONS[edition],
        warnings=_warnings(why_not),
    )


def _both_ends(
    power: float, measured_at: str, loss: float, fixed: float, crank: float | None
) -> tuple[float, float, float]:
    """Crank power, wheel power (W) and the share of crank power that grows with it and is lost (1)."""
    if measured_at == "crank":
        if crank is not None:
            raise Impossible(
                "The observed power is already the crank's: leave the other crank power blank.", ("crank_power",)
            )
        wheels = (1.0 - loss) * power - fixed
        if wheels <= 0.0:
            raise Impossible(
                "The losses take all of the power; nothing is left at the wheels.", ("fixed_loss", "loss_fraction")
            )
        return power, wheels, loss
    if crank is None:
        return (power + fixed) / (1.0 - loss), power, loss
    if crank < power + fixed:
        raise Impossible(
            "The wheels cannot make more than the crank less its fixed losses.", ("crank_power", "fixed_loss")
        )
    return crank, power, 1.0 - (power + fixed) / crank


def _engine_factor(q_c: float, edition: str) -> float:
    low, at_low = _CLAMPS[edition]
    high, at_high = _UPPER_CLAMP
    if q_c < low:
        return at_low
    return at_high if q_c > high else 0.036 * q_c - 1.14


def _atmospheric_factor(dry_pressure: float, temperature: float, charging: str) -> float:
    pressure, heat = R85_P_REFERENCE / dry_pressure, temperature / R85_T_REFERENCE
    if charging == "turbocharged":
        return math.pow(pressure, 0.7) * math.pow(heat, 1.5)
    return pressure * math.pow(heat, 0.7)


def _why_not(alpha: float, temperature: float, dry_pressure: float) -> str:
    """Why the standard allows no correction, as the middle of a sentence; empty when it does."""
    if not R85_SMALLEST <= alpha <= R85_LARGEST:
        return f"the factor {alpha:.3f} lies outside {float(R85_SMALLEST)} to {float(R85_LARGEST)}"
    if not R85_T_LOWEST <= temperature <= R85_T_HIGHEST:
        return f"the air is outside {float(R85_T_LOWEST):.0f} to {float(R85_T_HIGHEST):.0f} K"
    if not R85_P_LOWEST <= dry_pressure <= R85_P_HIGHEST:
        return f"the pressure is outside {R85_P_LOWEST / 1e3:.0f} to {R85_P_HIGHEST / 1e3:.0f} kPa"
    return ""


def _warnings(why_not: str) -> tuple[str, ...]:
    if not why_not:
        return ()
    return (
        f"No corrected power: {why_not}, beyond which the standard allows no correction. Report the observed "
        "power with "
        "its temperature, dry pressure and humidity.",
    )
