"""The answer says what stands behind it: shares, states, sentences, doubt, and what was left out."""

from __future__ import annotations

import copy
import itertools
import json
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from calc.plan.answer import page_plan
from calc.plan.answer import plan as solve
from calc.plan.question import understand
from calc.plan.records import Catalogue, CatalogueError
from calc.plan.shown import as_json
from calc.reading import BadInput
from tests.calc.plan import trade_check

ROOT = Path(__file__).resolve().parents[3]
CONTENT = trade_check.catalogue()
CATALOGUE = Catalogue.read(CONTENT)


def json_plan(catalogue: Catalogue, given: Mapping[str, str], system: str = "si") -> dict[str, Any]:
    """What the terminal prints with `--json`."""
    found: dict[str, Any] = as_json(solve(catalogue, given, system), system)
    return found


def answer(**given: str) -> dict[str, Any]:
    return json_plan(CATALOGUE, {"platform": "trade-check", "use": "daily", "goal": "550 hp"} | given, "us")


@pytest.fixture(scope="module")
def plain() -> dict[str, Any]:
    return answer()


def by_kind(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {plan["kind"]: plan for plan in found["plans"]}


def test_every_plan_lists_parts_cost_labour_limits_and_operating_point(plain: dict[str, Any]) -> None:
    assert set(by_kind(plain)) == {"cheapest", "most-margin", "runner-up", "possible"}
    for plan in plain["plans"]:
        assert [part["id"] for part in plan["parts"]] == plan["modifications"]
        assert plan["cost"]["low"] <= plan["cost"]["value"] <= plan["cost"]["high"]
        assert plan["cost"]["unit"] == "money"
        assert plan["labour"]["unit"] == "h"
        assert {"boost", "drive_ratio", "egt", "lambda"} <= set(plan["operating_point"])
        for limit in plan["limits"]:
            assert limit["state"] in ("clear", "doubtful", "beyond")
            assert limit["pattern"] in ("plain", "hatched", "crossed")
            assert limit["share"]["low"] <= limit["share"]["value"] <= limit["share"]["high"]
        for part in plan["parts"]:
            assert part["why"].endswith(".")


def test_parts_come_in_their_order_of_fitting(plain: dict[str, Any]) -> None:
    order = list(trade_check.MODIFICATIONS)
    for plan in plain["plans"]:
        places = [order.index(one.partition(".")[0]) for one in plan["modifications"]]
        assert places == sorted(places)


def test_cost_is_parts_and_hours_at_the_rate() -> None:
    plan = by_kind(answer(labour_rate="100"))["cheapest"]
    assert plan["cost"]["value"] == pytest.approx(plan["parts_cost"]["value"] + 100 * plan["labour"]["value"])
    assert plan["cost"]["low"] == pytest.approx(plan["parts_cost"]["low"] + 100 * plan["labour"]["low"])
    assert plan["cost"]["high"] == pytest.approx(plan["parts_cost"]["high"] + 100 * plan["labour"]["high"])


def test_the_states_are_what_the_shares_say(plain: dict[str, Any]) -> None:
    seen = set()
    for limits in (plain["at_goal"]["limits"], *(plan["limits"] for plan in plain["plans"])):
        for limit in limits:
            low, high = limit["share"]["low"], limit["share"]["high"]
            state = "clear" if high <= 1.0000001 else "beyond" if low > 1.0000001 else "doubtful"
            assert limit["state"] == state
            seen.add(state)
    assert seen == {"clear", "doubtful", "beyond"}


def test_each_part_of_the_cheapest_set_is_there_for_a_reason(plain: dict[str, Any]) -> None:
    for part in by_kind(plain)["cheapest"]["parts"]:
        assert re.match(r"Without it|.* needs it\.", part["why"]), part


def test_certainly_possibly_and_certainly_not() -> None:
    assert answer()["certainty"] == "certainly"
    assert by_kind(answer())["possible"]["certainty"] == "possibly"
    assert answer(goal="640 hp")["certainty"] == "possibly"
    assert answer(goal="900 hp")["certainty"] == "certainly not"


def test_a_goal_out_of_reach_names_the_highest_and_what_stands_in_the_way() -> None:
    found = answer(goal="700 hp")
    assert not found["reached"]
    assert by_kind(found)["highest"]["goal"]["value"] == pytest.approx(found["highest"]["value"])
    assert 580 < found["highest"]["value"] < 700
    assert found["in_the_way"]
    for one in found["in_the_way"]:
        assert one["part"] in one["sentence"]


def test_the_dearest_step_is_marked_and_explained(plain: dict[str, Any]) -> None:
    steps, dearest = plain["frontier"]["goal"], plain["frontier"]["expensive"]
    jumps = [after["cost"]["value"] - before["cost"]["value"] for before, after in itertools.pairwise(steps)]
    assert dearest["index"] == jumps.index(max(jumps)) + 1
    assert dearest["jump"]["value"] == pytest.approx(max(jumps))
    assert dearest["added"]
    assert dearest["limits"]


def test_too_close_to_call_names_a_measurement(plain: dict[str, Any]) -> None:
    kinds = {one["what"] for one in plain["too_close"]}
    assert "first-to-give-out" in kinds
    for one in plain["too_close"]:
        assert one["measurement"] in one["sentence"]


def test_clear_leaders_are_not_called_too_close() -> None:
    content = copy.deepcopy(CONTENT)
    for part in ("converter", "injectors", "turbocharger", "charge-cooler"):
        content["platforms"]["trade-check"]["limits"][part]["wheel_power"] = trade_check.f(700, "hp", 800)
    content["platforms"]["trade-check"]["turbocharger"]["compressor_flow_limit"] = trade_check.f(110, "lb/min", 115)
    content["platforms"]["trade-check"]["fuel_system"]["hole_diameter"] = trade_check.f(200, "um")
    found = json_plan(Catalogue.read(content), {"goal": "450 hp"}, "us")
    assert found["standard"]["first"] == "transmission"
    assert "first-to-give-out" not in {one["what"] for one in found["too_close"]}


def test_do_nothing_and_maintain_first_are_always_there() -> None:
    for goal in ("420 hp", "550 hp", "900 hp"):
        found = answer(goal=goal)
        assert found["do_nothing"]["modifications"] == []
        assert found["do_nothing"]["cost"]["value"] == 0
        assert len(found["maintain_first"]["steps"]) >= 3


def test_a_budget_bounds_the_set_with_most_margin() -> None:
    plans = by_kind(answer())
    rich, budget = (
        plans["most-margin"],
        0.5 * (plans["cheapest"]["cost"]["value"] + plans["most-margin"]["cost"]["value"]),
    )
    poor = by_kind(answer(budget=f"{budget:.0f}"))["most-margin"]
    assert poor["cost"]["value"] <= budget < rich["cost"]["value"]
    assert "most-margin" not in by_kind(answer(budget="100"))

    def least_spare(plan: dict[str, Any]) -> float:
        return max(limit["share"]["high"] for limit in plan["limits"] if limit["limit"] not in ("smoke", "calibration"))

    assert least_spare(rich) < least_spare(poor)


def test_label_ratings_are_a_stop_and_no_input() -> None:
    with pytest.raises(BadInput, match="label is a stop, not an input"):
        answer(gvwr="14000 lb")
    assert {stop["rating"] for stop in answer()["stops"]} == {
        "gross_vehicle_weight",
        "gross_combination_weight",
        "tow_rating",
    }
    content = copy.deepcopy(CONTENT)
    content["uses"]["towing"]["load"]["combined_mass"] = trade_check.f(31000, "lb")
    found = json_plan(Catalogue.read(content), {"use": "towing", "goal": "450 hp"}, "us")
    assert found["plans"] == []
    assert "label" in found["summary"]


def test_what_is_fitted_costs_nothing_and_what_is_refused_is_not_bought() -> None:
    found = answer(fitted="converter.multi-disc, gauges", refused="horn")
    for plan in found["plans"]:
        assert not {"converter.multi-disc", "gauges.pair", "horn.wide"} & set(plan["modifications"])
    assert by_kind(found)["cheapest"]["cost"]["value"] < by_kind(answer())["cheapest"]["cost"]["value"]
    assert any(one["id"] == "horn.wide" and "refused" in one["why"] for one in found["left_out"])


def test_without_an_exemption_nothing_that_needs_one_is_chosen() -> None:
    found = answer(exempt="no")
    assert not found["reached"]
    assert {one["id"].partition(".")[0] for one in found["left_out"]} == {"recalibration", "intake", "turbocharger"}


def test_a_torque_goal_goes_with_a_power() -> None:
    found = answer(goal="1300 lbf.ft")
    assert 500 < found["goal"]["value"] < 600
    assert "flywheel" in found["inputs"]["goal"]["note"]
    assert found["inputs"]["goal"]["understood"].startswith("1,300\u00a0lbf·ft")


def test_not_knowing_takes_a_marked_default() -> None:
    found = json_plan(CATALOGUE, {"platform": "?", "use": "I don't know", "goal": ""}, "us")
    for name in ("platform", "use", "goal", "height", "temperature", "labour_rate", "exempt"):
        assert found["inputs"][name]["default"], name
    assert found["goal"]["value"] == pytest.approx(500)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"platform": "trade-chekc"}, "did you mean trade-check"),
        ({"use": "dayly"}, "did you mean daily"),
        ({"fitted": "gauge"}, "did you mean gauges"),
        ({"refused": "turbo"}, "did you mean turbocharger"),
        ({"goal": "9000 hp"}, "out of range"),
        ({"goal": "500 kPa"}, "measures pressure"),
        ({"goal": "480..520 hp"}, "not a range"),
        ({"height": "9 km"}, "out of range"),
        ({"gaol": "480 hp"}, "did you mean goal"),
        ({"exempt": "maybe"}, "no such answer"),
        ({"fitted": "exhaust.five, exhaust.quiet-five"}, "named twice"),
        ({"fitted": "gauges.pair", "refused": "gauges.pair"}, "named as fitted"),
        ({"platform": "trade-check/long-axle"}, "no such id"),
        ({"samples": "1.5"}, "whole number"),
    ],
)
def test_what_cannot_be_used_is_refused_by_name(given: dict[str, str], says: str) -> None:
    with pytest.raises(BadInput, match=re.escape(says)) as refused:
        understand(CATALOGUE, given)
    assert refused.value.problems[0].name == next(reversed(given))
    assert refused.value.problems[0].allowed


