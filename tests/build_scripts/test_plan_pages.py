"""The pages of the planner, of modifications and of platforms, as they are built."""

from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

from build_scripts import catalogue as records
from build_scripts import export
from build_scripts.catalogue import Catalogue
from build_scripts.pages import Page, pages
from build_scripts.pages.nodes import html as written
from calc.plan.enquiry import BY_KIND
from calc.plan.page import known_version, respond
from calc.plan.question import NAMES, understand
from calc.plan.records import Catalogue as Known

QUICKEST = "fellwick-eight"
PIPE, NOZZLES = "exhaust-behind-hardware", "injectors"


@pytest.fixture(scope="module")
def catalogue(root: Path) -> Catalogue:
    return records.load(root)


@pytest.fixture(scope="module")
def source(catalogue: Catalogue) -> str:
    return export.as_text(catalogue)


@pytest.fixture(scope="module")
def made(root: Path, catalogue: Catalogue) -> dict[str, Page]:
    wanted = {"index.md", "plan/index.md", "plan/compare.md", f"platforms/{QUICKEST}.md", "modifications/index.md"}
    wanted |= {f"modifications/{name}.md" for name in (PIPE, NOZZLES)}
    return {page.uri: page for page in pages(root, catalogue, only=wanted)}


def section(page: Page, title: str) -> str:
    """The text of a page from a heading to the next of the same rank."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", page.text, re.MULTILINE | re.DOTALL)
    assert found, (page.uri, title)
    return html.unescape(found[1]).replace("\u00a0", " ")


def test_every_question_of_the_planner_has_a_field_or_a_list(made: dict[str, Page], catalogue: Catalogue) -> None:
    text = made["plan/index.md"].text
    fields = set(re.findall(r'<(?:input|select) [^>]*\bname="([^"]+)"', text))
    listed = {f"part-{name}" for name in catalogue.modifications}
    assert listed <= fields
    # What is fitted and what is refused stand in the list of parts; the seed only makes a sample repeatable.
    assert fields - listed == set(NAMES) - {"fitted", "refused", "seed"}
    for tag in re.findall(r"<input [^>]*>", text):
        assert 'placeholder="I don’t know"' in tag, tag
    assert set(re.findall(r'<option value="">', text)) == set()
    assert text.count('<option value="" selected>') == len(listed) + 2, "not knowing is the first answer of each list"


@pytest.mark.parametrize(("uri", "view", "above"), [("index.md", "brief", "./"), ("plan/index.md", "whole", "../")])
def test_the_pages_hold_the_answer_that_the_browser_would_show(
    uri: str, view: str, above: str, made: dict[str, Page], catalogue: Catalogue, source: str
) -> None:
    first = next(iter(catalogue.platforms))
    answer = respond(source, {"view": view, "given": {"platform": first}, "system": "us", "root": above})
    text = re.sub(r' data-note="\d+"', "", made[uri].text)  # numbers for paper
    assert f'data-made="{known_version(source)}"' in text
    held = [node for node in answer["nodes"] if "hr-plan" not in str(node)]  # cautions are filled into plans
    assert len(held) >= 4
    for node in held:
        assert str(written([node])) in text


def test_an_element_is_written_with_its_text_escaped() -> None:
    made = str(written([["p", {"class": "x", "data-y": '"><img src=x>'}, "<img src=x>", {"us": "1 <", "si": "2"}]]))
    assert "<img" not in made
    assert made.startswith('<p class="x" data-y="&#34;&gt;&lt;img src=x&gt;">&lt;img src=x&gt;')


def test_a_platform_offers_plans_for_three_goals_whose_addresses_can_be_read(
    made: dict[str, Page], source: str
) -> None:
    text = section(made[f"platforms/{QUICKEST}.md"], "Plans for three goals")
    known = Known.read(source)
    addresses = re.findall(r'href="([^"#]*)#plan\?([^"]*)"', text)
    assert len(addresses) == 3
    goals = []
    for place, query in addresses:
        assert urlsplit(place).path == "../../plan/"
        kept = {name: values[0] for name, values in parse_qs(query).items()}
        assert kept.pop("v") == "1"
        assert kept.pop("c") == known_version(source)
        assert kept.pop("units") == "us"
        goals.append(understand(known, kept, "us").question.goal)
    assert goals == sorted(set(goals))
    assert text.count("Closest to its limit") >= 3


def test_a_platform_shows_each_computed_limit_beside_the_observed_one(
    made: dict[str, Page], catalogue: Catalogue
) -> None:
    text = section(made[f"platforms/{QUICKEST}.md"], "Computed limit beside observed limit")
    rows = re.findall(r'<tr( data-differs="true")?><th scope="row">(.*?)</th>(.*?)</tr>', text)
    limits = catalogue.platforms[QUICKEST].limits
    assert {title for _, title, _ in rows} == {limit.title for limit in limits.values() if limit.part != "calibration"}
    for differs, title, cells in rows:
        note = re.search(r'data-label="Do they agree\?">(.*?)</td>', cells)
        assert note, title
        assert bool(differs) == note[1].startswith("They disagree"), title
        assert cells.count("hr-mark") >= 2, (title, "both figures say where they come from")


def test_a_part_of_the_gas_path_says_what_it_does_on_every_platform_both_ways(
    made: dict[str, Page], catalogue: Catalogue
) -> None:
    page = made[f"modifications/{PIPE}.md"]
    text = section(page, "Computed effect on every platform")
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)<small>(.*?)</small></th>(.*?)</tr>", text)
    options = [option.title for option in catalogue.modifications[PIPE].options.values()]
    assert [(name, option) for name, option, _ in rows] == [
        (platform.title, option) for platform in catalogue.platforms.values() for option in options
    ]
    for _, _, cells in rows:
        for label in ("Boost held", "Turbine as it is"):
            cell = re.search(rf'data-label="{label}">(.*?)</td>', cells)
            assert cell
            assert "power" in cell[1]
            assert "exhaust before the turbine" in cell[1]
    beside = section(page, "Observed gain, beside the computed one")
    for observed in re.findall(r'data-label="Computed">(.*?)</td>', beside):
        assert "boost held" in observed
        assert "turbine as it is" in observed


def test_a_part_outside_the_gas_path_says_that_it_makes_no_power(made: dict[str, Page]) -> None:
    page = made[f"modifications/{NOZZLES}.md"]
    assert "None on power" in section(page, "Computed effect on every platform")
    assert "Injectors" in section(page, "Limits before and with it")


def test_a_modification_answers_everything_an_owner_asks(made: dict[str, Page], catalogue: Catalogue) -> None:
    for name in (PIPE, NOZZLES):
        page, item = made[f"modifications/{name}.md"], catalogue.modifications[name]
        for title in ("What it costs", "Who needs it, and who does not", "What must come with it", "Law",
                      "What it changes in the engine", "How it is fitted", "Before anybody works on it",
                      "Materials, durability, way back"):  # fmt: skip
            assert section(page, title).strip(), (name, title)
        costs = section(page, "What it costs")
        for option in item.options.values():
            assert option.title in costs


def test_every_kind_of_part_has_a_question_for_the_installer(catalogue: Catalogue) -> None:
    assert {item.kind for item in catalogue.modifications.values()} <= set(BY_KIND)


def test_the_list_of_modifications_leads_to_each(made: dict[str, Page], catalogue: Catalogue) -> None:
    links = re.findall(r'<th scope="row"><a href="([^"]+)">', made["modifications/index.md"].text)
    assert len(links) == len(catalogue.modifications)
    assert {link.strip("./") for link in links} == set(catalogue.modifications)
