"""A platform of the class that common practice speaks of, with neutral names: a catalogue for tests, never a page.

Written in the units of a workshop and turned into the JSON that the build exports.
"""

from __future__ import annotations

from typing import Any

from calc.units import UNITS, to_si

COHERENT = {unit.dimension: unit.symbol for unit in reversed(UNITS.values()) if unit.factor == 1.0 and not unit.offset}


def f(low: float, unit: str, high: float | None = None, likely: float | None = None) -> dict[str, Any]:
    """A figure in SI: a point, or a range with its middle as the likely value."""
    ends = to_si(low, unit), to_si(low if high is None else high, unit)
    middle = sum(ends) / 2 if likely is None else to_si(likely, unit)
    return {
        "low": ends[0],
        "value": middle,
        "high": ends[1],
        "unit": COHERENT[UNITS[unit].dimension],
        "grade": "invented",
        "id": "",
    }


def limit(title: str, low: float, high: float) -> dict[str, Any]:
    return {
        "title": title,
        "part": "engine",
        "wheel_power": f(low, "hp", high),
        "first_sign": "It shows.",
        "why": "It gives.",
    }


PLATFORM: dict[str, Any] = {
    "title": "Trade check",
    "ratings": {
        "power": f(445, "hp"),
        "wheel_power": f(400, "hp"),
        "goal_power": f(500, "hp"),
        "torque": f(1280, "N.m"),
        "rated_speed": f(2800, "r/min"),
        "torque_speed": f(1600, "r/min"),
        "governed_speed": f(3400, "r/min"),
        "gross_vehicle_weight": f(11500, "lb"),
        "gross_combination_weight": f(30000, "lb"),
        "tow_rating": f(20000, "lb"),
    },
    "engine": {
        "cylinders": f(8, "1"),
        "displacement": f(6.6, "L"),
        "bore": f(103, "mm"),
        "stroke": f(99, "mm"),
        "compression_ratio": f(16.0, "1"),
        "volumetric_efficiency": f(0.92, "1"),
        "indicated_efficiency": f(0.44, "1"),
        "heat_loss_fraction": f(0.185, "1"),
        "friction_pressure": f(2.1, "bar"),
        "lambda_full_load": f(1.42, "1"),
        "cylinder_pressure": f(165, "bar"),
        "cylinder_pressure_limit": f(200, "bar", 230),
    },
    "turbocharger": {
        "type": "variable-geometry",
        "compressor_flow_limit": f(77, "lb/min", 85),
        "pressure_ratio_limit": f(4.6, "1", 5.2),
        "compressor_efficiency": f(0.75, "1"),
        "turbine_efficiency": f(0.69, "1"),
        "turbine_area": f(7.5, "cm2", 17),
        "rotor_inertia": f(2.2e-4, "kg.m2"),
        "inlet_temperature_limit": f(750, "degC", 815),
    },
    "charge_cooler": {
        "medium": "air",
        "effectiveness": f(0.84, "1"),
        "pressure_loss": f(8, "kPa"),
        "pressure_loss_flow": f(0.42, "kg/s"),
        "coolant_temperature": f(33, "degC"),
    },
    "intake": {
        "filter_loss": f(2.6, "kPa"),
        "filter_flow": f(0.42, "kg/s"),
        "duct_bore": f(105, "mm"),
        "duct_length": f(900, "mm"),
        "duct_bends": f(3, "1"),
        "horn_bore": f(64, "mm"),
        "horn_length": f(400, "mm"),
        "horn_bends": f(2, "1"),
    },
    "exhaust": {
        "downpipe_bore": f(80, "mm"),
        "downpipe_length": f(700, "mm"),
        "downpipe_bends": f(3, "1"),
        "catalyst_diameter": f(240, "mm"),
        "catalyst_length": f(110, "mm"),
        "catalyst_cell_density": f(300, "1/in2"),
        "catalyst_wall": f(6, "thou"),
        "filter_loss": f(8, "kPa"),
        "filter_flow": f(0.43, "kg/s"),
        "filter_temperature": f(380, "degC"),
        "filter_viscous_share": f(0.6, "1"),
        "pipe_bore": f(4, "in"),
        "pipe_length": f(3.6, "m"),
        "pipe_bends": f(4, "1"),
        "silencer_loss_factor": f(1.6, "1"),
    },
    "fuel_system": {
        "injector_holes": f(8, "1"),
        "hole_diameter": f(163, "um"),
        "discharge_coefficient": f(0.8, "1"),
        "rail_pressure": f(2000, "bar"),
        "injection_window": f(33, "deg", 37),
        "pump_displacement": f(1.45, "cm3/rev"),
        "pump_drive_ratio": f(1.0, "1"),
        "pump_efficiency": f(0.85, "1"),
        "return_share": f(0.15, "1"),
        "lift_pump_flow": f(380, "L/h"),
        "lift_pump_pressure": f(4, "bar"),
        "inlet_pressure_needed": f(2.5, "bar"),
        "line_bore": f(10, "mm"),
        "line_length": f(4.5, "m"),
        "fuel_density": f(835, "kg/m3"),
    },
    "transmission": {
        "type": "automatic",
        "gear_ratios": [f(ratio, "1") for ratio in (3.1, 1.8, 1.4, 1.0, 0.71, 0.61)],
        "input_torque_limit": f(1600, "N.m", 1760),
        "friction_faces": f(12, "1"),
        "clutch_outer_radius": f(84, "mm"),
        "clutch_inner_radius": f(66, "mm"),
        "friction_coefficient": f(0.12, "1", 0.132),
        "piston_area": f(101, "cm2"),
        "spring_force": f(1100, "N"),
        "line_pressure": f(1.59, "MPa"),
        "clutch_share": f(1.0, "1"),
        "fluid_temperature_limit": f(105, "degC", 125),
        "converter": {"stall_torque_ratio": f(1.8, "1"), "stall_speed": f(1800, "r/min")},
    },
    "driveline": {
        "efficiency": f(0.899, "1"),
        "axle_ratio": f(3.42, "1"),
        "tyre_radius": f(400, "mm"),
        "driveshaft_torque_limit": f(15500, "N.m", 18500),
    },
    "fasteners": {
        "property_class": "10.9",
        "bolts_per_cylinder": f(4, "1"),
        "diameter": f(14, "mm"),
        "pitch": f(2, "mm"),
        "tightening_torque": f(165, "N.m"),
        "nut_factor": f(0.14, "1", 0.18),
        "stiffness_share": f(0.25, "1"),
        "sealing_diameter": f(108, "mm"),
    },
    "vehicle": {
        "mass": f(7800, "lb"),
        "drag_area": f(1.8, "m2"),
        "rolling_coefficient": f(0.01, "1"),
        "coolant_heat_share": f(0.2, "1"),
    },
    "limits": {
        "calibration": limit("Control unit's power", 400, 400),
        "transmission": limit("Transmission clutches", 500, 550),
        "turbocharger": limit("Turbocharger", 550, 600),
        "injectors": limit("Injectors", 530, 590),
        "high-pressure-pump": limit("High-pressure pump", 800, 860),
        "lift-pump": limit("Lift pump", 600, 700),
        "head-clamping": limit("Head clamping", 620, 720),
        "converter": limit("Converter", 520, 600),
        "driveshaft": limit("Driveshaft", 620, 750),
        "charge-cooler": limit("Charge cooling", 560, 660),
        "coolant": limit("Coolant", 330, 400),
        "transmission-heat": limit("Transmission fluid", 320, 400),
    },
    "variants": {
        "short-axle": {
            "title": "short axle",
            "years": "",
            "differs": {"driveline": {"axle_ratio": f(3.73, "1")}, "transmission": {"line_pressure": f(1.5, "MPa")}},
        }
    },
}


