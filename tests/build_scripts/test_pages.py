"""Pages: what people write, what is generated, where figures are used, and what is refused."""

from __future__ import annotations

import html
import re
import shutil
from pathlib import Path

import pytest

from build_scripts import catalogue as records
from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import DataErrors
from build_scripts.pages import Page, navigation, pages
from build_scripts.pages.kinds.written import split
from build_scripts.pages.markup import link
from build_scripts.pages.page import with_front_matter
from calc.present import page_answer
from calc.registry import calculators


@pytest.fixture(scope="module")
def catalogue(root: Path) -> Catalogue:
    return records.load(root)


@pytest.fixture(scope="module")
def made(root: Path, catalogue: Catalogue) -> dict[str, Page]:
    return {page.uri: page for page in pages(root, catalogue)}


def project(folder: Path, **written: str) -> Path:
    """A project with these pages under docs/ ("a__b" is a/b.md), each with a title in front matter."""
    for name, text in {"index": "Start", **written}.items():
        path = folder / "docs" / f"{name.replace('__', '/')}.md"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"---\ntitle: {name.capitalize()}\n---\n{text}\n", encoding="utf-8")
    return folder


def uris(folder: Path) -> set[str]:
    """The addresses of what is written under docs/."""
    return {path.relative_to(folder / "docs").as_posix() for path in (folder / "docs").rglob("*.md")}


def problems(folder: Path, catalogue: Catalogue) -> list[str]:
    with pytest.raises(DataErrors) as caught:
        pages(folder, catalogue, only=uris(folder))
    return [str(problem) for problem in caught.value.problems]


def test_every_kind_of_page_is_there_once(made: dict[str, Page], catalogue: Catalogue) -> None:
    wanted = {"index.md", "how-to-read.md", "topics/exhaust-back-pressure.md", "figures/index.md", "sources/index.md"}
    wanted |= {f"platforms/{name}.md" for name in catalogue.platforms}
    wanted |= {f"figures/{name}.md" for name in catalogue.platforms}
    wanted |= {f"sources/{name}.md" for name in catalogue.sources}
    assert wanted <= set(made)


def test_a_page_leads_to_the_file_that_a_person_edits(root: Path, made: dict[str, Page]) -> None:
    assert made["platforms/hollin-six.md"].origin == "docs/data/platforms/hollin-six.yaml"
    assert made["topics/exhaust-back-pressure.md"].origin == "docs/topics/exhaust-back-pressure.md"
    for page in made.values():
        assert (root / page.origin).exists(), page.origin


def test_every_wrong_name_is_told_with_its_line_and_what_was_meant(tmp_path: Path, catalogue: Catalogue) -> None:
    text = """
{{ figure("platforms/hollin-six/engine.bor") }}

{{ calculator("exhaust-back-presure") }}
{{ result("exhaust-back-pressure", "back_presure") }}
{{ result("exhaust-back-pressure", "back_pressure", bore="9 m") }}
{{ cite("clean-air-act-204") }}
{{ caution("hot-exhausts") }} {{ picture("hollin-sex") }}
{{ calculator("exhaust-back-pressure", open="bores") }}
{{ quantity("four in") }} {{ quantity("4 in", grade="measure") }}
{{ goto("index2.md", "x") }}
"""
    found = problems(project(tmp_path, wrong=text), catalogue)
    expected = {
        (5, "figure", "engine.bore"),
        (7, "calculator", "exhaust-back-pressure"),
        (8, "result", "back_pressure"),
        (9, "result", "Allowed"),
        (10, "cite", "clean-air-act-203"),
        (11, "caution", "hot-exhaust"),
        (11, "picture", "hollin-six"),
        (12, "calculator", "bore"),
        (13, "quantity", "four in"),
        (13, "quantity", "measured"),
        (14, "goto", "index.md"),
    }
    for line, function, hint in expected:
        start = f"docs/wrong.md:{line}: {function}: "
        assert any(one.startswith(start) and hint in one for one in found), (start, hint, found)
    assert len(found) == len(expected)


@pytest.mark.parametrize(
    ("text", "line"),
    [("\n{{ figur('a') }}", 5), ("{{ figure( }}", 4), ("\n\n{% if %}", 6), ("{{ figure() }}", 4)],
)
def test_a_slip_in_a_template_is_told_with_its_line(tmp_path: Path, catalogue: Catalogue, text: str, line: int) -> None:
    found = problems(project(tmp_path, slip=text), catalogue)
    assert [one for one in found if one.startswith(f"docs/slip.md:{line}: ")], found


def test_a_page_without_a_title_is_refused(tmp_path: Path, catalogue: Catalogue) -> None:
    project(tmp_path)
    (tmp_path / "docs" / "bare.md").write_text("# Bare\n", encoding="utf-8")
    assert problems(tmp_path, catalogue)[0].startswith("docs/bare.md:1: found no title")


