"""Power along engine speed: every point stands at a limit, passes none, and is the engine balance's own."""

import math
from typing import Any

import pytest
from scipy.optimize import brentq

from calc.calculators.engine_balance import engine_balance
from calc.calculators.power_curve import PowerCurve, power_curve
from calc.contract import Impossible
from calc.units import FOOT, HORSEPOWER, INCH, POUND, POUND_FORCE

RUN = power_curve.function
TORQUE = 1120 * FOOT * POUND_FORCE
HOTTEST = (1400 + 459.67) / 1.8


def run(**given_values: Any) -> PowerCurve:
    """The calculator's result, typed."""
    result: PowerCurve = RUN(**given_values)
    return result


@pytest.mark.parametrize("speed", [1400.0, 1800.0, 2200.0, 2800.0, 3200.0])
@pytest.mark.parametrize("closure", ["boost-held", "turbine-as-it-is"])
def test_no_limit_is_passed_and_one_is_met(speed: float, closure: str) -> None:
    """Inside every limit, and on one of them."""
    found = run(speed=speed, closure=closure)
    rooms = {
        "torque at the crank": 1 - found.brake_torque / TORQUE,
        "exhaust temperature before the turbine": 1 - found.turbine_inlet_temperature / HOTTEST,
        "lambda": found.lam / 1.2 - 1,
        "compressor flow": 1 - found.corrected_flow / (74 * POUND / 60),
        "compressor pressure ratio": 1 - found.compressor_pressure_ratio / 4.3,
    }
    assert min(rooms.values()) > -1e-6
    assert rooms[found.limited_by] == pytest.approx(0.0, abs=1e-5)
    assert found.brake_power == pytest.approx(found.brake_torque * 2 * math.pi * speed / 60, rel=1e-9)


def test_the_point_is_that_of_the_engine_balance() -> None:
    """Its fuel, given to the engine balance with the same turbine, gives the same power and temperature."""
    found = run()
    assert found.vanes_shut
    alone = engine_balance.function(
        closure="turbine-as-it-is", effective_area=1.3 * INCH**2, solve_for="fuel-flow", fuel_flow=found.fuel_flow
    )
    assert found.wheel_power == pytest.approx(alone.wheel_power, rel=1e-6)
    assert found.turbine_inlet_temperature == pytest.approx(alone.turbine_inlet_temperature, rel=1e-6)
    assert found.lam == pytest.approx(alone.lam, rel=1e-6)


def test_a_fixed_turbine_against_an_outside_root_finder() -> None:
    """The fuel at which the exhaust reaches its limit, by scipy's brentq on the engine balance."""

    def too_hot(fuel: float) -> float:
        point = engine_balance.function(
            closure="turbine-as-it-is", solve_for="fuel-flow", fuel_flow=fuel, effective_area=9e-4
        )
        return float(point.turbine_inlet_temperature - HOTTEST)

    fuel = brentq(too_hot, 0.018, 0.027, xtol=1e-10)
    found = run(closure="turbine-as-it-is", effective_area=9e-4, torque_limit=None)
    assert found.limited_by == "exhaust temperature before the turbine"
    assert found.fuel_flow == pytest.approx(fuel, rel=1e-5)


def test_moving_a_limit_moves_the_curve_the_right_way() -> None:
    """More torque allowed helps where torque ended it; a cooler limit costs power where heat ended it."""
    held = run(speed=2200.0)
    assert held.limited_by == "torque at the crank"
    assert run(speed=2200.0, torque_limit=0.9 * TORQUE).brake_torque == pytest.approx(0.9 * TORQUE, rel=1e-6)
    assert run(speed=2200.0, torque_limit=None).wheel_power > held.wheel_power
    assert run(turbine_inlet_temperature_limit=HOTTEST - 50).wheel_power < run().wheel_power
    assert run(height=2000.0).wheel_power < run().wheel_power


def test_practice_order_of_magnitude() -> None:
    """An invented 6.3 L tow engine, pushed to its limits, lies between 400 and 600 wheel hp at 2,800 r/min."""
    assert 400 < run().wheel_power / HORSEPOWER < 600


def test_no_point_is_refused() -> None:
    """Where even light load passes a limit there is nothing to show."""
    with pytest.raises(Impossible):
        run(turbine_inlet_temperature_limit=800.0, lam=1.05, smallest_area=None)
