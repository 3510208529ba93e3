"""Pressure losses of pipes, bends, steps, catalyst bricks, filter media and orifices.

Everything in SI: m, kg/s, Pa, K, kg/m3. The friction factor is Darcy's (four times Fanning's).
"""

from __future__ import annotations

import math

from calc.constants import LAMINAR_LIMIT, SQUARE_CHANNEL_FRICTION, TURBULENT_LIMIT
from calc.contract import Impossible

_LAMINAR, _TURBULENT = float(LAMINAR_LIMIT), float(TURBULENT_LIMIT)
_SQUARE = float(SQUARE_CHANNEL_FRICTION)
_QUARTER_PI = 0.25 * math.pi


def area(bore: float) -> float:
    """Cross-section (m2) of a round bore (m)."""
    return _QUARTER_PI * bore * bore


def velocity(mass_flow: float, density: float, bore: float) -> float:
    """Mean velocity (m/s) of `mass_flow` (kg/s) at `density` (kg/m3) in a round `bore` (m)."""
    return mass_flow / (density * area(bore))


def dynamic_pressure(mass_flow: float, density: float, bore: float) -> float:
    """rho v^2 / 2 (Pa) in a round bore."""
    v = velocity(mass_flow, density, bore)
    return 0.5 * density * v * v


def reynolds(mass_flow: float, viscosity: float, bore: float) -> float:
    """Reynolds number (1) in a round bore; `viscosity` is dynamic, Pa.s."""
    return mass_flow * bore / (area(bore) * viscosity)


def friction_factor(re: float, relative_roughness: float = 0.0) -> float:
    """Darcy friction factor (1) at Reynolds number `re` (1) for roughness over bore (1).

    64/Re up to 2300, Haaland's explicit form from 4000 (within 1.4 % of Colebrook-White up to 1e7), and a straight line
    between them, where the flow itself is undecided, so that more flow never loses less. Source: Simple and explicit
    formulas for the friction factor in turbulent pipe flow. Raises Impossible for a Reynolds number of 0 or less.
    """
    if re <= 0.0:
        raise Impossible("A friction factor needs a flow above zero.")
    if re <= _LAMINAR:
        return 64.0 / re
    if re >= _TURBULENT:
        root = -1.8 * math.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / re)
        return 1.0 / (root * root)
    low = 64.0 / _LAMINAR
    high = friction_factor(_TURBULENT, relative_roughness)
    return low + (high - low) * (re - _LAMINAR) / (_TURBULENT - _LAMINAR)


def pipe_loss(
    mass_flow: float,
    density: float,
    viscosity: float,
    bore: float,
    length: float,
    roughness: float = 0.0,
    loss_coefficient: float = 0.0,
) -> float:
    """Loss of total pressure (Pa) of a pipe at constant density: (f L/D + K) rho v^2 / 2 (Darcy-Weisbach).

    `bore`, `length`, `roughness` in m, `loss_coefficient` K (1) of bends and fittings on the same bore. Good below a
    Mach number of about 0.3; use `pipe_upstream` or `pipe_downstream` above.
    """
    if mass_flow == 0.0:
        return 0.0
    f = friction_factor(reynolds(mass_flow, viscosity, bore), roughness / bore)
    return (f * length / bore + loss_coefficient) * dynamic_pressure(mass_flow, density, bore)


def bend_loss(angle: float, radius_to_bore: float, friction: float) -> float:
    """Loss coefficient (1) of a rounded bend on its own bore.

    `angle` in degrees (0 to 180), `radius_to_bore` is the bend's centre-line radius over the bore (0.5 and more),
    `friction` the Darcy friction factor of the pipe. Includes the friction of the bend's own length. Source: Pipe
    Flow: A Practical and Comprehensive Guide. Raises Impossible outside those ranges.
    """
    if not 0.0 <= angle <= 180.0 or radius_to_bore < 0.5:
        raise Impossible("A bend turns by 0 to 180 degrees on a radius of at least half its bore.", ("angle",))
    a = math.radians(angle)
    sine = math.sin(0.5 * a)
    tight = 6.6 * friction * (math.sqrt(sine) + sine) / math.pow(radius_to_bore, 4.0 * a / math.pi)
    return friction * a * radius_to_bore + (0.10 + 2.4 * friction) * sine + tight


