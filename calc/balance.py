"""The engine balance: one operating point of a turbocharged, charge-cooled four-stroke diesel.

A mean-value balance of air, energy and pressure, in coherent SI (speeds in r/min):

1. air = lambda AFR_st fuel (1 + humidity); the cylinders draw eta_v rho_man V n/2, which gives rho_man.
2. p1 behind filter and duct; p2 in front of charge cooler and intake tract; the compressor's work with cp(T).
3. Exhaust enthalpy = fuel LHV (1 - eta_i - q) + charge enthalpy + pumping work. The pumping work is in there because
   the pistons put it into the gas: without it the first law would not close.
4. The turbine's work pays for the compressor's; its efficiency gives the expansion ratio ER; p3 = ER p4, and p4 is the
   outside pressure plus the losses of the exhaust.
5. Brake power = eta_i fuel LHV - (FMEP + p3 - p_man) V n/2; wheel power = brake power (1 - driveline loss).

What it leaves out: transients, pulse energy, combustion timing, exhaust gas recirculation, heat soak, heat lost by the
exhaust manifold, the left side (surge) of a compressor's map. Source: Internal Combustion Engine Fundamentals;
Turbocharging the Internal Combustion Engine.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from calc import flow
from calc.atmosphere import water_in_air
from calc.constants import COMPRESSOR_P_REFERENCE, COMPRESSOR_T_REFERENCE
from calc.contract import Impossible
from calc.engine import Closure, Energy, Finding, Setting
from calc.exhaust import ElementState, back_pressure, temperatures
from calc.gas import AIR, Gas, blend, burnt, humid_air, stoichiometric_afr
from calc.limits import findings
from calc.solve import NoBalance, bracketed, interpolate
from calc.turbo import COLDEST, effective_area, turbine_flow

_T_REFERENCE, _P_REFERENCE = float(COMPRESSOR_T_REFERENCE), float(COMPRESSOR_P_REFERENCE)
_LEANEST = 80.0
_HIGHEST_RATIO = 20.0
_HOTTEST = 2500.0
_CHOKED_SHARE = 0.35
# How much faster than fuel the drive pressure grows, about: a first guess that only costs time.
_DRIVE_GROWTH = 1.5
# So small a share of the temperature changes the exhaust's loss in proportion, to far below what a balance closes to.
_SAME_TEMPERATURE = 2e-9
# When a neighbour's slopes serve: power rises so much with fuel, and the solution is met so soon and so close by.
_RISING, _QUICKLY, _CLOSE_BY = 0.6, 8, 0.1


Slopes = tuple[float, float, float, float]
"""How power and the turbine's area change with fuel and lambda, all logarithms: power with each, then the area."""


@dataclass(frozen=True, kw_only=True)
class OperatingPoint:
    """One solved operating point. Pressures absolute in Pa, temperatures in K, flows in kg/s, powers in W, areas in m2.

    speed: r/min. fuel_per_injection: kg. excess_air_ratio: lambda on dry air. Losses: filter, duct before the
    compressor, charge cooler, tract from the cooler to the manifold. corrected_flow: at 298 K and 100 kPa.
    turbine_outlet_temperature: mixed with what a wastegate leads past. back_pressure: turbine outlet above outside.
    drive_ratio: turbine inlet over manifold pressure. effective_area: what the turbine must pass (boost held) or
    passes. bypass: share of the gas led past the wheel; below 0 where a wastegate that is shut still loses too much.
    Mean effective pressures in Pa; pmep is positive where gas exchange costs work. specific_consumption: kg/J.
    largest_mach: in the intake ducts and exhaust elements. beyond: the limits that are passed, worst first.
    """

    speed: float
    fuel_flow: float
    fuel_per_injection: float
    excess_air_ratio: float
    air_flow: float
    exhaust_flow: float
    ambient_pressure: float
    ambient_temperature: float
    filter_loss: float
    duct_loss: float
    compressor_inlet_pressure: float
    compressor_inlet_temperature: float
    pressure_ratio: float
    corrected_flow: float
    compressor_efficiency: float
    compressor_outlet_pressure: float
    compressor_outlet_temperature: float
    compressor_power: float
    cooler_loss: float
    tract_loss: float
    manifold_pressure: float
    manifold_temperature: float
    manifold_density: float
    turbine_inlet_pressure: float
    turbine_inlet_temperature: float
    expansion_ratio: float
    turbine_outlet_pressure: float
    turbine_outlet_temperature: float
    tailpipe_temperature: float
    back_pressure: float
    effective_area: float
    bypass: float
    drive_ratio: float
    indicated_power: float
    pumping_power: float
    friction_power: float
    brake_power: float
    wheel_power: float
    brake_torque: float
    pmep: float
    fmep: float
    bmep: float
    brake_efficiency: float
    specific_consumption: float
    largest_mach: float
    energy: Energy
    exhaust: tuple[ElementState, ...]
    beyond: tuple[Finding, ...]
    rise: float | None = field(default=None, repr=False, compare=False)
    """How brake power rises with fuel, both logarithms, where lambda is given: a start for a neighbour."""
    slopes: Slopes | None = field(default=None, repr=False, compare=False)

    @property
    def boost(self) -> float:
        """Manifold pressure above outside, Pa."""
        return self.manifold_pressure - self.ambient_pressure

    @property
    def drive_to_boost(self) -> float | None:
        """Drive pressure over boost as the trade counts it, both above outside; None without boost."""
        boost = self.manifold_pressure - self.ambient_pressure
        if boost < 0.02 * self.ambient_pressure:
            return None
        return (self.turbine_inlet_pressure - self.ambient_pressure) / boost


