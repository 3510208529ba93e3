"""What people type is understood, or refused in a sentence that names what is allowed."""

import pytest

from calc import units
from calc.contract import Choice, Input, Quantity, Readings
from calc.provenance import Grade
from calc.reading import BadInput, doubt, field_text, read

FLOW = Input(
    "flow",
    Quantity(unit="kg/s", us="lb/min", low=0.05, high=1500, name="Flow", meaning="Air."),
    0.5,
)
HEAT = Input("t", Quantity(unit="K", us="degF", si="degC", low=200, high=2000, name="T", meaning="Gas."), 300.0)
COOLING = Input("drop", Quantity(unit="delta_K", us="delta_degF", low=0, high=300, name="D", meaning="Drop."), 10.0)
BENDS = Input("bends", Quantity(unit="1", low=0, high=12, whole=True, name="B", meaning="Bends."), 2.0)
PULLS = Input("pulls", Readings(unit="W", us="hp", si="kW", low=1e3, high=2e6, least=2, name="P", meaning="Pulls."), ())
FUEL = Input(
    "fuel", Choice(name="F", meaning="Fuel.", options={"winter": "Winter diesel", "summer": "Summer diesel"}), "winter"
)
BLANK = Input("boost", Quantity(unit="Pa", us="psi", si="kPa", low=0, high=9e5, name="B", meaning="Boost."), None)


@pytest.mark.parametrize(
    ("typed", "system", "value"),
    [
        ("48 lb/min", "si", units.to_si(48, "lb/min")),
        ("48lb/min", "si", units.to_si(48, "lb/min")),
        ("48", "us", units.to_si(48, "lb/min")),
        ("0.5", "si", 0.5),
        ("  0.5  ", "si", 0.5),
        ("+0.5 kg/s", "si", 0.5),
        ("5e-1", "si", 0.5),
        (".5", "si", 0.5),
        ("0,5", "si", 0.5),
        ("1,350", "si", 1350),
        ("1\u00a0350", "si", 1350),
        ("1'350.0", "si", 1350),
        ("1 350", "si", 1350),
        ("1 350 kg/s", "si", 1350),
        ("1,350.5 kg/s", "si", 1350.5),
        ("500 G/S", "si", 0.5),
        ("500 g/s", "us", 0.5),
        ("0.5 [measured]", "si", 0.5),
    ],
)
def test_a_number_is_understood(typed: str, system: str, value: float) -> None:
    """With or without unit, with separators of thousands or a decimal comma, in either system."""
    assert read(FLOW, typed, system).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("item", "typed", "system", "value"),
    [
        (HEAT, "1,350 °F", "si", units.to_si(1350, "degF")),
        (HEAT, "100", "us", units.to_si(100, "degF")),
        (HEAT, "500 C", "us", 773.15),
        (COOLING, "90 °F", "si", 50.0),
        (COOLING, "50 K", "us", 50.0),
        (COOLING, "90", "us", 50.0),
    ],
)
def test_a_temperature_difference_is_not_a_temperature(item: Input, typed: str, system: str, value: float) -> None:
    """90 degrees Fahrenheit of cooling are 50 kelvins, not 305 K."""
    assert read(item, typed, system).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("unit", ["1/in2", "cells/in²", "cpsi", "1/IN2"])
@pytest.mark.parametrize("number", ["400", "400.0", "4e2"])
def test_a_unit_may_start_with_a_one(number: str, unit: str) -> None:
    """The unit that an answer states can be typed back, whatever it starts with."""
    cells = Input("cells", Quantity(unit="1/m2", us="1/in2", low=1e5, high=2e6, name="C", meaning="Cells."), 6e5)
    assert read(cells, f"{number} {unit}", "si").value == pytest.approx(units.to_si(400, "1/in2"))


@pytest.mark.parametrize("typed", ["3 1", "3.0 1", "300 %", "3"])
def test_a_number_of_the_unit_one_is_no_larger_number(typed: str) -> None:
    """Three of the unit one are three, not thirty-one."""
    faces = Input("faces", Quantity(unit="1", low=1, high=80, name="F", meaning="Faces."), 12)
    assert read(faces, typed, "si").value == pytest.approx(3)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("0.5 0.6", "not a number with a unit"),
        ("12 34", "not a number with a unit"),
        ("", "a value is needed"),
        ("   ", "a value is needed"),
        ("many", "not a number with a unit"),
        ("nan", "not a finite number"),
        ("-inf", "not a finite number"),
        ("1e999", "not a finite number"),
        ("-3", "out of range"),
        ("1e9", "out of range"),
        ("4 psi", "measures pressure, not mass flow"),
        ("4 furlong", "not a known unit"),
        ("1,35,0", "neither thousands separators nor a decimal comma"),
        ("0.5 kg/s [certain]", "is no grade"),
        ("0.9..0.5", "above its high end"),
        ("0x10", "unit"),
        ("9" * 500, "too long"),
        ("0.5\n0.6", ""),
        ("<b>1</b>", ""),
        ("--5", ""),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_sentence(typed: str, why: str) -> None:
    """The sentence names the input and the range that is allowed."""
    with pytest.raises(BadInput) as caught:
        read(FLOW, typed, "si")
    assert why in str(caught.value)
    assert "flow" in str(caught.value)
    assert "0.05 to 1,500" in str(caught.value)
    assert "\n" not in " ".join(str(caught.value).split())


