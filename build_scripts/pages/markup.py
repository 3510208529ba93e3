"""The small pieces of HTML that pages are made of: quantity, provenance mark, note, formula, table box."""

from __future__ import annotations

import posixpath
import re
from functools import cache

import latex2mathml.converter
from markupsafe import Markup, escape

from build_scripts.pages.display import Pair
from calc.provenance import Grade

LETTERS = {grade: grade.value[0].upper() for grade in Grade}


def quantity(pair: Pair | str) -> Markup:
    """A quantity in both unit systems, of which the page shows one; text that is the same in both stands once."""
    if isinstance(pair, str):
        return Markup('<span class="hr-q">{}</span>').format(pair)
    if pair.us == pair.si:
        return Markup('<span class="hr-q">{}</span>').format(pair.us)
    return Markup('<span class="hr-q"><span class="hr-us">{}</span><span class="hr-si">{}</span></span>').format(
        pair.us, pair.si
    )


def slot(key: str, value: Pair | str) -> Markup:
    """An element whose text the calculator replaces."""
    if isinstance(value, str):
        return Markup('<span data-slot="{}" class="hr-q">{}</span>').format(key, value)
    return Markup(
        '<span data-slot="{}" class="hr-q"><span class="hr-us">{}</span><span class="hr-si">{}</span></span>'
    ).format(key, value.us, value.si)


def mark(grade: Grade, note: str, *, computed: bool = False) -> Markup:
    """The mark behind a figure; it opens the note with the id `note`."""
    word = f"computed, weakest grade: {grade.label}" if computed else grade.label
    return Markup(
        '<button type="button" class="hr-mark{}" data-grade="{}" popovertarget="{}" aria-label="Source: {}">{}</button>'
    ).format(" hr-computed" if computed else "", grade.value, note, word, LETTERS[grade])


def badge(grade: Grade) -> Markup:
    """A grade as shape, letter and words, for tables and the legend."""
    return Markup(
        '<span class="hr-grade"><span class="hr-mark" data-grade="{}" aria-hidden="true">{}</span>{}</span>'
    ).format(grade.value, LETTERS[grade], grade.label)


@cache
def math(tex: str, *, block: bool = False) -> Markup:
    """A formula as MathML, which browsers show without a script."""
    made = latex2mathml.converter.convert(tex, display="block" if block else "inline")
    return Markup(made.replace(' xmlns="http://www.w3.org/1998/Math/MathML"', "").replace(' display="inline"', ""))


def link(source: str, target: str, anchor: str = "") -> str:
    """The relative address from the page `source` to the page `target`, both given as "folder/name.md"."""
    address = posixpath.relpath(_folder(target) or ".", _folder(source) or ".")
    address = "./" if address == "." else f"{address}/"
    return f"{address}#{anchor}" if anchor else address


def _folder(uri: str) -> str:
    stem = uri.removesuffix(".md")
    return posixpath.dirname(stem) if posixpath.basename(stem) in ("index", "README") else stem


def one_line(html: str) -> Markup:
    """HTML without line breaks and indentation, so that Markdown takes it as one piece; no-break spaces stay."""
    return Markup(re.sub(r"[ \t\r\n]+", " ", str(escape(html))).strip())