class _State:
    """What one pass through the equations found; plain slots because thousands are made."""

    __slots__ = (
        "air", "area", "brake", "bypass", "ex", "fuel", "gas", "lam", "p1", "p2", "p3", "p4", "p_after_cooler", "p_man",
        "pumping", "ratio", "t2", "t3", "t4", "t_man", "work",
    )  # fmt: skip

    air: float
    area: float
    brake: float
    bypass: float
    ex: float
    fuel: float
    gas: Gas
    lam: float
    p1: float
    p2: float
    p3: float
    p4: float
    p_after_cooler: float
    p_man: float
    pumping: float
    ratio: float
    t2: float
    t3: float
    t4: float
    t_man: float
    work: float


class _Machine:
    """A setting at one engine speed with everything that does not change from pass to pass worked out."""

    def __init__(self, setting: Setting, speed: float) -> None:
        if not speed > 0.0:
            raise Impossible("An engine that stands still has no operating point.", ("speed",))
        engine, turbo, cooler = setting.engine, setting.turbocharger, setting.charge_cooler
        intake, ambient = setting.intake, setting.ambient
        self.setting = setting
        self.speed = speed
        self.swept = engine.displacement * speed / 120.0
        self.indicated = interpolate(engine.indicated_efficiency, speed)
        self.walls = interpolate(engine.heat_fraction, speed)
        self.filling = interpolate(engine.volumetric_efficiency, speed)
        self.fmep = interpolate(engine.friction, speed)
        if not (0.0 < self.indicated < 1.0 and self.walls >= 0.0 and self.indicated + self.walls < 1.0):
            raise Impossible(
                "Work and heat to the walls together must leave some of the fuel's energy in the exhaust gas.",
                ("indicated_efficiency", "heat_fraction"),
            )
        if not self.filling > 0.0:
            raise Impossible("The volumetric efficiency must be above zero.", ("volumetric_efficiency",))
        self.friction = self.fmep * self.swept
        self.lhv = engine.lower_heating_value
        self.afr = stoichiometric_afr(engine.hydrogen_per_carbon)
        self.burnt = burnt(engine.hydrogen_per_carbon).coefficients
        self.water = water_in_air(ambient.pressure, ambient.temperature, ambient.relative_humidity)
        self.gas = humid_air(self.water) if self.water else AIR
        self.p_amb = ambient.pressure
        self.t1 = ambient.temperature + intake.temperature_rise
        self.h1 = self.gas.h(self.t1)
        thinner = intake.filter_density * self.gas.R * ambient.temperature / ambient.pressure
        self.filter_linear = intake.filter_linear * thinner
        self.filter_quadratic = intake.filter_quadratic * thinner
        self.before, self.after = intake.before, intake.after
        self.cooler_loss = cooler.pressure_loss * cooler.density / (cooler.mass_flow * cooler.mass_flow)
        self.effectiveness = cooler.effectiveness
        self.coolant = ambient.temperature + cooler.coolant_rise
        self.eta_c = turbo.compressor_efficiency
        self.eta_t, self.eta_m = turbo.turbine_efficiency, turbo.mechanical_efficiency
        self.bypass = turbo.bypass
        self.gated = turbo.effective_area if setting.closure is Closure.WASTEGATE else None
        self.flow_limit, self.best_share, self.fall = turbo.flow_limit, turbo.best_share, turbo.efficiency_fall
        self.elements = setting.exhaust.elements
        self.cools = any(getattr(element, "heat_transfer", 0.0) for element in self.elements)
        # Where the last pass ended: the next one starts there.
        self.t_man = self.coolant + (1.0 - self.effectiveness) * 150.0
        self.p3 = 2.0 * self.p_amb
        self.t3, self.t4, self.t_cold = 900.0, 800.0, 800.0
        self.last_outlet = 0.0, 1.0, 0.0
        self.gate_slope = 3.0
        self.lam = setting.excess_air_ratio
        self.fuel: float | None = None
        self.near: OperatingPoint | None = None
        self.rise: float | None = None
        self.slopes: Slopes | None = None

    def start(self, near: OperatingPoint) -> None:
        """Begin the search at another point."""
        self.t_man = near.manifold_temperature
        self.p3 = near.turbine_inlet_pressure
        self.t3, self.t4 = near.turbine_inlet_temperature, near.turbine_outlet_temperature
        self.t_cold = self.t3 - (self.t3 - self.t4) / self.eta_t
        self.fuel = near.fuel_flow
        self.near = near
        if self.setting.closure is Closure.TURBINE_AS_IT_IS:
            self.lam = near.excess_air_ratio

    def compressor_efficiency(self, corrected: float) -> float:
        """Isentropic efficiency at a corrected flow: level, then falling with the square beyond `best_share`."""
        if self.flow_limit is None:
            return self.eta_c
        over = (corrected / self.flow_limit - self.best_share) / (1.0 - self.best_share)
        if over <= 0.0:
            return self.eta_c
        share = 1.0 - self.fall * over * over
        if share < _CHOKED_SHARE:
            raise NoBalance(
                "The compressor cannot pass that much air: the point lies far beyond the right edge of its map.",
                ("flow_limit",),
                cause="compressor",
            )
        return self.eta_c * share

    def inlet(self, air: float) -> tuple[float, float]:
        """Pressure behind the filter and in front of the compressor, Pa."""
        behind = self.p_amb - air * (self.filter_linear + self.filter_quadratic * air)
        if behind < 0.3 * self.p_amb:
            raise NoBalance("The air filter cannot pass that much air.", ("filter_quadratic",), cause="bore")
        p1 = behind
        for pipe in self.before:
            p1 = flow.pipe_downstream(air, p1, self.t1, self.gas.R, pipe.bore, sum(pipe.resistance(air, self.t1)))
        return behind, p1

    def corrected(self, air: float, p1: float) -> float:
        return air * math.sqrt(self.t1 / _T_REFERENCE) * _P_REFERENCE / p1

    def breathe(self, s: _State) -> None:
        """Intake side for a given air flow: the manifold temperature that the compressor and the cooler agree on."""
        air, gas = s.air, self.gas
        r, t1 = gas.R, self.t1
        _, p1 = self.inlet(air)
        efficiency = self.compressor_efficiency(self.corrected(air, p1))
        density = air / (self.filling * self.swept)
        square = self.cooler_loss * air * air * r
        t, last, r_last = self.t_man, 0.0, 0.0
        for _ in range(60):
            p = p_man = density * r * t
            for pipe in self.after:
                flux = air / flow.area(pipe.bore)
                p = math.sqrt(p * p + flux * flux * r * t * sum(pipe.resistance(air, t)))
            p2 = p + square * t / p
            if p2 > 1.5 * _HIGHEST_RATIO * p1:
                break
            work = (gas.h(gas.isentropic(t1, p2 / p1)) - self.h1) / efficiency if p2 > p1 else 0.0
            t2 = gas.temperature_at(self.h1 + work, t1 + work / 1010.0)
            residual = t2 - self.effectiveness * (t2 - self.coolant) - t
            if -1e-10 * t < residual < 1e-10 * t:
                break
            slope = (residual - r_last) / (t - last) if last and t != last else -0.94
            if not -2.0 < slope < -0.1:
                slope = -0.94
            last, r_last = t, residual
            t = max(150.0, t - residual / slope)
        else:
            raise NoBalance("The charge temperature does not settle.")
        if p2 > _HIGHEST_RATIO * p1:
            raise NoBalance(
                "The compressor would need a pressure ratio that no single stage reaches.",
                ("excess_air_ratio",),
                cause="compressor",
            )
        s.p1, s.p2, s.t2, s.work = p1, p2, t2, work
        s.p_man, s.t_man, s.p_after_cooler = p_man, t, p
        self.t_man = t
        if p2 < p1:
            raise NoBalance(
                "The engine draws more air by itself than this lambda asks for: lambda would be higher, without boost.",
                ("excess_air_ratio",),
                cause="unboosted",
            )

    def exhale(self, s: _State) -> None:
        """Exhaust side: the turbine inlet pressure at which turbine, exhaust and pumping work agree."""
        gas, ex, p_man, swept = s.gas, s.ex, s.p_man, self.swept
        energy = s.fuel * self.lhv * (1.0 - self.indicated - self.walls) + s.air * self.gas.h(s.t_man)
        shaft = s.air * s.work / self.eta_m
        per_kg = shaft / (ex * (1.0 - self.bypass))
        ideal = per_kg / self.eta_t
        mixed = shaft / ex
        coldest, hottest = gas.h(COLDEST), gas.h(_HOTTEST)
        p3 = max(self.p3, 0.5 * self.p_amb)
        t3, cooler, coldest_by = self.t3, self.t3 - self.t4, self.t3 - self.t_cold
        # More drive pressure puts more pumping work into the gas, which then needs less expansion: the residual falls
        # all the way, and a pressure at which the turbine finds no power lies below the root.
        low, high = 0.0, math.inf
        last = r_last = 0.0
        for _ in range(80):
            pumping = (p3 - p_man) * swept
            h3 = (energy + pumping) / ex
            if h3 > hottest and pumping > 0.0:
                high, last = p3, 0.0
                p3 = 0.5 * (max(low, p_man) + high)
                continue
            ratio = math.inf
            if h3 - ideal > coldest:
                t3 = gas.temperature_at(h3, t3)
                cold = gas.temperature_at(h3 - ideal, max(COLDEST, t3 - coldest_by))
                coldest_by = t3 - cold
                ratio = gas.pressure_ratio(t3, cold)
            if ratio > _HIGHEST_RATIO:
                if p3 > 1.5 * _HIGHEST_RATIO * self.p_amb:
                    raise NoBalance(
                        "The turbine cannot find the power that the compressor needs: no single stage reaches that "
                        "expansion ratio.",
                        ("turbine_efficiency", "compressor_efficiency"),
                        cause="turbine",
                    )
                low, last = p3, 0.0
                p3 = 1.5 * p3 if high == math.inf else 0.5 * (low + high)
                continue
            t4 = gas.temperature_at(h3 - mixed, max(COLDEST, t3 - cooler))
            cooler = t3 - t4
            p4 = self.outlet(s, t4)
            residual = ratio * p4 - p3
            if -1e-10 * p3 < residual < 1e-10 * p3:
                break
            if residual > 0.0:
                low = p3
            else:
                high = p3
            slope = (residual - r_last) / (p3 - last) if last and p3 != last else -1.05
            last, r_last = p3, residual
            p3 -= residual / (slope if slope < -0.2 else -1.05)
            if not low < p3 < high:
                p3 = 0.5 * (low + high) if high < math.inf else 1.5 * low
        else:
            raise NoBalance(
                "The turbine cannot find the power that the compressor needs within one stage.", cause="turbine"
            )
        s.p3, s.p4, s.t3, s.t4, s.ratio, s.pumping, s.bypass = p3, p4, t3, t4, ratio, pumping, self.bypass
        self.t3, self.t4, self.t_cold = t3, t4, t3 - coldest_by
        through = ex * (1.0 - self.bypass)
        s.area = effective_area(through, gas.R, t3, p3, ratio, gas.gamma(t3)) if ratio > 1.0 else math.inf

    def outlet(self, s: _State, t4: float) -> float:
        """Pressure behind the turbine, Pa: the outside and the losses of the exhaust, which grow with temperature."""
        flow_then, t_then, p_then = self.last_outlet
        if s.ex == flow_then and abs(t4 - t_then) < _SAME_TEMPERATURE * t4:
            return self.p_amb + (p_then - self.p_amb) * t4 / t_then
        means = (
            temperatures(self.elements, s.ex, t4, s.gas.cp(t4), self.setting.ambient.temperature)[0]
            if self.cools
            else (t4,) * len(self.elements)
        )
        p4 = back_pressure(self.elements, s.ex, means, self.p_amb, s.gas.R)
        self.last_outlet = s.ex, t4, p4
        return p4

    def past_the_gate(self, s: _State, area: float) -> None:
        """Exhaust side with a turbine of `area` (m2) and a wastegate: the turbine inlet pressure at which the gas that
        the turbine passes finds the compressor's power; the gate takes the rest."""
        gas, ex, p_man, swept = s.gas, s.ex, s.p_man, self.swept
        energy = s.fuel * self.lhv * (1.0 - self.indicated - self.walls) + s.air * self.gas.h(s.t_man)
        shaft = s.air * s.work / self.eta_m
        if shaft <= 0.0:
            raise NoBalance("A compressor without work needs no turbine.", cause="unboosted")
        mixed = shaft / ex
        coldest, hottest = gas.h(COLDEST), gas.h(_HOTTEST)
        p3 = max(self.p3, 1.05 * self.p_amb)
        t3, cooler = self.t3, self.t3 - self.t4
        # More drive pressure gives the turbine more of everything: the power that it finds rises all the way.
        low, high = self.p_amb, math.inf
        x_last = r_last = math.nan
        for _ in range(80):
            pumping = (p3 - p_man) * swept
            h3 = (energy + pumping) / ex
            p4 = p3
            if coldest + mixed < h3 < hottest:
                t3 = gas.temperature_at(h3, t3)
                t4 = gas.temperature_at(h3 - mixed, max(COLDEST, t3 - cooler))
                cooler = t3 - t4
                p4 = self.outlet(s, t4)
            ratio = p3 / p4
            x = math.log(p3)
            if h3 >= hottest or ratio > _HIGHEST_RATIO:
                high, x_last = p3, math.nan
                p3 = 0.5 * (low + high)
                continue
            if ratio <= 1.0 + 1e-9:
                low, x_last = p3, math.nan
                p3 = 0.5 * (low + high) if high < math.inf else 1.3 * p3
                continue
            through = turbine_flow(area, gas.R, t3, p3, ratio, gas.gamma(t3))
            found = through * self.eta_t * (h3 - gas.h(gas.isentropic(t3, 1.0 / ratio)))
            residual = math.log(found / shaft)
            if -1e-10 < residual < 1e-10:
                break
            if residual < 0.0:
                low = p3
            else:
                high = p3
            if not math.isnan(x_last) and x != x_last:
                slope = (residual - r_last) / (x - x_last)
                self.gate_slope = slope if slope > 0.5 else 3.0
            x_last, r_last = x, residual
            p3 = math.exp(x - max(-0.5, min(0.5, residual / self.gate_slope)))
            if not low < p3 < high:
                p3 = 0.5 * (low + high) if high < math.inf else 1.3 * low
        else:
            raise NoBalance(
                "The turbine cannot find the power that the compressor needs, even with its wastegate shut.",
                ("turbine_efficiency", "compressor_efficiency"),
                cause="turbine",
            )
        s.p3, s.p4, s.t3, s.t4, s.ratio, s.pumping = p3, p4, t3, t4, ratio, pumping
        s.area, s.bypass = area, 1.0 - through / ex
        self.t3, self.t4 = t3, t4

    def at(self, fuel: float, lam: float) -> _State:
        """One pass for a fuel flow (kg/s) and lambda (1). Raises NoBalance where there is no such point."""
        s = _State()
        if self.fuel is not None and 0.9 * self.fuel < fuel < 1.1 * self.fuel:
            self.p3 *= math.pow(fuel / self.fuel, _DRIVE_GROWTH)
        self.fuel = fuel
        s.fuel, s.lam = fuel, lam
        dry = lam * self.afr * fuel
        s.air = dry * (1.0 + self.water)
        s.ex = s.air + fuel
        s.gas = Gas(blend(self.burnt, (1.0 + self.afr) * fuel / s.ex, dry * self.water / s.ex))
        try:
            self.breathe(s)
            if self.gated is None:
                self.exhale(s)
            else:
                self.past_the_gate(s, self.gated)
        except NoBalance:
            raise
        except Impossible as problem:
            cause = "bore" if "bore" in problem.inputs else "balance"
            raise NoBalance(str(problem), problem.inputs, cause=cause) from problem
        self.p3 = s.p3
        s.brake = self.indicated * fuel * self.lhv - self.friction - s.pumping
        return s


