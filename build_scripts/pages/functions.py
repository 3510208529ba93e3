"""The functions that a page can call, by name: those of its sheet, and the larger pieces that stand on it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from markupsafe import Markup

from build_scripts.pages import calculator_form, curve, law, markup, picture, planner
from build_scripts.pages.sections import figure as section_figure
from build_scripts.pages.sheet import Sheet


def functions(sheet: Sheet) -> dict[str, Callable[..., Any]]:
    """What a hand-written page or a template can call, by name."""
    own = (
        sheet.figure, sheet.quantity, sheet.result, sheet.given, sheet.formula, sheet.caution, sheet.cite, sheet.grades,
        sheet.valid, sheet.demo, sheet.goto, sheet.home, sheet.not_advice,
    )  # fmt: skip
    pieces = (calculator, chart, section, platform_picture, planner_block, provisions, jurisdictions, listing)
    names = {platform_picture: "picture", planner_block: "planner"}
    return {function.__name__: function for function in own} | {
        names.get(piece, piece.__name__): partial(piece, sheet) for piece in pieces
    }


def calculator(sheet: Sheet, identifier: str, open: str = "") -> Markup:
    """The form of a calculator with its answer for the defaults.

    `open` names the inputs that stand open, in order; the others are folded away. Without it all stand open.
    """
    found = sheet.calculator_of(identifier, "calculator")
    if found is None:
        return Markup()
    names = open.replace(",", " ").split()
    for name in names:
        if name not in found.inputs:
            sheet.unknown("calculator", name, found.inputs, f"an input of {identifier}")
            return Markup()
    sheet.calculators.append(identifier)
    return markup.one_line(calculator_form.form(sheet, found, names))


def chart(sheet: Sheet, identifier: str, number: int = 1, title: str = "", **inputs: object) -> Markup:
    """A chart of a calculator, counted from one, for inputs as a reader would type them, with a table behind it."""
    found = sheet.calculator_of(identifier, "chart")
    if found is None:
        return Markup()
    given = {name: str(value) for name, value in inputs.items()}
    return markup.one_line(curve.block(sheet, found, number, title, given))


def section(sheet: Sheet, identifier: str, title: str = "", **inputs: object) -> Markup:
    """The section drawing of a calculator with its numbers on it, for inputs as a reader would type them.

    Below the calculator's form and without inputs, it follows what is typed there.
    """
    found = sheet.calculator_of(identifier, "section")
    if found is None:
        return Markup()
    given = {name: str(value) for name, value in inputs.items()}
    return markup.one_line(section_figure.block(sheet, found, title, given))


def platform_picture(sheet: Sheet, identifier: str) -> Markup:
    """What gives out first on a platform: sentence, picture and table."""
    found = sheet.find("picture", identifier, sheet.edition.catalogue.platforms, "the id of a platform")
    if found is None:
        return Markup()
    sheet.pictures += 1
    return markup.one_line(picture.block(sheet, found))


def planner_block(sheet: Sheet, view: str = "brief") -> Markup:
    """The planner: its questions, and the answer to the default one: "brief", "whole", or "compare"."""
    return planner.block(sheet, view)


def provisions(sheet: Sheet, subject: str) -> Markup:
    """The rules of every place on a subject, each with its citation, the copy read and the day of reading."""
    if subject not in law.SUBJECTS:
        sheet.unknown("provisions", subject, law.SUBJECTS, "a subject of the law")
        return Markup()
    places = law.in_order(sheet.edition.catalogue)
    rules = [(place, rule) for place in places for rule in place.provisions if rule.subject == subject]
    return law.table(sheet, rules, f"Rules on {law.SUBJECTS[subject].lower()}", places=True)


def jurisdictions(sheet: Sheet) -> Markup:
    """The places whose law is on record, each with its summary and the day of review."""
    items = Markup().join(
        Markup('<li{}><a href="{}">{}</a>: {} <small>Reviewed {}</small></li>').format(
            Markup(' class="hr-within"') if place.within else "",
            markup.link(sheet.uri, law.uri(place.id)), place.title, place.summary, place.reviewed,
        )
        for place in law.in_order(sheet.edition.catalogue)
    )  # fmt: skip
    return Markup("<ul>{}</ul>").format(items)


def listing(sheet: Sheet, folder: str, places: bool = True) -> Markup:
    """The pages of a folder, its index left out, each with its summary; without `places`, no page of a place."""
    left_out = set() if places else {law.uri(place) for place in sheet.edition.catalogue.law}
    drafts = [
        draft
        for draft in sheet.edition.drafts.values()
        if draft.uri.startswith(f"{folder}/") and not draft.uri.endswith("index.md") and draft.uri not in left_out
    ]
    drafts.sort(key=lambda draft: (draft.order, draft.title))
    items = Markup().join(
        Markup('<li><a href="{}">{}</a>{}</li>').format(
            markup.link(sheet.uri, draft.uri), draft.title, f": {draft.summary}" if draft.summary else ""
        )
        for draft in drafts
    )
    return Markup("<ul>{}</ul>").format(items)