def enlargement_loss(small_area: float, large_area: float) -> float:
    """Loss coefficient (1) of a sudden enlargement, on the small bore: (1 - A1/A2)^2, Borda-Carnot."""
    k = 1.0 - small_area / large_area
    return k * k


def contraction_loss(small_area: float, large_area: float) -> float:
    """Loss coefficient (1) of a sudden contraction, on the small bore: 0.5 (1 - A2/A1)."""
    return 0.5 * (1.0 - small_area / large_area)


def step_upstream(
    mass_flow: float, pressure: float, temperature: float, gas_constant: float, area_up: float, area_down: float
) -> tuple[float, float]:
    """Static pressure (Pa) just upstream of a sudden change of section, and the total pressure lost in it (Pa).

    `pressure` is the static pressure just downstream; the density there is used throughout (low Mach number).
    Borda-Carnot for a growing section, 0.5 (1 - A2/A1) for a shrinking one. A growing section recovers some static
    pressure.
    """
    density = pressure / (gas_constant * temperature)
    flux = mass_flow / area_down
    head_down = 0.5 * flux * flux / density
    ratio = area_down / area_up
    head_up = head_down * ratio * ratio
    if area_up < area_down:
        loss = enlargement_loss(area_up, area_down) * head_up
    else:
        loss = contraction_loss(area_down, area_up) * head_down
    return pressure + head_down - head_up + loss, loss


def pipe_upstream(
    mass_flow: float, pressure: float, temperature: float, gas_constant: float, bore: float, resistance: float
) -> tuple[float, float]:
    """Static pressure (Pa) at the upstream end of a pipe: isothermal flow with friction from its downstream end.

    `resistance` is f L/D + K (1). Returns (with the acceleration of the expanding gas, by friction alone):
    p1^2 - p2^2 = G^2 R T (f L/D + K + 2 ln(p1/p2)), and the same without the logarithm. Raises Impossible when the flow
    would choke at the downstream end (Mach 1/sqrt(gamma)). Source: Viscous Fluid Flow.
    """
    flux = mass_flow / (_QUARTER_PI * bore * bore)
    g = flux * flux * gas_constant * temperature / (pressure * pressure)
    if g >= 1.0:
        raise Impossible("The gas would choke in the pipe: the bore is too small for this flow.", ("bore",))
    friction = 1.0 + g * resistance
    x = friction
    for _ in range(30):
        step = (friction + g * math.log(x) - x) / (1.0 - g / x)
        x += step
        if step < 1e-13 * x:
            break
    return pressure * math.sqrt(x), pressure * math.sqrt(friction)


def pipe_downstream(
    mass_flow: float, pressure: float, temperature: float, gas_constant: float, bore: float, resistance: float
) -> float:
    """Pressure (Pa) at the downstream end of a pipe by friction alone: p2^2 = p1^2 - G^2 R T (f L/D + K).

    This is the loss of total pressure with the density falling along the pipe. Raises Impossible when the flow chokes.
    """
    flux = mass_flow / (_QUARTER_PI * bore * bore)
    square = flux * flux * gas_constant * temperature
    left = pressure * pressure - square * resistance
    if left <= square:
        raise Impossible("The air would choke in the pipe: the bore is too small for this flow.", ("bore",))
    return math.sqrt(left)


def mach(
    mass_flow: float, pressure: float, temperature: float, gas_constant: float, gamma: float, bore: float
) -> float:
    """Mach number (1) from static pressure (Pa) and temperature (K)."""
    return mass_flow / area(bore) * math.sqrt(gas_constant * temperature / gamma) / pressure


