"""The planner in a page: its few questions as a form, and the answer to the default question, made while building."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from build_scripts.models.platform import Platform
from build_scripts.pages import markup
from build_scripts.pages.display import Pair
from build_scripts.pages.nodes import html
from build_scripts.pages.plans import ADDRESS_EDITION, COMPARE, PLAN, Planner
from build_scripts.pages.sheet import Sheet
from calc.plan.page import respond
from calc.provenance import Grade

DEFAULTS = ("height", "temperature", "labour_rate")


def block(sheet: Sheet, view: str) -> Markup:
    """The form and the default answer; nothing while the data hold nothing to plan with."""
    planner = sheet.edition.planner
    if not planner.usable:
        return Markup()
    root = f"{posixpath.relpath('.', posixpath.dirname(sheet.uri) or '.')}/" if "/" in sheet.uri else "./"
    if view == "compare":
        root = "../../"
    first = next(iter(planner.known.platforms))
    given = {"platform": first}
    request = {"view": view, "given": given, "system": "us", "root": root}
    if view == "compare":
        request |= {"other": given, "pick": "cheapest", "other_pick": "most-margin"}
    answer = respond(planner.text, request)
    if not answer["ok"]:
        problems = "; ".join(problem["message"] for problem in answer["problems"])
        raise ValueError(f"the default question has no plan: {problems}")
    if view == "whole":
        for part in (part for plan in planner.answer(given)["plans"] for part in plan["parts"]):
            option = planner.known.options[part["id"]]
            for figure in (option.parts_cost, option.labour):
                sheet.edition.uses(figure.id, sheet.place)
    cautions = {name: sheet.caution(name) for name in _cautions(sheet)}

    def fill(attributes: Mapping[str, Any]) -> Markup:
        if "data-cautions" in attributes:
            return Markup().join(cautions[name] for name in attributes["data-cautions"].split() if name in cautions)
        return Markup()

    values = {
        "view": view,
        "root": root,
        "made": planner.made,
        "edition": ADDRESS_EDITION,
        "sides": ("a", "b") if view == "compare" else ("",),
        "platforms": [_platform(platform) for platform in sheet.edition.catalogue.platforms.values()],
        "uses": [(use.id, use.title) for use in planner.known.uses.values()],
        "default_use": planner.known.uses[planner.first_use()].title,
        "modifications": [_modification(item) for item in planner.known.modifications.values()],
        "defaults": _defaults(sheet, planner, given),
        "answer": html(answer["nodes"], fill),
        "invented": all(
            sheet.edition.catalogue.grade_of(platform) is Grade.INVENTED
            for platform in sheet.edition.catalogue.platforms.values()
        ),
        "cautions": cautions if view == "whole" else {},
        "kinds": KINDS,
        "plan_address": markup.link(sheet.uri, PLAN),
        "compare_address": markup.link(sheet.uri, COMPARE),
        "hp": Pair("hp", "kW"),
    }
    return markup.one_line(sheet.edition.render("planner.html", **values))


KINDS = (
    ("cheapest", "cheapest set"),
    ("most-margin", "most margin for the budget"),
    ("runner-up", "cheapest without one of those parts"),
    ("possible", "cheaper, only possibly within limits"),
    ("highest", "highest that can be reached"),
    ("nothing", "do nothing"),
)


def _platform(platform: Platform) -> dict[str, Any]:
    forms = [(f"{platform.id}/{name}", variant.title) for name, variant in platform.variants.items()]
    return {"id": platform.id, "title": platform.title, "forms": forms}


def _modification(item: Any) -> dict[str, Any]:
    return {"id": item.id, "title": item.title, "options": [(option.id, option.title) for option in item.options]}


def _cautions(sheet: Sheet) -> list[str]:
    found = ["emission-hardware", "towing-ratings"]
    for item in sheet.edition.planner.known.modifications.values():
        found += item.facts.get("cautions", ())
    return [name for name in dict.fromkeys(found) if name in sheet.edition.catalogue.cautions]


def _defaults(sheet: Sheet, planner: Planner, given: Mapping[str, str]) -> dict[str, Markup]:
    """What is taken where nothing is typed, each with its mark."""
    understood = planner.answer(given, brief=True)["inputs"]
    labels = {"height": "Height", "temperature": "Air temperature", "labour_rate": "Labour rate"}
    found = {}
    for name in DEFAULTS:
        value = Pair(understood[name]["understood"].us, understood[name]["understood"].si)
        note = sheet.default_note(labels[name], value, Grade.MEMORY)
        found[name] = Markup('<span class="hr-figure">{}{}</span>').format(
            markup.quantity(value), markup.mark(Grade.MEMORY, note.id)
        )
    return found
