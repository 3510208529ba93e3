"""Draws the picture "what gives out first" as SVG, at build time, in the colours of the page."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import vl_convert

_WIDE, _NARROW = 640, 320
_ROW, _BAR = 46, 18
# The stroke is laid under the letters by the style sheet: a halo that keeps them apart from lines.
_INK = {"fill": "var(--hr-ink)", "stroke": "var(--hr-sheet)", "strokeWidth": 4}
_LETTER = 0.56  # width of a letter as a share of its height, to tell whether a word fits its band


@dataclass(frozen=True)
class Band:
    """One part on the axis: sure below `low`, doubtful between, beyond it above `high`; `range` is the text shown."""

    part: str
    low: float
    high: float
    range: str


@dataclass(frozen=True)
class Level:
    """A power marked across all rows, such as the standard power or the goal."""

    name: str
    value: float
    text: str


def axis_domain(bands: Sequence[Band], levels: Sequence[Level]) -> tuple[float, float]:
    """Round ends of an axis that holds every band and level with room on both sides."""
    values = [value for band in bands for value in (band.low, band.high)] + [level.value for level in levels]
    low, high = min(values), max(values)
    room = max((high - low) * 0.15, high * 0.02)
    step = _step((high - low + 2 * room) / 10)
    return max(math.floor((low - room) / step) * step, 0.0), math.ceil((high + room) / step) * step


def _step(least: float) -> float:
    """The smallest of 1, 2, 5, 10, 20 ... that is not below `least`."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(multiple * power for multiple in (1, 2, 5, 10) if multiple * power >= least)


def bands_svg(bands: Sequence[Band], levels: Sequence[Level], title: str, *, narrow: bool = False) -> str:
    """An inline SVG with one row for each band, in the order given, against an axis called `title`.

    Colours are CSS variables of the page and the doubtful band is filled by the pattern `hr-hatch`, which the page
    defines, so that the picture follows light, dark and print and does not rest on colour.
    """
    size = 13 if narrow else 12
    width = _NARROW if narrow else _WIDE
    low, high = axis_domain(bands, levels)
    per_unit = width / (high - low)
    rows = [
        {
            "row": index,
            "label": f"{band.part}: {band.range}",
            "from": low,
            "low": band.low,
            "high": band.high,
            "to": high,
            "clear": "clear" if (band.low - low) * per_unit > 6 * size * _LETTER + 8 else "",
            "beyond": "beyond" if (high - band.high) * per_unit > 7 * size * _LETTER + 8 else "",
        }
        for index, band in enumerate(bands)
    ]
    spec: dict[str, Any] = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "width": width,
        "height": _ROW * len(rows),
        "background": None,
        "padding": {"left": 2, "right": 2, "top": 4, "bottom": 2},
        "config": {"aria": False, "font": "inherit", "view": {"stroke": None}},
        "data": {"values": rows},
        "layer": [
            _bar("from", "low", {"fill": "var(--hr-clear)", "stroke": "var(--hr-ink-2)"}, (low, high), title, size),
            _bar("low", "high", {"fill": "url(#hr-hatch)", "stroke": "var(--hr-ink)", "strokeWidth": 1.5}),
            _bar("high", "to", {"fill": "var(--hr-beyond)", "stroke": "var(--hr-beyond)"}),
            *(mark for place, level in enumerate(levels) for mark in _line(place, level, size)),
            *(_level(place, level, (low, high), size) for place, level in enumerate(levels)),
            _words("label", {"value": 0}, {"align": "left", "dy": -18, "fontWeight": 600, **_INK}, size),
            _words("clear", {"value": 6}, {"align": "left", "fill": "var(--hr-clear-ink)"}, size),
            _words("beyond", {"value": width - 6}, {"align": "right", "fill": "var(--hr-beyond-ink)"}, size),
        ],
    }
    return drawn(json.dumps(spec))


def _row() -> dict[str, Any]:
    return {"field": "row", "type": "ordinal", "axis": None, "sort": None}


def _bar(
    start: str,
    end: str,
    paint: dict[str, Any],
    domain: tuple[float, float] | None = None,
    title: str = "",
    size: int = 0,
) -> dict[str, Any]:
    x: dict[str, Any] = {"field": start, "type": "quantitative"}
    if domain:
        x["scale"] = {"domain": list(domain), "nice": False, "zero": False}
        x["axis"] = {
            "title": title,
            "grid": False,
            "tickCount": 6,
            "titlePadding": 6,
            "labelFlush": True,
            "domainColor": "var(--hr-ink-2)",
            "tickColor": "var(--hr-ink-2)",
            "labelColor": "var(--hr-ink)",
            "titleColor": "var(--hr-ink)",
            "labelFontSize": size,
            "titleFontSize": size,
            "titleFontWeight": 500,
        }
    return {
        "mark": {"type": "bar", "height": _BAR, "yOffset": 6, **paint},
        "encoding": {"x": x, "x2": {"field": end}, "y": _row()},
    }


def _words(field: str, x: dict[str, Any], paint: dict[str, Any], size: int) -> dict[str, Any]:
    look = {"type": "text", "baseline": "middle", "yOffset": 6, "fontSize": size, **paint}
    look["dy"] = paint.get("dy", 0) + 1
    return {"mark": look, "encoding": {"x": x, "y": _row(), "text": {"field": field, "type": "nominal"}}}


def _top(place: int, size: int) -> int:
    return -6 - place * (size + 5)


def _line(place: int, level: Level, size: int) -> list[dict[str, Any]]:
    """A line across all rows on a broader line of the paper's colour, so that it stays visible on a dark band."""
    line = {"strokeDash": [2, 3]} if place == 0 else {}
    return [
        {
            "data": {"values": [{}]},
            "mark": {"type": "rule", "y": _top(place, size) - size + 2, **paint},
            "encoding": {"x": {"datum": level.value, "type": "quantitative"}},
        }
        for paint in (
            {"stroke": "var(--hr-sheet)", "strokeWidth": 5},
            {"stroke": "var(--hr-ink)", "strokeWidth": 2, **line},
        )
    ]


def _level(place: int, level: Level, domain: tuple[float, float], size: int) -> dict[str, Any]:
    right = (level.value - domain[0]) / (domain[1] - domain[0]) > 0.55
    return {
        "data": {"values": [{}]},
        "mark": {
            "type": "text",
            "text": f"{level.name} {level.text}",
            "y": _top(place, size),
            "dx": -6 if right else 6,
            "align": "right" if right else "left",
            "baseline": "alphabetic",
            "fontSize": size,
            "fontWeight": 600,
            **_INK,
        },
        "encoding": {"x": {"datum": level.value, "type": "quantitative"}},
    }


def ink() -> dict[str, Any]:
    """Text in ink with a halo of paper."""
    return dict(_INK)


@cache
def drawn(spec: str) -> str:
    """The inline SVG of a Vega-Lite specification (JSON)."""
    return inline(vl_convert.vegalite_to_svg(spec))


def inline(svg: str) -> str:
    """A drawn SVG without what an inline picture does not need."""
    svg = re.sub(r' (?:xmlns:xlink|version|role|aria-[a-z]+|pointer-events)="[^"]*"', "", svg)
    svg = re.sub(r'<path class="(?:background|foreground)"[^>]*/>', "", svg)
    svg = re.sub(r' font-family="[^"]*"| opacity="1"', "", svg)
    svg = re.sub(r"(\d+\.\d{2})\d+", r"\1", svg)
    return svg.replace("<svg ", '<svg aria-hidden="true" focusable="false" ', 1).replace("\n", "")