def test_a_page_for_a_calculator_needs_one_file(tmp_path: Path, catalogue: Catalogue) -> None:
    folder = project(tmp_path, guides__loss='{{ calculator("exhaust-back-pressure") }}')
    made = pages(folder, catalogue, only=uris(folder))
    page = next(page for page in made if page.uri == "guides/loss.md")
    assert 'data-calculator="exhaust-back-pressure"' in page.text
    assert {"Guides": [{"Guides/loss".replace("/", "__"): "guides/loss.md"}]} in navigation(made)
    assert not any(page.uri == "calculators/exhaust-back-pressure.md" for page in made)


def test_a_calculator_that_nobody_wrote_about_still_has_a_page(tmp_path: Path, catalogue: Catalogue) -> None:
    wanted = {f"calculators/{identifier}.md" for identifier in calculators()}
    made = {page.uri: page for page in pages(project(tmp_path), catalogue, only=wanted)}
    for identifier in calculators():
        page = made[f"calculators/{identifier}.md"]
        assert f'data-calculator="{identifier}"' in page.text
        assert page.origin == f"calc/calculators/{identifier.replace('-', '_')}.py"


def test_related_calculators_exist() -> None:
    known = calculators()
    for calculator in known.values():
        assert set(calculator.related) <= set(known), calculator.id


def test_the_navigation_holds_every_page_once(made: dict[str, Page]) -> None:
    def leaves(entry: object) -> list[str]:
        if isinstance(entry, str):
            return [entry]
        values = entry.values() if isinstance(entry, dict) else entry
        assert isinstance(values, list) or hasattr(values, "__iter__")
        return [leaf for value in values for leaf in leaves(value)]

    found = leaves(navigation(made.values()))
    assert sorted(found) == sorted(made)
    assert found[0] == "index.md"


def test_sections_stand_in_the_order_of_their_index() -> None:
    some = [Page("b/index.md", "", "", "Late", 90), Page("b/x.md", "", "", "X"), Page("a.md", "", "", "Early", 10)]
    assert navigation(some) == [{"Early": "a.md"}, {"Late": ["b/index.md", {"X": "b/x.md"}]}]


def test_every_figure_stands_in_the_register(made: dict[str, Page], catalogue: Catalogue) -> None:
    register = "".join(page.text for page in made.values() if page.uri.startswith("figures/"))
    assert len(catalogue.figures) > 100
    for figure in catalogue.figures.values():
        assert register.count(f'<tr id="{figure.anchor}">') == 1, figure.id


def test_the_register_says_where_a_figure_is_used(made: dict[str, Page], catalogue: Catalogue) -> None:
    shown: dict[str, set[str]] = {}
    for page in made.values():
        for folder, anchor in re.findall(r'href="(?:[./]*/)?figures/([\w/-]+)/#([\w-]+)">in the register', page.text):
            assert folder
            shown.setdefault(anchor, set()).add(page.uri)
    assert shown
    for figure in catalogue.figures.values():
        uri = f"figures/{figure.record if figure.folder == 'platforms' else figure.folder}.md"
        row = re.search(rf'<tr id="{figure.anchor}">.*?</tr>', made[uri].text, re.DOTALL)
        assert row
        used = re.search(r'data-label="Used on">(.*?)</td>', row.group(), re.DOTALL)
        assert used
        links = set(re.findall(r'href="([^"]*)"', used.group(1)))
        assert links == {link(uri, place) for place in shown.get(figure.anchor, set())}, figure.id


def test_a_source_lists_the_figures_that_rest_on_it(made: dict[str, Page], catalogue: Catalogue) -> None:
    checked = 0
    for source in catalogue.sources:
        for figure in catalogue.cited[source]:
            assert f"#{figure.anchor}" in made[f"sources/{source}.md"].text
            checked += 1
    assert checked > 5


def test_every_mark_opens_a_note_of_its_own_page(made: dict[str, Page]) -> None:
    marks = 0
    for page in made.values():
        targets = re.findall(r'popovertarget="([^"]*)"', page.text)
        notes = re.findall(r'<div (?:popover )?class="hr-note" id="([^"]*)"', page.text)
        assert len(notes) == len(set(notes))
        assert set(targets) <= set(notes), page.uri
        assert set(notes) <= set(targets), page.uri
        marks += len(targets)
    assert marks > 100


def test_a_mark_names_its_grade_in_words(made: dict[str, Page]) -> None:
    text = made["platforms/hollin-six.md"].text
    labels = set(re.findall(r'class="hr-mark[^"]*"[^>]*aria-label="([^"]*)"', text))
    assert labels == {
        "Source: invented for the demo",
        "Source: computed, weakest grade: invented for the demo",
        "Source: computed, weakest grade: recalled from memory",
    }


def test_the_platform_page_shows_every_figure(made: dict[str, Page], catalogue: Catalogue) -> None:
    text = made["platforms/hollin-six.md"].text
    platform = catalogue.platforms["hollin-six"]
    for figure in catalogue.figures_of(platform):
        assert f"<b>{figure.title}</b>" in html.unescape(text), figure.id
    assert "invented truck" in text
    for limit in platform.limits.values():
        assert limit.title in text


