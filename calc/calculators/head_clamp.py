"""Gas force on the cylinder head against what its fasteners clamp."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc.constants import Constant
from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.flow import area
from calc.provenance import Grade
from calc.references import COMBUSTION_ENGINES, ISO_898_1, MACHINE_DESIGN, SAE_J429, THREAD_GEOMETRY
from calc.units import PSI

_MPA = 1e6
PROOF_STRESS = {
    "8.8": Constant(580e6, "proof stress of class 8.8 up to 16 mm", "Pa", ISO_898_1),
    "8.8 above 16 mm": Constant(600e6, "proof stress of class 8.8 above 16 mm", "Pa", ISO_898_1),
    "10.9": Constant(830e6, "proof stress of class 10.9", "Pa", ISO_898_1),
    "12.9": Constant(970e6, "proof stress of class 12.9", "Pa", ISO_898_1),
    "grade 5": Constant(85e3 * PSI, "proof stress of grade 5 up to 1 in", "Pa", SAE_J429),
    "grade 8": Constant(120e3 * PSI, "proof stress of grade 8", "Pa", SAE_J429),
}
_THICK = 16e-3


def _force(name: str, meaning: str, symbol: str = "F") -> Output:
    return Output(unit="N", us="lbf", si="kN", name=name, symbol=symbol, meaning=meaning)


def _pressure(name: str, meaning: str, symbol: str = "p", si: str = "MPa") -> Output:
    return Output(unit="Pa", us="psi", si=si, name=name, symbol=symbol, meaning=meaning)


def _share(name: str, meaning: str) -> Output:
    return Output(unit="1", us="%", si="%", name=name, meaning=meaning)


@dataclass(frozen=True)
class HeadClamp:
    """Forces in N, pressures and stresses in Pa; the gas acts on one cylinder and its share of fasteners."""

    sealing_pressure: Annotated[
        float,
        _pressure("Cylinder pressure that the joint seals", "Where the gasket has only its reserve left.", "p_s"),
    ]
    seals: Annotated[bool, Output(unit="bool", name="Seals at this peak", meaning="The gasket keeps its reserve.")]
    peak_pressure: Annotated[
        float, _pressure("Peak cylinder pressure", "Compression and combustion, or as given.", r"p_{\max}")
    ]
    compression_pressure: Annotated[
        float, _pressure("Compression pressure", "Absolute, at top dead centre without combustion.", "p_c")
    ]
    temperature_ratio: Annotated[
        float,
        Output(unit="1", name="Temperature ratio of compression", meaning="Absolute, top dead centre over start."),
    ]
    gas_force: Annotated[float, _force("Gas force", "Peak pressure on the gasket's sealing diameter.", "P")]
    preload: Annotated[float, _force("Preload of a fastener", "Tension after tightening.", "F_i")]
    clamp_load: Annotated[float, _force("Clamp load of a cylinder", "All its fasteners, no gas pressure.")]
    clamp_to_gas: Annotated[
        float, Output(unit="1", name="Clamp load over gas force", meaning="Before the joint gives anything back.")
    ]
    clamp_left: Annotated[
        float, _force("Clamp load left at the peak", "What still presses the gasket; below zero the head lifts.")
    ]
    separation_pressure: Annotated[
        float, _pressure("Cylinder pressure that lifts the head", "No clamp load left at all; a gasket leaks earlier.")
    ]
    charge_pressure_limit: Annotated[
        float,
        _pressure(
            "Charge pressure at the sealing limit",
            "Absolute, at this compression ratio and pressure rise.",
            si="kPa",
        ),
    ]
    share_of_proof: Annotated[
        float, _share("Preload over proof load", "For fasteners that are used again, 75 % is usual.")
    ]
    bolt_force: Annotated[float, _force("Greatest force in a fastener", "Preload and its part of the gas force.")]
    bolt_share_of_proof: Annotated[
        float, _share("Greatest force over proof load", "Above 100 % the fastener starts to stretch for good.")
    ]
    stress_area: Annotated[
        float, Output(unit="m2", us="in2", si="mm2", name="Stress area", symbol="A_s", meaning="Of the thread.")
    ]
    proof_stress: Annotated[float, _pressure("Proof stress", "Of the property class, or as given.", "S_p")]
    proof_load: Annotated[float, _force("Proof load", "Proof stress times stress area.")]
    torque_for_preload: Annotated[
        float,
        Output(
            unit="N.m",
            us="lbf.ft",
            name="Torque for 75 % of proof load",
            symbol="T",
            meaning="With this friction; an answer to learn from, not a specification.",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Head clamping",
    question="Do the head fasteners hold the gas down at this boost, and how sure is that?",
    formulas=(
        Formula(
            r"p_c = p_1\,\varepsilon^{\,n},\quad \frac{T_c}{T_1} = \varepsilon^{\,n-1}",
            "Compression without combustion: boost multiplies the pressure that squeezing makes.",
            (
                Symbol("p_c", "pressure at top dead centre, absolute", "Pa"),
                Symbol("p_1", "charge pressure at the start of compression, absolute", "Pa"),
                Symbol(r"\varepsilon", "compression ratio", "1"),
                Symbol("n", "polytropic exponent", "1"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"P = p_{\max}\,\frac{\pi D_s^2}{4}",
            "Force of the gas on the head.",
            (
                Symbol("P", "gas force", "N"),
                Symbol(r"p_{\max}", "peak cylinder pressure", "Pa"),
                Symbol("D_s", "sealing diameter of the gasket", "m"),
            ),
            MACHINE_DESIGN,
        ),
        Formula(
            r"F_i = \frac{T}{K\,d}",
            "Tension from torque. The nut factor lumps all friction together; a fastener tightened by angle or to "
            "yield does not follow it.",
            (
                Symbol("F_i", "preload", "N"),
                Symbol("T", "tightening torque", "N·m"),
                Symbol("K", "nut factor", "1"),
                Symbol("d", "nominal diameter", "m"),
            ),
            MACHINE_DESIGN,
        ),
        Formula(
            r"A_s = \frac{\pi}{4}\left(\frac{d_2 + d_3}{2}\right)^2,\quad d_2 = d - 0.649519\,p,\quad d_3 = d - "
            r"1.226869\,p",
            "Stress area of a metric thread; of an inch thread with n threads to the inch, the diameter less 0.9743/n.",
            (
                Symbol("A_s", "stress area", "m²"),
                Symbol("p", "pitch", "m"),
            ),
            THREAD_GEOMETRY,
        ),
        Formula(
            r"F_b = F_i + C\,\frac{P}{z},\quad F_m = z\,F_i - (1 - C)\,P",
            "The gas loads the fasteners a little and unloads the gasket a lot, by their stiffness.",
            (
                Symbol("F_b", "force in a fastener", "N"),
                Symbol("F_m", "clamp load left on the gasket", "N"),
                Symbol("C", "stiffness of the fastener over that of the joint", "1"),
                Symbol("z", "fasteners of a cylinder", "1"),
            ),
            MACHINE_DESIGN,
        ),
        Formula(
            r"p_s = \frac{z\,F_i}{(1 - C + s)\,\pi D_s^2/4}",
            "Pressure at which the gasket has only its reserve left.",
            (
                Symbol("p_s", "sealing limit", "Pa"),
                Symbol("s", "clamp that the gasket needs to seal, over gas force", "1"),
            ),
            MACHINE_DESIGN,
        ),
    ),
    references=(ISO_898_1, SAE_J429),
    valid="Fasteners elastic, all alike, sharing evenly; the joint flat and cold as tightened. Head and block bend "
    "between the fasteners, so the gasket is pressed unevenly and leaks where it is pressed least, long before the "
    "mean clamp load is used up. Heat changes the preload: an aluminium head grows more than steel fasteners. Peak "
    "pressure is compression plus combustion, and timing sets the second part; without a measurement it is an "
    "assumption. Torque-angle and torque-to-yield fasteners do not follow the torque formula: choose that tightening, "
    "or give a measured preload.",
    cautions=("cylinder-head", "hot-fluids", "engine-overload"),
    related=("air-demand", "injector-window"),
    curves=(
        Curve(
            title="Clamp load left at the peak against charge pressure, for three nut factors",
            vary="start_pressure",
            outputs=("clamp_left",),
            span=(1e5, 6e5),
            compare="nut_factor",
            values=(0.13, 0.20),
        ),
    ),
)
def head_clamp(
    start_pressure: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=50e3,
            high=1.2e6,
            name="Charge pressure, absolute",
            symbol="p_1",
            meaning="At the start of compression: boost and the air pressure outside.",
            grade=Grade.INVENTED,
        ),
    ] = 300e3,
    compression_ratio: Annotated[
        float,
        Quantity(
            unit="1",
            low=8,
            high=25,
            name="Compression ratio",
            symbol=r"\varepsilon",
            meaning="Geometric.",
            grade=Grade.INVENTED,
        ),
    ] = 16.8,
    exponent: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.2,
            high=1.4,
            name="Polytropic exponent",
            symbol="n",
            meaning="1.32 to 1.38 for a warm diesel.",
            note="Below 1.4: real air takes up heat, and the walls take some.",
        ),
    ] = 1.35,
    pressure_rise: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=3.0,
            name="Pressure rise by combustion",
            meaning="Peak over compression pressure; early injection raises it. Unknown without a measurement.",
            grade=Grade.INVENTED,
        ),
    ] = 1.22,
    peak_pressure: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="MPa",
            low=1e6,
            high=60e6,
            name="Peak cylinder pressure, if known",
            symbol=r"p_{\max}",
            meaning="Measured; stands in for compression and rise. Leave empty otherwise.",
        ),
    ] = None,
    bore: Annotated[
        float,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.05,
            high=0.2,
            name="Bore",
            meaning="Of the cylinder; the sealing diameter is at least as large.",
            grade=Grade.INVENTED,
        ),
    ] = 104e-3,
    sealing_diameter: Annotated[
        float | None,
        Quantity(
            unit="m",
            us="in",
            si="mm",
            low=0.05,
            high=0.25,
            name="Sealing diameter",
            symbol="D_s",
            meaning="Of the gasket's fire ring: the gas reaches this far. Empty: the bore.",
            grade=Grade.INVENTED,
        ),
    ] = 110e-3,
    bolts_per_cylinder: Annotated[
        float,
        Quantity(
            unit="1",
            low=1,
            high=12,
            name="Fasteners of a cylinder",
            symbol="z",
            meaning="Count one that two cylinders share as a half.",
            grade=Grade.INVENTED,
        ),
    ] = 4.0,
    tightening: Annotated[
        str,
        Choice(
            name="Tightening",
            meaning="A fastener turned to yield is held by its own strength, not by the torque's friction.",
            options={"torque": "to a torque", "yield": "by angle, to yield"},
            grade=Grade.INVENTED,
        ),
    ] = "torque",
    torque: Annotated[
        float,
        Quantity(
            unit="N.m",
            us="lbf.ft",
            low=1,
            high=2000,
            name="Tightening torque",
            symbol="T",
            meaning="Final, each fastener; not used when tightened to yield.",
            grade=Grade.INVENTED,
        ),
    ] = 165.0,
    nut_factor: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.05,
            high=0.5,
            name="Nut factor",
            symbol="K",
            meaning="0.13 well lubricated to 0.20 plain: give the range that you cannot tell apart.",
            grade=Grade.INVENTED,
            typical=(0.14, 0.18),
        ),
    ] = 0.16,
    yield_share: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.5,
            high=1.3,
            name="Preload over proof load, when turned to yield",
            meaning="Near one: torsion takes some, hardening gives some back.",
            grade=Grade.MEMORY,
            typical=(0.9, 1.1),
        ),
    ] = 1.0,
    measured_preload: Annotated[
        float | None,
        Quantity(
            unit="N",
            us="lbf",
            si="kN",
            low=1e3,
            high=1e6,
            name="Preload, if measured",
            symbol="F_i",
            meaning="From the stretch of the fastener; stands in for both ways above. Leave empty otherwise.",
        ),
    ] = None,
    diameter: Annotated[
        float,
        Quantity(
            unit="m",
            us="mm",
            si="mm",
            low=5e-3,
            high=25e-3,
            name="Thread diameter",
            symbol="d",
            meaning="Nominal.",
            grade=Grade.INVENTED,
        ),
    ] = 14e-3,
    pitch: Annotated[
        float,
        Quantity(
            unit="m",
            us="mm",
            si="mm",
            low=0.3e-3,
            high=3e-3,
            name="Thread pitch",
            symbol="p",
            meaning="One turn's advance; an inch thread has one over its threads to the inch.",
            grade=Grade.INVENTED,
        ),
    ] = 2e-3,
    thread: Annotated[
        str,
        Choice(
            name="Thread form",
            meaning="Which formula gives the stress area.",
            options={"metric": "metric", "inch": "unified inch"},
            grade=Grade.INVENTED,
        ),
    ] = "metric",
    property_class: Annotated[
        str,
        Choice(
            name="Property class",
            meaning="Marked on the head; sets the proof stress.",
            options={name: name for name in ("8.8", "10.9", "12.9", "grade 5", "grade 8")},
            grade=Grade.INVENTED,
        ),
    ] = "10.9",
    proof_stress: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="MPa",
            low=200 * _MPA,
            high=2000 * _MPA,
            name="Proof stress, if known",
            symbol="S_p",
            meaning="For studs without a class. Leave empty otherwise.",
        ),
    ] = None,
    stress_area: Annotated[
        float | None,
        Quantity(
            unit="m2",
            us="in2",
            si="mm2",
            low=5e-6,
            high=600e-6,
            name="Stress area, if known",
            symbol="A_s",
            meaning="From a table, or of a waisted shank. Leave empty otherwise.",
        ),
    ] = None,
    stiffness_share: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.02,
            high=0.9,
            name="Stiffness share of the fasteners",
            symbol="C",
            meaning="Fastener stiffness over that of the whole joint; long fasteners have little.",
            grade=Grade.INVENTED,
        ),
    ] = 0.25,
    sealing_factor: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.0,
            high=3.0,
            name="Reserve that the gasket needs",
            symbol="s",
            meaning="Clamp load that must stay on it, over gas force; 0 asks for lift-off only. Its maker knows.",
            grade=Grade.MEMORY,
        ),
    ] = 0.5,
) -> HeadClamp:
    """Gas force (N) against clamp load (N) of one cylinder; coherent SI, peak pressure taken as if gauge.

    The nut factor carries the scatter of friction: give it as a range. Raises Impossible for a sealing diameter inside
    the bore or a pitch too coarse for the diameter. Sources: see `formulas` of the calculator.
    """
    sealing = bore if sealing_diameter is None else sealing_diameter
    if sealing < bore:
        raise Impossible("The gasket would seal inside the bore.", ("sealing_diameter", "bore"))
    if pitch > diameter / 4.0:
        raise Impossible("No thread is that coarse for its diameter.", ("pitch", "diameter"))
    compressed = start_pressure * math.pow(compression_ratio, exponent)
    peak = compressed * pressure_rise if peak_pressure is None else peak_pressure
    section = thread_area(diameter, pitch, thread) if stress_area is None else stress_area
    strength = class_stress(property_class, diameter) if proof_stress is None else proof_stress
    proof = strength * section
    by_torque = torque / (nut_factor * diameter)
    by_method = proof * yield_share if tightening == "yield" else by_torque
    preload = by_method if measured_preload is None else measured_preload
    gas = peak * area(sealing)
    clamp = bolts_per_cylinder * preload
    seals_to = clamp / ((1.0 - stiffness_share + sealing_factor) * area(sealing))
    left = clamp - (1.0 - stiffness_share) * gas
    bolt = preload + stiffness_share * gas / bolts_per_cylinder
    return HeadClamp(
        sealing_pressure=seals_to,
        seals=peak <= seals_to,
        peak_pressure=peak,
        compression_pressure=compressed,
        temperature_ratio=math.pow(compression_ratio, exponent - 1.0),
        gas_force=gas,
        preload=preload,
        clamp_load=clamp,
        clamp_to_gas=clamp / gas,
        clamp_left=left,
        separation_pressure=clamp / ((1.0 - stiffness_share) * area(sealing)),
        charge_pressure_limit=start_pressure * seals_to / peak,
        share_of_proof=preload / proof,
        bolt_force=bolt,
        bolt_share_of_proof=bolt / proof,
        stress_area=section,
        proof_stress=strength,
        proof_load=proof,
        torque_for_preload=0.75 * proof * nut_factor * diameter,
        warnings=_warnings(left, peak > seals_to, bolt / proof, tightening == "yield", peak < compressed),
    )


def thread_area(diameter: float, pitch: float, thread: str) -> float:
    """Tensile stress area (m2) of a "metric" or "inch" thread, from nominal diameter and pitch (m)."""
    across = diameter - (0.9743 if thread == "inch" else (0.649519 + 1.226869) / 2.0) * pitch
    return area(across)


def class_stress(property_class: str, diameter: float) -> float:
    """Proof stress (Pa) of a property class; class 8.8 has two, by nominal diameter (m)."""
    if property_class == "8.8" and diameter > _THICK:
        return float(PROOF_STRESS["8.8 above 16 mm"])
    return float(PROOF_STRESS[property_class])


def _warnings(left: float, leaks: bool, loaded: float, to_yield: bool, below: bool) -> tuple[str, ...]:
    found = []
    if left < 0.0:
        found.append("The head lifts: no clamp load is left at the peak.")
    elif leaks:
        found.append("The gasket has less than its reserve left at the peak: expect gas in the coolant.")
    if to_yield:
        found.append(
            "Turned to yield, a fastener does not follow the torque formula: its own strength sets the preload, and "
            "it is used up afterwards."
        )
    elif loaded > 1.0:
        found.append("The fastener passes its proof load: it stretches for good, and the clamp load goes.")
    if below:
        found.append("The peak pressure given lies below the compression pressure alone: one of the two is wrong.")
    return tuple(found)