def balance(
    setting: Setting,
    speed: float,
    *,
    fuel_flow: float | None = None,
    brake_power: float | None = None,
    wheel_power: float | None = None,
    near: OperatingPoint | None = None,
) -> OperatingPoint:
    """The operating point at `speed` (r/min) for exactly one of fuel flow (kg/s), brake power (W) or wheel power (W).

    With the boost held lambda is the setting's and the turbine area follows; with a wastegate both are given and what
    it leads past follows; with the turbine as it is the area is the turbocharger's and lambda and boost follow. Where
    two fuel flows give the same power the smaller one is meant. The point may lie beyond limits: see `beyond`. `near`
    is a point to start from: it saves time and changes no answer. Raises NoBalance, with a cause and a sentence, when
    no point exists at all, and Impossible for values that contradict each other.
    """
    given = [value for value in (fuel_flow, brake_power, wheel_power) if value is not None]
    if len(given) != 1:
        raise TypeError("balance() wants exactly one of fuel_flow, brake_power and wheel_power")
    if not 0.0 < given[0] < math.inf:
        raise Impossible("Fuel flow and power must be above zero.", ("fuel_flow", "brake_power", "wheel_power"))
    machine = _Machine(setting, speed)
    if near is not None:
        machine.start(near)
    if fuel_flow is not None:
        return _report(machine, _at_fuel(machine, fuel_flow))
    power = brake_power if brake_power is not None else given[0] / (1.0 - setting.driveline_loss)
    return _report(machine, _at_power(machine, power))


