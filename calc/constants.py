"""Physical constants, each a number that knows its unit, grade and source."""

from __future__ import annotations

from typing import Self

from calc import references
from calc.provenance import Grade, Reference


class Constant(float):
    """A float with a name, a unit, a grade and the reference it is taken from.

    Arithmetic gives plain floats. `reference` is None for an exact definition.
    """

    name: str
    unit: str
    grade: Grade
    reference: Reference | None
    note: str

    def __new__(
        cls,
        value: float,
        name: str,
        unit: str,
        reference: Reference | None,
        *,
        grade: Grade | None = None,
        note: str = "",
    ) -> Self:
        made = super().__new__(cls, value)
        made.name = name
        made.unit = unit
        made.reference = reference
        made.grade = grade or (reference.grade if reference else Grade.STANDARD)
        made.note = note
        return made

    def __repr__(self) -> str:
        return f"Constant({float(self)!r}, {self.name!r}, {self.unit!r})"


R_MOLAR = Constant(8.314462618, "molar gas constant", "J/(mol.K)", references.CODATA)
R_AIR = Constant(287.0529, "gas constant of dry air", "J/(kg.K)", references.ISO_2533)
P_STANDARD = Constant(101325.0, "standard atmospheric pressure at sea level", "Pa", references.ISO_2533)
T_STANDARD = Constant(288.15, "standard air temperature at sea level", "K", references.ISO_2533)
LAPSE_RATE = Constant(
    0.0065, "temperature fall with geopotential height in the troposphere", "K/m", references.ISO_2533
)
G_STANDARD = Constant(9.80665, "standard acceleration of gravity", "m/s2", references.ISO_2533)
EARTH_RADIUS = Constant(6356766.0, "nominal earth radius of the standard atmosphere", "m", references.ISO_2533)
SUTHERLAND_BETA = Constant(1.458e-6, "viscosity coefficient of air", "kg/(m.s.K^0.5)", references.ISO_2533)
SUTHERLAND_T = Constant(110.4, "viscosity temperature of air", "K", references.ISO_2533)

T_DATUM = Constant(298.15, "temperature at which sensible enthalpy is zero", "K", None)
OXYGEN_IN_AIR = Constant(0.2095, "mole fraction of oxygen in dry air", "1", references.ISO_2533)
LHV_DIESEL = Constant(42.7e6, "lower heating value of diesel fuel", "J/kg", references.ISO_3046_1)
HYDROGEN_PER_CARBON = Constant(
    23.0 / 12.0,
    "hydrogen atoms per carbon atom in diesel fuel",
    "1",
    references.COMBUSTION_ENGINES,
    note="C12H23 is the usual stand-in; CH1.85 lowers the stoichiometric air by 0.6 %.",
)
AFR_STOICHIOMETRIC = Constant(
    14.66784,
    "stoichiometric air-fuel ratio of diesel fuel (C12H23)",
    "1",
    references.COMBUSTION_ENGINES,
    note="Mass balance with 0.2095 oxygen in dry air; the trade rounds it to 14.5.",
)
SQUARE_CHANNEL_FRICTION = Constant(
    56.908, "friction factor times Reynolds number, laminar square channel", "1", references.DUCT_CONVECTION
)
LAMINAR_LIMIT = Constant(
    2300.0, "Reynolds number up to which pipe flow is taken as laminar", "1", references.VISCOUS_FLUID_FLOW
)
TURBULENT_LIMIT = Constant(
    4000.0, "Reynolds number from which pipe flow is taken as turbulent", "1", references.VISCOUS_FLUID_FLOW
)
MACH_WARNING = Constant(
    0.3, "Mach number above which incompressible formulas are not good enough", "1", references.GAS_DYNAMICS
)
STEEL_ROUGHNESS = Constant(
    45e-6,
    "roughness of a drawn or welded steel pipe",
    "m",
    references.VISCOUS_FLUID_FLOW,
    note="Clean commercial steel.",
)
BRICK_ENTRY_EXIT = Constant(0.9, "entry and exit loss coefficient of a flow-through brick", "1", references.PRACTICE)
COMPRESSOR_T_REFERENCE = Constant(
    298.0,
    "reference temperature of corrected compressor flow",
    "K",
    references.TURBOCHARGING,
    note="SAE J1826, recalled.",
)
COMPRESSOR_P_REFERENCE = Constant(
    100e3,
    "reference pressure of corrected compressor flow",
    "Pa",
    references.TURBOCHARGING,
    note="SAE J1826, recalled.",
)

R85_T_REFERENCE = Constant(298.0, "air temperature that power is corrected to", "K", references.UN_R85)
R85_P_REFERENCE = Constant(99e3, "dry air pressure that power is corrected to", "Pa", references.UN_R85)
R85_SMALLEST = Constant(0.9, "smallest correction factor that is allowed", "1", references.UN_R85)
R85_LARGEST = Constant(1.1, "largest correction factor that is allowed", "1", references.UN_R85)
R85_T_LOWEST = Constant(283.0, "lowest air temperature of a corrected test", "K", references.UN_R85, grade=Grade.MEMORY)
R85_T_HIGHEST = Constant(
    313.0, "highest air temperature of a corrected test", "K", references.UN_R85, grade=Grade.MEMORY
)
R85_P_LOWEST = Constant(80e3, "lowest air pressure of a corrected test", "Pa", references.UN_R85, grade=Grade.MEMORY)
R85_P_HIGHEST = Constant(110e3, "highest air pressure of a corrected test", "Pa", references.UN_R85, grade=Grade.MEMORY)
