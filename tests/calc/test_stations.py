"""The stations of the gas path: conservation laws hold between them, and they are those of the same answer."""

from __future__ import annotations

import math
from typing import Any

import pytest

from calc.calculators._stations import GasPath
from calc.calculators.before_after import before_after
from calc.calculators.engine_balance import engine_balance
from calc.units import HORSEPOWER, INCH

IN_ORDER = ("turbine_outlet", "downpipe", "catalyst", "particulate_filter", "silencer", "tail")


def path(**given: Any) -> tuple[Any, GasPath]:
    """An answer and its stations."""
    found = engine_balance.function(**given)
    return found, found.path


def test_the_stations_are_those_of_the_answer() -> None:
    found, stations = path()
    assert stations.manifold_gauge == found.boost
    assert stations.manifold_pressure == found.intake_manifold_pressure
    assert stations.turbine_inlet_pressure == found.turbine_inlet_pressure
    assert stations.turbine_outlet_gauge == found.back_pressure
    assert stations.turbine_inlet_pressure / stations.turbine_outlet_pressure == pytest.approx(found.expansion_ratio)
    ratio = stations.compressor_outlet_pressure / stations.compressor_inlet_pressure
    assert ratio == pytest.approx(found.compressor_pressure_ratio, rel=1e-12)


@pytest.mark.parametrize("goal", [250, 350, 450])
def test_mass_is_kept(goal: float) -> None:
    """What leaves is what came in, air and fuel."""
    _, stations = path(power_goal=goal * HORSEPOWER)
    assert stations.exhaust_flow == pytest.approx(stations.air_flow + stations.fuel_flow, rel=1e-12)


@pytest.mark.parametrize("height", [0.0, 1500.0])
def test_gauge_counts_from_the_air_outside(height: float) -> None:
    """Gauge and absolute differ by the same air at every station, and the pipe ends in it."""
    _, stations = path(height=height, power_goal=300 * HORSEPOWER)
    gauges = [name for name in vars(stations) if name.endswith("_gauge")]
    assert len(gauges) == 13
    for name in gauges:
        absolute = getattr(stations, name.replace("_gauge", "_pressure"))
        assert absolute - getattr(stations, name) == pytest.approx(stations.outside_pressure, abs=1e-6)
    assert stations.tail_gauge == pytest.approx(0.0, abs=1e-6)


def test_total_pressure_only_falls_behind_the_turbine() -> None:
    """Static pressure may come back where the gas slows down; with its dynamic pressure it never rises (second law)."""
    bores = {"downpipe": 3 * INCH, "catalyst": 0.24, "silencer": 4 * INCH, "tail": 4 * INCH}
    _, stations = path(downpipe_bore=3 * INCH, pipe_bore=4 * INCH)
    assert stations.catalyst_gauge > stations.downpipe_gauge, "without recovery the case would show nothing"
    totals = []
    for name, bore in bores.items():
        static = getattr(stations, f"{name}_pressure")
        density = static / (287.0 * stations.turbine_outlet_temperature)
        speed = stations.exhaust_flow / (density * math.pi / 4 * bore * bore)
        totals.append(static + density * speed * speed / 2)
    assert totals == sorted(totals, reverse=True)


def test_a_wider_pipe_moves_the_stations_before_it_only() -> None:
    """Boost held, same fuel: nothing changes on the intake side, everything from the turbine to the silencer falls."""
    found = before_after.function(pipe_bore=4 * INCH, pipe_bore_after=5 * INCH)
    before, after = found.before, found.after
    for name in ("air_filter", "compressor_inlet", "compressor_outlet", "charge_cooler", "manifold"):
        assert getattr(after, f"{name}_pressure") == pytest.approx(getattr(before, f"{name}_pressure"), rel=1e-6)
    for name in ("turbine_inlet", *IN_ORDER[:-1]):
        assert getattr(after, f"{name}_pressure") < getattr(before, f"{name}_pressure") - 100.0, name
    assert found.drive_after == pytest.approx(after.turbine_inlet_gauge)
    assert found.back_pressure_before == pytest.approx(before.turbine_outlet_gauge)
