"""The exhaust after the turbine as a row of elements, marched from the tailpipe upstream.

The pressure at the tailpipe's end is known, that at the turbine's outlet is wanted, and each loss depends on the local
density: so the march goes against the flow. Elements are listed in flow direction, from the turbine to the tailpipe.
Pressures are static. Where two neighbours differ in bore the march adds the sudden change of section between them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calc import flow
from calc.constants import BRICK_ENTRY_EXIT, STEEL_ROUGHNESS
from calc.gas import viscosity

Loss = tuple[float, float, float, float]


@dataclass(frozen=True)
class Pipe:
    """A round pipe. `bore`, `length`, `roughness` in m; `loss_coefficient` K (1) sums its bends and fittings.

    `heat_transfer` is the coefficient from gas to surroundings in W/(m2.K); 0 keeps the gas hot.
    """

    name: str
    bore: float
    length: float
    roughness: float = float(STEEL_ROUGHNESS)
    loss_coefficient: float = 0.0
    heat_transfer: float = 0.0

    @property
    def section(self) -> float | None:
        """Bore (m) that its neighbours meet."""
        return self.bore

    def resistance(self, mass_flow: float, temperature: float) -> tuple[float, float]:
        """f L/D and K (1, 1)."""
        re = flow.reynolds(mass_flow, viscosity(temperature), self.bore)
        return flow.friction_factor(re, self.roughness / self.bore) * self.length / self.bore, self.loss_coefficient

    def upstream(self, mass_flow: float, pressure: float, temperature: float, gas_constant: float) -> Loss:
        """(pressure at the upstream end, friction, fittings, acceleration), Pa. Raises Impossible when it chokes."""
        friction, fittings = self.resistance(mass_flow, temperature)
        total = friction + fittings
        end, lossy = flow.pipe_upstream(mass_flow, pressure, temperature, gas_constant, self.bore, total)
        lost = lossy - pressure
        share = friction / total if total else 0.0
        return end, lost * share, lost * (1.0 - share), end - lossy


@dataclass(frozen=True)
class Silencer:
    """Anything described by a loss coefficient K (1) on a bore (m). Without a measurement K is a guess."""

    name: str
    bore: float
    loss_coefficient: float

    @property
    def section(self) -> float | None:
        """Bore (m) that its neighbours meet."""
        return self.bore

    def upstream(self, mass_flow: float, pressure: float, temperature: float, gas_constant: float) -> Loss:
        """(pressure at the upstream end, friction, fittings, acceleration), Pa: K rho v^2 / 2 at the outlet density."""
        head = flow.dynamic_pressure(mass_flow, pressure / (gas_constant * temperature), self.bore)
        lost = self.loss_coefficient * head
        return pressure + lost, 0.0, lost, 0.0


@dataclass(frozen=True)
class Brick:
    """A flow-through catalyst brick of square channels.

    `diameter`, `length`, `wall` in m, `cell_density` in 1/m2, `entry_exit` K (1) on the channel velocity.
    """

    name: str
    diameter: float
    length: float
    cell_density: float
    wall: float
    entry_exit: float = float(BRICK_ENTRY_EXIT)

    @property
    def section(self) -> float | None:
        """Bore (m) that its neighbours meet."""
        return self.diameter

    def upstream(self, mass_flow: float, pressure: float, temperature: float, gas_constant: float) -> Loss:
        """(pressure at the upstream end, viscous, entry and exit, acceleration), Pa."""
        viscous, inertial = flow.brick_loss(
            mass_flow,
            pressure / (gas_constant * temperature),
            viscosity(temperature),
            self.diameter,
            self.length,
            self.cell_density,
            self.wall,
            self.entry_exit,
        )
        return pressure + viscous + inertial, viscous, inertial, 0.0


@dataclass(frozen=True)
class MeasuredElement:
    """An element known by one measured point, such as a loaded wall-flow filter.

    `pressure_loss` (Pa) was seen at `mass_flow` (kg/s), `temperature` (K) and outlet `pressure` (Pa, absolute).
    `viscous_share` (0 to 1) of it goes with mu m / rho, the rest with m^2 / rho. `bore` (m) is that of its flanges;
    None takes the bore of whatever follows it.
    """

    name: str
    pressure_loss: float
    mass_flow: float
    temperature: float
    pressure: float
    viscous_share: float = 0.5
    bore: float | None = None

    @property
    def section(self) -> float | None:
        """Bore (m) that its neighbours meet, None when it takes theirs."""
        return self.bore

    def upstream(self, mass_flow: float, pressure: float, temperature: float, gas_constant: float) -> Loss:
        """(pressure at the upstream end, viscous, inertial, acceleration), Pa."""
        thinner = (temperature / pressure) / (self.temperature / self.pressure)
        more = mass_flow / self.mass_flow
        viscous = self.viscous_share * viscosity(temperature) / viscosity(self.temperature) * more * thinner
        inertial = (1.0 - self.viscous_share) * more * more * thinner
        lost_viscous, lost_inertial = self.pressure_loss * viscous, self.pressure_loss * inertial
        return pressure + lost_viscous + lost_inertial, lost_viscous, lost_inertial, 0.0


Element = Pipe | Silencer | Brick | MeasuredElement


@dataclass(frozen=True)
class ElementState:
    """One element of a marched exhaust, or the change of section before it.

    Pressures are static (Pa); `temperature` (K) is the element's mean; density (kg/m3), velocity (m/s) and Mach number
    (1) are those at its outlet. `rise` = friction + fittings + acceleration is what it adds to the static pressure
    upstream; `acceleration` is not a loss but the price of the expanding or widening gas. `section` is the bore in m.
    """

    name: str
    change_of_section: bool
    section: float
    pressure_in: float
    pressure_out: float
    temperature: float
    density: float
    velocity: float
    mach: float
    friction: float
    fittings: float
    acceleration: float

    @property
    def rise(self) -> float:
        """Static pressure upstream minus downstream, Pa."""
        return self.pressure_in - self.pressure_out


def temperatures(
    elements: Sequence[Element], mass_flow: float, temperature: float, cp: float, surroundings: float
) -> tuple[tuple[float, ...], float]:
    """Mean gas temperature (K) in each element and the temperature at the tailpipe, from `temperature` at the turbine.

    `cp` in J/(kg.K); `surroundings` in K. Only pipes with a `heat_transfer` cool the gas: an exponential along the
    length.
    """
    means = []
    t = temperature
    for element in elements:
        if isinstance(element, Pipe) and element.heat_transfer:
            ntu = element.heat_transfer * math.pi * element.bore * element.length / (mass_flow * cp)
            end = surroundings + (t - surroundings) * math.exp(-ntu)
            means.append(surroundings + (t - end) / ntu if ntu > 1e-9 else t)
            t = end
        else:
            means.append(t)
    return tuple(means), t


def back_pressure(
    elements: Sequence[Element],
    mass_flow: float,
    element_temperatures: Sequence[float],
    outlet_pressure: float,
    gas_constant: float,
    details: list[ElementState] | None = None,
    gamma: float = 1.33,
) -> float:
    """Static pressure (Pa) at the inlet of the first element, from `outlet_pressure` (Pa) at the end of the last.

    `element_temperatures` (K) as from `temperatures`. With `details`, the states of the elements are appended in flow
    direction; `gamma` only serves their Mach numbers. Raises Impossible when a pipe chokes.
    """
    p = outlet_pressure
    section: float | None = None
    found: list[ElementState] = []
    for element, t in zip(reversed(elements), reversed(element_temperatures), strict=True):
        own = element.section or section
        if section is not None and own is not None and own != section:
            end, lost = flow.step_upstream(mass_flow, p, t, gas_constant, flow.area(own), flow.area(section))
            if details is not None:
                loss = (end, 0.0, lost, end - p - lost)
                found.append(_state(element.name, True, section, mass_flow, p, t, gas_constant, gamma, loss))
            p = end
        section = own
        loss = element.upstream(mass_flow, p, t, gas_constant)
        if details is not None:
            found.append(_state(element.name, False, own or 0.0, mass_flow, p, t, gas_constant, gamma, loss))
        p = loss[0]
    if details is not None:
        details.extend(reversed(found))
    return p


def _state(
    name: str,
    change: bool,
    section: float,
    mass_flow: float,
    p: float,
    t: float,
    gas_constant: float,
    gamma: float,
    loss: Loss,
) -> ElementState:
    density = p / (gas_constant * t)
    v = flow.velocity(mass_flow, density, section) if section else 0.0
    return ElementState(
        name=name,
        change_of_section=change,
        section=section,
        pressure_in=loss[0],
        pressure_out=p,
        temperature=t,
        density=density,
        velocity=v,
        mach=v / math.sqrt(gamma * gas_constant * t),
        friction=loss[1],
        fittings=loss[2],
        acceleration=loss[3],
    )
