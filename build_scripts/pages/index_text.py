"""A page as the search should read it: words that only boxes keep apart stand apart, formulas and marks are out."""

from __future__ import annotations

import re
from typing import Any

_BOX = re.compile(r"</(?:td|th|dt|dd|tr|small|summary|div|option|legend|label|caption|text|h\d)>|<small|<br>")
_PAIR = '</span><span class="hr-si">'
_LEFT_OUT = re.compile(r"<(?:math|svg)\b|<button(?=[^>]*\bhr-mark\b)")


def for_search(html: str) -> str:
    """The page's HTML with spaces where boxes end, and without what nobody types into a search."""
    apart = _BOX.sub(lambda found: f" {found.group()} ", html).replace(_PAIR, '</span> <span class="hr-si">')
    return _LEFT_OUT.sub(lambda found: f"{found.group()} data-search-exclude", apart)


def before(context: Any, /, *, page: Any, **_: Any) -> Any:
    """Give the generator's search the page as it should read it; called before the search is."""
    page.shown, page.content = page.content, for_search(page.content)
    return context


def after(context: Any, /, *, page: Any, **_: Any) -> Any:
    """Give the page back as it is shown; called after the search."""
    page.content = page.shown
    return context
