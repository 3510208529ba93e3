"""The words of the project: spelling in one variety, no advertisement, and no advice to break the law."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import codespell_lib
import pytest
from spellchecker import SpellChecker

from tests.prose import Passage, data, markdown, passages

ROOT = Path(__file__).resolve().parent.parent
OWN = Path(__file__).with_name("words.txt")
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?")
_POSSESSIVE = re.compile(r"['’]s$")

# Spellings that are American in one meaning and British in another.
BOTH = {"licensed", "meter", "practice", "program", "stories"}
# Where other people's words stand: titles of sources, and what readers type.
OF_OTHERS = {("docs/data/sources/", "title"), ("docs/data/sources/", "citation"), ("docs/data/terms/", "also")}

ADVERTISEMENT = re.compile(
    r"\b(?:amazing\w*|awesome|incredible|unbeatable|ultimate|revolutionary|game-chang\w+|cutting-edge|state-of-the-art"
    r"|world-class|premium|unleash\w*|monster|beast|insane\w*|must-have|guarantee[ds]?|top-quality|best-in-class"
    r"|number one|unrivalled|unmatched|superior|stunning|effortless\w*|easy power|free power|no compromise|race-bred"
    r"|order now|buy now|special offer|discount|the best (?:part|tune|truck|engine|price|deal|value|choice|site|way)s?"
    r"|(?:best|fastest|strongest|most powerful)[^.]{0,20}(?:on the market|in the world|money can buy|in its class))\b",
    re.IGNORECASE,
)
UNLAWFUL = re.compile(
    r"\b(?:remove|delete|gut|cut out|block off|unplug|disable|switch off|fool|bypass|hollow out) (?:the|your|its|any) "
    r"(?:(?:particulate|soot|diesel|oxidation|emission|exhaust|NOx|oxygen|recirculation)[ -])*"
    r"(?:filter|catalyst|bricks?|valve|sensors?|hardware|controls?|diagnos\w+|monitors?|DPF|DOC|SCR|EGR|OBD)\b"
    r"|\b(?:before|for) the inspection (?:put|refit|swap)\b|\bundetect(?:able|ed)\b|\bwithout the inspector\b",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def prose() -> list[Passage]:
    return list(passages(ROOT))


@pytest.fixture(scope="module")
def american() -> dict[str, str]:
    """American spellings, each with the British one."""
    file = Path(codespell_lib.__file__).parent / "data" / "dictionary_en-GB_to_en-US.txt"
    pairs = (line.strip().split("->") for line in file.read_text(encoding="utf-8").splitlines() if "->" in line)
    return {us.split(",")[0].strip().lower(): gb for gb, us in pairs} | {"tire": "tyre", "tires": "tyres"}


def own_words() -> set[str]:
    return {line for line in OWN.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")}


def words(passage: Passage) -> Iterator[str]:
    """The words of a passage; abbreviations, which are all capitals, left out."""
    for word in _WORD.findall(passage.text):
        if len(word) > 2 and not word.isupper():
            yield _POSSESSIVE.sub("", word).replace("’", "'")


def misspelt(prose: list[Passage]) -> dict[str, str]:
    """Unknown words, each with the first place where it stands."""
    where: dict[str, str] = {}
    for passage in prose:
        for word in words(passage):
            where.setdefault(word.lower(), f"{passage.file}:{passage.line}")
    unknown = SpellChecker(language="en").unknown(where.keys() - own_words())
    return {word: where[word] for word in sorted(unknown)}


def of_others(passage: Passage) -> bool:
    return any(passage.file.startswith(folder) and passage.key == key for folder, key in OF_OTHERS)


def test_every_word_is_spelt_as_a_dictionary_or_the_list_of_the_project_has_it(prose: list[Passage]) -> None:
    assert sum(len(list(words(passage))) for passage in prose) > 20_000
    assert misspelt(prose) == {}


def test_the_list_of_the_project_holds_only_words_that_are_used(prose: list[Passage]) -> None:
    used = {word.lower() for passage in prose for word in words(passage)}
    assert own_words() - used == set()


def test_there_is_one_variety_of_spelling(prose: list[Passage], american: dict[str, str]) -> None:
    assert len(american) > 400
    found = {
        f"{passage.file}:{passage.line}: {word}": american[word.lower()]
        for passage in prose
        if not of_others(passage)
        for word in words(passage)
        if word.lower() in american and word.lower() not in BOTH
    }
    assert found == {}


@pytest.mark.parametrize("pattern", [ADVERTISEMENT, UNLAWFUL], ids=["advertisement", "unlawful advice"])
def test_nothing_is_advertised_and_nobody_is_told_to_break_the_law(
    prose: list[Passage], pattern: re.Pattern[str]
) -> None:
    found = [
        (f"{passage.file}:{passage.line}", match[0])
        for passage in prose
        if not of_others(passage)
        for match in pattern.finditer(passage.text)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        (ADVERTISEMENT, "Unleash the beast with the best tune."),
        (ADVERTISEMENT, "A premium part, the strongest pump on the market."),
        (UNLAWFUL, "First remove the diesel particulate filter."),
        (UNLAWFUL, "Unplug the NOx sensors."),
    ],
)
def test_what_may_not_be_said_is_seen(pattern: re.Pattern[str], text: str) -> None:
    assert pattern.search(text)


def test_a_slip_is_seen_in_prose_and_in_data_and_not_in_code() -> None:
    text = "---\ntitle: A pagge\n---\n\nSome `cdoe` and [l](adress.md)"
    text += ' and {{ goto("x.md", "a lnik here") }} <b title="tittle">bold</b>.\n'
    assert set(misspelt(list(markdown("a.md", text)))) == {"pagge", "lnik"}
    found = misspelt(list(data("a.yaml", "source: qwertz\nnote: >-\n  two linse\n")))
    assert found == {"linse": "a.yaml:2"}
