"""Units agree with a general-purpose unit library, and every conversion comes back."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import units

REGISTRY = pint.UnitRegistry()
# Our symbol, where the unit library spells it in another way.
SPELT = {
    "1": "dimensionless",
    "%": "percent",
    "um": "micrometer",
    "thou": "thou",
    "gal": "US_liquid_gallon",
    "cm3/rev": "cm**3",
    "m3/rev": "m**3",
    "in3/rev": "inch**3",
    "r/min": "dimensionless",
    "degC": "degC",
    "degF": "degF",
    "delta_K": "kelvin",
    "PS": "metric_horsepower",
    "inHg": "inch_Hg",
    "inH2O": "inch_H2O",
    "ft3/min": "foot**3/minute",
    "lbf.ft": "lbf*foot",
    "N.m": "N*m",
    "yr": "julian_year",
    "t": "metric_ton",
    "1/m2": "1/m**2",
    "1/in2": "1/inch**2",
    "1/cm2": "1/cm**2",
    "lb.in2": "lb*inch**2",
    "kg.m2": "kg*m**2",
    "Pa.s": "Pa*s",
    "mPa.s": "mPa*s",
    "g/(kW.h)": "g/(kW*h)",
    "lb/(hp.h)": "lb/(hp*h)",
    "J/(kg.K)": "J/(kg*K)",
    "Btu/(lb.degF)": "Btu_it/(lb*delta_degF)",
    "gal/h": "US_liquid_gallon/h",
    "lb/gal": "lb/US_liquid_gallon",
    "mi/gal": "mile/US_liquid_gallon",
    "h": "hour",
    "in": "inch",
    "mi": "mile",
    "mi/yr": "mile",
    "km/yr": "km",
    "m/yr": "m",
    "Btu": "Btu_it",
    "Btu/min": "Btu_it/min",
    "Btu/lb": "Btu_it/lb",
    "Btu/in2": "Btu_it/inch**2",
    "N.s/m": "N*s/m",
    "N.s2/m2": "N*s**2/m**2",
    "lbf/mph2": "lbf/mph**2",
}
POWERS = {
    "m2": "m**2",
    "m3": "m**3",
    "cm2": "cm**2",
    "mm2": "mm**2",
    "mm3": "mm**3",
    "cm3": "cm**3",
    "in2": "inch**2",
    "in3": "inch**3",
    "ft2": "foot**2",
    "ft3": "foot**3",
    "s2": "s**2",
}
SI = {
    "displacement per revolution": "m**3",
    "rotational speed": "dimensionless",
    "ratio": "dimensionless",
    "temperature": "kelvin",
    "temperature difference": "kelvin",
    "angle": "degree",
    "distance per year": "m",
}
OURS_ALONE = {
    "money",
    "money rate",
    "money per distance",
    "money per power",
    "money per volume",
    "money per year",
    "truth",
    "text",
    "fuel mass per cycle and displacement",
    "fuel consumption",
}


def spelt(symbol: str) -> str:
    """A unit of ours in the other library's spelling."""
    if symbol in SPELT:
        return SPELT[symbol]
    return "/".join(POWERS.get(part, part) for part in symbol.split("/"))


MEASURABLE = [unit.symbol for unit in units.UNITS.values() if unit.dimension not in OURS_ALONE]


@pytest.mark.parametrize("symbol", MEASURABLE)
def test_every_unit_converts_as_the_unit_library_does(symbol: str) -> None:
    """The factor and offset of each unit equal those of pint (exact definitions; 1e-6 for conventional columns)."""
    dimension = units.unit(symbol).dimension
    base = SI.get(dimension) or spelt(
        next(u.symbol for u in units.units_of(dimension) if u.factor == 1 and not u.offset)
    )
    expected = REGISTRY.Quantity(7.25, spelt(symbol)).to(base).magnitude
    assert units.to_si(7.25, symbol) == pytest.approx(expected, rel=2e-6 if symbol in ("inHg", "inH2O") else 1e-9)


def test_fuel_consumption_is_fuel_over_distance() -> None:
    """The unit library knows no unit per hundred kilometres: its volume over its distance."""
    litres, gallons = REGISTRY.Quantity(7.25, "L"), REGISTRY.Quantity(7.25, "US_liquid_gallon")
    hundred_km, hundred_miles = REGISTRY.Quantity(100, "km"), REGISTRY.Quantity(100, "mile")
    assert units.to_si(7.25, "L/100km") == pytest.approx((litres / hundred_km).to("m**2").magnitude, rel=1e-12)
    assert units.to_si(7.25, "gal/100mi") == pytest.approx((gallons / hundred_miles).to("m**2").magnitude, rel=1e-12)


def test_most_units_were_compared() -> None:
    """The comparison above is not empty."""
    assert len(MEASURABLE) > 80


@pytest.mark.parametrize("symbol", units.UNITS)
@given(value=st.floats(-1e6, 1e6))
def test_conversion_comes_back(symbol: str, value: float) -> None:
    """From a unit to SI and back is the same number, within the last bits."""
    scale = max(abs(value), abs(units.unit(symbol).offset), 1)
    assert math.isclose(units.from_si(units.to_si(value, symbol), symbol), value, rel_tol=1e-12, abs_tol=1e-12 * scale)


def test_rated_horsepower_known_from_the_definition() -> None:
    """550 ft.lbf/s and 33000/(2 pi) r/min: the speed at which torque in lbf.ft and power in hp are equal."""
    assert units.HORSEPOWER == pytest.approx(745.69987158, rel=1e-10)
    watts = units.to_si(700, "lbf.ft") * 33000 / (2 * math.pi) * units.RADIANS_PER_SECOND_PER_RPM
    assert units.from_si(watts, "hp") == pytest.approx(700, rel=1e-12)


@pytest.mark.parametrize(
    ("typed", "dimension", "symbol"),
    [
        ("rpm", "rotational speed", "r/min"),
        ("°F", "temperature", "degF"),
        ("F", "temperature difference", "delta_degF"),
        ("LB/MIN", "mass flow", "lb/min"),
        ("lb-ft", "torque", "lbf.ft"),
        ("Nm", "torque", "N.m"),
        ("cpsi", "cell density", "1/in2"),
        ("cc", "volume", "cm3"),
        ("mpg", "fuel economy", "mi/gal"),
        ("mpa", "pressure", "MPa"),
    ],
)
def test_usual_spellings_are_understood(typed: str, dimension: str, symbol: str) -> None:
    """People write units in several ways."""
    assert units.find(typed, dimension).symbol == symbol


def test_a_wrong_unit_says_what_it_measures_and_what_is_allowed() -> None:
    """A pressure given for a length names both dimensions."""
    with pytest.raises(units.UnitError, match=r"psi.* measures pressure, not length; allowed: m, mm"):
        units.find("psi", "length")
    with pytest.raises(units.UnitError, match="not a known unit"):
        units.find("furlong", "length")


def test_spellings_never_clash_within_a_dimension() -> None:
    """No spelling means two units of one dimension."""
    for dimension in {unit.dimension for unit in units.UNITS.values()}:
        spellings = [s for unit in units.units_of(dimension) for s in {unit.symbol, unit.label, *unit.aliases} if s]
        assert len(spellings) == len(set(spellings)), dimension