def test_the_form_follows_the_calculator(made: dict[str, Page]) -> None:
    for identifier, calculator in calculators().items():
        page = next(page for page in made.values() if f'data-calculator="{identifier}"' in page.text)
        form = re.search(rf'<form class="hr-calc" data-calculator="{identifier}".*?</form>', page.text, re.DOTALL)
        assert form
        text = form.group()
        answer = page_answer(identifier, {}, "us")
        for name in calculator.inputs:
            shown = answer["inputs"][name]
            found = re.search(rf'<(input|select) id="{identifier}-{name}" name="{name}"[^>]*>', text)
            assert found, (identifier, name)
            assert f'data-us="{html.escape(shown["us"])}" data-si="{html.escape(shown["si"])}"' in found.group()
            described = re.search(r'aria-describedby="([^"]*)"', found.group())
            assert described
            assert all(f'id="{one}"' in text for one in described.group(1).split())
        for key, slot in answer["slots"].items():
            if "." in key:  # a station, which the section drawing shows
                continue
            texts = [slot] if isinstance(slot, str) else [slot["us"], slot["si"]]
            spans = re.findall(
                rf'<span data-slot="{key}" class="hr-q">((?:<span[^>]*>[^<]*</span>)*[^<]*)</span>', text
            )
            assert spans, (identifier, key)
            assert [html.unescape(re.sub(r"<[^>]*>", "|", spans[0])).strip("|").split("||")] == [texts], key
        for key, share in answer["shares"].items():
            assert f'data-bar="{key}" style="--hr-share:{share:.4f}"' in text


def test_a_result_is_computed_while_building(tmp_path: Path, catalogue: Catalogue) -> None:
    call = '{{ result("exhaust-back-pressure", "back_pressure", bore="5 in") }}'
    made = pages(project(tmp_path, one=call), catalogue, only={"one.md"})
    text = next(page.text for page in made if page.uri == "one.md")
    slot = page_answer("exhaust-back-pressure", {"bore": "5 in"}, "us")["slots"]["back_pressure"]
    assert f'<span class="hr-us">{slot["us"]}</span><span class="hr-si">{slot["si"]}</span>' in text
    assert "computed, weakest grade" in text
    assert "but for: Bore" in text


def test_a_quantity_of_the_page_carries_its_grade(tmp_path: Path, catalogue: Catalogue) -> None:
    call = '{{ quantity("4 in", grade="practice", note="As sold.", source="clean-air-act-203") }}'
    made = pages(project(tmp_path, one=call), catalogue, only={"one.md", "sources/clean-air-act-203.md"})
    text = next(page.text for page in made if page.uri == "one.md")
    assert 'data-grade="practice"' in text
    assert "As sold." in text
    assert "102\u00a0mm" in text
    assert ">One</a>" in next(page.text for page in made if page.uri == "sources/clean-air-act-203.md")


@pytest.mark.parametrize(
    ("source", "target", "address"),
    [
        ("index.md", "a/b.md", "a/b/"),
        ("a/b.md", "index.md", "../../"),
        ("a/b.md", "a/index.md", "../"),
        ("a/index.md", "a/b.md", "b/"),
        ("a/b.md", "c/d.md", "../../c/d/"),
        ("a/b.md", "a/b.md", "./"),
    ],
)
def test_links_between_pages(source: str, target: str, address: str) -> None:
    assert link(source, target) == address
    assert link(source, target, "x") == f"{address}#x"


def test_front_matter_is_read_and_written() -> None:
    text = with_front_matter('A "title": x', "docs/a.md", "Body", summary="é")
    meta, body = split(text)
    assert 'title: "A \\"title\\": x"' in meta
    assert body.strip() == "Body"
    assert split("# No front matter\n") == ("", "# No front matter\n")


def test_no_output_without_its_copy(root: Path, tmp_path: Path, catalogue: Catalogue) -> None:
    shutil.copytree(root / "docs", tmp_path / "docs")
    first = [(page.uri, page.text) for page in pages(tmp_path, catalogue)]
    assert first == [(page.uri, page.text) for page in pages(tmp_path, catalogue)]


def test_every_answer_and_default_of_a_calculator_leads_to_the_register(made: dict[str, Page]) -> None:
    """Each answer with a unit and each field that starts with a value has a mark whose note links a row."""
    register = made["figures/calculators.md"].text
    for page in made.values():
        for identifier in re.findall(r'<form class="hr-calc" data-calculator="([\w-]+)"', page.text):
            asked = calculators()[identifier]
            marked = set(re.findall(r'data-grade-of="(\w+)"', page.text))
            # Stations along a path stand in the section drawing, which has one mark for all of them.
            answers = {name: output for name, output in asked.outputs.items() if "." not in name}
            wanted = {name for name, output in answers.items() if output.unit not in ("text", "bool")}
            assert wanted <= marked, (identifier, wanted - marked)
            linked = set(re.findall(rf'figures/calculators/#({identifier}[.\w]*)"', page.text))
            rows = set(re.findall(rf'id="({identifier}\.\w+)"', register))
            assert rows
            assert linked == {identifier, *rows}, (identifier, linked ^ {identifier, *rows})
