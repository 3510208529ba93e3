"""Words of the trade: the glossary, the other names of a page, and what the search reads of it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from build_scripts import catalogue as records
from build_scripts.models.problem import DataErrors
from build_scripts.pages import pages
from build_scripts.pages.index_text import for_search
from build_scripts.search_words import words

NEW = """title: Noise
order: 90
terms:
  - {word: Rumble, also: [grumble, low growl], means: A low noise., pages: [topics/costs.md, spool-time]}
"""


def test_one_entry_gives_a_page_its_other_names(root: Path, tmp_path: Path) -> None:
    shutil.copytree(root / "docs", tmp_path / "docs")
    (tmp_path / "docs" / "data" / "terms" / "noise.yaml").write_text(NEW, encoding="utf-8")
    only = {"glossary.md", "topics/costs.md", "calculators/spool-time.md"}
    made = {page.uri: page.text for page in pages(tmp_path, only=only)}
    assert re.search(r"<dfn>Rumble</dfn> <small>grumble, low growl</small>.*?topics/costs/", made["glossary.md"])
    for uri in only - {"glossary.md"}:
        assert re.search(r'^tags: \[.*"low growl"', made[uri], re.MULTILINE), uri
        assert "low growl" in made[uri].partition("Words for it:")[2], uri


def test_a_word_that_finds_no_page_is_told_with_its_line(root: Path, tmp_path: Path) -> None:
    shutil.copytree(root / "docs", tmp_path / "docs")
    text = NEW.replace("topics/costs.md", "topics/cost.md")
    (tmp_path / "docs" / "data" / "terms" / "noise.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(DataErrors) as caught:
        pages(tmp_path, only={"glossary.md"})
    told = [str(problem) for problem in caught.value.problems]
    start = "docs/data/terms/noise.yaml:4: terms.1.pages: found `topics/cost.md`"
    assert any(one.startswith(start) and "topics/costs.md" in one for one in told), told


def test_no_name_stands_twice_in_one_subject(root: Path) -> None:
    for subject in records.load(root).terms.values():
        for term in subject.terms:
            names = [name.lower() for name in (term.word, *term.also)]
            assert len(names) == len(set(names)), term.word
        heads = [term.word for term in subject.terms]
        assert len(heads) == len(set(heads))


def test_the_search_reads_boxes_apart_and_leaves_out_what_nobody_looks_for() -> None:
    html = (
        '<tr><th>Boost<small>at load</small></th><td><span class="hr-us">9 psi</span><span class="hr-si">62 kPa</span>'
    )
    html += '<button type="button" class="hr-mark" data-grade="memory">M</button></td></tr><math><mi>g</mi></math>'
    html += '<div class="hr-view"><div>answer</div> more</div><div class="hr-caution" role="note">Hot.</div>end'

    def read(uri: str) -> str:
        return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", for_search(html, uri))).strip()

    assert read("topics/costs.md") == "Boost at load 9 psi 62 kPa end"
    assert read("safety/hot-parts.md") == "Boost at load 9 psi 62 kPa Hot. end"


def test_words_of_names_weigh_more_than_words_of_texts() -> None:
    found = words([{"title": "Boost", "text": "<p>air air</p>", "tags": ["charge pressure"]}])
    assert set(found) == {"air", "boost", "charge", "pressure"}
    assert found["air"] < min(found["boost"], found["charge"])
