"""Compressor, charge cooler and turbine, with heat capacities that change with temperature.

Source of the balances: Internal Combustion Engine Fundamentals; Turbocharging the Internal Combustion Engine.
"""

from __future__ import annotations

import math

from calc.constants import COMPRESSOR_P_REFERENCE, COMPRESSOR_T_REFERENCE
from calc.gas import AIR, Gas
from calc.solve import NoBalance

COLDEST = 200.0
"""Temperature (K) below which an ideal expansion is refused: far outside what a turbine stage on hot gas does."""


def compressor(temperature: float, pressure_ratio: float, efficiency: float, gas: Gas = AIR) -> tuple[float, float]:
    """Outlet temperature (K) and specific work (J/kg) of a compressor.

    `temperature` at its inlet (K), `pressure_ratio` outlet over inlet at the flanges (1), `efficiency` isentropic,
    total to total (1). A pressure ratio of 1 gives no rise. Raises Impossible outside the gas model.
    """
    h1 = gas.h(temperature)
    ideal = gas.isentropic(temperature, pressure_ratio)
    work = (gas.h(ideal) - h1) / efficiency
    return gas.temperature_at(h1 + work, temperature + (ideal - temperature) / efficiency), work


def corrected_flow(
    mass_flow: float,
    temperature: float,
    pressure: float,
    reference_temperature: float = COMPRESSOR_T_REFERENCE,
    reference_pressure: float = COMPRESSOR_P_REFERENCE,
) -> float:
    """Flow (kg/s) referred to a reference inlet state: m sqrt(T/T_ref) / (p/p_ref).

    Maps use different references (298 K and 100 kPa here); a page must show which.
    """
    return mass_flow * math.sqrt(temperature / reference_temperature) / (pressure / reference_pressure)


def charge_cooler(temperature: float, effectiveness: float, coolant: float) -> float:
    """Charge temperature (K) after the cooler: T2 - eps (T2 - T_coolant).

    The effectiveness (0 to 1) belongs to the charge air, which has the smaller capacity rate.
    """
    return temperature - effectiveness * (temperature - coolant)


def turbine(gas: Gas, temperature: float, work: float, efficiency: float) -> tuple[float, float]:
    """Outlet temperature (K) and expansion ratio (1) of a turbine that gives `work` (J per kg through it).

    `efficiency` is total to static. Raises NoBalance when even a loss-free expansion does not hold that much energy.
    """
    h3 = gas.h(temperature)
    ideal_h = h3 - work / efficiency
    if ideal_h < gas.h(COLDEST):
        raise NoBalance(
            "The turbine cannot find the power that the compressor needs: the exhaust gas does not hold that much "
            "energy in one stage.",
            cause="turbine",
        )
    cp = gas.cp(temperature)
    ideal = gas.temperature_at(ideal_h, max(COLDEST, temperature - 1.05 * work / (efficiency * cp)))
    end = gas.temperature_at(h3 - work, max(COLDEST, temperature - 1.05 * work / cp))
    return end, gas.pressure_ratio(temperature, ideal)


def expansion_ratio(
    gas: Gas,
    temperature: float,
    compressor_power: float,
    mass_flow: float,
    efficiency: float,
    bypass: float = 0.0,
) -> tuple[float, float]:
    """Temperature after the turbine wheel (K) and expansion ratio (1) that balance a compressor's power (W).

    `mass_flow` (kg/s) is all of the exhaust, `bypass` the share (0 to 1) that a wastegate leads past the wheel,
    `efficiency` turbine (total to static) times mechanical. The temperature returned counts bearing loss as heat left
    in the gas. Raises NoBalance when there is none.
    """
    through = mass_flow * (1.0 - bypass)
    if through <= 0.0:
        raise NoBalance("No gas goes through the turbine.", ("bypass",), cause="turbine")
    return turbine(gas, temperature, compressor_power / through, efficiency)


def nozzle_function(ratio: float, gamma: float) -> float:
    """psi (1) in m sqrt(R T)/p = A psi for expansion `ratio` (inlet over outlet); constant once choked.

    Loss-free nozzle: sqrt(2g/(g-1) (r^(-2/g) - r^(-(g+1)/g))). Source: Elements of Gasdynamics.
    """
    if ratio <= 1.0:
        return 0.0
    critical = math.pow(0.5 * (gamma + 1.0), gamma / (gamma - 1.0))
    r = 1.0 / (critical if ratio > critical else ratio)
    a = math.pow(r, 1.0 / gamma)
    return math.sqrt(2.0 * gamma / (gamma - 1.0) * a * (a - r))


def effective_area(
    mass_flow: float, gas_constant: float, temperature: float, pressure: float, ratio: float, gamma: float
) -> float:
    """Effective flow area (m2) of a turbine that passes `mass_flow` (kg/s) from `pressure` (Pa) and `temperature` (K).

    Raises NoBalance at an expansion ratio of 1, through which nothing flows.
    """
    psi = nozzle_function(ratio, gamma)
    if psi <= 0.0:
        raise NoBalance("Without a pressure difference nothing flows through the turbine.", cause="turbine")
    return mass_flow * math.sqrt(gas_constant * temperature) / (pressure * psi)


def turbine_flow(
    flow_area: float, gas_constant: float, temperature: float, pressure: float, ratio: float, gamma: float
) -> float:
    """Mass flow (kg/s) that an effective `flow_area` (m2) passes; inverse of `effective_area`."""
    return flow_area * nozzle_function(ratio, gamma) * pressure / math.sqrt(gas_constant * temperature)
