"""Charts follow the fields of a calculator: the numbers of calc run here, loaded at the first change, no sooner."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Locator, Page, Route, expect

from calc.curves import page_curves
from calc.present import page_answer
from tests.browser.conftest import CALCULATOR, READY, TOPIC, Built, Form, Watched


def charts(given: dict[str, str], system: str = "us", shown: str = "", calculator: str = CALCULATOR) -> Any:
    """What the charts of a calculator must show in the units `shown` for texts typed in `system`."""
    assert shown in ("", system) or not given, "texts without a unit mean something else in the other system"
    return page_curves(calculator, given, shown or system)


class Chart:
    """One chart of a calculator on a page."""

    def __init__(self, page: Page, calculator: str = CALCULATOR, number: int = 0) -> None:
        self.box = page.locator(".hr-calc-box", has=page.locator(f'form[data-calculator="{calculator}"]')).first
        self.figure = self.box.locator(f'figure[data-chart="{number}"]')

    @property
    def image(self) -> Locator:
        """What a screen reader meets as the image."""
        return self.figure.locator("[role=img]:visible")

    def texts(self) -> list[str]:
        """The texts drawn in the picture that shows, in no order."""
        return sorted(text for text in self.figure.locator("svg:visible text").all_text_contents() if text)

    def dashes(self) -> list[str]:
        """The dash patterns of the lines, as a list for each."""
        strokes = self.figure.locator('svg:visible path[stroke="var(--hr-accent)"]').all()
        return [(stroke.get_attribute("stroke-dasharray") or "").replace(" ", "") for stroke in strokes]

    def cells(self, system: str) -> list[list[str]]:
        """The texts of the table, row by row, in one unit system; the first row is the head."""
        rows: list[list[str]] = self.figure.locator("table").evaluate(
            """(table, system) => [...table.rows].map(row => [...row.cells].map(
                 cell => (cell.querySelector(`.hr-${system}`) ?? cell).textContent))""",
            system,
        )
        return rows

    def expect_live(self, expected: dict[str, Any]) -> None:
        """Wait until the chart shows this."""
        expect(self.figure).to_have_attribute("data-state", "live", timeout=READY)
        expect(self.image).to_have_attribute("aria-label", f"Chart: {expected['title']}. {expected['says']}")


def table(expected: dict[str, Any]) -> list[list[str]]:
    return [expected["table"]["head"], *expected["table"]["rows"]]


def chart_requests(watched: Watched) -> list[str]:
    paths = [urlsplit(url).path for url in watched.requests]
    return [path for path in paths if "/assets/charts" in path]


def test_the_built_chart_holds_the_defaults(quiet: Watched) -> None:
    chart = Chart(quiet.page)
    for system in ("us", "si"):
        quiet.page.get_by_role("button", name=system.upper(), exact=True).click()
        (expected,) = charts({}, system)
        expect(chart.image).to_have_attribute("aria-label", f"Chart: {expected['title']}. {expected['says']}")
        assert {expected["x"], expected["y"], *expected["table"]["head"][1:]} <= set(chart.texts())
        assert chart.cells(system) == table(expected)
    expect(chart.figure.locator("figcaption")).to_contain_text("at their defaults")


def test_a_chart_follows_what_is_typed(quiet: Watched) -> None:
    form, chart = Form(quiet.page), Chart(quiet.page)
    built, lines = chart.texts(), chart.dashes()
    assert len(set(lines)) == len(lines) == 3
    form.input("bore").fill("3")
    form.input("flow").fill("48")
    (expected,) = charts({"bore": "3", "flow": "48"})
    chart.expect_live(expected)
    assert chart.cells("us") == table(expected)
    texts = chart.texts()
    assert {expected["x"], expected["y"], *expected["table"]["head"][1:]} <= set(texts)
    assert texts != built
    assert chart.dashes() == lines
    expect(chart.figure.locator("figcaption")).not_to_contain_text("default")
    (point,) = expected["here"]
    assert point["series"] == "3\u00a0in"
    answered = page_answer(CALCULATOR, {"bore": "3", "flow": "48"}, "us")["slots"]["back_pressure"]["us"]
    assert answered in expected["says"]


def test_back_at_the_defaults_the_page_draws_what_the_build_drew(quiet: Watched) -> None:
    form, chart = Form(quiet.page), Chart(quiet.page)
    built = chart.texts(), chart.dashes(), chart.cells("us"), chart.cells("si")
    form.input("flow").fill("48")
    chart.expect_live(charts({"flow": "48"})[0])
    form.reset.click()
    chart.expect_live(charts({})[0])
    assert (chart.texts(), chart.dashes(), chart.cells("us"), chart.cells("si")) == built


def test_a_chart_follows_the_unit_system(quiet: Watched) -> None:
    page, form, chart = quiet.page, Form(quiet.page), Chart(quiet.page)
    form.input("bore").fill("100 mm")
    (us,), (si,) = (charts({"bore": "100 mm"}, system) for system in ("us", "si"))
    chart.expect_live(us)
    for button, system, expected in (("SI", "si", si), ("US", "us", us)):
        page.get_by_role("button", name=button, exact=True).click()
        chart.expect_live(expected)
        assert {expected["x"], expected["y"], *expected["table"]["head"][1:]} <= set(chart.texts())
        assert chart.cells(system) == table(expected)
        expect(chart.figure.locator("svg:visible")).to_have_count(1)


def test_a_chart_stays_while_what_is_typed_cannot_be_used(quiet: Watched) -> None:
    form, chart = Form(quiet.page), Chart(quiet.page)
    form.input("bore").fill("3")
    (good,) = charts({"bore": "3"})
    chart.expect_live(good)
    form.input("bore").fill("3 furlongs")
    expect(chart.figure).to_have_attribute("data-state", "stale")
    expect(chart.figure.locator("figcaption")).to_contain_text("last good answer")
    assert chart.cells("us") == table(good)
    form.input("bore").fill("5")
    chart.expect_live(charts({"bore": "5"})[0])


def test_the_newest_of_many_is_drawn(quiet: Watched) -> None:
    form, chart = Form(quiet.page), Chart(quiet.page)
    form.input("flow").fill("48")
    form.expect_state("live")
    form.input("flow").fill("")
    form.input("flow").press_sequentially("57.25", delay=15)
    (expected,) = charts({"flow": "57.25"})
    chart.expect_live(expected)
    assert chart.cells("us") == table(expected)


def test_a_chart_without_a_point_says_so(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch()
    page = watched.page
    page.goto(site.url + "calculators/drive-pressure/")
    form = Form(page, "drive-pressure")
    given = {"compressor_pressure_ratio": "1"}
    first, second = charts(given, calculator="drive-pressure")
    assert first["rows"]
    assert not second["rows"]
    form.input("compressor_pressure_ratio").fill("1")
    Chart(page, "drive-pressure").expect_live(first)
    empty = Chart(page, "drive-pressure", 1)
    expect(empty.figure).to_contain_text("No point of this chart can be computed")
    expect(empty.figure.locator("svg")).to_have_count(0)
    expect(empty.image).to_have_count(0)
    expect(empty.figure.locator("details")).to_be_hidden()
    form.input("compressor_pressure_ratio").fill("3")
    again = charts({"compressor_pressure_ratio": "3"}, calculator="drive-pressure")[1]
    empty.expect_live(again)
    expect(empty.figure.locator("svg")).to_have_count(1)
    assert empty.cells("us") == table(again)
    assert watched.complaints == []


def test_not_a_byte_of_charts_before_a_change(quiet: Watched) -> None:
    page, form, chart = quiet.page, Form(quiet.page), Chart(quiet.page)
    page.wait_for_load_state("networkidle")
    page.get_by_role("button", name="SI", exact=True).click()
    form.input("flow").focus()
    form.expect_state("live")
    page.wait_for_load_state("networkidle")
    assert chart_requests(quiet) == []
    form.input("bore").fill("90")
    chart.expect_live(charts({"bore": "90"}, "si")[0])
    asked = [path.rpartition("/")[2] for path in chart_requests(quiet)]
    assert len(asked) == len(set(asked)) == 3
    assert any(re.fullmatch(r"vega-[0-9a-f]{12}\.js", name) for name in asked)


def test_numbers_do_not_wait_for_what_draws(topic: Watched) -> None:
    page, form, chart = topic.page, Form(topic.page), Chart(topic.page)
    held: list[Route] = []
    page.context.route("**/assets/charts/vega-*.js", lambda route: held.append(route))
    built = chart.texts()
    form.input("bore").fill("3")
    with page.expect_request("**/assets/charts/vega-*.js"):
        form.expect_state("live")
    answered = page_answer(CALCULATOR, {"bore": "3"}, "us")["slots"]["back_pressure"]["us"]
    expect(form.slot("back_pressure")).to_have_text(answered)
    expect(chart.figure.locator("figcaption")).to_contain_text("at their defaults")
    assert chart.texts() == built
    form.input("bore").fill("3.25")
    while not held:
        page.wait_for_event("request")
    held[0].continue_()
    chart.expect_live(charts({"bore": "3.25"})[0])


def test_without_what_draws_the_built_chart_stays_and_says_so(topic: Watched) -> None:
    page, form, chart = topic.page, Form(topic.page), Chart(topic.page)
    page.context.route("**/assets/charts/manifest.json", lambda route: route.abort())
    built = chart.texts(), chart.cells("us")
    form.input("bore").fill("3")
    form.expect_state("live")
    expect(chart.figure).to_have_attribute("data-state", "failed")
    expect(chart.figure.locator("figcaption")).to_contain_text("at their defaults. It could not be drawn")
    assert (chart.texts(), chart.cells("us")) == built
    page.context.unroute("**/assets/charts/manifest.json")
    form.input("bore").fill("3.25")
    chart.expect_live(charts({"bore": "3.25"})[0])


def test_a_chart_keeps_its_colours_in_the_dark(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(color_scheme="dark")
    page = watched.page
    page.goto(site.url + TOPIC)
    form, chart = Form(page), Chart(page)
    line = chart.figure.locator('svg:visible path[stroke="var(--hr-accent)"]').first
    letters = chart.figure.locator("svg:visible text").first

    def colours() -> tuple[str, str]:
        return (
            line.evaluate("line => getComputedStyle(line).stroke"),
            letters.evaluate("letters => getComputedStyle(letters).fill"),
        )

    built = colours()
    form.input("bore").fill("3")
    chart.expect_live(charts({"bore": "3"})[0])
    assert colours() == built
    page.emulate_media(color_scheme="light")
    expect(line).not_to_have_css("stroke", built[0])
    assert colours()[1] != built[1]
    assert watched.complaints == []


def test_a_chart_fits_a_narrow_page(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(viewport={"width": 320, "height": 640})
    page = watched.page
    page.goto(site.url + TOPIC)
    form, chart = Form(page), Chart(page)
    built = chart.figure.locator("svg:visible").get_attribute("viewBox")
    form.input("bore").fill("3")
    chart.expect_live(charts({"bore": "3"})[0])
    chart.figure.locator("summary").click()
    expect(chart.figure.locator("table")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    drawn = chart.figure.locator("svg:visible").get_attribute("viewBox")
    assert built
    assert drawn
    assert abs(float(drawn.split()[2]) - float(built.split()[2])) < 40, "the narrow drawing is drawn again as such"
    page.set_viewport_size({"width": 1200, "height": 640})
    expect(chart.figure.locator("svg:visible")).not_to_have_attribute("viewBox", drawn)
    chart.expect_live(charts({"bore": "3"})[0])
    assert watched.complaints == []


def test_a_policy_without_eval_is_enough(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch()
    page = watched.page

    def strict(route: Route) -> None:
        response = route.fetch()
        policy = "script-src 'self' 'unsafe-inline'; style-src 'self'; worker-src 'self'; connect-src 'self'"
        route.fulfill(response=response, headers={**response.headers, "content-security-policy": policy})

    page.route(site.url + TOPIC, strict)
    page.goto(site.url + TOPIC)
    assert page.evaluate("document.querySelector('[data-chart]') !== null")
    before = len(watched.complaints)
    Form(page).input("bore").fill("3")
    Chart(page).expect_live(charts({"bore": "3"})[0])
    assert watched.complaints[before:] == []
