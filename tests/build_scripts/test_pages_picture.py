"""The picture of what gives out first: what it says and what it draws."""

from __future__ import annotations

import datetime
import re

import pytest
from markupsafe import Markup

from build_scripts.catalogue import FigureRecord
from build_scripts.models.figure import Figure
from build_scripts.pages.chart import Band, Level, axis_domain, bands_svg
from build_scripts.pages.line_chart import lines_svg
from build_scripts.pages.picture import Row, rivals, standing, state_at, verdict
from calc.provenance import Grade

LEVELS = [Level("standard", 300, "300 hp"), Level("goal", 420, "420 hp")]
BANDS = [Band("Clutch", 380, 430, "380 to 430 hp"), Band("Turbine", 500, 560, "500 to 560 hp")]


REVIEWED = datetime.date(2026, 11, 24)


def row(title: str, low: float, high: float, goal: float = 420) -> Row:
    figure = Figure.model_validate(
        {"low": low, "high": high, "unit": "hp", "grade": Grade.INVENTED, "reviewed": REVIEWED}
    )
    record = FigureRecord(
        id="platforms/x/limits.a.wheel_power",
        title=title,
        label=title,
        description="",
        figure=figure,
        folder="platforms",
        record="x",
        path="limits.a.wheel_power",
        steps=("limits", "a", "wheel_power"),
        file="x.yaml",
        line=1,
    )
    return Row(title, "Why.", "Sign.", record, state_at(goal, low, high))


def shown(record: FigureRecord) -> Markup:
    low, high = record.figure.ends
    return Markup(f"<b>{low:g} to {high:g}</b>")


@pytest.mark.parametrize(
    ("power", "state"),
    [(399, "clear"), (400, "doubtful"), (425, "doubtful"), (450, "doubtful"), (451, "beyond")],
)
def test_the_state_at_a_power(power: float, state: str) -> None:
    assert state_at(power, 400, 450) == state


def test_ranges_that_meet_are_too_close_to_call() -> None:
    rows = [row("Clutch", 400, 450), row("Turbocharger", 450, 500), row("Pump", 451, 600)]
    assert [rival.title for rival in rivals(rows)] == ["Turbocharger"]
    assert "Too close to call: the range of turbocharger overlaps" in verdict(rows, shown).striptags()


def test_ranges_apart_name_the_next() -> None:
    rows = [row("EGT before the turbine", 300, 350), row("Clutch", 400, 450)]
    said = verdict(rows, shown).striptags()
    assert "Too close" not in said
    assert said.startswith("First to give out: EGT before the turbine, at 300 to 350")
    assert "Next: clutch, at 400 to 450" in said


def test_the_parts_at_the_goal_stand_worst_first() -> None:
    rows = [row("Clutch", 300, 350), row("Turbocharger", 400, 450), row("Pump", 500, 600)]
    assert standing(rows) == [("beyond", "clutch"), ("doubtful", "turbocharger"), ("clear", "pump")]


def boxes(svg: str, fill: str) -> list[tuple[float, float]]:
    """Start and width of every bar with this fill."""
    found = re.findall(r'd="M(-?[\d.]+),-?[\d.]+h([\d.]+)v[^"]*" fill="([^"]*)"', svg)
    return [(float(start), float(width)) for start, width, paint in found if paint == fill]


@pytest.mark.parametrize("narrow", [False, True])
def test_the_bands_lie_where_their_figures_are(narrow: bool) -> None:
    svg = bands_svg(BANDS, LEVELS, "power at the wheels, hp", narrow=narrow)
    low, high = axis_domain(BANDS, LEVELS)
    scale = (320 if narrow else 640) / (high - low)
    doubtful = boxes(svg, "url(#hr-hatch)")
    assert len(doubtful) == len(BANDS)
    for band, (start, width) in zip(BANDS, doubtful, strict=True):
        assert start == pytest.approx((band.low - low) * scale, abs=0.02)
        assert width == pytest.approx((band.high - band.low) * scale, abs=0.02)
    for band, (start, width) in zip(BANDS, boxes(svg, "var(--hr-clear)"), strict=True):
        assert start == 0
        assert width == pytest.approx((band.low - low) * scale, abs=0.02)
    for band, (start, _) in zip(BANDS, boxes(svg, "var(--hr-beyond)"), strict=True):
        assert start == pytest.approx((band.high - low) * scale, abs=0.02)


def test_the_picture_names_parts_and_levels_and_keeps_to_the_colours_of_the_page() -> None:
    svg = bands_svg(BANDS, LEVELS, "power at the wheels, hp")
    for text in ("Clutch: 380 to 430 hp", "standard 300 hp", "goal 420 hp", "clear", "beyond", "at the wheels"):
        assert text in svg
    paints = set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg)) - {"none"}
    assert paints
    assert all(paint.startswith(("var(--hr-", "url(#hr-hatch)")) for paint in paints), paints
    assert "://" not in svg.replace("http://www.w3.org/2000/svg", "")


def test_a_word_that_does_not_fit_its_band_is_left_out() -> None:
    tight = bands_svg([Band("Clutch", 100.0, 999.0, "100 to 999 hp")], [Level("goal", 500, "")], "hp", narrow=True)
    assert ">beyond<" not in tight


def test_lines_differ_by_their_dashes() -> None:
    rows = [{"x": x, "y": x * k, "series": name} for name, k in (("a", 1), ("b", 2), ("c", 3)) for x in (0, 1, 2)]
    svg = lines_svg(rows, "flow, lb/min", "pressure, inHg")
    dashes = re.findall(r'<path [^>]*stroke="var\(--hr-accent\)"[^>]*stroke-dasharray="([^"]*)"', svg)
    assert len(set(dashes)) == 3
    for name in "abc":
        assert f">{name}</text>" in svg