@pytest.mark.parametrize("typed", ["430..460 hp", "430 hp..460 hp", "430 to 460 hp", "430 – 460 hp", "430 … 460 hp"])
def test_a_range_is_understood(typed: str) -> None:
    """The unit may stand once or twice."""
    power = Input("goal", Quantity(unit="W", us="hp", si="kW", low=1e3, high=1e6, name="G", meaning="Goal."), 3e5)
    value = read(power, typed, "si")
    assert (value.low, value.high) == pytest.approx((units.to_si(430, "hp"), units.to_si(460, "hp")))
    assert value.value == pytest.approx(units.to_si(445, "hp"))


def test_a_value_given_without_its_grade_is_recalled_from_memory() -> None:
    """A reader may say that it was measured; nobody may claim a better grade by silence."""
    assert read(FLOW, "0.5", "si").grade is Grade.MEMORY
    assert read(FLOW, "0.5 [measured]", "si").grade is Grade.MEASURED
    assert read(FLOW, "0.5 [common practice]", "si").grade is Grade.PRACTICE


@pytest.mark.parametrize("typed", ["398.2, 401.5, 399.9 hp", "398.2; 401.5; 399.9 hp", "398.2 401.5 399.9 hp"])
def test_readings_are_a_list(typed: str) -> None:
    """Pulls may be separated by semicolons, commas with spaces, or spaces."""
    expected = tuple(units.to_si(value, "hp") for value in (398.2, 401.5, 399.9))
    assert read(PULLS, typed, "si").value == pytest.approx(expected)


def test_too_few_readings_are_refused() -> None:
    """Two are needed here."""
    with pytest.raises(BadInput, match="1 numbers were understood; allowed: 2 to 50"):
        read(PULLS, "400 hp", "si")


def test_a_choice_names_its_options() -> None:
    """Near misses get a suggestion."""
    assert read(FUEL, "Winter", "si").value == "winter"
    assert read(FUEL, "Summer diesel", "si").value == "summer"
    with pytest.raises(BadInput, match=r"did you mean 'winter'.*allowed: winter, summer"):
        read(FUEL, "wintr", "si")


def test_whole_numbers_and_blanks() -> None:
    """Half a bend does not exist; an optional input may stay empty."""
    with pytest.raises(BadInput, match="not a whole number"):
        read(BENDS, "2.5", "si")
    assert read(BENDS, "3", "si").value == 3
    assert read(BLANK, "", "si").value is None


@pytest.mark.parametrize("item", [FLOW, HEAT, COOLING, BENDS])
def test_what_a_field_shows_is_understood_again(item: Input) -> None:
    """The text of a field, read back in its unit system, is the value (to the digits shown)."""
    for system in ("us", "si"):
        shown = field_text(item, read(item, field_text(item, read(item, "12", "si"), system), system), system)
        assert field_text(item, read(item, shown, system), system) == shown


def test_a_fraction_typed_into_a_field_of_percent_is_noticed() -> None:
    """0.72 where percent is wanted is refused with the way out, or, where it is legal, said back as a warning."""
    efficiency = Input(
        "eta", Quantity(unit="1", us="%", si="%", low=0.4, high=0.9, name="Efficiency", meaning="Of it."), 0.7
    )
    with pytest.raises(BadInput, match=r"write 0\.72 as 72 %"):
        read(efficiency, "0.72", "si")
    assert read(efficiency, "0.72 1", "si").value == pytest.approx(0.72)
    assert read(efficiency, "72", "us").value == pytest.approx(0.72)
    share = Input("s", Quantity(unit="1", us="%", si="%", low=0, high=1, name="Share", meaning="Of it."), 0.7)
    assert "read as 0.85" in doubt(share, "0.85", read(share, "0.85", "si"), "si")
    assert doubt(share, "0.85 %", read(share, "0.85 %", "si"), "si") == ""
    assert doubt(share, "85", read(share, "85", "si"), "si") == ""
