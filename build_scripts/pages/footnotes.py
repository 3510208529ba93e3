"""Numbers for the notes of a page: on paper, where nothing opens, each mark names the number of its note."""

from __future__ import annotations

import re

_MARK = re.compile(r'popovertarget="([^"]+)"')
_NOTE = re.compile(r'(<div\b[^>]*\bclass="hr-note"[^>]*\bid="([^"]+)"|<div\b[^>]*\bid="([^"]+)"[^>]*\bclass="hr-note")')


def numbered(html: str) -> str:
    """The page with the number of its note on each mark and on each note, counted as the marks come while reading."""
    numbers: dict[str, int] = {}

    def on_mark(found: re.Match[str]) -> str:
        number = numbers.setdefault(found[1], len(numbers) + 1)
        return f'{found[0]} data-note="{number}"'

    def on_note(found: re.Match[str]) -> str:
        number = numbers.get(found[2] or found[3])
        return f'{found[0]} data-note="{number}"' if number else found[0]

    return _NOTE.sub(on_note, _MARK.sub(on_mark, html))


def in_order(html: str, names: list[str]) -> list[str]:
    """Ids of notes in the order in which the page's marks first name them; those that no mark names come last."""
    places = {name: place for place, name in enumerate(dict.fromkeys(_MARK.findall(html)))}
    return sorted(names, key=lambda name: places.get(name, len(places)))