def test_the_sampled_likelihood_names_its_samples_and_is_repeatable() -> None:
    first, again = answer(samples="300"), answer(samples="300")
    plan = by_kind(first)["possible"]
    assert plan["likelihood"]["samples"] == 300
    assert "300" in plan["likelihood"]["sentence"]
    assert 0.0 < plan["likelihood"]["share"] < 1.0
    assert by_kind(first)["cheapest"]["likelihood"]["share"] == 1.0
    assert first["plans"] == again["plans"]
    assert by_kind(answer())["cheapest"]["likelihood"] is None


def test_an_uncertain_gas_path_is_solved_at_its_corners_and_in_every_sample() -> None:
    content = copy.deepcopy(CONTENT)
    content["platforms"]["trade-check"]["engine"]["heat_loss_fraction"] = trade_check.f(0.17, "1", 0.20)
    content["modifications"]["recalibration"]["options"]["full"]["changes"] = [
        trade_check.change("engine.lambda_full_load", "set", trade_check.f(1.30, "1", 1.42))
    ]
    catalogue = Catalogue.read(content)
    found = json_plan(catalogue, {"use": "competition", "goal": "520 hp", "samples": "40"}, "us")
    plan = found["plans"][0]
    hot = next(limit for limit in plan["limits"] if limit["limit"] == "exhaust-temperature")
    assert hot["asked"]["high"] - hot["asked"]["low"] > 50
    assert plan["likelihood"]["samples"] == 40


