"""One chart of a calculator for inputs that a page chooses, with its numbers as a table behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from build_scripts.pages.display import Pair
from build_scripts.pages.line_chart import lines_svg
from build_scripts.pages.sheet import Sheet
from calc import text
from calc.contract import Calculator
from calc.curves import page_curves
from calc.present import page_answer
from calc.provenance import Grade

_ROWS, _DIGITS = 7, 3


def block(sheet: Sheet, calculator: Calculator, number: int, title: str, inputs: Mapping[str, str]) -> Markup:
    """The chart with this number, counted from one, under `title`; a wrong number or input is a problem of the page."""
    if not 1 <= number <= len(calculator.curves):
        sheet.wrong("chart", f"chart {number} of `{calculator.id}`", f"a number from 1 to {len(calculator.curves)}")
        return Markup()
    answer = page_answer(calculator.id, inputs, "us")
    if not answer["ok"]:
        for problem in answer["problems"]:
            sheet.wrong("chart", f"{problem['input']}={problem['given']!r}", problem["message"].rstrip("."))
        return Markup()
    curve = calculator.curves[number - 1]
    charts = [page_curves(calculator.id, inputs, system)[number - 1] for system in text.SYSTEMS]
    grade = Grade(answer["grades"][curve.outputs[0]]["id"])
    names = list(dict.fromkeys(row["series"] for row in charts[0]["rows"]))
    return sheet.edition.render(
        "curve.html",
        title=title or curve.title,
        calculator=calculator,
        grade=grade,
        note=sheet.computed_note(calculator, grade, answer, inputs).id,
        drawings=[
            (system, width, Markup(lines_svg(chart["rows"], chart["x"], chart["y"], narrow=width == "narrow")))
            for system, chart in zip(text.SYSTEMS, charts, strict=True)
            for width in ("wide", "narrow")
        ],
        head=[_pair([chart["x"] for chart in charts]), *(_series(charts, index) for index in range(len(names)))],
        rows=_rows(charts),
    )


def _series(charts: Sequence[Mapping[str, Any]], index: int) -> Pair:
    """The name of a line with the unit of its axis, in both systems."""
    names = [list(dict.fromkeys(row["series"] for row in chart["rows"]))[index] for chart in charts]
    units = [chart["y"].rpartition(", ")[2] if ", " in chart["y"] else chart["y"] for chart in charts]
    return _pair(
        [f"{name}, {unit}" if unit and unit not in name else name for name, unit in zip(names, units, strict=True)]
    )


def _rows(charts: Sequence[Mapping[str, Any]]) -> list[list[Pair]]:
    """Some of the points, the first and the last among them; a line without an answer there has a dash."""
    tables: list[list[list[str]]] = []
    for chart in charts:
        names = list(dict.fromkeys(row["series"] for row in chart["rows"]))
        found = {(row["series"], row["x"]): row["y"] for row in chart["rows"]}
        places = sorted({row["x"] for row in chart["rows"]})
        step = max((len(places) - 1) / (_ROWS - 1), 1.0)
        kept = sorted({places[round(step * index)] for index in range(_ROWS) if round(step * index) < len(places)})
        tables.append(
            [[text.number(x, _DIGITS, trim=True), *(_number(found.get((name, x))) for name in names)] for x in kept]
        )
    return [[_pair(cell) for cell in zip(*line, strict=True)] for line in zip(*tables, strict=True)]


def _number(value: float | None) -> str:
    return "–" if value is None else text.number(value, _DIGITS)


def _pair(texts: Sequence[str]) -> Pair:
    us, si = texts
    return Pair(us, si)
