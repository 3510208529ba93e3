"""A calculator on the built page: default answer, live answers, errors, units, links, all against calc run here."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qsl

import pytest
from playwright.sync_api import expect

from calc.present import page_answer
from calc.reading import default_text, input_text, read
from calc.registry import calculator
from tests.browser.conftest import CALCULATOR, READY, TOPIC, Built, Form, Watched


def answer(given: dict[str, str], system: str = "us") -> dict[str, Any]:
    made = page_answer(CALCULATOR, given, system)
    assert made["ok"], made
    return made


def test_the_built_answer_is_the_one_for_the_defaults(quiet: Watched) -> None:
    form = Form(quiet.page)
    for system in ("us", "si"):
        expect(form.slot("back_pressure", system)).to_have_text(answer({})["slots"]["back_pressure"][system])
    form.expect_state("default")


def test_an_answer_follows_what_is_typed(quiet: Watched) -> None:
    form = Form(quiet.page)
    before = form.texts()
    form.input("flow").fill("48")
    form.expect_state("live")
    expected = answer({"flow": "48"})
    for key, text in expected["slots"].items():
        if isinstance(text, dict):
            expect(form.slot(key)).to_have_text(text["us"])
            expect(form.slot(key, "si")).to_have_text(text["si"])
        else:
            expect(form.form.locator(f'[data-slot="{key}"]').first).to_have_text(text)
    assert form.texts() != before
    for key, share in expected["shares"].items():
        drawn = form.form.locator(f'[data-bar="{key}"]').evaluate("bar => bar.style.getPropertyValue('--hr-share')")
        assert math.isclose(float(drawn), share, abs_tol=1e-4)


def test_going_back_to_the_defaults_gives_the_built_answer_again(quiet: Watched) -> None:
    form = Form(quiet.page)
    built = form.texts()
    form.input("flow").fill("48")
    form.expect_state("live")
    assert form.texts() != built
    form.reset.click()
    expect(form.slot("back_pressure")).to_have_text(answer({})["slots"]["back_pressure"]["us"])
    assert form.texts() == built
    expect(quiet.page).to_have_url(re.compile(r"/exhaust-back-pressure/$"))


def test_a_bad_value_is_explained_and_the_last_good_answer_stays(quiet: Watched) -> None:
    form = Form(quiet.page)
    form.input("flow").fill("48")
    form.expect_state("live")
    good = form.texts()
    form.input("flow").fill("48 furlongs")
    form.expect_state("stale")
    problem = page_answer(CALCULATOR, {"flow": "48 furlongs"}, "us")["problems"][0]
    expect(form.error("flow")).to_be_visible()
    expect(form.error("flow")).to_have_text(problem["message"])
    expect(form.input("flow")).to_have_attribute("aria-invalid", "true")
    expect(form.form.locator(".hr-status")).to_contain_text("Not updated")
    expect(form.form.get_by_role("alert")).to_contain_text(problem["message"])
    assert form.texts() == good

    form.form.get_by_role("alert").get_by_role("link").click()
    expect(form.input("flow")).to_be_focused()

    form.input("flow").fill("50")
    form.expect_state("live")
    expect(form.error("flow")).to_be_hidden()
    expect(form.form.locator(".hr-summary")).to_be_hidden()
    expect(form.input("flow")).not_to_have_attribute("aria-invalid", "true")
    expect(form.slot("back_pressure")).to_have_text(answer({"flow": "50"})["slots"]["back_pressure"]["us"])


def test_a_typed_unit_is_said_back(quiet: Watched) -> None:
    form = Form(quiet.page)
    form.input("flow").fill("0.4 kg/s")
    form.expect_state("live")
    item = calculator(CALCULATOR).inputs["flow"]
    understood = input_text(item, read(item, "0.4 kg/s", "us"), "us")
    expect(quiet.page.locator(f"#{CALCULATOR}-flow-understood .hr-us")).to_have_text(understood)
    form.input("flow").fill("50")
    expect(quiet.page.locator(f"#{CALCULATOR}-flow-understood")).to_be_hidden()


def test_the_grade_follows_the_inputs(quiet: Watched) -> None:
    form = Form(quiet.page)
    item = calculator(CALCULATOR)
    given = {
        name: f"{default_text(entry, 'us')} [measured]"
        for name, entry in item.inputs.items()
        if entry.kind.grade == "invented"
    }
    before, after = (answer(texts)["grades"]["back_pressure"] for texts in ({}, given))
    assert before != after, "the case must change the grade, or it shows nothing"
    mark = form.form.locator('[data-grade-of="back_pressure"]').first
    expect(mark).to_have_attribute("data-grade", before["id"])
    for summary in form.form.locator("details:not([open]) > summary").all():
        summary.click()
    for name, text in given.items():
        form.input(name).fill(text)
    expect(mark).to_have_attribute("data-grade", after["id"], timeout=READY)
    expect(mark).to_have_attribute("aria-label", re.compile(after["label"]))
    mark.click()
    note = quiet.page.locator("[popover]:popover-open")
    expect(note).to_contain_text(after["label"])
    expect(note).not_to_contain_text(before["label"])


def test_enter_neither_submits_nor_moves(quiet: Watched) -> None:
    form = Form(quiet.page)
    form.input("flow").fill("48")
    form.input("flow").press("Enter")
    form.expect_state("live")
    expect(form.input("flow")).to_be_focused()
    expect(form.input("flow")).to_have_value("48")


def test_units_switch_there_and_back_without_a_trace(quiet: Watched) -> None:
    page, form = quiet.page, Form(quiet.page)
    form.input("flow").fill("48.37")
    form.input("temperature").fill("480 degC")
    form.expect_state("live")

    def fields() -> list[str]:
        return [field.input_value() for field in form.form.locator("input, select").all()]

    expect(page.locator("figure[data-chart]").first).to_have_attribute("data-state", "live", timeout=READY)

    def lines() -> list[str]:
        # A chart that is drawn again may hold the same marks of its axes in another order, which nobody sees.
        return sorted(page.locator("main").inner_text().splitlines())

    texts, shown = fields(), lines()
    page.get_by_role("button", name="SI", exact=True).click()
    si = answer({"flow": "48.37", "temperature": "480 degC"})
    expect(form.input("flow")).to_have_value(si["inputs"]["flow"]["si"])
    expect(form.input("temperature")).to_have_value("480 degC")
    expect(form.slot("back_pressure", "si")).to_be_visible()
    expect(form.slot("back_pressure", "us")).to_be_hidden()
    expect(form.slot("back_pressure", "si")).to_have_text(si["slots"]["back_pressure"]["si"])
    assert page.locator(".hr-us:visible").count() == 0
    assert fields() != texts

    page.get_by_role("button", name="US", exact=True).click()
    assert fields() == texts
    expect(page.locator("figure[data-chart] svg:visible").first).to_contain_text("lb/min", timeout=READY)
    assert lines() == shown
    assert page.locator(".hr-si:visible").count() == 0


def test_units_switch_while_another_field_is_wrong(quiet: Watched) -> None:
    page, form = quiet.page, Form(quiet.page)
    form.input("temperature").fill("hot")
    form.expect_state("stale")
    form.input("flow").fill("48.37")
    page.get_by_role("button", name="SI", exact=True).click()
    expect(form.input("flow")).to_have_value(answer({"flow": "48.37"})["inputs"]["flow"]["si"])
    expect(form.input("temperature")).to_have_value("hot")


def test_the_unit_system_is_remembered(topic: Watched, site: Built) -> None:
    page = topic.page
    page.get_by_role("button", name="SI", exact=True).click()
    page.goto(site.url)
    expect(page.locator("html")).to_have_attribute("data-units", "si")
    expect(page.get_by_role("button", name="SI", exact=True)).to_have_attribute("aria-pressed", "true")
    page.goto(site.url + TOPIC)
    item = calculator(CALCULATOR).inputs["flow"]
    expect(Form(page).input("flow")).to_have_value(default_text(item, "si"))


def test_a_link_replays_what_was_typed(quiet: Watched, watch: Callable[..., Watched]) -> None:
    form = Form(quiet.page)
    quiet.page.get_by_role("button", name="SI", exact=True).click()
    form.input("flow").fill("0.31..0.35")
    form.expect_state("live")
    expect(quiet.page).to_have_url(re.compile("units=si"))
    start, _, query = quiet.page.url.partition("?")
    assert start.endswith(f"#{CALCULATOR}"), "what a reader types belongs into the fragment, which no server sees"
    assert dict(parse_qsl(query)) == {"flow": "0.31..0.35", "units": "si"}

    other = watch()
    other.page.goto(quiet.page.url)
    replayed = Form(other.page)
    replayed.expect_state("live")
    assert replayed.texts() == form.texts()
    expect(replayed.slot("back_pressure", "si")).to_be_visible()
    assert other.complaints == []


@pytest.mark.parametrize(
    "fragment",
    [
        f"#{CALCULATOR}?flow=%3Cimg%20src%3Dx%20onerror%3D%22window.hit%3D1%22%3E&units=%3Cscript%3E",
        f"#{CALCULATOR}?flow=<img src=x onerror=window.hit=1>&__proto__=x&constructor=y",
        f"#{CALCULATOR}?flow={'9' * 5000}",
        f"#{CALCULATOR}?%E0%A4%A=%&&&==?&flow=%ZZ",
        f"#{CALCULATOR}?",
        "#%E0%A4%A?flow=1",
        "#constructor?flow=1",
        '#"><img src=x onerror=window.hit=1>?flow=1',
    ],
)
def test_a_hostile_link_is_harmless(fragment: str, watch: Callable[..., Watched], site: Built) -> None:
    watched = watch()
    watched.page.goto(site.url + TOPIC + fragment)
    form = Form(watched.page)
    expect(form.reset).to_be_attached()  # the script has run
    if "flow=" in fragment and fragment.startswith(f"#{CALCULATOR}?"):
        form.expect_state("stale")
        expect(form.error("flow")).to_be_visible()
    assert watched.page.locator("img[src=x], form script").count() == 0
    assert watched.page.evaluate("window.hit") is None
    expect(form.slot("back_pressure")).to_have_text(answer({})["slots"]["back_pressure"]["us"])
    assert watched.complaints == []