def texts(item: Any) -> Iterator[str]:
    if isinstance(item, str):
        yield item
    elif isinstance(item, dict):
        for inner in item.values():
            yield from texts(inner)
    elif isinstance(item, list):
        for inner in item:
            yield from texts(inner)


def test_a_page_gets_every_text_in_both_unit_systems() -> None:
    found = page_plan(json.dumps(CONTENT), {"goal": "550 hp", "use": "daily"}, "us")
    assert found["ok"]
    cost = found["plans"][0]["cost"]
    assert cost["us"] == cost["si"]
    goal = found["goal"]
    assert (goal["us"], goal["si"]) == ("550\u00a0hp", "410\u00a0kW")
    json.dumps(found, allow_nan=False)
    for said in texts(found):
        assert "inf" not in said.split()
        assert "nan" not in said.split()
        assert not re.search(r"\.\.$|  ", said), said


def test_a_page_gets_problems_by_input() -> None:
    found = page_plan(CONTENT, {"goal": "x", "use": "daily"}, "us")
    assert not found["ok"]
    assert [problem["input"] for problem in found["problems"]] == ["goal"]
    assert set(found["problems"][0]) == {"input", "given", "allowed", "message"}
    broken = page_plan("{", {}, "us")
    assert broken["problems"][0]["input"] == "catalogue"


