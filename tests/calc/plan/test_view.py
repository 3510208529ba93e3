"""An answer as a page shows it: nodes of plain values, drawings as steps, two plans compared, the enquiry."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from calc.plan.answer import plan
from calc.plan.enquiry import ALWAYS, BY_KIND, EXEMPTION, LOAD, enquiry, questions
from calc.plan.nodes import Node
from calc.plan.page import respond
from calc.plan.records import Catalogue
from calc.plan.side_by_side import Side, compared
from calc.plan.steps import ticks
from calc.plan.wording import inside, part
from tests.calc.plan import trade_check

CONTENT = trade_check.catalogue()
SOURCE = json.dumps(CONTENT)
CATALOGUE = Catalogue.read(CONTENT)
GIVEN = {"platform": "trade-check", "use": "daily", "goal": "550 hp"}


def ask(view: str = "whole", **given: str) -> dict[str, Any]:
    return respond(SOURCE, {"view": view, "given": GIVEN | given, "system": "us", "root": "../"})


@pytest.fixture(scope="module")
def whole() -> list[Node]:
    answer = ask()
    assert answer["ok"]
    nodes: list[Node] = answer["nodes"]
    return nodes


@pytest.fixture(scope="module")
def answer() -> dict[str, Any]:
    return plan(CATALOGUE, GIVEN, "us")


def elements(nodes: Any, tag: str = "", **attributes: str) -> Iterator[list[Any]]:
    """Elements of a tag with these attributes, a class among the classes, wherever they stand."""
    for node in nodes:
        if not isinstance(node, list):
            continue
        wanted = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()}
        given = node[1]
        if (not tag or node[0] == tag) and all(
            value in str(given.get(name, "")).split() if name == "class" else given.get(name) == value
            for name, value in wanted.items()
        ):
            yield node
        yield from elements(node[2:], tag, **attributes)


def words(nodes: Any, system: str = "us") -> str:
    found = ""
    for node in nodes:
        if isinstance(node, str):
            found += node
        elif isinstance(node, Mapping):
            found += node[system]
        else:
            found += words(node[2:], system)
    return found.replace("\u00a0", " ")


def test_every_mark_has_its_note_and_every_id_is_single(whole: list[Node]) -> None:
    targets = {mark[1]["popovertarget"] for mark in elements(whole, "button", class_="hr-mark")}
    ids = [node[1]["id"] for node in elements(whole) if "id" in node[1]]
    assert len(ids) == len(set(ids))
    notes = {note[1]["id"] for note in elements(whole, "div", class_="hr-note")}
    assert targets == notes
    assert len(notes) > 5


def test_all_that_is_shown_is_plain_values(whole: list[Node]) -> None:
    assert json.loads(json.dumps(whole)) == whole


def test_the_list_comes_before_all_that_explains_it(whole: list[Node]) -> None:
    text = words(whole)
    places = [text.index(mark) for mark in (
        "costs $", "Together, parts and labour", "Closest to its limit", "No part raises", "Other answers",
        "What gives out first", "Cost against goal", "How it was worked out",
    )]  # fmt: skip
    assert places == sorted(places)
    opened = list(elements(whole, "details", open="open"))
    assert [one[1]["data-kind"] for one in opened] == ["cheapest"], "all but the first plan is folded"


def test_the_plan_that_was_picked_comes_first_and_open() -> None:
    answer = respond(SOURCE, {"view": "whole", "given": GIVEN, "system": "us", "root": "../", "pick": "possible"})
    plans = [one for one in answer["nodes"] if one[0] == "details" and "hr-plan" in one[1].get("class", "")]
    assert plans[0][1]["data-kind"] == "possible"
    assert plans[0][1]["data-picked"] == "true"
    assert answer["state"]["pick"] == "possible"


def test_drawn_steps_stand_for_the_frontier(whole: list[Node], answer: dict[str, Any]) -> None:
    by_goal, by_margin = list(elements(whole, "div", class_="hr-steps-box"))
    for drawing, rows in ((by_goal, answer["frontier"]["goal"]), (by_margin, answer["frontier"]["margin"])):
        steps = list(elements([drawing], "span", class_="hr-steps__step"))
        assert len(steps) == len(rows)
        end = 0.0
        for step in steps:
            style = {name: float(value) for name, value in step[1]["style"].items()}
            assert 0.0 <= style["--hr-low"] <= style["--hr-at"] <= style["--hr-high"] <= 1.0
            assert style["--hr-from"] == pytest.approx(end, abs=1e-4)
            end = style["--hr-to"]
        assert end == pytest.approx(1.0)
    flags = list(elements([by_goal], "span", data_flag="true"))
    assert len(flags) == 1
    assert answer["frontier"]["expensive"]["index"] == list(elements([by_goal], "span", class_="hr-steps__step")).index(
        flags[0]
    )
    assert len(list(elements([by_goal], class_="hr-steps__goal"))) == 1


def test_the_goal_itself_is_a_step_of_the_frontier(answer: dict[str, Any]) -> None:
    goal, cheapest = answer["goal"].value, answer["plans"][0]
    step = next(row for row in answer["frontier"]["goal"] if row["goal"].value >= goal * (1 - 1e-9))
    assert step["modifications"] == cheapest["modifications"]
    assert step["cost"].value == pytest.approx(cheapest["cost"].value)


@pytest.mark.parametrize(("low", "high"), [(344, 620), (0, 0.7), (12, 13), (5, 5), (0, 93000)])
def test_ticks_are_round_and_lie_within(low: float, high: float) -> None:
    found = ticks(low, high)
    assert all(low - 1e-6 <= value <= high + 1e-6 for value in found)
    assert len(found) <= 11
    for value in found:
        assert re.fullmatch(r"[+-]?[\d.]{1,4}(e[+-]\d+)?", f"{value:.3g}")


def test_comparing_the_other_way_round_turns_better_into_worse(answer: dict[str, Any]) -> None:
    def lists(one: str, two: str) -> list[list[str]]:
        nodes = compared((Side(answer, one), Side(answer, two)), CATALOGUE, "../../")
        return [
            [words([line]) for line in elements([half], "li")] for half in next(elements(nodes, class_="hr-better"))[2:]
        ]

    worse, better = lists("cheapest", "most-margin")
    back_worse, back_better = lists("most-margin", "cheapest")
    assert len(worse) == len(back_better)
    assert len(better) == len(back_worse)
    assert any(line.startswith("costs more") for line in worse)
    assert any(line.startswith("costs less") for line in back_better)
    assert any("more room" in line for line in better)
    same_worse, same_better = lists("cheapest", "cheapest")
    assert same_worse == same_better == ["nothing"]


def test_a_plan_that_is_only_possibly_within_limits_is_told_as_worse(answer: dict[str, Any]) -> None:
    nodes = compared((Side(answer, "cheapest"), Side(answer, "possible")), CATALOGUE, "../../")
    worse = next(elements(nodes, class_="hr-better"))[2]
    assert "within its limits: possibly, against certainly" in words([worse])


def test_an_enquiry_holds_the_parts_the_sums_and_the_questions(answer: dict[str, Any]) -> None:
    chosen = answer["plans"][0]
    text = enquiry(answer, chosen, "today.1", "us", towing=True)
    for item in chosen["parts"]:
        assert item["title"] in text
    assert chosen["cost"].text("us").replace("\u00a0", " ") in text
    for question in questions(chosen, towing=True):
        assert question.text in text
    assert "today.1" in text
    assert "\u00a0" not in text


def test_the_questions_go_with_the_parts(answer: dict[str, Any]) -> None:
    chosen = answer["plans"][0]
    asked = questions(chosen, towing=False)
    assert set(ALWAYS) <= set(asked)
    assert LOAD not in asked
    assert EXEMPTION in asked
    kinds = {item["kind"] for item in chosen["parts"]}
    assert {BY_KIND[kind] for kind in kinds if kind in BY_KIND} <= set(asked)
    assert all(question.worry for question in asked)
    neutral = chosen | {"parts": [item for item in chosen["parts"] if item["emission_status"] == "neutral"]}
    assert EXEMPTION not in questions(neutral, towing=False)


def test_titles_inside_a_sentence() -> None:
    assert inside("A third more displacement") == "a third more displacement"
    assert inside("EGT gauge") == "EGT gauge"
    assert inside("Lift pump") == "lift pump"
    several = next(item for item in CATALOGUE.modifications.values() if len(item.options) > 1)
    single = next(item for item in CATALOGUE.modifications.values() if len(item.options) == 1)
    assert part(CATALOGUE, several.options[0]) == f"{inside(several.title)} ({inside(several.options[0].title)})"
    assert part(CATALOGUE, single.options[0]) == inside(single.title)
