"""Draws the charts of a calculator as SVG, at build time, in the colours of the page."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from build_scripts.pages.chart import drawn, ink

_WIDE, _NARROW = (600, 300), (290, 250)
# Lines differ by dashes first, so that they can be told apart on grey paper.
_DASHES = ([1, 0], [9, 4], [2, 3], [9, 3, 2, 3], [4, 2])


def lines_svg(rows: Sequence[Mapping[str, Any]], x: str, y: str, *, narrow: bool = False) -> str:
    """An inline SVG of lines named at their ends, from rows of {"x", "y", "series"} and the texts of both axes."""
    size = 13 if narrow else 12
    width, height = _NARROW if narrow else _WIDE
    names = list(dict.fromkeys(row["series"] for row in rows))
    ends = [max((row for row in rows if row["series"] == name), key=lambda row: float(row["x"])) for name in names]
    label = {"fontSize": size, "fontWeight": 600, "align": "right", "dx": -2, "dy": -9, **ink()}
    axis: dict[str, Any] = {
        "labelColor": "var(--hr-ink)",
        "titleColor": "var(--hr-ink)",
        "domainColor": "var(--hr-ink-2)",
    }
    axis |= {
        "tickColor": "var(--hr-ink-2)",
        "gridColor": "var(--hr-rule)",
        "labelFontSize": size,
        "titleFontSize": size,
    }
    axis |= {"titleFontWeight": 500, "tickCount": 5}
    series = {"field": "series", "type": "nominal", "scale": {"domain": names, "range": list(_DASHES[: len(names)])}}
    spec: dict[str, Any] = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "width": width,
        "height": height,
        "background": None,
        "padding": {"left": 2, "right": 8, "top": 6, "bottom": 2},
        "config": {"aria": False, "font": "inherit", "view": {"stroke": None}, "axis": axis},
        "encoding": {
            "x": {"field": "x", "type": "quantitative", "title": x, "axis": {"grid": False}},
            "y": {
                "field": "y",
                "type": "quantitative",
                "title": None,
                "axis": {
                    "title": y,
                    "titleAngle": 0,
                    "titleAlign": "left",
                    "titleAnchor": "start",
                    "titleX": -34,
                    "titleY": -12,
                },
            },
        },
        "layer": [
            {
                "data": {"values": [dict(row) for row in rows]},
                "mark": {"type": "line", "stroke": "var(--hr-accent)", "strokeWidth": 2.5},
                "encoding": {"strokeDash": {**series, "legend": None}, "detail": series},
            },
            {
                "data": {"values": [dict(row) for row in ends]},
                "mark": {"type": "text", **label},
                "encoding": {"text": {"field": "series", "type": "nominal"}},
            },
        ],
    }
    return drawn(json.dumps(spec))