_READ: dict[str, Callable[[_Machine, _State], float]] = {
    "excess_air_ratio": lambda _, s: s.lam,
    "turbine_inlet_temperature": lambda _, s: s.t3,
    "corrected_flow": lambda m, s: m.corrected(s.air, s.p1),
    "pressure_ratio": lambda _, s: s.p2 / s.p1,
    "expansion_ratio": lambda _, s: s.ratio,
    "drive_ratio": lambda _, s: s.p3 / s.p_man,
    "manifold_pressure": lambda _, s: s.p_man,
    "brake_torque": lambda m, s: s.brake * 30.0 / (math.pi * m.speed),
    "fuel_per_injection": lambda m, s: s.fuel * 120.0 / (m.setting.engine.cylinders * m.speed),
}


def at_bound(setting: Setting, speed: float, name: str, bound: float, near: OperatingPoint) -> OperatingPoint | None:
    """With the turbine as it is, the point close to `near` at which the field `name` of a point equals `bound`.

    `name` is one of the fields that `engine.Limits` bounds. None where the quick way finds no such point.
    """
    machine = _Machine(setting, speed)
    machine.start(near)
    read = _READ[name]
    try:
        met = _newton(machine, lambda s: read(machine, s) / bound - 1.0, near.fuel_flow, near.excess_air_ratio)
    except (NoBalance, OverflowError, ValueError, ZeroDivisionError):
        return None
    return _report(machine, met.state) if met else None


