"""Section drawings: every station and number of the calculator is there, in both unit systems, in order of flow."""

from __future__ import annotations

import re
import xml.etree.ElementTree as etree
from pathlib import Path

import pytest

from build_scripts import catalogue as records
from build_scripts.pages.edition import Edition
from build_scripts.pages.functions import section
from build_scripts.pages.sections.figure import DRAWINGS
from build_scripts.pages.sections.gas_path import BETWEEN, EXHAUST, INTAKE
from build_scripts.pages.sheet import Sheet
from calc.evaluate import answer
from calc.present import page_answer
from calc.registry import calculator, calculators

GAS_PATHS = {"engine-balance": ("path",), "before-after": ("before", "after")}


@pytest.fixture(scope="module")
def edition(root: Path) -> Edition:
    return Edition(records.load(root))


def drawn(edition: Edition, identifier: str, *, with_form: bool = False, **inputs: str) -> tuple[Sheet, etree.Element]:
    """A sheet with one section on it, and the section's HTML as a tree."""
    sheet = Sheet(edition, "topics/x.md", "docs/topics/x.md", "X")
    if with_form:
        sheet.calculators.append(identifier)
    markup = str(section(sheet, identifier, **inputs))
    # An attribute without a value is fine in HTML only.
    return sheet, etree.fromstring(
        re.sub(r" (data-search-exclude|data-up|data-behind|hidden)(?=[ >])", r' \1=""', markup)
    )


def texts(element: etree.Element) -> tuple[str, str]:
    """What an element with a slot shows in either unit system."""
    pair = [element.find(f"*[@class='hr-{system}']") for system in ("us", "si")]
    return tuple("".join((part if part is not None else element).itertext()) for part in pair)  # type: ignore[return-value]


@pytest.mark.parametrize("identifier", DRAWINGS)
def test_every_number_is_the_calculators_own(edition: Edition, identifier: str) -> None:
    """Drawings and table show the texts of the answer, in both unit systems, and bars as long as their shares."""
    shown = page_answer(identifier, {}, "us")
    _, figure = drawn(edition, identifier)
    places = [place for place in figure.iter() if "data-slot" in place.attrib]
    assert places
    for place in places:
        key = place.attrib["data-slot"]
        if key.startswith("given."):
            given = shown["inputs"][key.removeprefix("given.")]
            expected = given["understood_us"], given["understood_si"]
        else:
            slot = shown["slots"][key]
            expected = (slot, slot) if isinstance(slot, str) else (slot["us"], slot["si"])
        assert texts(place) == expected, key
    for bar in figure.iterfind(".//*[@data-span]"):
        low, high = shown["spans"][bar.attrib["data-span"]]
        assert f"--hr-low:{low:.4f};--hr-high:{high:.4f}" in bar.attrib["style"]


@pytest.mark.parametrize("identifier", DRAWINGS)
def test_nothing_on_a_scale_is_left_out(edition: Edition, identifier: str) -> None:
    """Each picture, broad or narrow, has a bar for all that shares a scale; the table has every number drawn."""
    _, figure = drawn(edition, identifier)
    bars = {bar.attrib["data-span"] for bar in figure.iterfind(".//*[@data-span]")}
    assert bars == set(page_answer(identifier, {}, "us")["spans"])
    table = {cell.attrib["data-slot"] for cell in figure.iterfind(".//table//*[@data-slot]")}
    for picture in figure.iterfind(".//svg[@class='hr-draw']"):
        assert {place.attrib["data-slot"] for place in picture.iterfind(".//*[@data-slot]")} <= table


@pytest.mark.parametrize("identifier", GAS_PATHS)
def test_the_gas_path_has_all_its_stations(edition: Edition, identifier: str) -> None:
    """From the air outside to the tailpipe, with pressure above outside and absolute, temperature and flow at each."""
    parts = GAS_PATHS[identifier]
    _, figure = drawn(edition, identifier)
    rows = [[*row] for row in figure.iterfind(".//tbody/tr")]
    names = ["".join(row[0].itertext()) for row in rows]
    stations = (*INTAKE, *EXHAUST)
    assert len(BETWEEN) == len(stations) - 1
    assert names.index("Cylinders, fuel burnt") == len(INTAKE)
    assert [name for name in names if not name.startswith(("Cylinders", "Lambda"))] == [one.name for one in stations]
    by_name = dict(zip(names, rows, strict=True))
    for station in stations:
        found = {cell.attrib["data-slot"] for one in by_name[station.name] for cell in one.iterfind(".//*[@data-slot]")}
        wanted = (f"{station.pressure}_gauge", f"{station.pressure}_pressure", station.temperature, station.flow)
        assert found == {f"{part}.{name}" for part in parts for name in (*wanted, *filter(None, [station.bore]))}
    label = figure.find(".//*[@role='img']")
    assert label is not None
    spoken = label.attrib["aria-label"].lower()
    places = [spoken.index(station.name.lower()) for station in stations]
    assert places == sorted(places)
    for picture in figure.iterfind(".//svg[@class='hr-draw']"):
        drawn_keys = {place.attrib["data-slot"] for place in picture.iterfind(".//*[@data-slot]")}
        assert any({f"{part}.{station.pressure}_gauge" for station in stations} <= drawn_keys for part in parts)


