"""What the theme writes and the HTML standard forbids, put right in a finished page. Each mend says what is wrong."""

from __future__ import annotations

import re

_CHECKBOX = re.compile(r'(<input\b[^>]*\btype="checkbox"[^>]*?) autocomplete="off"')
_EMPTY_TABINDEX = re.compile(r'(<label\b[^>]*?) tabindex=""')
_TO_NOTHING = re.compile(r'(<label\b[^>]*?) for="__toc"')


def mended(html: str) -> str:
    """The page without what the HTML standard forbids; what the theme does right stays to the letter."""
    # A checkbox takes no autocomplete.
    html = _CHECKBOX.sub(r"\1", html)
    # A tabindex is a number; a label needs none.
    html = _EMPTY_TABINDEX.sub(r"\1", html)
    # A page outside the navigation has a label for a switch that it does not have.
    return html if 'id="__toc"' in html else _TO_NOTHING.sub(r"\1", html)