def _at_fuel(machine: _Machine, fuel: float) -> _State:
    if machine.setting.closure is not Closure.TURBINE_AS_IT_IS:
        return machine.at(fuel, machine.setting.excess_air_ratio)
    area = machine.setting.turbocharger.effective_area
    assert area is not None
    try:
        found = _secant_area(machine, fuel, machine.lam, area)
    except NoBalance as problem:
        if problem.cause == "air":
            raise
        found = None
    found = found or _search_area(machine, fuel, area)
    machine.lam = found.lam
    return found


def _secant_area(machine: _Machine, fuel: float, lam: float, area: float) -> _State | None:
    """The quick way to the lambda at which the turbine passes its own area; None when it does not converge.

    Raises NoBalance with the cause "air" when lambda would have to be less than 1.
    """
    x, last, r_last = math.log(lam), math.nan, 0.0
    for _ in range(15):
        s = machine.at(fuel, math.exp(x))
        residual = math.log(s.area / area)
        if abs(residual) < 1e-10:
            return s
        if x == 0.0 and residual < 0.0:
            raise _short_of_air()
        slope = -1.0 if math.isnan(last) else (residual - r_last) / (x - last)
        if not -20.0 < slope < -0.05:
            return None
        last, r_last = x, residual
        x = max(0.0, x - max(-0.3, min(0.3, residual / slope)))
    return None