def test_progress_rises_and_a_newer_question_cancels() -> None:
    shares: list[float] = []
    page_plan(CONTENT, {"goal": "520 hp"}, "us", progress=lambda share, _: shares.append(share))
    assert shares == sorted(shares)
    assert len(shares) >= 4
    asked = 0

    def cancelled() -> bool:
        nonlocal asked
        asked += 1
        return asked > 20

    found = page_plan(CONTENT, {"goal": "520 hp"}, "us", cancelled=cancelled)
    assert found == {"ok": False, "cancelled": True, "problems": []}
    assert asked == 21


def test_a_broken_catalogue_is_named() -> None:
    for broken in ({}, {"version": 2}, {**CONTENT, "practice": {}}):
        with pytest.raises(CatalogueError):
            json_plan(Catalogue.read(broken), {"goal": "500 hp"})


def run(*arguments: str, catalogue: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "calc", "plan", *arguments, "--catalogue", str(catalogue)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def test_the_terminal_answers_in_json_and_in_words(tmp_path: Path) -> None:
    place = tmp_path / "catalogue.json"
    place.write_text(json.dumps(CONTENT), encoding="utf-8")
    given = ("platform=trade-check", "use=towing", "goal=480 hp", "height=5000 ft", "fitted=gauges,intake.open")
    ran = run(*given, "--json", catalogue=place)
    assert ran.returncode == 0, ran.stderr
    found = json.loads(ran.stdout)
    assert {"modifications", "cost", "labour", "limits", "operating_point"} <= set(found["plans"][0])
    words = run(*given, "samples=50", catalogue=place)
    assert words.returncode == 0, words.stderr
    assert "Closest to its limit" in words.stdout


@pytest.mark.parametrize("argument", ["platform=nothing", "goal=many", "goal", "gvwr=9", "fitted=none at all"])
def test_bad_input_ends_with_two_and_one_line(tmp_path: Path, argument: str) -> None:
    place = tmp_path / "catalogue.json"
    place.write_text(json.dumps(CONTENT), encoding="utf-8")
    ran = run(argument, catalogue=place)
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert len(ran.stderr.splitlines()) == 1
    assert "allowed" in ran.stderr


def test_a_missing_catalogue_says_what_makes_it(tmp_path: Path) -> None:
    ran = run("goal=480 hp", catalogue=tmp_path / "none.json")
    assert ran.returncode == 2
    assert "python3 -m build_scripts build" in ran.stderr
    assert len(ran.stderr.splitlines()) == 1