def mach_from_total(
    mass_flow: float, pressure: float, temperature: float, gas_constant: float, gamma: float, bore: float
) -> float:
    """Mach number (1), subsonic, from stagnation pressure (Pa) and temperature (K).

    m = A p0 sqrt(gamma/(R T0)) M (1 + (gamma-1)/2 M^2)^(-(gamma+1)/(2(gamma-1))). Raises Impossible above choking.
    Source: Elements of Gasdynamics.
    """
    wanted = mass_flow * math.sqrt(gas_constant * temperature / gamma) / (area(bore) * pressure)
    power = (gamma + 1.0) / (2.0 * (gamma - 1.0))
    half = 0.5 * (gamma - 1.0)
    if wanted > (1.0 + half) ** -power:
        raise Impossible("More gas than the bore can pass at the speed of sound.", ("mass_flow", "bore"))
    low, high = 0.0, 1.0
    for _ in range(60):
        m = 0.5 * (low + high)
        if m * (1.0 + half * m * m) ** -power < wanted:
            low = m
        else:
            high = m
    return 0.5 * (low + high)


def brick_loss(
    mass_flow: float,
    density: float,
    viscosity: float,
    diameter: float,
    length: float,
    cell_density: float,
    wall: float,
    entry_exit: float,
) -> tuple[float, float]:
    """Viscous and inertial loss (Pa, Pa) of a flow-through brick of square channels.

    `diameter`, `length` and wall thickness `wall` in m, `cell_density` in channels per m2 of face, `entry_exit` K (1)
    on the channel velocity. 56.908 mu v L / (2 d_h^2) + K rho v^2 / 2, laminar channels, d_h = pitch - wall. Source:
    Laminar Flow Forced Convection in Ducts. Raises Impossible when the walls leave no channel.
    """
    share, channel = brick_channels(cell_density, wall)
    v = mass_flow / (density * _QUARTER_PI * diameter * diameter * share)
    return 0.5 * _SQUARE * viscosity * v * length / (channel * channel), 0.5 * entry_exit * density * v * v


def brick_channels(cell_density: float, wall: float) -> tuple[float, float]:
    """Open share of a brick's face (1) and width of its square channels (m), from channels per m2 and `wall` in m.

    Raises Impossible when the walls leave no channel.
    """
    pitch = 1.0 / math.sqrt(cell_density)
    channel = pitch - wall
    if channel <= 0.0:
        raise Impossible("The walls are thicker than the cells are wide.", ("wall", "cell_density"))
    share = channel / pitch
    return share * share, channel


def medium_from_point(pressure_loss: float, mass_flow: float, linear_share: float) -> tuple[float, float]:
    """The a (Pa.s/kg) and b (Pa.s2/kg2) of a filter medium, loss = a m + b m^2, from one measured point.

    `linear_share` is the viscous part of the loss at that point, 0 to 1. Raises Impossible outside.
    """
    if mass_flow <= 0.0 or not 0.0 <= linear_share <= 1.0:
        raise Impossible("A measured point needs a flow above zero and a share between 0 and 1.", ("linear_share",))
    return linear_share * pressure_loss / mass_flow, (1.0 - linear_share) * pressure_loss / (mass_flow * mass_flow)


def medium_loss(mass_flow: float, linear: float, quadratic: float) -> float:
    """Loss (Pa) of a filter medium: linear m + quadratic m^2."""
    return mass_flow * (linear + quadratic * mass_flow)


def orifice_flow(discharge: float, orifice_area: float, density: float, pressure_drop: float) -> float:
    """Mass flow (kg/s) of a liquid through an orifice: C_d A sqrt(2 rho dp). Raises Impossible for a negative drop."""
    if pressure_drop < 0.0:
        raise Impossible("Nothing flows out against a higher pressure.", ("pressure_drop",))
    return discharge * orifice_area * math.sqrt(2.0 * density * pressure_drop)


def orifice_drop(discharge: float, orifice_area: float, density: float, mass_flow: float) -> float:
    """Pressure drop (Pa) that drives a liquid's `mass_flow` (kg/s) through an orifice."""
    v = mass_flow / (discharge * orifice_area)
    return 0.5 * v * v / density
