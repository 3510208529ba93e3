"""The charts of a calculator: one specification, drawn as SVG at build and kept by the browser to draw it anew.

The specification holds no numbers. It is compiled once for each width; the build and the page then fill in the same
data (`points`, `here`) and the same signals (`x_title`, `y_title`), so that both draw the same chart.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import vl_convert

from build_scripts.pages.chart import ink, inline

WIDTHS = ("wide", "narrow")
_SIZES = {"wide": (600, 300), "narrow": (290, 250)}
# Lines differ by dashes first, so that they can be told apart on grey paper.
_DASHES = ([1, 0], [9, 4], [2, 3], [9, 3, 2, 3], [4, 2])


def lines_svg(
    rows: Sequence[Mapping[str, Any]], x: str, y: str, *, here: Sequence[Mapping[str, Any]] = (), narrow: bool = False
) -> str:
    """An inline SVG of lines named at their ends, from rows of {"x", "y", "series"} and the texts of both axes.

    The rows of `here` are marked by dots.
    """
    spec = copy.deepcopy(chart_spec("narrow" if narrow else "wide"))
    values = {"points": [dict(row) for row in rows], "here": [dict(row) for row in here]}
    for data in spec["data"]:
        if data["name"] in values:
            data["values"] = values[data["name"]]
    for signal in spec["signals"]:
        signal["value"] = {"x_title": x, "y_title": y}.get(signal["name"], signal.get("value"))
    return inline(vl_convert.vega_to_svg(json.dumps(spec)))


@cache
def chart_spec(width: str) -> dict[str, Any]:
    """The compiled specification, for a "wide" or a "narrow" page. Not to be changed: copy it."""
    compiled: dict[str, Any] = vl_convert.vegalite_to_vega(json.dumps(_lines(width)))
    # The grammar that is compiled lets no signal stand for the text of an axis.
    for axis in compiled["axes"]:
        if axis.get("title") in ("x_title", "y_title"):
            axis["title"] = {"signal": axis["title"]}
    return compiled


def _lines(width: str) -> dict[str, Any]:
    size = 13 if width == "narrow" else 12
    across, up = _SIZES[width]
    label = {"fontSize": size, "fontWeight": 600, "align": "right", "dx": -2, "dy": -9, **ink()}
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
    place = {"titleAngle": 0, "titleAlign": "left", "titleAnchor": "start", "titleX": -34, "titleY": -12}
    dashes = {"field": "series", "type": "nominal", "sort": None, "scale": {"range": list(_DASHES)}, "legend": None}
    points = {"data": {"name": "points"}}
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "width": across,
        "height": up,
        "background": None,
        "padding": {"left": 2, "right": 8, "top": 6, "bottom": 2},
        "config": {"aria": False, "font": "sans-serif", "view": {"stroke": None}, "axis": axis},
        "params": [{"name": "x_title", "value": ""}, {"name": "y_title", "value": ""}],
        "encoding": {
            "x": {"field": "x", "type": "quantitative", "axis": {"title": "x_title", "grid": False}},
            "y": {"field": "y", "type": "quantitative", "axis": {"title": "y_title", **place}},
        },
        "layer": [
            {
                **points,
                "mark": {"type": "line", "stroke": "var(--hr-accent)", "strokeWidth": 2.5},
                "encoding": {"strokeDash": dashes},
            },
            {
                "data": {"name": "here"},
                "mark": {
                    "type": "circle",
                    "size": 90,
                    "opacity": 1,
                    "fill": "var(--hr-ink)",
                    "stroke": "var(--hr-sheet)",
                    "strokeWidth": 2,
                },
            },
            {
                **points,
                "transform": [
                    {"joinaggregate": [{"op": "max", "field": "x", "as": "end"}], "groupby": ["series"]},
                    {"filter": "datum.x === datum.end"},
                ],
                "mark": {"type": "text", **label},
                "encoding": {"text": {"field": "series", "type": "nominal"}},
            },
        ],
    }