def part(title: str, cost: tuple[float, float], hours: tuple[float, float], **more: Any) -> dict[str, Any]:
    return {"title": title, "parts_cost": f(cost[0], "money", cost[1]), "labour": f(hours[0], "h", hours[1]), **more}


def change(parameter: str, how: str, figure: dict[str, Any]) -> dict[str, Any]:
    return {"parameter": parameter, how: figure}


def lift(limit: str, how: str, figure: dict[str, Any]) -> dict[str, Any]:
    return {"limit": limit, how: figure}


def modification(order: int, title: str, options: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "title": title,
        "kind": "intake",
        "order": order,
        "fits": {"platforms": "all"},
        "needs": [],
        "excludes": [],
        "emission_status": "neutral",
        "options": options,
        **more,
    }


MODIFICATIONS: dict[str, Any] = {
    "gauges": modification(
        1, "Gauges", {"pair": part("Pyrometer and drive-pressure gauge", (250, 450), (2, 4))}, kind="gauges"
    ),
    "recalibration": modification(
        10,
        "Recalibration",
        {
            "module": part(
                "Plug-in module", (600, 900), (0.5, 1), raises=[lift("calibration", "add", f(90, "hp", 110))]
            ),
            "full": part(
                "Full custom calibration",
                (1200, 1800),
                (2, 4),
                raises=[lift("calibration", "add", f(200, "hp", 250))],
                needs=["gauges"],
            ),
        },
        kind="calibration",
        emission_status="exemption-needed",
    ),
    "intake": modification(
        20,
        "Intake with a freer filter",
        {
            "open": part(
                "Freer filter and wide duct",
                (300, 450),
                (1, 1.5),
                changes=[
                    change("intake.filter_loss", "set", f(1.2, "kPa")),
                    change("intake.duct_bore", "set", f(125, "mm")),
                ],
            )
        },
        emission_status="exemption-needed",
    ),
    "horn": modification(
        21,
        "Larger intake horn",
        {"wide": part("Wide horn", (200, 350), (1, 2), changes=[change("intake.horn_bore", "set", f(90, "mm"))])},
    ),
    "charge-cooler": modification(
        30,
        "Charge cooler",
        {
            "thick": part(
                "Thicker core",
                (900, 1300),
                (3, 5),
                changes=[
                    change("charge_cooler.effectiveness", "set", f(0.89, "1")),
                    change("charge_cooler.pressure_loss", "scale", f(0.8, "1")),
                ],
            ),
            "tall": part(
                "Thick and tall core",
                (1500, 2000),
                (4, 6),
                changes=[
                    change("charge_cooler.effectiveness", "set", f(0.91, "1")),
                    change("charge_cooler.pressure_loss", "scale", f(0.7, "1")),
                ],
            ),
        },
    ),
    "downpipe": modification(
        40,
        "Downpipe",
        {
            "wide": part(
                "Wide downpipe", (350, 500), (4, 6), changes=[change("exhaust.downpipe_bore", "set", f(100, "mm"))]
            )
        },
    ),
    "exhaust": modification(
        41,
        "Exhaust behind the emission hardware",
        {
            "five": part("Wide pipe", (500, 800), (2, 3), changes=[change("exhaust.pipe_bore", "set", f(5, "in"))]),
            "quiet-five": part(
                "Wide pipe, straight silencer",
                (650, 950),
                (2, 3),
                changes=[
                    change("exhaust.pipe_bore", "set", f(5, "in")),
                    change("exhaust.silencer_loss_factor", "set", f(0.7, "1")),
                ],
            ),
        },
    ),
    "turbocharger": modification(
        50,
        "Larger turbocharger",
        {
            "mid": part(
                "One size up",
                (2600, 3400),
                (9, 13),
                changes=[
                    change("turbocharger.compressor_flow_limit", "set", f(92, "lb/min", 100)),
                    change("turbocharger.pressure_ratio_limit", "set", f(4.9, "1", 5.5)),
                    change("turbocharger.turbine_area", "set", f(9, "cm2", 20)),
                ],
            ),
            "large": part(
                "Two sizes up",
                (3800, 4800),
                (10, 15),
                changes=[
                    change("turbocharger.compressor_flow_limit", "set", f(108, "lb/min", 118)),
                    change("turbocharger.pressure_ratio_limit", "set", f(5.2, "1", 5.8)),
                    change("turbocharger.turbine_area", "set", f(11, "cm2", 24)),
                    change("turbocharger.turbine_efficiency", "set", f(0.71, "1")),
                ],
            ),
        },
        needs=["recalibration.full"],
        emission_status="exemption-needed",
    ),
    "injectors": modification(
        60,
        "Injectors",
        {
            "plus-30": part(
                "30 % over standard",
                (2600, 3400),
                (8, 12),
                changes=[change("fuel_system.hole_diameter", "scale", f(1.14, "1"))],
            ),
            "plus-60": part(
                "60 % over standard",
                (3400, 4400),
                (8, 12),
                changes=[change("fuel_system.hole_diameter", "scale", f(1.265, "1"))],
            ),
        },
        needs=["recalibration.full"],
    ),
    "high-pressure-pump": modification(
        61,
        "High-pressure pump",
        {
            "big": part(
                "Larger displacement",
                (2200, 3000),
                (8, 12),
                changes=[change("fuel_system.pump_displacement", "scale", f(1.25, "1"))],
            )
        },
        needs=["lift-pump"],
    ),
    "lift-pump": modification(
        62,
        "Lift pump",
        {
            "strong": part(
                "Electric lift pump",
                (600, 800),
                (4, 6),
                changes=[change("fuel_system.lift_pump_flow", "set", f(560, "L/h"))],
            )
        },
    ),
    "line-pressure": modification(
        70,
        "Line pressure",
        {
            "plus-10": part(
                "Valve-body springs",
                (150, 250),
                (3, 5),
                changes=[change("transmission.line_pressure", "scale", f(1.1, "1"))],
            )
        },
        excludes=["built-transmission"],
    ),
    "transmission-calibration": modification(
        71,
        "Transmission calibration",
        {
            "full": part(
                "Transmission calibration",
                (500, 800),
                (1, 2),
                raises=[lift("transmission", "scale", f(1.03, "1", 1.06))],
            )
        },
    ),
    "built-transmission": modification(
        72,
        "Built transmission",
        {
            "stage-one": part(
                "More and better plates",
                (5500, 7500),
                (14, 20),
                changes=[
                    change("transmission.friction_faces", "set", f(14, "1")),
                    change("transmission.line_pressure", "scale", f(1.1, "1")),
                ],
            ),
            "stage-two": part(
                "More and better plates, billet shafts",
                (8500, 11000),
                (16, 22),
                changes=[
                    change("transmission.friction_faces", "set", f(16, "1")),
                    change("transmission.line_pressure", "scale", f(1.15, "1")),
                ],
                raises=[lift("driveshaft", "scale", f(1.1, "1"))],
            ),
        },
        needs=["converter"],
    ),
    "converter": modification(
        73,
        "Torque converter",
        {
            "multi-disc": part(
                "Multi-disc lock-up", (1400, 2200), (8, 10), raises=[lift("converter", "set", f(700, "hp", 850))]
            )
        },
    ),
    "fasteners": modification(
        80,
        "Head fasteners",
        {
            "studs": part(
                "Studs", (500, 700), (25, 35), changes=[change("fasteners.tightening_torque", "scale", f(1.2, "1"))]
            )
        },
    ),
    "cooling": modification(
        90,
        "Transmission cooler",
        {
            "large": part(
                "Larger cooler", (400, 600), (3, 4), raises=[lift("transmission-heat", "scale", f(1.2, "1", 1.35))]
            )
        },
    ),
}


