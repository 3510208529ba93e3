"""The register of what the calculators start from: the default of every input, and the constants of the formulas."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from build_scripts.pages import markup
from build_scripts.pages.display import Pair
from build_scripts.pages.edition import DEFAULTS_URI, Draft, Edition, default_anchor
from build_scripts.pages.functions import functions
from build_scripts.pages.sheet import Sheet
from calc import constants, text
from calc.contract import Calculator
from calc.present import page_answer


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """One page."""
    yield Draft(
        DEFAULTS_URI, "Values of the calculators", "calc/calculators/", _text, order=30,
        question="What does each calculator start from, and how well is that known?",
        summary="Every default value and constant of the calculators, with its grade and where it comes from.",
    )  # fmt: skip


def _text(sheet: Sheet) -> str:
    tables = [
        (one, markup.link(sheet.uri, sheet.edition.homes[one.id]), _rows(one))
        for one in sorted(sheet.edition.calculators.values(), key=lambda one: one.title)
    ]
    known = [value for value in vars(constants).values() if isinstance(value, constants.Constant)]
    return sheet.edition.render(
        "defaults.md", tables=tables, constants=[_constant(value) for value in known], **functions(sheet)
    )


def _rows(calculator: Calculator) -> list[dict[str, Any]]:
    """A row for every input that starts with a value."""
    shown = page_answer(calculator.id, {}, "us")["inputs"]
    return [
        {
            "anchor": default_anchor(calculator.id, name),
            "name": item.kind.name,
            "meaning": item.kind.meaning,
            "value": Pair(shown[name]["understood_us"], shown[name]["understood_si"]),
            "grade": item.kind.grade,
            "note": item.kind.note,
        }
        for name, item in calculator.inputs.items()
        if shown[name]["us"]
    ]


def _constant(value: constants.Constant) -> dict[str, Any]:
    unit = "" if value.unit == "1" else f"{text.NO_BREAK}{value.unit.replace('.', '·')}"
    return {"value": f"{text.number(value, 9, trim=True)}{unit}", "it": value}
