"""The real data, broken in every figure: each fault is one line that names the place and says what to do."""

from __future__ import annotations

import datetime
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from build_scripts import catalogue
from build_scripts.building import ROOT
from build_scripts.models.problem import DataErrors, Problem

PLATFORM = "docs/data/platforms/hollin-six.yaml"
TOMORROWS = (datetime.date.today() + datetime.timedelta(days=400)).isoformat()


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A copy of the real data."""
    shutil.copytree(ROOT / "docs" / "data", tmp_path / "docs" / "data")
    return tmp_path


@pytest.fixture(scope="module")
def places() -> dict[int, str]:
    """The line and path of every figure of the platform; each stands on a line of its own."""
    figures = [figure for figure in catalogue.load(ROOT).figures.values() if figure.file == PLATFORM]
    found = {figure.line: figure.path for figure in figures}
    assert len(found) == len(figures) > 90
    return found


def problems_of(root: Path) -> list[Problem]:
    with pytest.raises(DataErrors) as caught:
        catalogue.load(root)
    assert len(str(caught.value).splitlines()) == len(caught.value.problems) > 0
    return caught.value.problems


def break_every(root: Path, places: dict[int, str], change: Callable[[str], str]) -> None:
    """Change every figure of the platform."""
    path = root / PLATFORM
    lines = path.read_text(encoding="utf-8").splitlines()
    for line in places:
        changed = change(lines[line - 1])
        assert changed != lines[line - 1]
        lines[line - 1] = changed
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def value(new: str) -> Callable[[str], str]:
    """Puts another text in the place of every number of a figure."""
    return lambda line: re.sub(r"\b(value|low|high): [^,]+", rf"\1: {new}", line)


def swap(pattern: str, new: str) -> Callable[[str], str]:
    return lambda line: re.sub(pattern, new, line)


REVIEWED = r"reviewed: [0-9-]+"
UNIT = r'unit: ("[^"]*"|[^,]+)'
FAULTS: dict[str, tuple[Callable[[str], str], str, str]] = {
    # what is done: (the change, the field below the figure, a word that its message must hold)
    "no": (value("no"), "(value|low|high)", "false"),
    "on": (value("on"), "(value|low|high)", "true"),
    "sixtieths": (value("12:30"), "(value|low|high)", "sixtieths"),
    "hexadecimal": (value("0x10"), "(value|low|high)", "another base"),
    "octal": (value("010"), "(value|low|high)", "octal"),
    "underscore": (value("1_000"), "(value|low|high)", "underscores"),
    "decimal comma": (value('"1,5"'), "(value|low|high)", "point"),
    "thousands comma": (value('"1,000"'), "(value|low|high)", "comma"),
    "quoted number": (value('"6.3"'), "(value|low|high)", "without them"),
    "truth": (value("true"), "(value|low|high)", "a plain number"),
    "unit in the number": (value("62 psi"), "(value|low|high)", "`unit`"),
    "a list": (value("[1]"), "(value|low|high)", "a plain number"),
    "beyond all bounds": (value("9e29"), "(value|low|high)", "plausible"),
    "empty": (value(""), "(value|low)", "either `value`, or `low` and `high`"),
    "low above high": (swap(r"(value: [^,]+|low: [^,]+, high: [^,]+)", "low: 9, high: 3"), "low", "low: 3, high: 9"),
    "value and range": (swap("unit:", "value: 1, low: 1, high: 2, unit:"), "", ""),
    "only low": (swap(r"(value: [^,]+|low: [^,]+, high: [^,]+)", "low: 9"), "low", "together"),
    "no such unit": (swap(UNIT, "unit: furlong"), "unit", "`furlong`"),
    "misspelt unit": (swap(UNIT, "unit: kpa"), "unit", "Did you mean"),
    "unit as a word": (swap(UNIT, "unit: inchs"), "unit", "Did you mean in?"),
    "unit of something else": (swap(UNIT, "unit: Btu/in2"), "unit", "energy per area"),
    "unit that is a number": (swap(UNIT, "unit: 1"), "unit", '"1"'),
    "no unit": (swap(UNIT + ", ", ""), "unit", "found nothing"),
    "misspelt grade": (swap("grade: invented", "grade: inventd"), "grade", "Did you mean invented?"),
    "label for grade": (swap("grade: invented", "grade: common practice"), "grade", "Did you mean practice?"),
    "empty grade": (swap("grade: invented", "grade: "), "grade", "found nothing; allowed: one of standard, measured"),
    "no grade": (swap("grade: invented, ", ""), "grade", "found nothing"),
    "misspelt key": (swap("grade:", "garde:"), "g(ar|ra)de", "Did you mean grade?"),
    "unknown key": (swap("grade:", "colour: red, grade:"), "colour", "only value, low, high"),
    "repeated grade": (swap("grade:", "grade: practice, grade:"), "grade", "again on line"),
    "future": (swap(REVIEWED, f"reviewed: {TOMORROWS}"), "reviewed", "future"),
    "quoted day": (swap(REVIEWED, 'reviewed: "2026-11-24"'), "reviewed", "without quotes"),
    "day in another order": (swap(REVIEWED, "reviewed: 24/11/2026"), "reviewed", "`24/11/2026`; allowed: a day"),
    "no day of the calendar": (swap(REVIEWED, "reviewed: 2026-02-30"), "reviewed", "does not exist"),
    "no review": (swap(f", {REVIEWED}", ""), "reviewed", "found nothing"),
    "unknown source": (
        swap("grade: invented", "grade: practice, source: iso-13372-1"),
        "source",
        "Did you mean iso-13732-1?",
    ),
    "invented with a source": (swap("grade:", "source: iso-13732-1, grade:"), "source", "no source for an invented"),
    "standard without a source": (swap("grade: invented", "grade: standard"), "(source|where)", "found no"),
    "bare number": (swap(r"\{value.*\}|\{low.*\}", "12"), "", "found the number 12"),
    "bare text": (swap(r"\{value.*\}|\{low.*\}", "12 psi"), "", "found the text `12 psi`"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_every_figure_is_named_in_every_figure(project: Path, places: dict[int, str], fault: str) -> None:
    change, field, word = FAULTS[fault]
    break_every(project, places, change)
    problems = [problem for problem in problems_of(project) if problem.file == PLATFORM]
    for line, path in places.items():
        here = [problem for problem in problems if problem.line == line]
        assert here, f"nothing says what is wrong on line {line}: {path}"
        wanted = re.escape(path) + (rf"\.{field}" if field else r"(\..*)?")
        fits = [problem for problem in here if re.fullmatch(wanted, problem.field) and word in str(problem)]
        assert fits, f"line {line}: none of {[str(problem) for problem in here]} is about {wanted} and says {word!r}"
    assert {problem.line for problem in problems} == set(places)


def test_all_faults_of_one_figure_come_at_once(project: Path) -> None:
    path = project / PLATFORM
    text = path.read_text(encoding="utf-8")
    bad = "bore: {low: 9, high: 3, unit: psi, garde: practice, reviewed: no, source: nowhere}"
    path.write_text(re.sub(r"bore: \{value: 104.*\}", bad, text), encoding="utf-8")
    fields = {problem.field.removeprefix("engine.bore.") for problem in problems_of(project)}
    assert fields == {"low", "unit", "garde", "grade", "reviewed", "source"}


def test_faults_of_all_files_come_at_once(project: Path) -> None:
    files = sorted((project / "docs" / "data").glob("*/*.yaml"))
    assert len(files) > 50
    for path in files:
        path.write_text(path.read_text(encoding="utf-8") + "titel: again\n", encoding="utf-8")
    problems = problems_of(project)
    assert {problem.file for problem in problems} == {path.relative_to(project).as_posix() for path in files}
    assert all(problem.suggestion == "title" and problem.line > 1 for problem in problems)


def test_an_implausible_value_is_told_with_the_unit_that_was_probably_meant(project: Path) -> None:
    path = project / PLATFORM
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("line_pressure: {value: 1.5, unit: MPa", "line_pressure: {value: 218, unit: MPa"))
    (problem,) = problems_of(project)
    assert problem.found == "218 MPa"
    assert problem.allowed == "what is plausible here, about 0.2 to 3 MPa"
    assert problem.suggestion == "218 psi"


def test_a_missing_section_has_the_line_of_what_should_hold_it(project: Path) -> None:
    path = project / PLATFORM
    text = path.read_text(encoding="utf-8")
    limits = text[: text.index("\nlimits:")].count("\n") + 2
    path.write_text(text.replace("    part: transmission\n", "").replace("layout: inline\n", ""), encoding="utf-8")
    problems = {problem.field: problem.line for problem in problems_of(project)}
    assert problems == {"layout": 1, "limits.transmission.part": limits}  # the line above went too


def test_an_id_of_calcs_own_references_is_refused(project: Path) -> None:
    sources = project / "docs" / "data" / "sources"
    (sources / "iso-13732-1.yaml").rename(sources / "iso-2533.yaml")
    problems = problems_of(project)
    assert ("docs/data/sources/iso-2533.yaml", 1) in {(problem.file, problem.line) for problem in problems}
    assert any("`iso-13732-1`, which does not exist" in problem.found for problem in problems)


def test_nothing_is_read_from_data_that_are_broken(project: Path) -> None:
    (project / PLATFORM).write_text("title: [", encoding="utf-8")
    found, problems = catalogue.survey(project)
    assert problems
    assert "hollin-six" not in found.platforms
    assert found.practice
