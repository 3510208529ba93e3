"""An invented engine for the tests of the engine balance: a six-cylinder diesel of a large pickup."""

from __future__ import annotations

from calc.engine import ChargeCooler, Engine, Exhaust, Intake, Setting, Turbocharger
from calc.exhaust import Brick, Element, MeasuredElement, Pipe, Silencer
from calc.units import INCH


def exhaust_row(downpipe: float = 3.0 * INCH, pipe: float = 4.0 * INCH) -> Exhaust:
    """Downpipe, oxidation brick, loaded filter, and the pipe behind the emission hardware."""
    elements: tuple[Element, ...] = (
        Pipe("downpipe", downpipe, 0.7, loss_coefficient=0.8),
        Brick("oxidation catalyst", 0.24, 0.10, 400 / INCH**2, 0.1e-3),
        MeasuredElement("particulate filter", 7e3, 0.45, 750.0, 108e3, 0.7, 0.24),
        Pipe("pipe", pipe, 2.5, loss_coefficient=0.6),
        Silencer("silencer", pipe, 1.0),
        Pipe("tailpipe", pipe, 0.8, loss_coefficient=0.2),
    )
    return Exhaust(elements=elements)


def intake(horn: float = 2.4 * INCH) -> Intake:
    """Filter, duct, and a horn between charge cooler and manifold."""
    return Intake(
        filter_linear=1200.0,
        filter_quadratic=6000.0,
        before=(Pipe("duct", 0.1, 0.8, loss_coefficient=0.5),),
        after=(Pipe("horn", horn, 0.3, loss_coefficient=0.35),),
    )


def machine() -> Setting:
    """The invented engine with its boost held at lambda 1.45."""
    return Setting(
        engine=Engine(
            displacement=6.3e-3,
            cylinders=6,
            indicated_efficiency=0.46,
            heat_fraction=0.17,
            volumetric_efficiency=0.92,
            friction=((800.0, 1.2e5), (2800.0, 2.2e5), (3600.0, 2.7e5)),
        ),
        turbocharger=Turbocharger(compressor_efficiency=0.72, turbine_efficiency=0.70, mechanical_efficiency=0.97),
        charge_cooler=ChargeCooler(effectiveness=0.8, coolant_rise=8.0, pressure_loss=8e3, mass_flow=0.45),
        intake=intake(),
        exhaust=exhaust_row(),
        driveline_loss=0.10,
    )