def _short_of_air() -> NoBalance:
    return NoBalance(
        "The turbocharger does not deliver the air that the fuel needs to burn: lambda would fall below 1.",
        ("effective_area",),
        cause="air",
    )


def _search_area(machine: _Machine, fuel: float, area: float) -> _State:
    """The sure way: more air always needs a smaller turbine, so the root is bracketed from lambda 1 upwards."""
    why: list[NoBalance] = []

    def residual(lam: float) -> float:
        try:
            found = machine.at(fuel, lam).area
        except NoBalance as problem:
            if problem.cause == "unboosted":
                return 10.0
            why.append(problem)
            return -10.0
        return 10.0 if found == math.inf else max(-9.0, min(9.0, math.log(found / area)))

    low, at_low = 1.0, residual(1.0)
    if at_low <= -10.0:
        raise why[-1]
    if at_low < 0.0:
        raise _short_of_air()
    high, at_high = low, at_low
    while at_high > 0.0:
        low, at_low = high, at_high
        high *= 1.4
        if high > _LEANEST:
            raise NoBalance("The turbine is so small that no balance is found.", ("effective_area",), cause="turbine")
        at_high = residual(high)
    lam = bracketed(residual, low, high, f_low=at_low, f_high=at_high, tolerance=1e-12)
    try:
        s = machine.at(fuel, lam)
        if abs(math.log(s.area / area)) < 1e-6:
            return s
    except NoBalance as problem:
        if problem.cause != "unboosted":
            why.append(problem)
    if why:
        raise why[-1]
    raise NoBalance("The turbine and the compressor find no common power at this fuel flow.", cause="turbine")


def _at_power(machine: _Machine, power: float) -> _State:
    """Fuel for a brake power: Newton's way first, the bracketed search where it fails."""
    setting = machine.setting
    least = (power + machine.friction) / (machine.indicated * machine.lhv)
    start = machine.fuel or 1.02 * least
    if machine.near is not None and machine.near.brake_power > 0.0:
        start *= power / machine.near.brake_power
    try:
        if setting.closure is not Closure.TURBINE_AS_IT_IS:
            found = _secant_power(machine, power, start)
        else:
            near = machine.near.slopes if machine.near is not None else None
            met = _newton(machine, lambda s: s.brake / power - 1.0, start, machine.lam, near)
            if met and met.slopes[0] > 0.3:
                machine.slopes = met.slopes
                found = met.state
            else:
                found = None
    except (NoBalance, OverflowError, ValueError, ZeroDivisionError):
        found = None
    if found is None:
        _refuse_short_of_air(machine, power, start)
    return found or _search_power(machine, power, least)


def _secant_power(machine: _Machine, power: float, start: float) -> _State | None:
    lam, full = machine.setting.excess_air_ratio, machine.indicated * machine.lhv
    fuel, slope = start, 0.93 * full
    near = machine.near
    if near is not None and near.rise is not None:
        slope = near.rise * near.brake_power / near.fuel_flow
    last = r_last = 0.0
    for _ in range(12):
        s = machine.at(fuel, lam)
        residual = s.brake - power
        if last and fuel != last:
            slope = (residual - r_last) / (fuel - last)
        if slope < 0.3 * full:
            return None
        if abs(residual) < 1e-9 * power:
            # Coming down from far above, or on a flat slope, this may be the second fuel flow with the same power.
            doubtful = slope < 0.6 * full or (start > fuel and abs(fuel - last) > 0.01 * fuel)
            step = 1e-4 * fuel
            if doubtful and s.brake - machine.at(fuel - step, lam).brake < 0.3 * full * step:
                return None
            machine.rise = slope * fuel / s.brake
            return s
        last, r_last = fuel, residual
        fuel -= residual / slope
    return None


@dataclass(frozen=True)
class _Met:
    """Where a goal is met; `slopes` of the miss and of the turbine's area along fuel and lambda, all logarithms."""

    state: _State
    slopes: Slopes


def _newton(
    machine: _Machine, miss: Callable[[_State], float], fuel: float, lam: float, slopes: Slopes | None = None
) -> _Met | None:
    """Fuel and lambda together, with the turbine as it is: slopes by differences once, then rank-one updates.

    `miss` is nothing where the goal is met. A neighbour's `slopes` serve as well, as long as the solution is close to
    it and power rises there about as it should with fuel: beyond its top there may be a second solution.
    """
    area = machine.setting.turbocharger.effective_area
    assert area is not None
    if slopes is not None and slopes[0] > _RISING:
        met = _close_in(machine, miss, area, fuel, lam, slopes, _QUICKLY)
        if met is not None and met.slopes[0] > _RISING:
            moved = max(abs(math.log(met.state.fuel / fuel)), abs(math.log(met.state.lam / lam)))
            if moved < _CLOSE_BY:
                return met
    return _close_in(machine, miss, area, fuel, lam, None, 20)


