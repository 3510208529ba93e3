"""Fuel from the tank to the rail: high-pressure pump against demand, lift pump and line against the pump's inlet."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from calc.constants import LAMINAR_LIMIT, P_STANDARD, TURBULENT_LIMIT
from calc.contract import Choice, Curve, Formula, Output, Quantity, Symbol, calculator
from calc.flow import area, dynamic_pressure, friction_factor
from calc.provenance import Grade
from calc.references import COMBUSTION_ENGINES, ISO_4391, VISCOUS_FLUID_FLOW
from calc.solve import bracketed
from calc.units import HORSEPOWER, STANDARD_GRAVITY

_G_PER_KWH = 1e-3 / 3.6e6
_L_PER_H = 1e-3 / 3600


def _volume_flow(name: str, meaning: str, symbol: str = "Q", *, along: str = "") -> Output:
    return Output(unit="m3/s", us="gal/h", si="L/h", name=name, symbol=symbol, meaning=meaning, along=along)


def _mass_flow(name: str, meaning: str) -> Output:
    return Output(unit="kg/s", us="lb/h", si="kg/h", name=name, symbol=r"\dot m", meaning=meaning)


def _pressure(name: str, meaning: str, part_of: str = "", *, along: str = "") -> Output:
    symbol = r"\Delta p"
    return Output(
        unit="Pa", us="psi", si="kPa", name=name, symbol=symbol, meaning=meaning, part_of=part_of, along=along
    )


@dataclass(frozen=True)
class FuelSupply:
    """Volume flows in m3/s, mass flows in kg/s, gauge pressures in Pa."""

    supported_crank_power: Annotated[
        float,
        Output(
            unit="W",
            us="hp",
            si="kW",
            name="Crank power that the high-pressure pump supports",
            symbol="P",
            meaning="With what it delivers less the injectors' return, at this engine speed.",
        ),
    ]
    pump_sufficient: Annotated[
        bool, Output(unit="bool", name="High-pressure pump suffices", meaning="It delivers what the goal asks for.")
    ]
    feed_sufficient: Annotated[
        bool, Output(unit="bool", name="Feed suffices", meaning="The pump's inlet keeps the pressure it requires.")
    ]
    pump_use: Annotated[
        float,
        Output(
            unit="1", us="%", si="%", name="Use of the high-pressure pump", meaning="Goal over delivery; 100 % is all."
        ),
    ]
    delivery: Annotated[
        float,
        _volume_flow("Delivery of the high-pressure pump", "At this speed and efficiency.", along="high pressure"),
    ]
    mass_delivery: Annotated[float, _mass_flow("Its mass", "The same, as mass.")]
    injectable: Annotated[float, _mass_flow("Fuel that can be injected", "Delivery less the injectors' return.")]
    engine_demand: Annotated[float, _volume_flow("Fuel that the goal burns", "What has to be injected.")]
    pump_delivery_with_return: Annotated[
        float,
        _volume_flow("Delivery that the goal needs", "Injected fuel and the injectors' return.", along="high pressure"),
    ]
    feed_demand: Annotated[
        float,
        _volume_flow(
            *("Flow through the feed line", "Delivery for the goal and the pump's own cooling, or as given."),
            along="feed",
        ),
    ]
    mass_flow: Annotated[float, _mass_flow("Mass through the feed line", "The same, as mass.")]
    inlet_pressure: Annotated[
        float | None,
        _pressure(
            *("Pressure left at the pump inlet", "Gauge, at this flow; no answer where the feed cannot pass it."),
            along="feed pressure",
        ),
    ]
    lift_pump_pressure: Annotated[
        float,
        _pressure(
            *("Lift-pump pressure at this flow", "From its curve; below zero it cannot pump that much."),
            along="feed pressure",
        ),
    ]
    system_pressure: Annotated[
        float,
        _pressure("Pressure lost on the way", "Line, fittings, filter and height together.", along="feed pressure"),
    ]
    pressure_loss: Annotated[
        float, _pressure("Line", "Friction along the wall of the line.", part_of="system_pressure")
    ]
    fittings_loss: Annotated[float, _pressure("Fittings", "Bends, valves and couplings.", part_of="system_pressure")]
    filter_pressure: Annotated[float, _pressure("Filter", "In proportion to the flow.", part_of="system_pressure")]
    lift_pressure: Annotated[float, _pressure("Height", "From tank level up to the pump.", part_of="system_pressure")]
    flow_regime: Annotated[
        str, Output(unit="text", name="Flow in the line", meaning="Laminar, turbulent, or in transition between them.")
    ]
    pressure_loss_low: Annotated[
        float, _pressure("Line loss, if the flow stays laminar", "Differs from the line loss in transition only.")
    ]
    pressure_loss_high: Annotated[
        float, _pressure("Line loss, if the flow is turbulent", "Differs from the line loss in transition only.")
    ]
    reynolds: Annotated[
        float,
        Output(
            unit="1",
            name="Reynolds number of the line",
            symbol=r"\mathrm{Re}",
            meaning="Up to 2300 laminar, from 4000 turbulent; between them the flow is undecided.",
        ),
    ]
    velocity: Annotated[
        float,
        Output(unit="m/s", us="ft/s", name="Fuel speed in the line", symbol="v", meaning="Mean over the section."),
    ]
    flow: Annotated[
        float,
        _volume_flow(
            *("Most that the feed gives", "Where the inlet just keeps the pressure that it requires."), along="feed"
        ),
    ]
    pressure: Annotated[float, _pressure("Lift-pump pressure there", "Where pump curve meets system curve.")]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Fuel supply",
    question="Do the high-pressure pump and the feed behind the tank keep up with the fuel of a power goal?",
    formulas=(
        Formula(
            r"Q = D_p\,i\,\frac{N}{60}\,\eta_v",
            "Delivery of a positive-displacement pump.",
            (
                Symbol("Q", "delivery", "m³/s"),
                Symbol("D_p", "displacement of the pump", "m³/rev"),
                Symbol("i", "pump speed over engine speed", "1"),
                Symbol("N", "engine speed", "r/min"),
                Symbol(r"\eta_v", "volumetric efficiency", "1"),
            ),
            ISO_4391,
        ),
        Formula(
            r"P = \frac{\rho\,Q\,(1 - x)}{b}",
            "Power that the delivery supports; a share of it goes back from the injectors.",
            (
                Symbol("P", "crank power", "W"),
                Symbol(r"\rho", "fuel density", "kg/m³"),
                Symbol("x", "share of the delivery that returns from the injectors", "1"),
                Symbol("b", "brake specific fuel consumption", "kg/J"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\Delta p = \frac{128\,\mu\,L\,Q}{\pi D^4}\quad(\mathrm{Re} \le 2300)",
            "Laminar line: the loss goes with viscosity and flow, and with the fourth power of the bore.",
            (
                Symbol(r"\Delta p", "pressure loss", "Pa"),
                Symbol(r"\mu", "dynamic viscosity, kinematic viscosity times density", "Pa·s"),
                Symbol("L", "length", "m"),
                Symbol("D", "bore", "m"),
                Symbol(r"\mathrm{Re}", "Reynolds number", "1"),
            ),
            VISCOUS_FLUID_FLOW,
        ),
        Formula(
            r"\Delta p = \left(f\,\frac{L}{D} + \sum K\right)\frac{\rho v^2}{2} + \rho\,g\,z",
            "Any flow: friction, fittings and height. Between laminar and turbulent the friction factor is drawn as a "
            "straight line, and both ends are shown.",
            (
                Symbol("f", "friction factor (Darcy)", "1"),
                Symbol("K", "loss coefficient of a fitting", "1"),
                Symbol("v", "mean speed", "m/s"),
                Symbol("g", "acceleration of gravity", "m/s²"),
                Symbol("z", "height of the pump above the fuel", "m"),
            ),
            VISCOUS_FLUID_FLOW,
        ),
        Formula(
            r"p_0\left(1 - \left(\frac{Q}{Q_0}\right)^{k}\right) = \Delta p(Q) + p_{\mathrm{in}}",
            "The feed works where the lift pump's curve meets what line and inlet ask for.",
            (
                Symbol("p_0", "shut-off pressure of the lift pump", "Pa"),
                Symbol("Q_0", "its free flow", "m³/s"),
                Symbol("k", "1 for a straight curve, 2 for one that droops late", "1"),
                Symbol(r"p_{\mathrm{in}}", "pressure that the high-pressure pump requires at its inlet", "Pa"),
            ),
            VISCOUS_FLUID_FLOW,
        ),
    ),
    constants=(LAMINAR_LIMIT, TURBULENT_LIMIT),
    valid="Steady flow. The volumetric efficiency is an input for the speed, pressure and fuel temperature in "
    "question: internal leakage takes a larger share at low speed, high rail pressure and with hot, thin fuel. Pulses "
    "of the pump, fuel that gives off vapour under suction, voltage drop at an electric lift pump and a relief valve "
    "that holds its pressure are left out. Real pump curves come from the pump's sheet; two points draw only their "
    "rough shape. In transition the greatest flow of the feed is taken with the turbulent loss, the safe side.",
    cautions=("fuel-injection", "fuel-spills"),
    related=("injector-window", "wheel-power"),
    curves=(
        Curve(
            title="Pressure left at the pump inlet against flow, for three bores of the line",
            vary="flow",
            outputs=("inlet_pressure",),
            span=(40 * _L_PER_H, 480 * _L_PER_H),
            compare="bore",
            values=(5e-3, 7e-3),
        ),
    ),
)
def fuel_supply(
    wheel_power: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=10e3,
            high=1500e3,
            name="Power goal at the wheels",
            meaning="As a roller dynamometer shows it.",
            grade=Grade.INVENTED,
        ),
    ] = 500 * HORSEPOWER,
    driveline_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.5,
            high=1.0,
            name="Driveline efficiency",
            symbol=r"\eta",
            meaning="Wheel power over crank power.",
            grade=Grade.INVENTED,
        ),
    ] = 0.86,
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
            meaning="Fuel over crank work (BSFC) at this load.",
            grade=Grade.MEMORY,
        ),
    ] = 215 * _G_PER_KWH,
    engine_speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=300,
            high=6000,
            name="Engine speed",
            symbol="N",
            meaning="Where that power is made.",
            grade=Grade.INVENTED,
        ),
    ] = 2800.0,
    displacement: Annotated[
        float,
        Quantity(
            unit="m3/rev",
            us="cm3/rev",
            si="cm3/rev",
            low=0.1e-6,
            high=10e-6,
            name="Displacement of the high-pressure pump",
            symbol="D_p",
            meaning="All plungers, in one turn of the pump.",
            grade=Grade.INVENTED,
        ),
    ] = 1.10e-6,
    drive_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.2,
            high=3.0,
            name="Drive ratio",
            symbol="i",
            meaning="Pump speed over engine speed.",
            grade=Grade.INVENTED,
        ),
    ] = 1.0,
    volumetric_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.2,
            high=1.0,
            name="Volumetric efficiency",
            symbol=r"\eta_v",
            meaning="Real delivery over displacement, at this speed, rail pressure and fuel temperature.",
            grade=Grade.INVENTED,
        ),
    ] = 0.85,
    injector_return_fraction: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=0.8,
            name="Return of the injectors",
            symbol="x",
            meaning="Share of the delivery that flows back: control flow and leakage; worn injectors return more.",
            grade=Grade.INVENTED,
        ),
    ] = 0.15,
    density: Annotated[
        float,
        Quantity(
            unit="kg/m3",
            us="lb/gal",
            low=700,
            high=1000,
            monotone=False,
            name="Fuel density",
            symbol=r"\rho",
            meaning="At the fuel's temperature in the line.",
            grade=Grade.INVENTED,
        ),
    ] = 820.0,
    cooling_flow: Annotated[
        float,
        Quantity(
            unit="m3/s",
            us="gal/h",
            si="L/h",
            low=0.0,
            high=500 * _L_PER_H,
            name="Cooling flow of the high-pressure pump",
            meaning="Passes the pump's housing and goes back to the tank; the feed carries it too.",
            grade=Grade.INVENTED,
        ),
    ] = 60 * _L_PER_H,
    shutoff_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=1e3,
            high=2e6,
            name="Shut-off pressure of the lift pump",
            symbol="p_0",
            meaning="Gauge pressure that it makes against a closed line.",
            grade=Grade.INVENTED,
        ),
    ] = 600e3,
    free_flow: Annotated[
        float,
        Quantity(
            unit="m3/s",
            us="gal/h",
            si="L/h",
            low=10 * _L_PER_H,
            high=3000 * _L_PER_H,
            name="Free flow of the lift pump",
            symbol="Q_0",
            meaning="What it passes without any pressure to work against.",
            grade=Grade.INVENTED,
        ),
    ] = 900 * _L_PER_H,
    curve: Annotated[
        str,
        Choice(
            name="Shape of its curve",
            meaning="How its pressure falls from shut-off to free flow.",
            options={"linear": "straight line", "parabolic": "drooping late (parabola)"},
            grade=Grade.INVENTED,
        ),
    ] = "linear",
    bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=2e-3,
            high=40e-3,
            name="Line bore",
            symbol="D",
            meaning="Inside diameter of the feed line, couplings at their narrowest counted as fittings.",
            grade=Grade.INVENTED,
        ),
    ] = 9.5e-3,
    length: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=0.0,
            high=20.0,
            name="Line length",
            symbol="L",
            meaning="From lift pump to high-pressure pump.",
            grade=Grade.INVENTED,
        ),
    ] = 4.5,
    kinematic_viscosity: Annotated[
        float,
        Quantity(
            unit="m2/s",
            us="mm2/s",
            si="mm2/s",
            low=0.5e-6,
            high=100e-6,
            monotone=False,
            name="Kinematic viscosity",
            symbol=r"\nu",
            meaning="At the fuel's temperature: 2 to 4.5 when warm (40 °C), several times that in the cold.",
        ),
    ] = 3.0e-6,
    roughness: Annotated[
        float,
        Quantity(
            unit="m",
            us="thou",
            si="um",
            low=0.0,
            high=100e-6,
            name="Roughness of the wall",
            symbol=r"\varepsilon",
            meaning="Matters in turbulent flow only.",
            grade=Grade.MEMORY,
            note="Drawn tubing.",
        ),
    ] = 1.5e-6,
    fittings_K: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=200.0,
            name="Loss coefficient of the fittings",
            symbol="K",
            meaning="Sum over bends, couplings and valves, on the line's bore.",
            grade=Grade.INVENTED,
        ),
    ] = 6.0,
    lift: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=0.0,
            high=4.0,
            name="Height",
            symbol="z",
            meaning="Of the high-pressure pump above the fuel in the tank.",
            grade=Grade.INVENTED,
        ),
    ] = 0.5,
    filter_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=0.0,
            high=500e3,
            name="Loss of the filter",
            meaning="Across it, at the flow through the feed line; 0 leaves it out. It grows with age and cold.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    inlet_pressure_required: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=0.0,
            high=1e6,
            name="Pressure required at the pump inlet",
            symbol=r"p_{\mathrm{in}}",
            meaning="Gauge, at full flow, by the pump's maker.",
            grade=Grade.INVENTED,
            along="feed pressure",
        ),
    ] = 250e3,
    flow: Annotated[
        float | None,
        Quantity(
            unit="m3/s",
            us="gal/h",
            si="L/h",
            low=1 * _L_PER_H,
            high=3000 * _L_PER_H,
            name="Flow through the feed line, if known",
            symbol="Q",
            meaning="Leave empty for what the goal asks for.",
        ),
    ] = None,
) -> FuelSupply:
    """Demand of a power goal (W) against both pumps; coherent SI units, engine speed in r/min.

    Pressures are gauge. The feed's greatest flow is 0 where the lift pump cannot even hold the required pressure at a
    standstill. Between Reynolds numbers of 2300 and 4000 the line's loss lies between `pressure_loss_low` and
    `pressure_loss_high`. Sources: see `formulas` of the calculator.
    """
    delivery = displacement * drive_ratio * engine_speed / 60.0 * volumetric_efficiency
    injectable = delivery * density * (1.0 - injector_return_fraction)
    demand = wheel_power / driveline_efficiency * bsfc / density
    with_return = demand / (1.0 - injector_return_fraction)
    through = with_return + cooling_flow if flow is None else flow
    line = _Line(density, kinematic_viscosity, bore, length, roughness)
    shape = 1.0 if curve == "linear" else 2.0

    def pump(q: float) -> float:
        return shutoff_pressure * (1.0 - math.pow(q / free_flow, shape))

    def beside_the_wall(q: float) -> float:
        filtering = filter_loss * q / through
        return line.fittings(q, fittings_K) + filtering + density * STANDARD_GRAVITY * lift

    def surplus(q: float) -> float:
        return pump(q) - line.greatest_friction(q) - beside_the_wall(q) - inlet_pressure_required

    re = line.reynolds(through)
    lost = line.friction(through) + beside_the_wall(through)
    available = pump(through)
    left = available - lost
    most = _meeting(surplus, free_flow)
    return FuelSupply(
        supported_crank_power=injectable / bsfc,
        pump_sufficient=with_return <= delivery,
        feed_sufficient=left >= inlet_pressure_required,
        pump_use=with_return / delivery,
        delivery=delivery,
        mass_delivery=delivery * density,
        injectable=injectable,
        engine_demand=demand,
        pump_delivery_with_return=with_return,
        feed_demand=through,
        mass_flow=through * density,
        inlet_pressure=left if left > -P_STANDARD else None,
        lift_pump_pressure=available,
        system_pressure=lost,
        pressure_loss=line.friction(through),
        fittings_loss=line.fittings(through, fittings_K),
        filter_pressure=filter_loss,
        lift_pressure=density * STANDARD_GRAVITY * lift,
        flow_regime=_regime(re),
        pressure_loss_low=line.least_friction(through),
        pressure_loss_high=line.greatest_friction(through),
        reynolds=re,
        velocity=through / area(bore),
        flow=most,
        pressure=pump(most),
        warnings=_warnings(left, available, most, with_return > delivery),
    )


@dataclass(frozen=True)
class _Line:
    """A round line that a liquid fills: density in kg/m3, kinematic viscosity in m2/s, lengths in m."""

    density: float
    viscosity: float
    bore: float
    length: float
    roughness: float

    def reynolds(self, q: float) -> float:
        """Reynolds number (1) of the volume flow `q` (m3/s)."""
        return q * self.bore / (area(self.bore) * self.viscosity)

    def friction(self, q: float) -> float:
        """Loss along the wall (Pa); in transition between the laminar and the turbulent one."""
        return self._wall(q, friction_factor(self.reynolds(q), self.roughness / self.bore)) if q else 0.0

    def least_friction(self, q: float) -> float:
        """The same, flow in transition taken as laminar."""
        re = self.reynolds(q)
        return self.friction(q) if re >= TURBULENT_LIMIT or not q else self._wall(q, 64.0 / re)

    def greatest_friction(self, q: float) -> float:
        """The same, flow in transition taken as turbulent: its law continued from its limit by Blasius' fourth root."""
        re = self.reynolds(q)
        if not LAMINAR_LIMIT < re < TURBULENT_LIMIT:
            return self.friction(q)
        at_limit = friction_factor(float(TURBULENT_LIMIT), self.roughness / self.bore)
        return self._wall(q, at_limit * math.pow(TURBULENT_LIMIT / re, 0.25))

    def fittings(self, q: float, k: float) -> float:
        """Loss of fittings (Pa)."""
        return k * dynamic_pressure(q * self.density, self.density, self.bore)

    def _wall(self, q: float, factor: float) -> float:
        return factor * self.length / self.bore * dynamic_pressure(q * self.density, self.density, self.bore)


def _meeting(surplus: Callable[[float], float], free_flow: float) -> float:
    """The flow (m3/s) at which the falling surplus of pump over system is used up; 0 where there is none at all."""
    if surplus(0.0) <= 0.0:
        return 0.0
    return free_flow * bracketed(lambda share: surplus(share * free_flow), 0.0, 1.0)


def _regime(re: float) -> str:
    if re <= LAMINAR_LIMIT:
        return "laminar"
    return "turbulent" if re >= TURBULENT_LIMIT else "in transition"


def _warnings(left: float, available: float, most: float, short: bool) -> tuple[str, ...]:
    found = []
    if short:
        found.append(
            "The high-pressure pump cannot deliver the goal's fuel: rail pressure falls until less is injected."
        )
    if most == 0.0:
        found.append("The lift pump's shut-off pressure does not reach what height and pump inlet ask for.")
    if available < 0.0:
        found.append("The flow asked for is more than the lift pump's free flow.")
    elif left < 0.0:
        found.append(
            "The pump inlet stands under vacuum: air comes in at every seal, and vapour comes out of the fuel."
        )
    return tuple(found)
