"""The textbooks, standards and data that the shared physics rests on.

`seen` is honest: a book or standard recalled without opening it says "none", and a figure taken from it is recalled
from memory. Where the outcome was checked against an independent library, the note says so.
"""

from __future__ import annotations

from calc.provenance import Grade, Reference

ISO_2533 = Reference(
    "iso-2533",
    "ISO 2533, Standard Atmosphere",
    where="troposphere, dry air constants, viscosity",
    note="Constants recalled; the result agrees with a library's 1976 standard atmosphere to 2e-5.",
)
ISO_3046_1 = Reference(
    "iso-3046-1",
    "ISO 3046-1, Reciprocating internal combustion engines: performance",
    where="reference lower heating value",
)
GRI_THERMO = Reference(
    "gri-mech-3-thermo",
    "GRI-Mech 3.0, thermodynamic data (7/30/99): NASA seven-coefficient polynomials",
    where="N2, O2, CO2, H2O, Ar",
    grade=Grade.MEASURED,
    seen="secondary",
    note="Coefficients read in the gri30 data file of an open chemical-kinetics library.",
)
ATOMIC_MASSES = Reference(
    "atomic-masses",
    "Standard atomic weights (abridged)",
    where="C, H, O, N, Ar",
    note="Recalled; molar masses agree with those of the gri30 data file to 1e-4.",
)
CODATA = Reference("codata", "CODATA recommended values of the fundamental constants", where="molar gas constant")
COMBUSTION_ENGINES = Reference(
    "internal-combustion-engine-fundamentals",
    "Internal Combustion Engine Fundamentals",
    where="four-stroke filling, gas exchange work, turbocharger power balance, first law of an engine",
)
TURBOCHARGING = Reference(
    "turbocharging-the-internal-combustion-engine",
    "Turbocharging the Internal Combustion Engine",
    where="compressor and turbine efficiency, effective turbine area",
)
COMPACT_HEAT_EXCHANGERS = Reference(
    "compact-heat-exchangers", "Compact Heat Exchangers", where="effectiveness referred to the charge air"
)
VISCOUS_FLUID_FLOW = Reference(
    "viscous-fluid-flow",
    "Viscous Fluid Flow",
    where="laminar pipe flow, Darcy-Weisbach, isothermal flow with friction",
)
FRICTION_EXPLICIT = Reference(
    "explicit-friction-factor",
    "Simple and explicit formulas for the friction factor in turbulent pipe flow",
    where="Journal of Fluids Engineering, 1983",
    note="Recalled; stays within 1.4 % of the Colebrook-White equation, checked with a library.",
)
PIPE_FLOW = Reference(
    "pipe-flow-guide",
    "Pipe Flow: A Practical and Comprehensive Guide",
    where="loss coefficient of a rounded bend",
    grade=Grade.PRACTICE,
    seen="secondary",
    note="Formula read in the documentation of an open fluid-mechanics library.",
)
HYDRAULIC_RESISTANCE = Reference(
    "handbook-of-hydraulic-resistance",
    "Handbook of Hydraulic Resistance",
    where="sudden enlargement and contraction",
)
DUCT_CONVECTION = Reference(
    "laminar-flow-forced-convection-in-ducts",
    "Laminar Flow Forced Convection in Ducts",
    where="friction factor of a square channel, f Re = 56.908 (Darcy)",
    note="Recalled, and recomputed from the series solution in the tests.",
)
METEOROLOGICAL_GUIDE = Reference(
    "guide-to-meteorological-instruments",
    "Guide to Meteorological Instruments and Methods of Observation",
    where="Magnus form of the saturation vapour pressure over water",
    note="Recalled; within 0.4 % of a property library's steam tables from 0 to 50 degC.",
)
GAS_DYNAMICS = Reference(
    "elements-of-gasdynamics",
    "Elements of Gasdynamics",
    where="isentropic nozzle flow, choking",
)
PETROLEUM_TABLES = Reference(
    "petroleum-measurement-tables",
    "API MPMS 11.1 / ASTM D1250 petroleum measurement tables, generalised products (1980 form)",
    where="density against temperature",
    note="Constants per degF seen in public code and multiplied by 1.8; the kelvin form recalled.",
)
PRACTICE = Reference(
    "common-practice",
    "Common practice of the trade",
    grade=Grade.PRACTICE,
    note="Said and used widely; no source to quote.",
)
