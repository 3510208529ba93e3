"""The terminal contract: lists, describes, runs; bad input ends with status 2 and one line."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from calc import registry
from calc.__main__ import main

ROOT = Path(__file__).parents[2]


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """`python -m calc` in a process of its own, with nothing but the standard library (-S: no site packages)."""
    return subprocess.run(
        [sys.executable, "-S", "-m", "calc", *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )


def test_lists_every_calculator() -> None:
    """Without arguments, one line for each, and one for the planner."""
    listed = run()
    assert listed.returncode == 0
    assert [line.split()[0] for line in listed.stdout.splitlines()] == [*registry.identifiers(), "plan"]


def test_runs_one_in_json() -> None:
    """Inputs and outputs with value, unit and grade; warnings as a list."""
    ran = run("exhaust-back-pressure", "flow=48 lb/min [measured]", "bore=5 in", "--json")
    assert ran.returncode == 0, ran.stderr
    content = json.loads(ran.stdout)
    assert set(content) == {"calculator", "inputs", "outputs", "warnings"}
    assert content["calculator"] == "exhaust-back-pressure"
    assert content["inputs"]["flow"] == {"value": pytest.approx(0.362873896), "unit": "kg/s", "grade": "measured"}
    assert content["inputs"]["bore"]["value"] == pytest.approx(127)
    assert content["outputs"]["back_pressure"]["unit"] == "kPa"
    assert content["outputs"]["back_pressure"]["grade"] == "invented"
    assert content["warnings"] == []
    us = json.loads(run("exhaust-back-pressure", "flow=48", "bore=5", "--json", "--units", "us").stdout)
    ratio = content["outputs"]["back_pressure"]["value"] / us["outputs"]["back_pressure"]["value"]
    assert ratio == pytest.approx(3.386389, rel=1e-6)


def test_a_range_gives_ranges() -> None:
    """A ranged figure carries low and high beside value, and the answer says how they were found."""
    content = json.loads(run("exhaust-back-pressure", "flow=48..60 lb/min", "--json").stdout)
    pressure = content["outputs"]["back_pressure"]
    assert pressure["low"] < pressure["value"] < pressure["high"]
    assert content["enclosure"] == "corners"
    sampled = json.loads(run("exhaust-back-pressure", "bore=3.5..5 in", "--json").stdout)
    assert sampled["enclosure"] == "sampling"


def test_describes_one() -> None:
    """What a program needs to call it: unit, default, low, high, meaning; outputs."""
    content = json.loads(run("exhaust-back-pressure", "--describe", "--json").stdout)
    flow = content["inputs"]["flow"]
    assert {"unit", "default", "low", "high", "meaning"} <= set(flow)
    assert flow["low"] < flow["default"] < flow["high"]
    assert content["outputs"]["back_pressure"]["unit"] == "kPa"
    assert "back-pressure" in run("exhaust-back-pressure", "--describe").stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["exhaust-back-pressure", "flow=5"], ["flow", "'5'", "0.05 to 1.5"]),
        (["exhaust-back-pressure", "flow="], ["flow", "a value is needed", "0.05 to 1.5"]),
        (["exhaust-back-pressure", "flow=nan"], ["flow", "'nan'", "0.05 to 1.5"]),
        (["exhaust-back-pressure", "flow=\n5"], ["flow", "0.05 to 1.5"]),
        (["exhaust-back-pressure", "bore=4 psi"], ["bore", "pressure, not length", "50 to 200"]),
        (["exhaust-back-pressure", "boer=4"], ["boer", "'4'", "did you mean bore"]),
        (["dyno-gain", "sd_before=2 hp"], ["mean_before: given nothing", "belong together"]),
        (["exhaust-back-pressure", "flow"], ["flow", "name=value"]),
        (["exhaust-back-pressure", "flow=1", "flow=1"], ["flow", "twice"]),
        (["exhaust-back-presure"], ["exhaust-back-presure", "did you mean exhaust-back-pressure"]),
        (["exhaust-back-pressure", "flow=1.5", "bore=50 mm"], ["bore", "choke"]),
    ],
)
def test_bad_input_ends_with_status_2_and_one_line(arguments: list[str], words: list[str]) -> None:
    """The line names the input, what was given and what is allowed."""
    ran = run(*arguments)
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert len(ran.stderr.splitlines()) == 1
    for word in words:
        assert word in ran.stderr


def test_a_new_calculator_is_one_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file dropped into the folder is listed and runs; nothing is registered elsewhere."""
    import calc.calculators

    (tmp_path / "hoop_stress.py").write_text(
        """
from __future__ import annotations
from dataclasses import dataclass
from typing import Annotated
from calc.contract import Formula, Output, Quantity, calculator
from calc.provenance import Reference

@dataclass(frozen=True)
class HoopStress:
    stress: Annotated[float, Output(unit="Pa", us="psi", si="MPa", name="Stress", meaning="Hoop stress.")]

@calculator(title="Hoop stress", question="How hard is the pipe stretched?", valid="Thin walls.",
            formulas=(Formula(r"s = p D / (2 t)", "Thin ring.", (), Reference("statics", "Statics")),))
def hoop_stress(
    pressure: Annotated[
        float, Quantity(unit="Pa", us="psi", si="kPa", low=0, high=1e7, name="Pressure", meaning="Inside.")
    ] = 2e5,
) -> HoopStress:
    return HoopStress(pressure * 0.1 / 0.004)
"""
    )
    monkeypatch.setattr(calc.calculators, "__path__", [*calc.calculators.__path__, str(tmp_path)])
    registry.identifiers.cache_clear()
    try:
        assert main(["hoop-stress", "pressure=200 kPa", "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["outputs"]["stress"]["value"] == pytest.approx(5.0)
        assert main([]) == 0
        assert re.search(r"^hoop-stress .*How hard", capsys.readouterr().out, re.MULTILINE)
    finally:
        registry.identifiers.cache_clear()
        sys.modules.pop("calc.calculators.hoop_stress", None)
        registry.calculator.cache_clear()


def test_a_reader_that_closes_early_is_no_error() -> None:
    """`python -m calc ... | head -1` ends quietly."""
    command = f'"{sys.executable}" -S -m calc exhaust-back-pressure --describe | head -1'
    ran = subprocess.run(["sh", "-c", command], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.stdout.strip() == "Exhaust back-pressure"
    assert ran.stderr == ""
