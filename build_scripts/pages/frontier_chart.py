"""Draws what a power goal costs as steps, at build time, in the colours of the page."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from build_scripts.pages.chart import drawn, ink
from calc import units

_WIDE, _NARROW = (600, 280), (290, 240)
_BAND = {"fill": "url(#hr-hatch)", "stroke": "var(--hr-ink-2)"}


def steps_svg(steps: Sequence[Mapping[str, Any]], expensive: int | None, system: str, *, narrow: bool = False) -> str:
    """An inline SVG: the cost of the cheapest set as a band over the goal, and a line at its likely value.

    `steps` are those of the planner's frontier, `expensive` the place of the step that is marked.
    """
    size = 13 if narrow else 12
    width, height = _NARROW if narrow else _WIDE
    rows = list(_rows(steps, system))
    axis: dict[str, Any] = {
        "labelColor": "var(--hr-ink)",
        "titleColor": "var(--hr-ink)",
        "domainColor": "var(--hr-ink-2)",
        "tickColor": "var(--hr-ink-2)",
        "gridColor": "var(--hr-rule)",
        "labelFontSize": size,
        "titleFontSize": size,
        "titleFontWeight": 500,
        "tickCount": 5,
    }
    unit = units.unit(steps[0]["goal"].symbol(system)).shown
    x = {"field": "x", "type": "quantitative", "title": f"goal at the wheels, {unit}", "scale": {"zero": False}}
    x["axis"] = {"grid": False}
    y_axis = {"title": "parts and labour, $", "titleAngle": 0, "titleAlign": "left", "titleAnchor": "start"}
    y_axis |= {"titleX": -44, "titleY": -12, "format": ",.0f"}
    layers: list[dict[str, Any]] = [
        {
            "mark": {"type": "area", "interpolate": "step-before", **_BAND},
            "encoding": {"y": {"field": "low", "type": "quantitative", "axis": y_axis}, "y2": {"field": "high"}},
        },
        {
            "mark": {"type": "line", "interpolate": "step-before", "stroke": "var(--hr-accent)", "strokeWidth": 2.5},
            "encoding": {"y": {"field": "cost", "type": "quantitative", "axis": y_axis}},
        },
    ]
    if expensive is not None and 0 < expensive < len(steps):
        at = steps[expensive - 1]["goal"].ends(system)[1]
        label = {"fontSize": size, "fontWeight": 650, "align": "right", "dx": -6, "y": 10, **ink()}
        layers += [
            {
                "data": {"values": [{}]},
                "mark": {"type": "rule", "stroke": "var(--hr-ink)", "strokeDash": [2, 3], "strokeWidth": 2},
                "encoding": {"x": {"datum": at, "type": "quantitative"}},
            },
            {
                "data": {"values": [{}]},
                "mark": {"type": "text", "text": "the expensive step", **label},
                "encoding": {"x": {"datum": at, "type": "quantitative"}},
            },
        ]
    spec: dict[str, Any] = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "width": width,
        "height": height,
        "background": None,
        "padding": {"left": 2, "right": 8, "top": 6, "bottom": 2},
        "config": {"aria": False, "font": "inherit", "view": {"stroke": None}, "axis": axis},
        "data": {"values": rows},
        "encoding": {"x": x},
        "layer": layers,
    }
    return drawn(json.dumps(spec))


def _rows(steps: Sequence[Mapping[str, Any]], system: str) -> list[dict[str, float]]:
    rows = [{"x": steps[0]["from"].ends(system)[1], **_cost(steps[0])}]
    return [*rows, *({"x": step["goal"].ends(system)[1], **_cost(step)} for step in steps)]


def _cost(step: Mapping[str, Any]) -> dict[str, float]:
    cost = step["cost"]
    return {"low": cost.low, "cost": cost.value, "high": cost.high}
