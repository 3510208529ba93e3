"""Pages of the law: every place from one file, honest about copies, and what it means for every modification."""

from __future__ import annotations

import html
import re
import shutil
from pathlib import Path

import pytest

from build_scripts import catalogue as records
from build_scripts.catalogue import Catalogue
from build_scripts.pages import Page, pages
from build_scripts.pages.law import SUBJECTS

SUBJECT_PAGES = {"law/inspection.md", "law/weight-ratings.md", "law/warranty.md", "law/insurance.md"}

NEW_PLACE = """
title: Osterfell Valley
level: state
topics: [law]
summary: An invented place.
ask: The valley's inspection office.
provisions:
  - {title: Horns, text: "A horn is quiet.", subject: noise, binds: [owner], where: section 1,
     source: 49-cfr-571-3, seen: none}
means: {neutral: Fit it., exemption_needed: Ask the valley first., closed_course_only: Not here.}
reviewed: 2026-11-24
"""


@pytest.fixture(scope="module")
def catalogue(root: Path) -> Catalogue:
    return records.load(root)


@pytest.fixture(scope="module")
def made(root: Path, catalogue: Catalogue) -> dict[str, Page]:
    wanted = {f"law/{place}.md" for place in catalogue.law} | SUBJECT_PAGES | {"law/index.md"}
    return {page.uri: page for page in pages(root, catalogue, only=wanted)}


def test_a_place_shows_every_rule_with_citation_copy_and_day(made: dict[str, Page], catalogue: Catalogue) -> None:
    for place in catalogue.law.values():
        text = made[f"law/{place.id}.md"].text
        rows = re.findall(r'<tr><th scope="row">.*?</tr>', text)
        for rule in place.provisions:
            row = next(row for row in rows if f">{rule.title}<small>" in row)
            day = catalogue.sources[rule.source].seen
            copy = {"original": f"its own words, {day}", "secondary": f"quotes or explains it, {day}",
                    "none": "recalled from memory"}[rule.seen]  # fmt: skip
            assert copy in row
            assert f"sources/{rule.source}/" in row
            shown = html.unescape(re.sub(r"<[^>]+>", "", row))
            assert rule.where in shown
        assert "not legal advice" in text
        assert place.ask in text


def test_every_modification_stands_once_under_what_the_place_makes_of_it(
    made: dict[str, Page], catalogue: Catalogue
) -> None:
    for place in catalogue.law:
        text = made[f"law/{place}.md"].text
        for item in catalogue.modifications.values():
            assert text.count(f"modifications/{item.id}/") == 1, (place, item.id)
            before = text.partition(f"modifications/{item.id}/")[0]
            assert before.rpartition("\n### ")[2].splitlines()[2] == catalogue.law[place].means.of(item.emission_status)


def test_the_pages_of_a_subject_hold_the_rules_of_every_place(made: dict[str, Page], catalogue: Catalogue) -> None:
    shown = {
        "inspection": "law/inspection.md",
        "ratings": "law/weight-ratings.md",
        "warranty": "law/warranty.md",
        "insurance": "law/insurance.md",
    }
    for subject, uri in shown.items():
        rules = [rule.title for place in catalogue.law.values() for rule in place.provisions if rule.subject == subject]
        assert rules, SUBJECTS[subject]
        assert all(f">{title}<small>" in made[uri].text for title in rules)
        assert "not legal advice" in made[uri].text


def test_one_file_adds_a_place(root: Path, tmp_path: Path) -> None:
    shutil.copytree(root / "docs", tmp_path / "docs")
    (tmp_path / "docs" / "data" / "law" / "osterfell-valley.yaml").write_text(NEW_PLACE, encoding="utf-8")
    wanted = {"law/osterfell-valley.md", "law/index.md"}
    found = {page.uri: page.text for page in pages(tmp_path, only=wanted)}
    assert "Ask the valley first." in found["law/osterfell-valley.md"]
    assert "recalled from memory" in found["law/osterfell-valley.md"]
    assert 'href="osterfell-valley/">Osterfell Valley</a>' in found["law/index.md"]
