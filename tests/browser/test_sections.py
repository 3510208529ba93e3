"""Section drawings on the built page: they follow the fields, fit any width and can be read there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.present import page_answer
from tests.browser.conftest import Built, Form, Watched

PAGES = {
    "engine-balance": "calculators/engine-balance/",
    "before-after": "calculators/before-after/",
    "exhaust-back-pressure": "topics/exhaust-back-pressure/",
    "fuel-supply": "calculators/fuel-supply/",
    "injector-window": "calculators/injector-window/",
    "line-pressure": "calculators/line-pressure/",
}
CHANGES = {"before-after": {"pipe_bore_after": "6"}, "line-pressure": {"available_pressure": "190..200"}}
# All texts of the drawings and of the table by slot, in both unit systems, and the ends of all bars.
READ = """figure => ({
  slots: [...figure.querySelectorAll('[data-slot]')].map(place => [place.dataset.slot, ...['us', 'si'].map(
    system => (place.querySelector(':scope > .hr-' + system) ?? place).textContent)]),
  spans: [...figure.querySelectorAll('[data-span]')].map(bar => [bar.dataset.span, ...['low', 'high'].map(
    end => Number(bar.style.getPropertyValue('--hr-' + end)))]),
})"""
# With a unit system chosen: how wide the page is, how high the smallest letters are that show, and which texts of the
# drawing lie over another one or outside the drawing.
FIT = """(figure, system) => {
  document.documentElement.dataset.units = system;
  const found = { width: document.documentElement.scrollWidth, letters: Infinity, clashes: [] };
  for (const drawing of figure.querySelectorAll('svg.hr-draw')) {
    const frame = drawing.getBoundingClientRect();
    if (!frame.width) continue;
    const texts = [...drawing.querySelectorAll('text')];
    for (const text of texts) {
      found.letters = Math.min(found.letters, parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a);
    }
    const boxes = texts.map(text => [text.textContent, text.getBoundingClientRect()]);
    const out = boxes.filter(([, box]) => box.left < frame.left - 1 || box.right > frame.right + 1
      || box.top < frame.top - 1 || box.bottom > frame.bottom + 1);
    const over = boxes.filter(([, a], i) => boxes.slice(i + 1).some(([, b]) =>
      Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1
      && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 0.35 * Math.min(a.height, b.height)));
    found.clashes.push(...[...out, ...over].map(([text]) => text));
  }
  return found;
}"""


def figure(page: Page, identifier: str) -> Any:
    return page.locator(f'.hr-section[data-follows="{identifier}"]')


@pytest.fixture
def silent(watch: Callable[..., Watched]) -> Iterator[Callable[..., Watched]]:
    """As `watch`; the test fails if the console showed an error or a warning."""
    made: list[Watched] = []

    def make(**options: Any) -> Watched:
        made.append(watch(**options))
        return made[-1]

    yield make
    assert [complaint for one in made for complaint in one.complaints] == []


def expected_slot(answer: dict[str, Any], key: str) -> list[str]:
    if key.startswith("given."):
        given = answer["inputs"][key.removeprefix("given.")]
        return [given["understood_us"], given["understood_si"]]
    slot = answer["slots"][key]
    return [slot, slot] if isinstance(slot, str) else [slot["us"], slot["si"]]


def test_the_drawing_follows_what_is_typed(silent: Callable[..., Watched], site: Built) -> None:
    """Each number and bar of each drawing is that of calc run here, in both unit systems; so is the table's."""
    page = silent().page
    for identifier, given in CHANGES.items():
        page.goto(site.url + PAGES[identifier])
        form, drawing = Form(page, identifier), figure(page, identifier)
        before = drawing.evaluate(READ)
        for name, text in given.items():
            form.input(name).fill(text)
        form.expect_state("live")
        answer = page_answer(identifier, given, "us")
        after = drawing.evaluate(READ)
        assert after["slots"] != before["slots"], identifier
        assert after["spans"] != before["spans"], identifier
        for key, *texts in after["slots"]:
            assert texts == expected_slot(answer, key), (identifier, key)
        for key, *ends in after["spans"]:
            assert ends == pytest.approx(answer["spans"][key], abs=1e-4), (identifier, key)
        if identifier == "before-after":
            before_wide, after_wide = (
                drawing.locator(f'[data-span="{key}.pipe_bore"]').evaluate(
                    """pipe => pipe.children[0].getBoundingClientRect().left
                       - pipe.children[1].getBoundingClientRect().right"""
                )
                for key in ("before", "after")
            )
            assert after_wide / before_wide == pytest.approx(6 / 4, abs=0.02)


