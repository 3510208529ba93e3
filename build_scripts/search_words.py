"""The words that the search of a built site knows, for the question “did you mean” behind a misspelt one."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

FILE = "assets/search-words.json"
_INDEX = "search/search_index.json"
_TAG = re.compile(r"<[^>]*>")
_WORD = re.compile(r"[^\W\d_]{3,24}")
# A word of a title or another name of a page is a likelier meaning than one that stands in a text.
_NAMED = 50


def write(site: Path) -> None:
    """Write how often each word occurs, those of names most, from the index that the site generator wrote, if any."""
    if not (site / _INDEX).is_file():
        return
    index = json.loads((site / _INDEX).read_text(encoding="utf-8"))
    text = json.dumps(words(index["docs"]), ensure_ascii=False, separators=(",", ":"))
    (site / FILE).write_text(text, encoding="utf-8")


def words(entries: list[dict[str, object]]) -> dict[str, int]:
    """Every word of the entries of an index in small letters, with its weight; sorted, so that builds are equal."""
    found: Counter[str] = Counter()
    for entry in entries:
        found.update(_split(str(entry.get("text", ""))))
        tags = entry.get("tags", [])
        names = " ".join([str(entry.get("title", "")), *(map(str, tags) if isinstance(tags, list) else [])])
        for word in _split(names):
            found[word] += _NAMED
    return {word: min(found[word], 9999) for word in sorted(found)}


def _split(text: str) -> list[str]:
    return _WORD.findall(_TAG.sub(" ", text).lower())
