"""The figure of a section: drawing, notes and the table behind it, for a calculator and inputs that a page chooses."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from markupsafe import Markup

from build_scripts.pages.sections import chains, gas_path
from build_scripts.pages.sections.drawing import Drawing
from build_scripts.pages.sections.parts import Numbers
from build_scripts.pages.sheet import Sheet
from calc.contract import Calculator
from calc.present import page_answer
from calc.provenance import Grade

DRAWINGS: Mapping[str, Callable[[Numbers], Drawing]] = {
    "engine-balance": gas_path.single,
    "before-after": gas_path.pair,
    "exhaust-back-pressure": chains.exhaust,
    "fuel-supply": chains.fuel_supply,
    "injector-window": chains.injector_window,
    "line-pressure": chains.line_pressure,
}


def block(sheet: Sheet, calculator: Calculator, title: str, inputs: Mapping[str, str]) -> Markup:
    """The section of a calculator that has one. Without inputs it follows the calculator's form on the same page."""
    draw = DRAWINGS.get(calculator.id)
    if draw is None:
        sheet.wrong("section", f"`{calculator.id}`, which has no section", ", ".join(DRAWINGS))
        return Markup()
    answer = page_answer(calculator.id, inputs, "us")
    if not answer["ok"]:
        for problem in answer["problems"]:
            sheet.wrong("section", f"{problem['input']}={problem['given']!r}", problem["message"].rstrip("."))
        return Markup()
    numbers = Numbers(answer)
    drawing = draw(numbers)
    first = next(cell.key for row in drawing.rows for cell in row.cells if cell.key in answer["grades"])
    grade = Grade(answer["grades"][first]["id"])
    sheet.sections += 1
    return sheet.edition.render(
        "section.html",
        calculator=calculator,
        follows=not inputs and calculator.id in sheet.calculators,
        title=title or drawing.title,
        drawing=drawing,
        numbers=numbers,
        grade=grade,
        graded=first,
        note=sheet.computed_note(calculator, grade, answer, inputs).id,
        first_on_page=sheet.sections == 1,
        name=f"section-{sheet.sections}",
    )