def _close_in(
    machine: _Machine,
    miss: Callable[[_State], float],
    area: float,
    fuel: float,
    lam: float,
    slopes: Slopes | None,
    turns: int,
) -> _Met | None:
    x, y = math.log(fuel), math.log(lam)

    def residuals(x: float, y: float) -> tuple[_State, float, float]:
        s = machine.at(math.exp(x), math.exp(y))
        return s, miss(s), math.log(s.area / area)

    s, f, g = residuals(x, y)
    if slopes is None:
        step = 1e-3
        _, f1, g1 = residuals(x + step, y)
        _, f2, g2 = residuals(x, y + step)
        slopes = (f1 - f) / step, (f2 - f) / step, (g1 - g) / step, (g2 - g) / step
    a, b, c, d = slopes
    for _ in range(turns):
        if abs(f) < 1e-9 and abs(g) < 1e-9:
            return _Met(s, (a, b, c, d)) if s.lam >= 1.0 else None
        det = a * d - b * c
        if abs(det) < 1e-6:
            return None
        dx, dy = -(d * f - b * g) / det, -(a * g - c * f) / det
        largest = max(abs(dx), abs(dy))
        if largest > 0.3:
            dx, dy = dx * 0.3 / largest, dy * 0.3 / largest
        x, y = x + dx, y + dy
        s, f_new, g_new = residuals(x, y)
        norm = dx * dx + dy * dy
        u, v = (f_new - f - a * dx - b * dy) / norm, (g_new - g - c * dx - d * dy) / norm
        a, b, c, d = a + u * dx, b + u * dy, c + v * dx, d + v * dy
        f, g = f_new, g_new
    return None


def _refuse_short_of_air(machine: _Machine, power: float, fuel: float) -> None:
    """Where a turbine as it is ends at lambda 1 with the power still rising, that end is the most power: raise then.

    Only a shorter way to the answer of `_search_power`; does nothing where it does not apply.
    """
    area = machine.setting.turbocharger.effective_area
    if machine.setting.closure is not Closure.TURBINE_AS_IT_IS or area is None:
        return
    x, last, r_last = math.log(fuel), math.nan, 0.0
    s: _State | None = None
    for _ in range(15):
        try:
            s = machine.at(math.exp(x), 1.0)
        except NoBalance as problem:
            if problem.cause == "unboosted":
                return
            x, last = x - 0.15, math.nan
            continue
        residual = math.log(s.area / area) if s.area < math.inf else 9.0
        if abs(residual) < 1e-8:
            break
        slope = -1.0 if math.isnan(last) else (residual - r_last) / (x - last)
        if not -20.0 < slope < -0.05:
            return
        last, r_last = x, residual
        x -= max(-0.4, min(0.4, residual / slope))
    else:
        return
    machine.lam = 1.0
    try:
        if s.brake > power or _at_fuel(machine, 0.98 * s.fuel).brake > s.brake:
            return
    except NoBalance:
        return
    end = _short_of_air()
    raise NoBalance(f"The power is not reached. {end}", end.inputs, cause=end.cause, reached=s.brake)


def _search_power(machine: _Machine, power: float, least: float) -> _State:
    """The sure way: walk up in fuel until the power is reached or the engine refuses, then close in.

    `least` is the fuel flow (kg/s) that the power would need without any gas exchange.
    """
    stopped: NoBalance | None = None
    unboosted: NoBalance | None = None

    def excess(fuel: float) -> float:
        """Power above the goal; far below it without boost, -inf where the engine refuses."""
        nonlocal stopped, unboosted
        try:
            return _at_fuel(machine, fuel).brake - power
        except NoBalance as problem:
            if problem.cause == "unboosted":
                unboosted = problem
                return -power
            stopped = problem
            return -math.inf

    def close_in(low: float, high: float, at_high: float) -> _State:
        fuel = bracketed(excess, low, high, f_high=at_high, tolerance=1e-13)
        if (unboosted or stopped) and not abs(excess(fuel)) < 1e-6 * power:
            raise unboosted or stopped or NoBalance("No fuel flow gives exactly this power.")
        return _at_fuel(machine, fuel)

    # From well below the goal, so that the first root and the first top that are met are the right ones.
    fuel = 0.35 * least
    here = excess(fuel)
    high, at_high = fuel, here
    for _ in range(12):
        if -math.inf < here < 0.0:
            break
        high, at_high = fuel, here
        fuel *= 0.75
        here = excess(fuel)
    else:
        raise stopped or NoBalance("No fuel flow gives an operating point here.", cause="goal")
    if at_high >= 0.0:
        return close_in(fuel, high, at_high)
    low = 0.8 * fuel
    while at_high > -math.inf and fuel < 12.0 * least:
        high = 1.25 * fuel
        at_high = excess(high)
        if at_high >= 0.0:
            return close_in(fuel, high, at_high)
        if at_high < here:
            break
        low, fuel, here = fuel, high, at_high
    if here <= -power:
        raise unboosted or stopped or NoBalance("No fuel flow gives an operating point here.", cause="goal")
    # The top of the curve, or its end, lies between `low` and `high`: a golden section closes in on it.
    shrink = 0.5 * (math.sqrt(5.0) - 1.0)
    at_best = here
    first, second = high - shrink * (high - low), low + shrink * (high - low)
    at_first, at_second = excess(first), excess(second)
    while high - low > 2e-5 * high:
        for trial, value in ((first, at_first), (second, at_second)):
            if value >= 0.0:
                return close_in(low, trial, value)
            at_best = max(at_best, value)
        if at_first < at_second:
            low, first, at_first = first, second, at_second
            second = low + shrink * (high - low)
            at_second = excess(second)
        else:
            high, second, at_second = second, first, at_first
            first = high - shrink * (high - low)
            at_first = excess(first)
    if stopped is None:
        raise NoBalance(
            "The power is not reached: more fuel gives no more of it, because pumping takes what combustion adds.",
            cause="goal",
            reached=at_best + power,
        )
    raise NoBalance(
        f"The power is not reached. {stopped}", stopped.inputs, cause=stopped.cause, reached=at_best + power
    ) from stopped