def test_bars_are_in_proportion(edition: Edition) -> None:
    """A bar of absolute pressure is as long as the pressure over the highest on the path; so is one of temperature."""
    outputs = answer(calculator("engine-balance"), {}).outputs
    spans = page_answer("engine-balance", {}, "us")["spans"]
    for kind in ("pressure", "temperature"):
        values = {key: outputs[key].value for key in spans if key.endswith(f"_{kind}")}
        assert len(values) >= 7
        for key, value in values.items():
            assert spans[key] == [pytest.approx(value / max(values.values()), abs=1e-4)] * 2


def test_before_and_after_share_their_scales(edition: Edition) -> None:
    """With a freer exhaust the highest pressure is the one before the change, and only that bar is full."""
    spans = page_answer("before-after", {}, "us")["spans"]
    assert spans["before.turbine_inlet_pressure"][1] == 1.0
    assert spans["after.turbine_inlet_pressure"][1] < 1.0


def test_a_range_is_drawn_from_its_low_to_its_high_end() -> None:
    """The clutch's friction is known as a range, so its torque ends between two shares."""
    low, high = page_answer("line-pressure", {}, "us")["spans"]["capacity"]
    assert low < high == 1.0


def test_a_section_follows_the_form_on_its_page_only(edition: Edition) -> None:
    """With inputs of its own, or without the form, the numbers stay what the page says."""
    for with_form, inputs, follows in ((True, {}, True), (False, {}, False), (True, {"power_goal": "400 hp"}, False)):
        _, figure = drawn(edition, "engine-balance", with_form=with_form, **inputs)
        assert (figure.attrib.get("data-follows") == "engine-balance") is follows
        assert (figure.find(".//*[@data-grade-of]") is not None) is follows


def test_chosen_inputs_are_what_is_drawn(edition: Edition) -> None:
    sheet, figure = drawn(edition, "engine-balance", power_goal="400 hp")
    slot = page_answer("engine-balance", {"power_goal": "400 hp"}, "us")["slots"]["path.manifold_gauge"]
    place = figure.find(".//*[@data-slot='path.manifold_gauge']")
    assert place is not None
    assert texts(place) == (slot["us"], slot["si"])
    assert any("400 hp" in str(line).replace("\u00a0", " ") for note in sheet.notes.values() for line in note.lines)


def test_what_cannot_be_drawn_is_a_problem_of_the_page(root: Path) -> None:
    edition = Edition(records.load(root))
    sheet = Sheet(edition, "topics/x.md", "docs/topics/x.md", "X")
    assert str(section(sheet, "running-cost")) == ""
    assert str(section(sheet, "engine-balanse")) == ""
    assert str(section(sheet, "engine-balance", power_goal="4 furlongs")) == ""
    found = [str(problem) for problem in edition.problems]
    for said in ("which has no section", "engine-balance", "4 furlongs"):
        assert any(said in problem for problem in found), said


def test_patterns_are_defined_once(edition: Edition, root: Path) -> None:
    """Two sections on a page share their hatches, since an id may stand on a page only once."""
    sheet = Sheet(edition, "topics/x.md", "docs/topics/x.md", "X")
    both = f"{section(sheet, 'engine-balance')}{section(sheet, 'fuel-supply')}"
    identifiers = re.findall(r' id="([^"]+)"', both)
    assert len(identifiers) == len(set(identifiers))
    assert set(re.findall(r"url\(#([\w-]+)\)", (root / "docs/assets/headroom.css").read_text(encoding="utf-8"))) <= {
        *identifiers,
        "hr-hatch",
    }


def test_each_calculator_with_stations_has_a_section_on_its_page(root: Path) -> None:
    """Stations stand in no list of answers, so a page without the drawing would hide them."""
    for identifier, found in calculators().items():
        if any("." in name for name in found.outputs):
            page = (root / f"docs/calculators/{identifier}.md").read_text(encoding="utf-8")
            assert f'section("{identifier}")' in page
