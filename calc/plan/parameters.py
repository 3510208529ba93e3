"""What a vehicle with a set of parts is made of: its parameters by path, and its setting for the engine balance.

A parameter is a range of three numbers in coherent SI: low end, likely value, high end. Parts change it one after the
other, in their order of fitting.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from calc.engine import Ambient, ChargeCooler, Closure, Engine, Exhaust, Intake, Setting, Turbocharger
from calc.exhaust import Brick, MeasuredElement, Pipe, Silencer
from calc.flow import bend_loss, medium_from_point
from calc.plan.records import Figure, Option

Ends = tuple[float, float, float]

_BEND = bend_loss(90.0, 1.5, 0.017)
_SMOOTH = 1e-5
_MILD_DAY = 298.15
_SEA_LEVEL = 101325.0
_FILTER_VISCOUS_SHARE = 0.4

# The parameters that the engine balance reads, with the sign of the end that is kind to the engine: +1 where more of it
# is better for everything downstream, -1 where less is, 0 where it depends.
GAS_PATH: Mapping[str, int] = {
    "engine.displacement": 0,
    "engine.cylinders": 0,
    "engine.indicated_efficiency": 1,
    "engine.heat_loss_fraction": 1,
    "engine.volumetric_efficiency": 1,
    "engine.friction_pressure": -1,
    "engine.lambda_full_load": 0,
    "turbocharger.compressor_efficiency": 1,
    "turbocharger.turbine_efficiency": 1,
    "turbocharger.turbine_area": 0,
    "charge_cooler.effectiveness": 1,
    "charge_cooler.coolant_temperature": -1,
    "charge_cooler.pressure_loss": -1,
    "charge_cooler.pressure_loss_flow": 1,
    "intake.filter_loss": -1,
    "intake.filter_flow": 1,
    "intake.duct_bore": 1,
    "intake.duct_length": -1,
    "intake.duct_bends": -1,
    "intake.horn_bore": 1,
    "intake.horn_length": -1,
    "intake.horn_bends": -1,
    "exhaust.downpipe_bore": 1,
    "exhaust.downpipe_length": -1,
    "exhaust.downpipe_bends": -1,
    "exhaust.catalyst_diameter": 0,
    "exhaust.catalyst_length": 0,
    "exhaust.catalyst_cell_density": 0,
    "exhaust.catalyst_wall": 0,
    "exhaust.filter_loss": -1,
    "exhaust.filter_flow": 1,
    "exhaust.filter_temperature": 0,
    "exhaust.filter_viscous_share": 0,
    "exhaust.pipe_bore": 1,
    "exhaust.pipe_length": -1,
    "exhaust.pipe_bends": -1,
    "exhaust.silencer_loss_factor": -1,
    "driveline.efficiency": 1,
}

LAMBDA = "engine.lambda_full_load"
TURBINE_AREA = "turbocharger.turbine_area"

# Parameters of which a part may change one for the better without making anything else worse: what the search may
# bound. A freer pipe or filter lowers drive pressure, fuel, air, pressures and temperatures together.
BOUNDED = frozenset(
    path for path, sign in GAS_PATH.items() if sign and path.partition(".")[0] in ("intake", "exhaust", "charge_cooler")
)


def with_parts(figures: Mapping[str, Figure], path: str, options: Iterable[Option]) -> Ends:
    """The parameter at `path` after the options, which come in their order of fitting. KeyError when there is none."""
    ends = figures[path].ends
    for option in options:
        ends = after(ends, path, option)
    return ends


def after(ends: Ends, path: str, option: Option | None) -> Ends:
    """A parameter after an option, or as it is."""
    if option is not None:
        for effect in option.changes:
            if effect.target == path:
                ends = effect.on(ends)
    return ends


def corner(parameters: Mapping[str, Ends], kind: int, lean: int) -> dict[str, float]:
    """The balance's parameters at one corner of their ranges.

    `kind` +1 takes the ends that help the engine, -1 those that do not, 0 the likely values; `lean` does the same for
    lambda, whose two ends help different things.
    """
    values = {}
    for path, ends in parameters.items():
        sign = lean if path == LAMBDA else kind * GAS_PATH[path]
        values[path] = ends[1 + sign] if path != TURBINE_AREA else ends[1]
    return values


def uncertain(parameters: Mapping[str, Ends]) -> tuple[bool, bool]:
    """Whether any parameter of the balance but lambda is a range, and whether lambda is one."""
    ranged = {path for path, ends in parameters.items() if ends[0] != ends[2] and path != TURBINE_AREA}
    return any(GAS_PATH[path] for path in ranged - {LAMBDA}), LAMBDA in ranged


def setting(p: Mapping[str, float], ambient: Ambient) -> Setting:
    """The setting of the engine balance with the boost held. `p` are the parameters of `GAS_PATH`, one number each."""
    linear, quadratic = medium_from_point(p["intake.filter_loss"], p["intake.filter_flow"], _FILTER_VISCOUS_SHARE)
    exhaust_bore = p["exhaust.pipe_bore"]
    return Setting(
        engine=Engine(
            displacement=p["engine.displacement"],
            cylinders=round(p["engine.cylinders"]),
            indicated_efficiency=p["engine.indicated_efficiency"],
            heat_fraction=p["engine.heat_loss_fraction"],
            volumetric_efficiency=p["engine.volumetric_efficiency"],
            friction=p["engine.friction_pressure"],
        ),
        turbocharger=Turbocharger(
            compressor_efficiency=p["turbocharger.compressor_efficiency"],
            turbine_efficiency=p["turbocharger.turbine_efficiency"],
            effective_area=p[TURBINE_AREA],
        ),
        charge_cooler=ChargeCooler(
            effectiveness=p["charge_cooler.effectiveness"],
            coolant_rise=p["charge_cooler.coolant_temperature"] - _MILD_DAY,
            pressure_loss=p["charge_cooler.pressure_loss"],
            mass_flow=p["charge_cooler.pressure_loss_flow"],
        ),
        intake=Intake(
            filter_linear=linear,
            filter_quadratic=quadratic,
            before=(_duct("duct", p),),
            after=(_duct("horn", p),),
        ),
        exhaust=Exhaust(
            elements=(
                Pipe(
                    "downpipe",
                    p["exhaust.downpipe_bore"],
                    p["exhaust.downpipe_length"],
                    loss_coefficient=_BEND * p["exhaust.downpipe_bends"],
                ),
                Brick(
                    "catalyst",
                    p["exhaust.catalyst_diameter"],
                    p["exhaust.catalyst_length"],
                    p["exhaust.catalyst_cell_density"],
                    p["exhaust.catalyst_wall"],
                ),
                MeasuredElement(
                    "filter",
                    p["exhaust.filter_loss"],
                    p["exhaust.filter_flow"],
                    p["exhaust.filter_temperature"],
                    _SEA_LEVEL,
                    p["exhaust.filter_viscous_share"],
                ),
                Pipe(
                    "pipe",
                    exhaust_bore,
                    p["exhaust.pipe_length"],
                    loss_coefficient=_BEND * p["exhaust.pipe_bends"],
                ),
                Silencer("silencer", exhaust_bore, p["exhaust.silencer_loss_factor"]),
            )
        ),
        ambient=ambient,
        closure=Closure.BOOST_HELD,
        excess_air_ratio=p[LAMBDA],
        driveline_loss=1.0 - p["driveline.efficiency"],
    )


def _duct(name: str, p: Mapping[str, float]) -> Pipe:
    return Pipe(
        name,
        p[f"intake.{name}_bore"],
        p[f"intake.{name}_length"],
        _SMOOTH,
        _BEND * p[f"intake.{name}_bends"],
    )
