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
UN_R85 = Reference(
    "un-r85",
    "UN Regulation No. 85, net power of engines, Annex 5 (the form of ISO 1585)",
    where="compression-ignition engines: atmospheric factor, engine factor",
    grade=Grade.PRACTICE,
    seen="secondary",
    note="Exponents and the form with 0.3 below 40 read in a public program, the range from 37.2 to 65 in an engine "
    "workshop manual; the regulation's own text was not seen.",
)
VEHICLE_DYNAMICS = Reference(
    "fundamentals-of-vehicle-dynamics",
    "Fundamentals of Vehicle Dynamics",
    where="road loads: rolling resistance, air drag, grade",
)
CFR_1066 = Reference(
    "40-cfr-1066",
    "40 CFR part 1066, Vehicle-Testing Procedures",
    where="1066.301, 1066.310: road load as F0 + F1 v + F2 v²",
    grade=Grade.PRACTICE,
    seen="secondary",
    note="Read in a copy of the code.",
)
INTERVAL_ANALYSIS = Reference(
    "introduction-to-interval-analysis",
    "Introduction to Interval Analysis",
    where="sums, differences, products and quotients of ranges; division by a range that holds zero",
)
WELCH = Reference(
    "welch-1947",
    "The generalization of Student's problem when several different population variances are involved",
    where="Biometrika, 1947",
)
SATTERTHWAITE = Reference(
    "satterthwaite-1946",
    "An approximate distribution of estimates of variance components",
    where="Biometrics Bulletin, 1946",
)
MATHEMATICAL_FUNCTIONS = Reference(
    "handbook-of-mathematical-functions",
    "Handbook of Mathematical Functions",
    where="26.5 and 26.7: incomplete beta function, Student's t distribution",
    note="Recalled; the quantiles agree with a statistics library to 1e-9.",
)
MACHINE_DESIGN = Reference(
    "shigleys-mechanical-engineering-design",
    "Shigley's Mechanical Engineering Design",
    where="disk clutches, bolted joints in tension, torsion of a tube",
    note="Recalled; the clutch integrals are recomputed by quadrature in the tests.",
)
COMPONENT_DESIGN = Reference(
    "fundamentals-of-machine-component-design",
    "Fundamentals of Machine Component Design",
    where="chapter 18, friction materials operating in oil",
    grade=Grade.PRACTICE,
    seen="secondary",
    note="Table read in a scanned page; the title is recalled.",
)
ISO_898_1 = Reference(
    "iso-898-1",
    "ISO 898-1:2013, Mechanical properties of fasteners: bolts, screws and studs",
    where="proof stress by property class",
    grade=Grade.STANDARD,
    seen="secondary",
    note="Table read in a secondary copy; stress area and thread geometry recalled.",
)
THREAD_GEOMETRY = Reference(
    "iso-68-1-and-asme-b1-1",
    "ISO 68-1, ISO 898-1 and ASME B1.1, screw threads",
    where="pitch and minor diameter, tensile stress area",
    note="Recalled; agrees with tabulated areas within rounding.",
)
SAE_J429 = Reference(
    "sae-j429", "SAE J429, Mechanical and material requirements for fasteners", where="proof stress of grades 5 and 8"
)
DIESEL_MANAGEMENT = Reference(
    "diesel-engine-management",
    "Diesel Engine Management: Systems and Components",
    where="injected quantity, start of injection, combustion time",
    note="The formulas recalled; the crank angles of start and combustion read in a page image.",
)
EN_590 = Reference(
    "en-590",
    "EN 590, Automotive fuels: diesel",
    where="temperate grades: density at 15 degC, viscosity at 40 degC",
    grade=Grade.STANDARD,
    seen="secondary",
)
ASTM_D975 = Reference(
    "astm-d975",
    "ASTM D975, Standard Specification for Diesel Fuel",
    where="grade No. 2-D, viscosity at 40 degC; density is not specified",
    grade=Grade.STANDARD,
    seen="secondary",
)
ISO_4391 = Reference(
    "iso-4391",
    "ISO 4391, Hydraulic fluid power: parameter definitions and letter symbols",
    where="displacement and volumetric efficiency of a pump",
)
VEHICLE_DYNAMICS = Reference(
    "fundamentals-of-vehicle-dynamics",
    "Fundamentals of Vehicle Dynamics",
    where="tractive effort through the gears, axle load under acceleration, traction limit",
)
HYDRODYNAMIC_DRIVES = Reference(
    "automotive-transmissions",
    "Automotive Transmissions: Fundamentals, Selection, Design and Application",
    where="torque ratio of a converter falling with its speed ratio to the coupling point",
)
PRACTICE = Reference(
    "common-practice",
    "Common practice of the trade",
    grade=Grade.PRACTICE,
    note="Said and used widely; no source to quote.",
)
