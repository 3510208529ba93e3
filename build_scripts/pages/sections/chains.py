"""The chains that are drawn: feed and high-pressure pump, rail and injector, oil pump and clutch."""

from __future__ import annotations

from build_scripts.pages.sections import parts
from build_scripts.pages.sections.chain import Entry, Link, chain
from build_scripts.pages.sections.drawing import Drawing
from build_scripts.pages.sections.parts import Numbers

_THERE, _NEEDED = "there", "needed"


def exhaust(numbers: Numbers) -> Drawing:
    """From the turbine to the end of the tailpipe: where the pressure goes."""
    return chain(
        numbers,
        "The exhaust behind the turbine in section",
        "Section through the exhaust, with the pressure that each part costs.",
        (
            Link(
                "Turbine outlet",
                parts.turbine,
                (Entry("back-pressure", "back_pressure"), Entry("speeding up the gas", "acceleration", _NEEDED)),
            ),
            Link("Downpipe", parts.narrow_duct, (Entry("costs", "downpipe_loss", _THERE),)),
            Link(
                "Catalyst",
                parts.catalyst,
                (Entry("costs", "catalyst_loss", _THERE), Entry("all changes of section", "cones_loss", _THERE)),
            ),
            Link("Particulate filter", parts.particulate_filter, (Entry("costs", "filter_brick_loss", _THERE),)),
            Link("Silencer", parts.silencer, (Entry("costs", "silencer_loss", _THERE),)),
            Link(
                "Pipe",
                parts.tail,
                (
                    Entry("walls cost", "pipe_friction_loss", _THERE),
                    Entry("bends cost", "pipe_bends_loss", _THERE),
                    Entry("gas speed at its end", "pipe_velocity"),
                ),
            ),
        ),
        ("What the parts cost, and what the gas takes to speed up, adds up to the back-pressure.",),
    )


def fuel_supply(numbers: Numbers) -> Drawing:
    """From the tank to the injectors: what is needed beside what each part can give."""
    return chain(
        numbers,
        "The fuel system in section",
        "Section through the fuel system, what the goal needs beside what each part gives.",
        (
            Link("Tank", parts.tank, (Entry("drawn from it", "feed_demand"),)),
            Link(
                "Lift pump",
                parts.pump,
                (
                    Entry("gives at most", "flow", _THERE),
                    Entry("has to pass", "feed_demand", _NEEDED),
                    Entry("pressure there", "lift_pump_pressure", _THERE),
                ),
            ),
            Link(
                "Line and filter",
                parts.filter_in_line,
                (Entry("pressure lost", "system_pressure", _NEEDED), Entry("flow in the line", "flow_regime")),
            ),
            Link(
                "Pump inlet",
                parts.oil_line,
                (
                    Entry("pressure left", "inlet_pressure", _THERE),
                    Entry("pressure required", "given.inlet_pressure_required", _NEEDED),
                    Entry("feed suffices", "feed_sufficient"),
                ),
            ),
            Link(
                "High-pressure pump",
                parts.plunger_pump,
                (
                    Entry("delivers at most", "delivery", _THERE),
                    Entry("has to deliver", "pump_delivery_with_return", _NEEDED),
                    Entry("pump suffices", "pump_sufficient"),
                ),
            ),
            Link(
                "Rail and injectors",
                parts.rail,
                (Entry("burnt by the goal", "engine_demand"), Entry("crank power supported", "supported_crank_power")),
            ),
        ),
        ("Pressures are gauge, at the flow that the goal needs.",),
    )


def injector_window(numbers: Numbers) -> Drawing:
    """From the rail into the cylinder: what has to get through the holes, and the time there is for it."""
    return chain(
        numbers,
        "Rail, injector and cylinder in section",
        "Section through rail, injector and cylinder, and the crank angle that the injection takes.",
        (
            Link(
                "Rail",
                parts.rail,
                (
                    Entry("pressure in it", "given.rail_pressure", _THERE),
                    Entry("fuel for one injection", "mass_needed"),
                ),
            ),
            Link(
                "Injector",
                parts.injector,
                (
                    Entry("holes", "given.holes"),
                    Entry("diameter of a hole", "given.hole_diameter"),
                    Entry("flow, fully open", "steady_flow"),
                ),
            ),
            Link(
                "Cylinder",
                parts.chamber,
                (
                    Entry("pressure against it", "given.cylinder_pressure", _THERE),
                    Entry("pressure drop", "pressure_drop"),
                    Entry("speed of the jet", "jet_velocity"),
                ),
            ),
            Link(
                "Crank angle",
                parts.crank,
                (
                    Entry("usable window", "given.window", _THERE),
                    Entry("needed for the goal", "crank_angle_needed", _NEEDED),
                    Entry("fits", "fits"),
                ),
            ),
        ),
        ("Pressures are gauge. The needle is taken as fully open from the first moment.",),
    )


def line_pressure(numbers: Numbers) -> Drawing:
    """From the oil pump to the torque that the clutch holds."""
    return chain(
        numbers,
        "Oil pump, piston and clutch in section",
        "Section from the oil pump over the apply piston to the clutch plates.",
        (
            Link("Oil pump", parts.pump, (Entry("power it takes", "pump_power"),)),
            Link(
                "Line pressure",
                parts.oil_line,
                (
                    Entry("that is there", "given.available_pressure", _THERE),
                    Entry("needed with the margin", "line_pressure", _NEEDED),
                ),
            ),
            Link(
                "Apply piston",
                parts.apply_piston,
                (Entry("apply area", "piston_area"), Entry("clamp force", "clamp_force")),
            ),
            Link(
                "Clutch plates",
                parts.plates,
                (Entry("friction faces", "given.friction_faces"), Entry("coefficient of friction", "given.friction")),
            ),
            Link(
                "Torque",
                parts.shaft,
                (
                    Entry("the clutch holds", "capacity", _THERE),
                    Entry("it must hold", "demand", _NEEDED),
                    Entry("margin", "margin_now"),
                ),
            ),
        ),
        ("Pressures are gauge.",),
    )
