"""The page of every calculator that no hand-written page shows, and the list of all calculators."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from build_scripts.pages import markup
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.functions import functions
from build_scripts.pages.sheet import Sheet
from calc.contract import Calculator

INDEX = "calculators/index.md"
_CALL = re.compile(r"""\{\{[^}]*\bcalculator\(\s*["']([\w-]+)["']""")


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """Pages under calculators/; `edition.homes` learns where each calculator stands."""
    for path in sorted((root / "docs").rglob("*.md")):
        for identifier in _CALL.findall(path.read_text(encoding="utf-8")):
            edition.homes.setdefault(identifier, path.relative_to(root / "docs").as_posix())
    for calculator in edition.calculators.values():
        if calculator.id not in edition.homes:
            uri = edition.homes[calculator.id] = f"calculators/{calculator.id}.md"
            origin = f"calc/calculators/{calculator.id.replace('-', '_')}.py"
            yield Draft(
                uri, calculator.title, origin, partial(_text, calculator=calculator), summary=calculator.question,
                question=calculator.question, related=dict.fromkeys(calculator.related, ""),
            )  # fmt: skip
    yield Draft(
        INDEX, "Calculators", "calc/calculators/", _index, order=30, question="Which number do you want to work out?",
        summary="Every calculator of the site with the question that it answers. Each starts from an answer.",
    )  # fmt: skip


# A form with more inputs than this opens with the first of them and folds the others away.
_MANY, _FIRST = 12, 8


def _text(sheet: Sheet, calculator: Calculator) -> str:
    first = list(calculator.inputs)[:_FIRST] if len(calculator.inputs) > _MANY else []
    return sheet.edition.render("calculator_page.md", it=calculator, first=" ".join(first), **functions(sheet))


def _index(sheet: Sheet) -> str:
    known = sheet.edition.calculators
    rows = [
        (markup.link(sheet.uri, uri), known[identifier].title, known[identifier].question)
        for identifier, uri in sheet.edition.homes.items()
        if identifier in known
    ]
    return sheet.edition.render("calculators.md", rows=sorted(rows, key=lambda row: row[1]))