def _report(m: _Machine, s: _State) -> OperatingPoint:
    setting, air = m.setting, s.air
    behind, p1 = m.inlet(air)
    corrected = m.corrected(air, p1)
    fuel_power = s.fuel * m.lhv
    gas = s.gas
    means, tail = temperatures(m.elements, s.ex, s.t4, gas.cp(s.t4), setting.ambient.temperature)
    states: list[ElementState] = []
    back_pressure(m.elements, s.ex, means, m.p_amb, gas.R, states, gas.gamma(s.t4))
    machs = [state.mach for state in states]
    for pipes, p, t in ((m.before, p1, m.t1), (m.after, s.p_man, s.t_man)):
        machs += [flow.mach(air, p, t, m.gas.R, m.gas.gamma(t), pipe.bore) for pipe in pipes]
    compressor_power = air * s.work
    indicated = m.indicated * fuel_power
    injections = 0.5 * setting.engine.cylinders * m.speed / 60.0
    energy = Energy(
        fuel=fuel_power,
        air=air * m.gas.h(m.t1),
        brake=s.brake,
        friction=m.friction,
        walls=m.walls * fuel_power,
        charge_cooler=air * (m.gas.h(s.t2) - m.gas.h(s.t_man)),
        bearings=compressor_power * (1.0 / m.eta_m - 1.0),
        exhaust=s.ex * gas.h(s.t4),
    )
    values = {
        "speed": m.speed,
        "fuel_flow": s.fuel,
        "fuel_per_injection": s.fuel / injections,
        "excess_air_ratio": s.lam,
        "air_flow": air,
        "exhaust_flow": s.ex,
        "ambient_pressure": m.p_amb,
        "ambient_temperature": setting.ambient.temperature,
        "filter_loss": m.p_amb - behind,
        "duct_loss": behind - p1,
        "compressor_inlet_pressure": p1,
        "compressor_inlet_temperature": m.t1,
        "pressure_ratio": s.p2 / p1,
        "corrected_flow": corrected,
        "compressor_efficiency": m.compressor_efficiency(corrected),
        "compressor_outlet_pressure": s.p2,
        "compressor_outlet_temperature": s.t2,
        "compressor_power": compressor_power,
        "cooler_loss": s.p2 - s.p_after_cooler,
        "tract_loss": s.p_after_cooler - s.p_man,
        "manifold_pressure": s.p_man,
        "manifold_temperature": s.t_man,
        "manifold_density": s.p_man / (m.gas.R * s.t_man),
        "turbine_inlet_pressure": s.p3,
        "turbine_inlet_temperature": s.t3,
        "expansion_ratio": s.ratio,
        "turbine_outlet_pressure": s.p4,
        "turbine_outlet_temperature": s.t4,
        "tailpipe_temperature": tail,
        "back_pressure": s.p4 - m.p_amb,
        "effective_area": s.area,
        "bypass": s.bypass,
        "drive_ratio": s.p3 / s.p_man,
        "indicated_power": indicated,
        "pumping_power": s.pumping,
        "friction_power": m.friction,
        "brake_power": s.brake,
        "wheel_power": s.brake * (1.0 - setting.driveline_loss) if s.brake > 0.0 else s.brake,
        "brake_torque": s.brake * 30.0 / (math.pi * m.speed),
        "pmep": s.p3 - s.p_man,
        "fmep": m.fmep,
        "bmep": s.brake / m.swept,
        "brake_efficiency": s.brake / fuel_power,
        "specific_consumption": s.fuel / s.brake if s.brake > 0.0 else 0.0,
        "largest_mach": max(machs, default=0.0),
    }
    beyond = findings(setting, values)
    return OperatingPoint(**values, energy=energy, exhaust=tuple(states), beyond=beyond, rise=m.rise, slopes=m.slopes)
