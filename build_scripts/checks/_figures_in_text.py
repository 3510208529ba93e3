"""Finds numbers with a unit in Markdown, outside code, comments, addresses and the expressions of a template."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from calc.units import UNITS

# What hides a passage, in the order in which it is looked for. A hidden passage becomes blanks where it separates
# words, and a wall where it stands for a word of its own.
_BLANK, _WALL = " ", "\x00"
_HIDDEN = (
    (r"\A---\r?\n.*?^(?:---|\.\.\.)[ \t]*$", _WALL),
    (r"^[ \t]*(?P<fence>`{3,}|~{3,})[^\n]*\n(?:.*?^[ \t]*(?P=fence)[`~]*[ \t]*$|.*\Z)", _WALL),
    (r"\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\}", _WALL),
    (r"<!--.*?-->", _BLANK),
    (r"(?<!`)(?P<ticks>`+)(?!`)(?:(?!\n[ \t]*\n).)+?(?<!`)(?P=ticks)(?!`)", _WALL),
    (r"<(?:https?|mailto):[^>\s]*>|\bhttps?://[^\s)>\]]+", _WALL),
    (r"(?<=\])\((?:[^()\n]|\([^()\n]*\))*\)", _WALL),
    (r"^[ \t]*\[[^\]\n]+\]:[ \t]*\S+.*$", _WALL),
    (r"</?[A-Za-z][^<>]*>", _BLANK),
    (r"(?<=\S)\{[:#.][^{}\n]*\}", _WALL),
)

# Words and signs that are no unit of calc/units.py; read in any letter case.
_WORDS = r"""
    horsepower|kilowatts?|watts?|(?:kilo|mega)?joules?|degrees?|percent|per\scent|pounds?|ounces?|feet|foot|inch(?:es)?
    |miles?|yards?|(?:kilo|centi|milli|micro)?met(?:er|re)s?|microns?|(?:kilo|milli)?grams?|tons?|tonnes?|lit(?:er|re)s?
    |gallons?|quarts?|(?:milli)?seconds?|minutes?|hours?|days?|weeks?|months?|years?|(?:milli)?bars?
    |(?:kilo|mega)?pascals?|newtons?|newton[\s-]met(?:er|re)s?|pound[\s-]feet|foot[\s-]pounds?|lb[\s-]?ft|ft[\s-]?lbs?
    |revolutions?|revs?|cells?|kelvins?|volts?|amps?|amperes?|ohms?|hertz|[km]?Hz|decibels?|dBA?|[mk]?V|ppm|kWh
    |dollars?|euros?|°\s?CA
"""


def _spellings() -> tuple[str, str]:
    """Unit spellings as two patterns: those read in any letter case, and those in their own only."""
    texts = {
        spelling
        for unit in UNITS.values()
        if unit.symbol not in ("1", "bool", "text")
        for spelling in (unit.symbol, unit.label, *unit.aliases)
        if spelling and not re.fullmatch(r'[%°"″$]|ratio|money.*', spelling)
    }
    by_length = sorted(map(re.escape, texts), key=len, reverse=True)
    return "|".join(["".join(_WORDS.split()), *(text for text in by_length if len(text) > 2)]), "|".join(
        text for text in by_length if len(text) <= 2
    )


_ANY_CASE, _OWN_CASE = _spellings()
_GAP = r"(?:[ \t\u00a0\u2009\u202f*_]|&nbsp;|&thinsp;|\n(?![ \t]*\n)[ \t>]*)*"
_JOIN = rf"(?:{_GAP}|[*_]*[-\u2010\u2011][*_]*)"
_NUMBER = (
    r"(?<![\w.,/\x00-])[-+\u2212]?(?:\d{1,3}(?:[,\u00a0\u2009\u202f]\d{3})+|\d+)(?:\.\d+)?(?:[eE][-+]?\d+|k(?=\s))?"
    r"(?:\s?[/\u2044]\s?\d+)?[\u00bc-\u00be]?|[\u00bc-\u00be]"
)
_END = r"(?![\w\u00b2\u00b3])"
_NOT_A_UNIT_IN = (
    r"(?!\s+(?:the|a|an|this|that|these|those|it|its|his|her|our|your|their|all|each|every|any|some|one|two|order|turn|"
    r"practice|use|force|total|front|general|which|what|\d)\b)"
)
_FIGURE = re.compile(
    rf"(?P<number>{_NUMBER})(?:"
    rf"(?P<gap>{_JOIN})(?:(?P<any>(?i:{_ANY_CASE})){_END}|(?P<own>{_OWN_CASE}){_END}(?!-\d))"
    rf"|(?P<sign>{_GAP}[%\u2030°])"
    r"|(?P<mark>[\"\u2033\u2032'](?![\w]))"
    r"|(?P<ratio>\s?:\s?1(?![\w.,:]))"
    r")"
)
_MONEY = re.compile(r"(?:US|A|C)?[$€£]\s?\d[\d,]*(?:\.\d+)?(?:\s?(?:k|m|million|thousand)\b)?")
_SYMBOL = re.compile(
    r"(?:λ|\blambda|\bAFR|\bMach)\s*(?:of|=|≈|~|is|about|at)?\s*\d+(?:[.,]\d+)?(?![\w])", re.IGNORECASE
)


@dataclass(frozen=True)
class Found:
    """A figure in prose: the line on which it starts, its words, and its number and unit when both are plain."""

    line: int
    text: str
    number: str = ""
    unit: str = ""


def prose(text: str) -> str:
    """The text with everything hidden that is no prose; lines stay where they are."""
    for pattern, filler in _HIDDEN:
        text = re.sub(pattern, lambda found, filler=filler: _hide(found, filler), text, flags=re.DOTALL | re.MULTILINE)  # type: ignore[misc]
    return text


def _hide(found: re.Match[str], filler: str) -> str:
    return "".join(character if character == "\n" else filler for character in found.group())


def figures(text: str) -> Iterator[Found]:
    """Every number with a unit, sum of money, ratio to one and value of a named symbol in a Markdown text."""
    bare = prose(text)
    taken: list[tuple[int, int]] = []
    for found in sorted(
        [*_MONEY.finditer(bare), *_SYMBOL.finditer(bare), *filter(_is_figure, _FIGURE.finditer(bare))],
        key=lambda match: (match.start(), -match.end()),
    ):
        if any(start < found.end() and found.start() < end for start, end in taken):
            continue
        taken.append(found.span())
        words = " ".join(found.group().replace("&nbsp;", " ").replace("*", "").replace("_", " ").split())
        groups = found.groupdict()
        unit = groups.get("any") or groups.get("own") or (groups.get("sign") or "").strip()
        yield Found(bare.count("\n", 0, found.start()) + 1, words, groups.get("number") or "", unit)


def _is_figure(found: re.Match[str]) -> bool:
    number, gap, unit = found["number"], found["gap"] or "", found["any"] or found["own"]
    if unit == "in" and gap.isspace():
        a_year = re.fullmatch(r"(?:1[89]|20)\d\d", number)
        return not a_year and re.match(_NOT_A_UNIT_IN, found.string[found.end() :]) is not None
    if unit == "s" and not gap:
        return not number.endswith("0")
    if found["mark"]:
        # The same sign closes a quotation that the paragraph has opened.
        mark, before = re.escape(found["mark"]), found.string[: found.end() - 1].rsplit("\n\n", 1)[-1]
        return len(re.findall(rf"(?<!\w){mark}|{mark}(?!\w)", before)) % 2 == 0
    return True