def test_a_drawing_that_fell_behind_says_so(silent: Callable[..., Watched], site: Built) -> None:
    """While a field cannot be read the last good numbers stay, and the drawing tells; with the next answer it stops."""
    page = silent().page
    page.goto(site.url + PAGES["line-pressure"])
    form, drawing = Form(page, "line-pressure"), figure(page, "line-pressure")
    behind = drawing.locator("[data-behind]")
    expect(behind).to_be_hidden()
    built = drawing.evaluate(READ)
    form.input("available_pressure").fill("200 furlongs")
    form.expect_state("stale")
    expect(behind).to_be_visible()
    assert drawing.evaluate(READ) == built
    form.input("available_pressure").fill("200")
    form.expect_state("live")
    expect(behind).to_be_hidden()
    assert drawing.evaluate(READ) != built


def test_bars_are_drawn_as_long_as_they_say(silent: Callable[..., Watched], site: Built) -> None:
    """The pixels of a bar over those of its frame are its share, across and upright."""
    page = silent().page
    page.goto(site.url + PAGES["engine-balance"])
    form, drawing = Form(page, "engine-balance"), figure(page, "engine-balance")
    form.input("power_goal").fill("380")
    form.expect_state("live")
    spans = page_answer("engine-balance", {"power_goal": "380"}, "us")["spans"]
    for width, side in ((1280, "height"), (390, "width")):
        page.set_viewport_size({"width": width, "height": 800})
        found = drawing.evaluate(
            """(figure, side) => [...figure.querySelectorAll('.hr-span[data-span]')].filter(
                 bar => bar.getClientRects().length).map(bar => [bar.dataset.span, ...['low', 'frame'].map(
                 part => bar.querySelector('.hr-span__' + part).getBBox()[side])])""",
            side,
        )
        assert len(found) == 26
        for key, low, frame in found:
            assert low / frame == pytest.approx(spans[key][0], abs=0.002), (key, width)


def test_it_fits_and_can_be_read(silent: Callable[..., Watched], site: Built) -> None:
    """No sideways scrolling, no letters under 9 pixels (10 on a phone), no text over another, in both unit systems."""
    page = silent(reduced_motion="reduce").page
    for identifier, path in PAGES.items():
        page.goto(site.url + path)
        drawing = figure(page, identifier)
        for width in (320, 390, 768, 1280):
            page.set_viewport_size({"width": width, "height": 800})
            for system in ("us", "si"):
                found = drawing.evaluate(FIT, system)
                assert found["width"] <= width, (identifier, system)
                assert found["letters"] >= (10 if width < 700 else 9), (identifier, width)
                assert found["letters"] < 30, "nothing was measured"
                assert found["clashes"] == [], (identifier, width, system)


def test_before_and_after_stand_side_by_side_where_there_is_room(silent: Callable[..., Watched], site: Built) -> None:
    places = {}
    for width in (1280, 390):
        page = silent(viewport={"width": width, "height": 800}).page
        page.goto(site.url + PAGES["before-after"])
        boxes = [view.bounding_box() for view in figure(page, "before-after").locator(".hr-section__view").all()]
        places[width] = [(round(box["x"]), round(box["y"])) for box in boxes if box]
    (left, top), (right, same) = places[1280]
    assert top == same
    assert left < right
    (left, above), (same, below) = places[390]
    assert left == same
    assert above < below


def test_without_a_script_one_unit_system_shows(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(java_script_enabled=False).page
    page.goto(site.url + PAGES["engine-balance"])
    drawing = figure(page, "engine-balance")
    slot = page_answer("engine-balance", {}, "us")["slots"]["path.turbine_inlet_gauge"]
    place = drawing.locator('svg:visible [data-slot="path.turbine_inlet_gauge"]').first
    expect(place.locator(".hr-us")).to_be_visible()
    expect(place.locator(".hr-us")).to_have_text(slot["us"])
    expect(place.locator(".hr-si")).to_be_hidden()
    expect(drawing.get_by_role("img", name="Section along the gas path")).to_be_visible()
