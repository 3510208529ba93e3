"""Spool time against an outside integrator, the energy theorem, dimensions, and directions."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from calc.calculators.spool_time import spool_time
from calc.contract import Impossible
from calc.units import PSI

RUN = spool_time.function
CP_AIR, GAMMA_AIR, R = 1005.0, 1.4, 287.0
CP_GAS, GAMMA_GAS = 1150.0, 4 / 3


def test_constant_power_to_spare_is_energy_over_power() -> None:
    """t = I (w2^2 - w1^2) / (2 P): the work-energy theorem of a rotating body (textbook mechanics)."""
    found = RUN(surplus_power=5e3)
    w1, w2 = (n * 2 * math.pi / 60 for n in (found.rotor_speed_start, found.rotor_speed_end))
    assert found.spool_time == pytest.approx(0.5 * 2.1e-4 * (w2**2 - w1**2) / 5e3, rel=1e-9)
    assert found.rotor_energy == pytest.approx(found.spool_time * 5e3, rel=1e-9)


def test_rotor_speed_against_the_closed_form() -> None:
    """psi u^2 = cp T1 (PR^(2/7) - 1), the compressor's head with constant heat capacity (from memory): within 0.5 %."""
    found = RUN(target_boost=101325.0, ambient_temperature=298.15)
    tip = math.sqrt(CP_AIR * 298.15 * (2 ** (2 / 7) - 1) / 0.6)
    assert found.rotor_speed_end == pytest.approx(tip / 0.044 * 30 / math.pi, rel=5e-3)


def test_against_an_outside_integrator() -> None:
    """The same rotor written anew with constant heat capacities and integrated in time by scipy's solve_ivp.

    Source: scipy; balances of Turbocharging the Internal Combustion Engine, from memory. 8 % allows the constant heat
    capacities, which the power to spare, a difference of two larger powers, magnifies.
    """
    inertia, tip_radius, head, area = 2.1e-4, 0.044, 0.6, 6.5e-4
    p0, t1, tm, draws = 101325.0, 298.15, 313.15, 0.92 * 6.3e-3 * 2200 / 120
    lam, eta_c, eta_t = 1.35, 0.70, 0.60
    found = RUN(effective_area=area, lam=lam, height=0.0)
    t3 = found.turbine_inlet_temperature

    def psi(ratio: float) -> float:
        critical = ((GAMMA_GAS + 1) / 2) ** (GAMMA_GAS / (GAMMA_GAS - 1))
        x = 1 / min(ratio, critical)
        return math.sqrt(2 * GAMMA_GAS / (GAMMA_GAS - 1) * (x ** (2 / GAMMA_GAS) - x ** ((GAMMA_GAS + 1) / GAMMA_GAS)))

    def gain(_: float, state: list[float]) -> list[float]:
        ideal = head * (state[0] * tip_radius) ** 2
        pressure = (1 + ideal / (CP_AIR * t1)) ** 3.5
        air = draws * pressure * p0 / (R * tm)
        gas = air * (1 + 1 / (lam * 14.66784))
        p4 = p0 + 30e3 * (gas / 0.42) ** 2 * t3 / 773.15
        ratio = brentq(lambda er: area * er * p4 * psi(er) / math.sqrt(R * t3) - gas, 1 + 1e-9, 8)
        turbine = eta_t * gas * CP_GAS * t3 * (1 - ratio ** -((GAMMA_GAS - 1) / GAMMA_GAS))
        return [(turbine - air * ideal / eta_c) / (inertia * state[0])]

    end = found.rotor_speed_end * 2 * math.pi / 60

    def there(_: float, state: list[float]) -> float:
        return state[0] - end

    there.terminal = True  # type: ignore[attr-defined]
    start = found.rotor_speed_start * 2 * math.pi / 60
    solved = solve_ivp(gain, (0, 20), [start], events=there, rtol=1e-7)
    assert found.spool_time == pytest.approx(float(solved.t_events[0][0]), rel=0.08)


@settings(max_examples=25, deadline=None)
@given(st.floats(1e-4, 1e-3), st.floats(1.05, 3.0))
def test_time_goes_with_inertia(inertia: float, more: float) -> None:
    """Twice the inertia takes twice the time: nothing else in the balance knows of it."""
    light, heavy = RUN(rotor_inertia=inertia), RUN(rotor_inertia=inertia * more)
    assert heavy.spool_time == pytest.approx(light.spool_time * more, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.floats(6e-4, 8e-4), st.floats(1.2, 1.35), st.floats(15e3, 30e3))
def test_directions(area: float, lam: float, back: float) -> None:
    """A freer exhaust, richer fuelling, a smaller turbine and more engine speed all shorten it."""
    found = RUN(effective_area=area, lam=lam, back_pressure=back, lam_after=lam - 0.05, back_pressure_after=back - 8e3)
    assert found.time_saved_exhaust is not None
    assert found.time_saved_lambda is not None
    assert found.time_saved_both is not None
    assert found.time_saved_exhaust > 0
    assert found.time_saved_lambda > 0
    assert found.time_saved_both > max(found.time_saved_exhaust, found.time_saved_lambda)
    assert RUN(effective_area=area * 0.95, lam=lam, back_pressure=back).spool_time < found.spool_time
    assert RUN(effective_area=area, lam=lam, back_pressure=back, speed=2400.0).spool_time < found.spool_time


def test_two_legs_are_the_whole_way() -> None:
    """Time adds up along the way, within the rule's own error."""
    whole = RUN(initial_boost=2 * PSI, target_boost=14 * PSI).spool_time
    legs = [RUN(initial_boost=a * PSI, target_boost=b * PSI).spool_time for a, b in ((2, 8), (8, 14))]
    assert sum(legs) == pytest.approx(whole, rel=2e-3)


def test_what_is_never_reached_is_refused() -> None:
    """A turbine without power to spare never makes that boost; the start must lie below the goal."""
    with pytest.raises(Impossible, match="never reached"):
        RUN(effective_area=20e-4)
    with pytest.raises(Impossible, match="above the boost at the start"):
        RUN(initial_boost=20 * PSI, target_boost=10 * PSI)
    with pytest.raises(Impossible, match="too small"):
        RUN(effective_area=1e-4, speed=4000.0)


def test_practice_a_second_or_two() -> None:
    """Common practice, no source: a tow engine's turbocharger takes from half a second to a few at 2,200 r/min."""
    assert 0.5 < RUN().spool_time < 4.0


def test_blank_comparisons_compare_nothing() -> None:
    """Empty inputs give no answer rather than zero, and the rest stays."""
    found = RUN(lam_after=None, back_pressure_after=None)
    assert (found.time_saved_exhaust, found.time_saved_lambda, found.time_saved_both) == (None, None, None)
    assert found.spool_time == RUN().spool_time
