"""Pages for reading: a chart for inputs of the page, the formulas in one place, essays and safety pages."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from build_scripts import catalogue as records
from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import DataErrors
from build_scripts.pages import Page, pages
from calc.present import page_answer
from calc.registry import calculators
from calc.text import number


@pytest.fixture(scope="module")
def catalogue(root: Path) -> Catalogue:
    return records.load(root)


@pytest.fixture(scope="module")
def made(root: Path, catalogue: Catalogue) -> dict[str, Page]:
    return {page.uri: page for page in pages(root, catalogue)}


def project(folder: Path, text: str) -> Path:
    (folder / "docs").mkdir(parents=True)
    (folder / "docs" / "index.md").write_text(f"---\ntitle: Start\n---\n{text}\n", encoding="utf-8")
    return folder


def test_a_chart_follows_the_inputs_of_its_page(tmp_path: Path, catalogue: Catalogue) -> None:
    text = '{{ chart("fuel-supply", 1, "Pressure against flow.", filter_loss="20 psi") }}'
    page = pages(project(tmp_path, text), catalogue, only={"index.md"})[0].text
    assert "Pressure against flow." in page
    cells = [
        float(cell.replace(",", ""))
        for cell in re.findall(r'<td class="hr-num"><span class="hr-q"><span class="hr-us">([\d.,]+)<', page)
    ]
    clean = page_answer("fuel-supply", {"flow": "10.6 gal/h"}, "us")["slots"]["inlet_pressure"]["us"]
    # Twenty psi in the filter leave at most the rest of the shut-off pressure, at any flow and bore.
    assert cells
    assert max(cells) < float(clean.split("\u00a0")[0].split()[0]) - 15


def test_the_table_behind_a_chart_holds_computed_values(tmp_path: Path, catalogue: Catalogue) -> None:
    page = pages(project(tmp_path, '{{ chart("dyno-gain") }}'), catalogue, only={"index.md"})[0].text
    answer = page_answer("dyno-gain", {"pulls_each": "2"}, "us")
    shown = float(answer["slots"]["smallest_gain"]["us"].split("\u00a0")[0].split()[0])
    first = re.search(
        r'<th scope="row" class="hr-num"><span class="hr-q">2</span></th><td class="hr-num">.*?hr-us">([\d.]+)<',
        page,
    )
    assert first
    assert float(first[1]) == pytest.approx(shown, rel=0.01)
    assert number(float(first[1]), 3) == first[1]


@pytest.mark.parametrize(
    "call", ['chart("dyno-gain", 9)', 'chart("dyno-gain", 1, level="200 %")', 'chart("dino-gain")']
)
def test_a_chart_that_cannot_be_is_told_with_its_line(tmp_path: Path, catalogue: Catalogue, call: str) -> None:
    with pytest.raises(DataErrors) as caught:
        pages(project(tmp_path, f"{{{{ {call} }}}}"), catalogue, only={"index.md"})
    assert [problem.line for problem in caught.value.problems] == [4]


def test_every_formula_stands_on_the_page_of_formulas(made: dict[str, Page]) -> None:
    page = made["formulas/index.md"].text
    for calculator in calculators().values():
        assert f"{{: #{calculator.id} }}" in page or not calculator.formulas
        for formula in calculator.formulas:
            assert formula.reference.id in page or formula.reference.title in page
    assert page.count('class="hr-formula"') == sum(len(it.formulas) for it in calculators().values())


def test_every_topic_argues_from_a_picture_and_says_what_would_change_it(root: Path, made: dict[str, Page]) -> None:
    """A question for a title, computed results, a chart or drawing, the rule of thumb with its end, and cautions."""
    topics = [page for page in made.values() if page.folder == "topics" and not page.is_index]
    assert len(topics) >= 11
    for page in topics:
        text = page.text
        assert page.title.endswith("?"), page.uri
        assert f"\n# {page.title}\n" in text, page.uri
        assert re.search(r"argues that \*\*[^*]+\*\*", text), page.uri
        assert re.search(r"<(?:svg|figure)\b", text), page.uri
        assert text.count("computed, weakest grade") >= 5, page.uri
        for heading in ("The rule of thumb, and where it breaks", "What would change the conclusion"):
            assert f"\n## {heading}\n" in text, (page.uri, heading)
        assert 'class="hr-caution"' in text, page.uri
