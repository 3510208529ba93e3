"""Spool time: how long the rotor of a turbocharger takes to a boost, from the power that its turbine has to spare."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Annotated

from calc.atmosphere import standard_air
from calc.constants import AFR_STOICHIOMETRIC, LHV_DIESEL, Constant
from calc.contract import Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.gas import AIR, Gas, products
from calc.provenance import Grade
from calc.references import COMBUSTION_ENGINES, GAS_DYNAMICS, GRI_THERMO, TURBOCHARGING
from calc.solve import NoBalance, bracketed
from calc.turbo import compressor, turbine_flow
from calc.units import PSI

BACK_PRESSURE_FLOW = Constant(
    0.42,
    "exhaust gas flow at which the back-pressure is given",
    "kg/s",
    None,
    grade=Grade.INVENTED,
    note="Fixed in this calculator.",
)
BACK_PRESSURE_TEMPERATURE = Constant(
    773.15,
    "gas temperature at which the back-pressure is given",
    "K",
    None,
    grade=Grade.INVENTED,
    note="Fixed in this calculator.",
)
_STEPS = 12
_HIGHEST_RATIO = 8.0


def _time(name: str, meaning: str) -> Output:
    return Output(unit="s", name=name, meaning=meaning, digits=2)


def _power(name: str, meaning: str) -> Output:
    return Output(unit="W", us="hp", si="kW", name=name, meaning=meaning, digits=2)


def _speed(name: str, meaning: str) -> Output:
    return Output(unit="r/min", name=name, meaning=meaning)


@dataclass(frozen=True)
class SpoolTime:
    """Times in s, powers in W, rotor speeds in r/min, energy in J."""

    spool_time: Annotated[float, _time("Time to the boost", "From the first to the wanted boost.")]
    time_saved_exhaust: Annotated[
        float | None, _time("Saved by the freer exhaust", "With the back-pressure after the change; minus is lost.")
    ]
    time_saved_lambda: Annotated[
        float | None, _time("Saved by the other lambda", "Smoke limit moved, exhaust as before; minus is lost.")
    ]
    time_saved_both: Annotated[float | None, _time("Saved by both together", "Not the sum of the two.")]
    rotor_energy: Annotated[
        float,
        Output(
            unit="J",
            us="kJ",
            si="kJ",
            name="Energy that the rotor takes up",
            symbol="E",
            meaning="Difference of its energy of rotation.",
        ),
    ]
    rotor_speed_start: Annotated[float, _speed("Rotor speed at the start", "At the boost that is there.")]
    rotor_speed_end: Annotated[float, _speed("Rotor speed at the end", "At the boost that is wanted.")]
    surplus_start: Annotated[float, _power("Power to spare at the start", "Turbine less compressor and bearings.")]
    surplus_end: Annotated[float, _power("Power to spare at the end", "Turbine less compressor and bearings.")]
    least_surplus: Annotated[float, _power("Least power to spare on the way", "Where the rotor gains speed slowest.")]
    mean_surplus: Annotated[float, _power("Mean power to spare", "Energy over time.")]
    turbine_inlet_temperature: Annotated[
        float,
        Output(
            unit="K",
            us="degF",
            si="degC",
            name="Exhaust temperature before the turbine",
            symbol="T_3",
            meaning="At the wanted boost, once walls and manifold are warm.",
        ),
    ]
    drive_pressure_end: Annotated[
        float,
        Output(
            unit="Pa",
            us="psi",
            si="kPa",
            name="Drive pressure on a gauge, at the end",
            meaning="Before the turbine, at the wanted boost.",
        ),
    ]
    warnings: tuple[str, ...] = ()


def _input(
    unit: str,
    low: float,
    high: float,
    name: str,
    meaning: str,
    *,
    us: str = "",
    si: str = "",
    symbol: str = "",
    grade: Grade = Grade.INVENTED,
) -> Quantity:
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


def _share(low: float, high: float, name: str, meaning: str, symbol: str) -> Quantity:
    return _input("1", low, high, name, meaning, us="%", si="%", symbol=symbol)


_BACK = "Static, behind the turbine, at 0.42 kg/s (56 lb/min) of gas of 500 °C (932 °F)"


@calculator(
    title="Spool time",
    question="How long does the turbocharger take to make boost, and do a freer exhaust or more fuel shorten it?",
    formulas=(
        Formula(
            r"I\,\omega\,\frac{d\omega}{dt} = \eta_t\,\eta_m\,\dot m_e\,\Delta h_{t,\mathrm{is}} - \dot m_a\,"
            r"\frac{\Delta h_{c,\mathrm{is}}}{\eta_c} = P, \qquad t = \int \frac{I\,\omega}{P}\,d\omega",
            "The rotor gains speed by what the turbine gives beyond what compressor and bearings take. With a constant "
            "power to spare the time is the rotor's energy over that power.",
            (
                Symbol("I", "moment of inertia of the rotor", "kg·m²"),
                Symbol(r"\omega", "rotor speed", "rad/s"),
                Symbol("P", "power to spare", "W"),
                Symbol(r"\dot m_a, \dot m_e", "mass flow of air and of exhaust gas", "kg/s"),
                Symbol(
                    r"\Delta h_{c,\mathrm{is}}, \Delta h_{t,\mathrm{is}}",
                    "loss-free enthalpy step of compressor and turbine",
                    "J/kg",
                ),
                Symbol(r"\eta_c, \eta_t\,\eta_m", "efficiency of compressor, and of turbine with bearings", "1"),
            ),
            TURBOCHARGING,
        ),
        Formula(
            r"\Delta h_{c,\mathrm{is}} = \psi_c\,u^2, \qquad u = \omega\,\frac{D}{2}",
            "The compressor's pressure goes with the square of its wheel's tip speed.",
            (
                Symbol(r"\psi_c", "head coefficient of the compressor", "1"),
                Symbol("u", "tip speed of its wheel", "m/s"),
                Symbol("D", "outer diameter of its wheel", "m"),
            ),
            TURBOCHARGING,
        ),
        Formula(
            r"\dot m_a = \eta_v\,\frac{p_m}{R\,T_m}\,V_d\,\frac{n}{2}, \qquad "
            r"\dot m_f = \frac{\dot m_a}{\lambda\,\mathrm{AFR}_{\mathrm{st}}}",
            "Air follows the boost, and fuel the air at the smoke limit: the gas is as hot as lambda allows.",
            (
                Symbol(r"\eta_v", "volumetric efficiency", "1"),
                Symbol("p_m, T_m", "pressure and temperature in the intake manifold", "Pa, K"),
                Symbol("V_d", "displacement", "m³"),
                Symbol("n", "engine speed, in revolutions per second", "1/s"),
                Symbol(r"\lambda", "air over the air that the fuel needs", "1"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\dot m_e\sqrt{R\,T_3} = A\,p_3\,\psi(\mathrm{ER}), \qquad p_3 = \mathrm{ER}\;p_4",
            "The turbine's area makes the pressure before it: less pressure behind it leaves more to expand.",
            (
                Symbol("A", "effective flow area of the turbine", "m²"),
                Symbol(r"\mathrm{ER}", "expansion ratio", "1"),
                Symbol("p_3, p_4", "pressure before and behind the turbine", "Pa"),
                Symbol(r"\psi", "flow function of a nozzle", "1"),
            ),
            GAS_DYNAMICS,
        ),
    ),
    references=(GRI_THERMO,),
    constants=(LHV_DIESEL, AFR_STOICHIOMETRIC, BACK_PRESSURE_FLOW, BACK_PRESSURE_TEMPERATURE),
    valid="Engine speed held, gas and walls as warm as in steady running, efficiencies constant, the smoke limit "
    "followed exactly. Left out: the filling of the manifolds, the manifold's own heat, pulses of single cylinders "
    "(they help at low speed), the map's surge line, and an engine that gains speed meanwhile. Compare times rather "
    "than trust one.",
    cautions=("turbocharger", "hot-exhaust"),
    related=("drive-pressure", "engine-balance", "exhaust-back-pressure"),
    curves=(
        Curve(
            title="Time to the boost against the turbine's area",
            vary="effective_area",
            outputs=("spool_time",),
            span=(5e-4, 12e-4),
            points=8,
        ),
        Curve(
            title="Time to the boost against lambda at the smoke limit",
            vary="lam",
            outputs=("spool_time",),
            span=(1.1, 1.8),
            points=8,
        ),
    ),
)
def spool_time(
    rotor_inertia: Annotated[
        float,
        _input(
            *("kg.m2", 1e-6, 5e-3, "Inertia of the rotor", "Both wheels and the shaft."),
            us="lb.in2",
            symbol="I",
        ),
    ] = 2.1e-4,
    initial_boost: Annotated[
        float,
        _input("Pa", 0.0, 300e3, "Boost at the start", "On a gauge, as the pedal goes down.", us="psi", si="kPa"),
    ] = 2 * PSI,
    target_boost: Annotated[
        float, _input("Pa", 5e3, 400e3, "Boost that is wanted", "On a gauge.", us="psi", si="kPa")
    ] = 15 * PSI,
    speed: Annotated[
        float, _input("r/min", 600, 5000, "Engine speed", "Held while the rotor speeds up.", symbol="n")
    ] = 2200.0,
    lam: Annotated[
        float,
        _input(
            "1", 1.0, 4.0, "Lambda at the smoke limit", "How rich the fuelling may follow the air.", symbol=r"\lambda"
        ),
    ] = 1.35,
    lam_after: Annotated[
        float | None, _input("1", 1.0, 4.0, "Lambda to compare with", "Empty compares nothing.")
    ] = 1.25,
    back_pressure: Annotated[
        float, _input("Pa", 0.0, 60e3, "Back-pressure of the exhaust", f"{_BACK}.", us="inHg", si="kPa")
    ] = 30e3,
    back_pressure_after: Annotated[
        float | None,
        _input(
            *("Pa", 0.0, 60e3, "Back-pressure to compare with"),
            "At the same flow and temperature, as with a freer downpipe. Empty compares nothing.",
            us="inHg",
            si="kPa",
        ),
    ] = 22e3,
    effective_area: Annotated[
        float,
        _input(
            *("m2", 1e-4, 40e-4, "Effective turbine area", "As the vanes stand meanwhile: nearly shut."),
            us="in2",
            si="cm2",
            symbol="A",
        ),
    ] = 8.5e-4,
    wheel_diameter: Annotated[
        float,
        _input(
            *("m", 0.03, 0.15, "Compressor wheel diameter", "Outer diameter, where the air leaves."),
            us="in",
            si="mm",
            symbol="D",
        ),
    ] = 0.088,
    head_coefficient: Annotated[
        float,
        _input(
            *("1", 0.4, 0.9, "Head coefficient", "Loss-free enthalpy step over tip speed squared."),
            symbol=r"\psi_c",
            grade=Grade.MEMORY,
        ),
    ] = 0.6,
    compressor_efficiency: Annotated[
        float, _share(0.4, 0.88, "Compressor efficiency", "Isentropic, on the way up.", r"\eta_c")
    ] = 0.7,
    turbine_times_mechanical_efficiency: Annotated[
        float,
        _share(0.3, 0.88, "Turbine efficiency, bearings included", "Lower than at its best.", r"\eta_t\,\eta_m"),
    ] = 0.6,
    displacement: Annotated[
        float, _input("m3", 0.5e-3, 20e-3, "Displacement", "Of all cylinders.", us="L", si="L", symbol="V_d")
    ] = 6.3e-3,
    volumetric_efficiency: Annotated[
        float, _share(0.5, 1.1, "Volumetric efficiency", "At manifold density.", r"\eta_v")
    ] = 0.92,
    indicated_efficiency: Annotated[
        float, _share(0.25, 0.52, "Indicated efficiency", "Work of the closed cycle over the fuel's heat.", r"\eta_i")
    ] = 0.435,
    heat_loss_fraction: Annotated[
        float, _share(0.05, 0.45, "Heat to walls, coolant and oil", "More than in steady running: walls are cool.", "q")
    ] = 0.25,
    charge_temperature: Annotated[
        float,
        _input(
            *("K", 253.15, 420.0, "Charge temperature", "In the intake manifold."), us="degF", si="degC", symbol="T_m"
        ),
    ] = 313.15,
    ambient_temperature: Annotated[
        float, _input("K", 243.15, 323.15, "Air outside", "At the compressor.", us="degF", si="degC", symbol="T_1")
    ] = 298.15,
    height: Annotated[
        float, _input("m", -200.0, 4500.0, "Height above the sea", "It sets the air pressure.", us="ft", si="m")
    ] = 0.0,
    surplus_power: Annotated[
        float | None,
        _input(
            *("W", 100.0, 200e3, "Power to spare, if known"),
            "A constant one in place of the computed one. Empty computes it.",
            us="hp",
            si="kW",
        ),
    ] = None,
) -> SpoolTime:
    """Time for the rotor from one boost to another, from the energy it takes up and the turbine's power to spare.

    Inputs in coherent SI, engine speed in r/min, boosts and back-pressure above the air outside. Quasi-steady: at each
    rotor speed flows, temperatures and pressures are those of a balance. Raises Impossible where the turbine has
    nothing to spare on the way, so that the boost is never reached. Sources: see `formulas` of the calculator.
    """
    if target_boost <= initial_boost:
        raise Impossible("The wanted boost must lie above the boost at the start.", ("target_boost", "initial_boost"))

    def rotor(lam: float, back_pressure: float) -> _Rotor:
        return _Rotor(
            inertia=rotor_inertia,
            diameter=wheel_diameter,
            head=head_coefficient,
            compressor_efficiency=compressor_efficiency,
            turbine_efficiency=turbine_times_mechanical_efficiency,
            area=effective_area,
            draws=volumetric_efficiency * displacement * speed / 120.0,
            charge=charge_temperature,
            left=1.0 - indicated_efficiency - heat_loss_fraction,
            ambient=standard_air(height).pressure,
            inlet=ambient_temperature,
            lam=lam,
            back_pressure=back_pressure,
            constant=surplus_power,
        )

    now = rotor(lam, back_pressure)
    run = now.run(initial_boost, target_boost)
    exhaust = lam_only = both = None
    if back_pressure_after is not None:
        exhaust = _saved(run, rotor(lam, back_pressure_after), initial_boost, target_boost)
    if lam_after is not None:
        lam_only = _saved(run, rotor(lam_after, back_pressure), initial_boost, target_boost)
    if back_pressure_after is not None and lam_after is not None:
        both = _saved(run, rotor(lam_after, back_pressure_after), initial_boost, target_boost)
    end = now.at(now.speed_for(target_boost))
    energy = 0.5 * rotor_inertia * (run.end**2 - run.start**2)
    return SpoolTime(
        spool_time=run.time,
        time_saved_exhaust=exhaust,
        time_saved_lambda=lam_only,
        time_saved_both=both,
        rotor_energy=energy,
        rotor_speed_start=run.start * 30.0 / math.pi,
        rotor_speed_end=run.end * 30.0 / math.pi,
        surplus_start=run.surplus[0],
        surplus_end=run.surplus[-1],
        least_surplus=min(run.surplus),
        mean_surplus=energy / run.time,
        turbine_inlet_temperature=now.inlet_temperature,
        drive_pressure_end=end.drive_pressure - now.ambient,
        warnings=_warnings(lam, lam_after, back_pressure_after, lam_only, exhaust),
    )


@dataclass(frozen=True)
class _Moment:
    """Power to spare (W) and absolute drive pressure (Pa) at one rotor speed."""

    surplus: float
    drive_pressure: float


@dataclass(frozen=True)
class _Run:
    """A rotor on its way: time (s), rotor speeds (rad/s) and the power to spare (W) at the points in between."""

    time: float
    start: float
    end: float
    surplus: tuple[float, ...]


@dataclass(frozen=True)
class _Rotor:
    """A rotor with the engine around it.

    `draws` is the volume flow of the cylinders (m3/s), `left` the share of the fuel's heat that stays in the gas,
    `ambient` the pressure outside (Pa), `inlet` and `charge` the air's temperatures at compressor and manifold (K).
    """

    inertia: float
    diameter: float
    head: float
    compressor_efficiency: float
    turbine_efficiency: float
    area: float
    draws: float
    charge: float
    left: float
    ambient: float
    inlet: float
    lam: float
    back_pressure: float
    constant: float | None

    @cached_property
    def gas(self) -> Gas:
        return products(self.lam)

    @cached_property
    def inlet_temperature(self) -> float:
        """Temperature (K) before the turbine: it depends on lambda, not on boost."""
        air = self.lam * AFR_STOICHIOMETRIC
        heat = LHV_DIESEL * self.left + air * AIR.h(self.charge)
        return self.gas.temperature_at(heat / (air + 1.0), 900.0)

    def speed_for(self, boost: float) -> float:
        """Rotor speed (rad/s) at which the compressor gives this boost (Pa)."""
        step = AIR.h(AIR.isentropic(self.inlet, 1.0 + boost / self.ambient)) - AIR.h(self.inlet)
        return 2.0 / self.diameter * math.sqrt(max(step, 0.0) / self.head)

    def at(self, speed: float) -> _Moment:
        """The quasi-steady state at a rotor speed (rad/s)."""
        tip = 0.5 * speed * self.diameter
        ideal = AIR.temperature_at(AIR.h(self.inlet) + self.head * tip * tip, self.inlet)
        ratio = 1.0 / AIR.pressure_ratio(self.inlet, ideal)
        air = self.draws * ratio * self.ambient / (AIR.R * self.charge)
        exhaust = air * (1.0 + 1.0 / (self.lam * AFR_STOICHIOMETRIC))
        expansion, drive = self._expansion(exhaust)
        t3 = self.inlet_temperature
        given = self.gas.h(t3) - self.gas.h(self.gas.isentropic(t3, 1.0 / expansion))
        taken = air * compressor(self.inlet, ratio, self.compressor_efficiency)[1]
        surplus = self.turbine_efficiency * exhaust * given - taken if self.constant is None else self.constant
        return _Moment(surplus, drive)

    def _expansion(self, exhaust: float) -> tuple[float, float]:
        """Expansion ratio (1) and drive pressure (Pa) at which the area passes the gas (kg/s)."""
        t3 = self.inlet_temperature
        gamma, r = self.gas.gamma(t3), self.gas.R
        load = exhaust / BACK_PRESSURE_FLOW
        outlet = self.ambient + self.back_pressure * load * load * t3 / BACK_PRESSURE_TEMPERATURE

        def excess(ratio: float) -> float:
            return turbine_flow(self.area, r, t3, ratio * outlet, ratio, gamma) / exhaust - 1.0

        if excess(_HIGHEST_RATIO) < 0.0:
            raise Impossible(
                "The turbine is too small for this much gas: the pressure before it would pass what one stage expands.",
                ("effective_area", "target_boost"),
            )
        ratio = bracketed(excess, 1.0, _HIGHEST_RATIO, f_low=-1.0, tolerance=1e-9)
        return ratio, ratio * outlet

    @lru_cache(maxsize=64)  # noqa: B019 (a rotor is a value; a chart asks for the same one again)
    def run(self, initial: float, target: float) -> _Run:
        """From one boost to another (Pa): Simpson's rule over the energy of the rotor, in which dt = dE / P."""
        start, end = self.speed_for(initial), self.speed_for(target)
        energies = [start * start + (end * end - start * start) * step / _STEPS for step in range(_STEPS + 1)]
        surplus = tuple(self.at(math.sqrt(energy)).surplus for energy in energies)
        if min(surplus) <= 0.0:
            raise NoBalance(
                "The turbine has no power to spare on the way, so this boost is never reached: it takes hotter gas, a "
                "smaller area, more engine speed or less back-pressure.",
                ("target_boost", "effective_area"),
                cause="turbine",
            )
        weights = [1 if step in (0, _STEPS) else 4 if step % 2 else 2 for step in range(_STEPS + 1)]
        width = 0.5 * self.inertia * (end * end - start * start) / _STEPS
        time = width / 3.0 * sum(weight / power for weight, power in zip(weights, surplus, strict=True))
        return _Run(time, start, end, surplus)


def _saved(run: _Run, other: _Rotor, initial: float, target: float) -> float | None:
    """Time saved (s) with another rotor or engine around it; None when that one never gets there."""
    try:
        return run.time - other.run(initial, target).time
    except Impossible:
        return None


def _warnings(
    lam: float, lam_after: float | None, back_after: float | None, lam_saved: float | None, exhaust_saved: float | None
) -> tuple[str, ...]:
    found = []
    if min(lam, lam_after or lam) < 1.2:
        found.append("Below a lambda of about 1.2 a diesel smokes, and not all of the fuel's heat comes free.")
    if (lam_after is not None and lam_saved is None) or (back_after is not None and exhaust_saved is None):
        found.append("With one of the values to compare with, the wanted boost is never reached.")
    return tuple(found)
