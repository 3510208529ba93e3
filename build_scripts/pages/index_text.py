"""A page as the search should read it: what boxes keep apart stands apart, what nobody looks for is left out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

_BOX = re.compile(r"</(?:td|th|dt|dd|tr|small|summary|div|option|legend|label|caption|text|h\d)>|<small|<br>")
_PAIR = '</span><span class="hr-si">'
# Elements that every page repeats, that only a machine reads, or that change with what a reader types.
_LEFT_OUT = re.compile(
    r'<(math|svg|select|template)\b|<(nav|form|div|span|button)\b[^>]*\bclass="[^"]*\b'
    r'hr-(?:onward|planform|view|hint|unit|error|mark)\b[^>]*>'
)  # fmt: skip
_CAUTION = re.compile(r'<(div)\b[^>]*\bclass="hr-caution\b[^>]*>')
# Where cautions are what the pages are about.
_OF_CAUTIONS = ("safety/",)


def for_search(html: str, uri: str = "") -> str:
    """The HTML of the page at `uri` for the search; it is read for its words and shown to nobody."""
    kept = "".join(_without(html, _LEFT_OUT))
    if not uri.startswith(_OF_CAUTIONS):
        kept = "".join(_without(kept, _CAUTION))
    apart = kept.replace(_PAIR, '</span> <span class="hr-si">')
    return _BOX.sub(lambda found: f" {found.group()} ", apart)


def _without(html: str, opening: re.Pattern[str]) -> Iterator[str]:
    """The pieces of `html` between the elements that `opening` begins; each ends with its own end tag."""
    place = 0
    while found := opening.search(html, place):
        yield html[place : found.start()]
        tag = next(name for name in found.groups() if name)
        depth, place = 0, len(html)
        for mark in re.finditer(rf"<(/?){tag}\b", html[found.start() :]):
            depth += -1 if mark[1] else 1
            if depth == 0:
                place = html.index(">", found.start() + mark.start()) + 1
                break
    yield html[place:]


def before(context: Any, /, *, page: Any, **_: Any) -> Any:
    """Give the generator's search the page as it should read it; called before the search is."""
    page.shown, page.content = page.content, for_search(page.content, page.file.src_uri)
    return context


def after(context: Any, /, *, page: Any, **_: Any) -> Any:
    """Give the page back as it is shown; called after the search."""
    page.content = page.shown
    return context
