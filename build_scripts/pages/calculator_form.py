"""The form of a calculator with its answer for the default values, as the browser's script expects it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from build_scripts.pages.display import Pair
from build_scripts.pages.edition import default_anchor
from build_scripts.pages.line_chart import WIDTHS, lines_svg
from build_scripts.pages.sheet import Sheet
from calc import text, units
from calc.contract import Calculator, Choice, Input, Output
from calc.curves import page_curves
from calc.present import page_answer
from calc.provenance import Grade
from calc.reading import bounds


@dataclass(frozen=True)
class Shown:
    """An output as the form shows it."""

    key: str
    output: Output
    value: Pair | str
    grade: Grade
    share: float | None


def form(sheet: Sheet, calculator: Calculator, first: Sequence[str]) -> Markup:
    """The form; inputs named in `first` stand open, in that order, all others are folded away."""
    answer = page_answer(calculator.id, {}, "us")
    if not answer["ok"]:
        problems = "; ".join(problem["message"] for problem in answer["problems"])
        raise ValueError(f"{calculator.id}: no answer for its own defaults: {problems}")
    names = first or list(calculator.inputs)
    # The outputs of a part, such as the stations along a path, stand in the section drawing instead.
    outputs = [_shown(key, output, answer) for key, output in calculator.outputs.items() if "." not in key]
    parts = [(whole, [one for one in outputs if one.output.part_of == whole.key]) for whole in outputs]
    return sheet.edition.render(
        "calculator.html",
        calculator=calculator,
        open_fields=[_field(sheet, calculator, calculator.inputs[name], answer) for name in names],
        folded_fields=[
            _field(sheet, calculator, item, answer) for name, item in calculator.inputs.items() if name not in names
        ],
        first_output=outputs[0],
        sentences=[one for one in outputs[1:] if one.output.unit == "text"],
        parts=[(whole, shares) for whole, shares in parts if shares],
        others=[one for one in outputs[1:] if one.output.unit != "text" and not one.output.part_of],
        warnings=answer["warnings"],
        note={one.key: sheet.computed_note(calculator, one.grade).id for one in outputs},
        charts=_charts(calculator),
    )


def _shown(key: str, output: Output, answer: Mapping[str, Any]) -> Shown:
    slot = answer["slots"][key]
    return Shown(
        key,
        output,
        slot if isinstance(slot, str) else Pair(slot["us"], slot["si"]),
        Grade(answer["grades"][key]["id"]),
        answer["shares"].get(key),
    )


def _field(sheet: Sheet, calculator: Calculator, item: Input, answer: Mapping[str, Any]) -> dict[str, Any]:
    shown = answer["inputs"][item.name]
    kind = item.kind
    # A field that starts empty states no figure, so it needs no source.
    understood = Pair(shown["understood_us"], shown["understood_si"])
    note = ""
    if shown["us"]:
        anchor = default_anchor(calculator.id, item.name)
        note = sheet.default_note(kind.name, understood, kind.grade, kind.note, anchor).id
    field: dict[str, Any] = {"name": item.name, "kind": kind, "us": shown["us"], "si": shown["si"], "note": note}
    if isinstance(kind, Choice):
        return field | {"options": kind.options}
    label = Pair(*(units.unit(kind.shown_unit(system)).shown for system in text.SYSTEMS))
    return field | {"unit": label, "range": Pair(*(bounds(kind, system) for system in text.SYSTEMS))}


def _charts(calculator: Calculator) -> list[dict[str, Any]]:
    both = [page_curves(calculator.id, {}, system) for system in text.SYSTEMS]
    return [
        {
            "title": curve.title,
            "marked": bool(us["here"]),
            "y": Pair(us["y"], si["y"]),
            "head": [Pair(*texts) for texts in zip(us["table"]["head"], si["table"]["head"], strict=True)],
            "rows": [
                [Pair(*texts) for texts in zip(*lines, strict=True)]
                for lines in zip(us["table"]["rows"], si["table"]["rows"], strict=True)
            ],
            "drawings": [
                (system, chart["says"], {width: Markup(_drawing(chart, width)) for width in WIDTHS})
                for system, chart in zip(text.SYSTEMS, (us, si), strict=True)
            ],
        }
        for curve, us, si in zip(calculator.curves, *both, strict=True)
    ]


def _drawing(chart: Mapping[str, Any], width: str) -> str:
    return lines_svg(chart["rows"], chart["x"], chart["y"], here=chart["here"], narrow=width == "narrow")
