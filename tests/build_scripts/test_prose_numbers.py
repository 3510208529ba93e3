"""Finding figures typed in prose, and leaving alone what is none."""

from __future__ import annotations

from pathlib import Path

import pytest

from build_scripts import catalogue
from build_scripts.building import ROOT
from build_scripts.catalogue import Catalogue
from build_scripts.checks import prose_numbers
from build_scripts.checks._figures_in_text import figures
from calc.units import UNITS

FIGURES = [
    *(
        "5-inch",
        "5in",
        '4" pipe',
        "4\u2033",
        "½ inch",
        "3½-inch",
        "3/8 in",
        "5 in pipe",
        "12 feet",
        "5 ft",
        "6' tall",
        "3 m",
    ),
    *("1,350 °F", "1,350°F", "1 350 °F", "-40 °C", "90 degrees", "300 °F", "20 %", "20%", "15 percent", "15 per cent"),
    *("$1,200", "US$300", "€300", "50k dollars", "λ 1.4", "λ = 1.4", "lambda of 1.3", "AFR 18", "2:1", "1.5 : 1"),
    *(
        "62 psi",
        "62psi",
        "62 PSI",
        "62\npsi",
        "62&nbsp;psi",
        "62\u00a0psi",
        "**62** psi",
        "62 <abbr>psi</abbr>",
        "(62 psi)",
    ),
    *("| 62 psi |", "> 62 psi", "62 kPa.", '"62 psi"', "200–400 kPa", "430 to 460 hp", "600 horsepower", "400-hp"),
    *("6.3 L", "48 lb/min", "920 lbf·ft", "920 lb-ft", "5 newton-metres", "1.5e5 Pa", "10 mm²", "28 inHg", "12 V"),
    *("8 hours", "24 h", "5 min", "3 miles", "5 pounds", "5 years", "3000 RPM", "2,800 r/min", "40 °CA", "100 W"),
]
NO_FIGURES = [
    *("`62 psi`", "``5 ` psi``", "```\n62 psi\n```", "~~~ text\n5 in pipe\n~~~", "<!-- 62\npsi -->", "{# 5 in #}"),
    *('{{ figure("x", "62 psi") }}', '{{ result("a", "b",\n  bore="5 in") }}', '{% set a = "5 psi" %}'),
    *('[words](62%20psi.md "62 psi")', "[words]: https://example.org/62-psi", "https://example.org/5-inch"),
    *('<img alt="" width="62 px">', "---\ntitle: 62 psi\n---\n", "the 1990s", "5 in the box", "4 in 5 owners"),
    *("ISO 13732-1:2006 in force", "in 2026 in", "15W-40 oil", "40 CFR 1068.101(b)", "12:30", 'see "figure 4" there'),
    *(
        "class 10.9",
        "M14",
        "A4 paper",
        "the 5th",
        "step 3",
        "6 cylinders",
        "page 750",
        "EN 590",
        "[words](a.md){: .x5 }",
    ),
]


@pytest.mark.parametrize("text", FIGURES)
def test_a_figure_is_found_once(text: str) -> None:
    found = list(figures(f"First line.\n\nIt is {text} there.\n"))
    assert [figure.line for figure in found] == [3], found


@pytest.mark.parametrize("text", NO_FIGURES)
def test_what_is_no_figure_is_left_alone(text: str) -> None:
    assert list(figures(text)) == []


@pytest.mark.parametrize("symbol", sorted(set(UNITS) - {"1", "bool", "text"} - {s for s in UNITS if "money" in s}))
def test_every_unit_of_the_project_is_known(symbol: str) -> None:
    for spelling in (symbol, UNITS[symbol].label):
        assert list(figures(f"It is 62 {spelling}.")), spelling


def test_a_hidden_passage_hides_no_line() -> None:
    text = "---\ntitle: x\n---\n\n```\n5 psi\n```\n\n<!--\n6 psi\n-->\n\nIt is 62 psi.\n"
    assert [figure.line for figure in figures(text)] == [13]


def test_code_that_is_never_closed_hides_no_later_page() -> None:
    assert [figure.text for figure in figures("A ` tick.\n\nIt is 62 psi.\n")] == ["62 psi"]


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """A page with two figures, one of which the data hold."""
    path = tmp_path / "docs" / "deep" / "page.md"
    path.parent.mkdir(parents=True)
    path.write_text("Words.\n\nA threshold of 65 °C, and 62 psi.\n", encoding="utf-8")
    return path


def problems(root: Path) -> list[str]:
    return [str(problem) for problem in prose_numbers.check(catalogue.load(ROOT), root)]


def test_the_message_says_what_to_write_instead(page: Path, tmp_path: Path) -> None:
    first, second = problems(tmp_path)
    assert first.startswith("docs/deep/page.md:3: found `65 °C`, a figure typed in prose; allowed: {{ figure(")
    assert first.endswith('Did you mean {{ figure("practice/burn-threshold-bare-metal/figure") }}?')
    assert second.startswith("docs/deep/page.md:3: found `62 psi`")


def exceptions(root: Path, text: str) -> None:
    (root / "docs" / "data").mkdir(parents=True, exist_ok=True)
    (root / prose_numbers.EXCEPTIONS).write_text(text, encoding="utf-8")


def test_an_exception_with_its_reason_lets_a_text_stand(page: Path, tmp_path: Path) -> None:
    exceptions(tmp_path, "exceptions:\n  - {file: docs/deep/page.md, text: 62 psi, reason: a quotation}\n")
    assert [text.split(", a")[0] for text in problems(tmp_path)] == ["docs/deep/page.md:3: found `65 °C`"]


def test_an_exception_that_is_no_longer_needed_is_a_problem(page: Path, tmp_path: Path) -> None:
    page.write_text("Words.\n", encoding="utf-8")
    exceptions(tmp_path, "exceptions:\n  - {file: docs/deep/page.md, text: 62 psi, reason: a quotation}\n")
    (problem,) = problems(tmp_path)
    assert problem.startswith("docs/data/prose-exceptions.yaml:2: exceptions.1: ")


def test_an_exception_without_a_reason_is_a_problem(page: Path, tmp_path: Path) -> None:
    exceptions(tmp_path, "exceptions:\n  - {file: docs/deep/page.md, text: 62 psi}\n")
    (problem,) = problems(tmp_path)
    assert problem.startswith("docs/data/prose-exceptions.yaml:2: exceptions.1.reason: found nothing")


def test_without_data_there_is_still_a_message(page: Path, tmp_path: Path) -> None:
    assert len(list(prose_numbers.check(Catalogue(), tmp_path))) == 2
