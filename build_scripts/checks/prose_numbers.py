"""A figure typed in prose has no grade, no source and one system of units, and nobody reviews it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pydantic import ValidationError

from build_scripts.catalogue import DATA, Catalogue
from build_scripts.checks._figures_in_text import Found, figures
from build_scripts.checks._text import pages
from build_scripts.loading import read
from build_scripts.models.explain import explain
from build_scripts.models.problem import DataErrors, Problem
from build_scripts.models.prose import ProseException, ProseExceptions
from calc.units import UNITS

name = "prose-numbers"
description = "No number with a unit is typed in the prose of docs/**/*.md."
scope = "prose"

EXCEPTIONS = f"{DATA}/prose-exceptions.yaml"
_INSTEAD = (
    '{{ figure("folder/record/path") }} for a figure of the data, {{ result("calculator", "output") }} for a computed '
    f"one, or an entry with its reason in {EXCEPTIONS}"
)


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every figure in prose, and for every exception that nothing needs any more."""
    try:
        exceptions = _exceptions(root)
    except DataErrors as error:
        yield from error.problems
        return
    needed = set()
    for file, text in pages(root):
        for found in figures(text):
            index = _allowed(exceptions, file, found)
            if index is None:
                meant = _meant(catalogue, found)
                yield Problem(file, found.line, "", f"`{found.text}`, a figure typed in prose", _INSTEAD, meant)
            else:
                needed.add(index)
    for index, (line, exception) in enumerate(exceptions):
        if index not in needed:
            found_text = f"an exception for `{exception.text}`, which {exception.file} does not hold"
            yield Problem(EXCEPTIONS, line, f"exceptions.{index + 1}", found_text, "only exceptions that are needed")


def _exceptions(root: Path) -> list[tuple[int, ProseException]]:
    if not (root / EXCEPTIONS).is_file():
        return []
    document = read(root / EXCEPTIONS, root)
    try:
        read_in = ProseExceptions.model_validate(document.value)
    except ValidationError as error:
        raise DataErrors(explain(error, ProseExceptions, document.file, document.line)) from None
    return [(document.line(("exceptions", index)), entry) for index, entry in enumerate(read_in.exceptions)]


def _allowed(exceptions: list[tuple[int, ProseException]], file: str, found: Found) -> int | None:
    return next(
        (index for index, (_, entry) in enumerate(exceptions) if (entry.file, entry.text) == (file, found.text)), None
    )


def _meant(catalogue: Catalogue, found: Found) -> str:
    """The figure of the data with this number and unit, as one would write it, when there is exactly one."""
    try:
        number = float(found.number.replace(",", ""))
    except ValueError:
        return ""
    same = [
        figure.id
        for figure in catalogue.figures.values()
        if number in figure.figure.ends
        and found.unit in (figure.figure.unit, UNITS[figure.figure.unit].label, *UNITS[figure.figure.unit].aliases)
    ]
    return f'{{{{ figure("{same[0]}") }}}}' if len(same) == 1 else ""
