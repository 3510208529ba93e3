"""What the theme writes and the standards of HTML and access forbid, put right in a finished page."""

from __future__ import annotations

import re
from typing import Any

_CHECKBOX = re.compile(r'(<input\b[^>]*\btype="checkbox"[^>]*?) autocomplete="off"')
_EMPTY_TABINDEX = re.compile(r'(<label\b[^>]*?) tabindex=""')
_TO_NOTHING = re.compile(r'(<label\b[^>]*?) for="__toc"')
_SECTION = re.compile(
    r'(<nav class="md-nav" data-md-level="\d+") aria-labelledby="[^"]*"'
    r'([^>]*>\s*<label class="md-nav__title"[^>]*>\s*<span[^>]*></span>\s*)([^<]*?)(\s*</label>)'
)


def mended(html: str) -> str:
    """The page with the theme's slips put right; what it does right stays to the letter."""
    # A checkbox takes no autocomplete.
    html = _CHECKBOX.sub(r"\1", html)
    # A tabindex is a number; a label needs none.
    html = _EMPTY_TABINDEX.sub(r"\1", html)
    # A section with a page of its own takes its name from a label that holds an arrow alone.
    html = _SECTION.sub(r'\1 aria-label="\3"\2\3\4', html)
    # A page outside the navigation has a label for a switch that it does not have.
    return html if 'id="__toc"' in html else _TO_NOTHING.sub(r"\1", html)


def written(output: str, **_: Any) -> str:
    """The same, called by the site generator with a page or a template that it has just written."""
    return mended(output)