def keep(share: float) -> dict[str, Any]:
    return {"keep": f(share, "1"), "why": "Because."}


USES: dict[str, Any] = {
    "daily": {
        "title": "Daily driving",
        "margins": {"default": keep(0.97)},
        "road": True,
        "exhaust_temperature": "sustained",
    },
    "towing": {
        "title": "Towing near the rated weight",
        "margins": {"default": keep(0.9), "exhaust-temperature": keep(0.97)},
        "road": True,
        "exhaust_temperature": "sustained",
        "load": {"combined_mass": f(25000, "lb"), "grade": f(6, "%"), "speed": f(45, "mph")},
    },
    "competition": {
        "title": "Closed-course competition",
        "margins": {"default": keep(1.0)},
        "road": False,
        "exhaust_temperature": "momentary",
    },
}

PRACTICE: dict[str, Any] = {
    "egt-short-pull": f(760, "degC", 870),
    "drive-to-boost": f(1.3, "1", 2.0),
    "lambda-full-load": f(1.2, "1", 1.4),
    "coolant-temperature": f(100, "degC", 112),
    "labour-rate": f(100, "money/h", 160),
}


def catalogue() -> dict[str, Any]:
    return {
        "version": 1,
        "made": "for tests",
        "platforms": {"trade-check": PLATFORM},
        "modifications": MODIFICATIONS,
        "uses": USES,
        "practice": PRACTICE,
    }
