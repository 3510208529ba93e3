"""Every reader reaches the same: by keys alone, by touch, without a script, on a narrow screen."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

from calc.present import page_answer
from calc.registry import calculator
from tests.browser.conftest import CALCULATOR, TOPIC, Built, Form, Watched

MARK = "button.hr-mark[popovertarget]"


def tab_until(page: Page, selector: str, most: int = 120) -> None:
    """Press Tab until an element that fits has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("selector => document.activeElement.matches(selector)", selector):
            return
    raise AssertionError(f"{most} times Tab did not reach {selector}")


def open_notes(page: Page) -> int:
    return page.locator("[popover]:popover-open").count()


def test_keys_alone(quiet: Watched) -> None:
    page, form = quiet.page, Form(quiet.page)
    tab_until(page, f"#{CALCULATOR}-flow")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    page.keyboard.press("Control+A")
    page.keyboard.type("48")
    form.expect_state("live")
    expect(form.slot("back_pressure")).to_have_text(
        page_answer(CALCULATOR, {"flow": "48"}, "us")["slots"]["back_pressure"]["us"]
    )

    tab_until(page, MARK)
    target = page.evaluate("document.activeElement.getAttribute('popovertarget')")
    page.keyboard.press("Enter")
    expect(page.locator(f"#{target}")).to_be_visible()
    expect(page.locator(f"{MARK}:focus")).to_have_attribute("aria-expanded", "true")
    page.keyboard.press("Escape")
    expect(page.locator(f"#{target}")).to_be_hidden()
    assert page.evaluate("document.activeElement.getAttribute('popovertarget')") == target
    expect(page.locator(f"{MARK}:focus")).to_have_attribute("aria-expanded", "false")


def test_a_tap_shows_a_note_and_moves_nothing(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True)
    page = watched.page
    page.goto(site.url + TOPIC)
    mark = page.locator(f"main {MARK}:visible").first
    mark.scroll_into_view_if_needed()
    before = page.url, page.evaluate("scrollY")
    mark.tap()
    note = page.locator(f"#{mark.get_attribute('popovertarget')}")
    expect(note).to_be_visible()
    box = note.bounding_box()
    assert box
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 360
    assert (page.url, page.evaluate("scrollY")) == before
    page.keyboard.press("Escape")
    assert watched.python_requests() == [], "a tap on a note is no interest in the calculator"
    assert watched.complaints == []


def test_without_a_script_all_is_there(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(java_script_enabled=False).page
    page.goto(site.url + TOPIC)
    form = Form(page)
    expected = page_answer(CALCULATOR, {}, "us")
    for key, text in expected["slots"].items():
        shown = form.form.locator(f'[data-slot="{key}"]').first
        expect(shown).to_contain_text(text["us"] if isinstance(text, dict) else text)
    expect(form.slot("back_pressure")).to_be_visible()
    expect(form.slot("back_pressure", "si")).to_be_hidden()
    text = page.locator("main").inner_text()
    for name in ("Starting", "Loading"):
        assert name not in text
    assert page.locator("main table").count() >= 1
    expect(page.get_by_role("heading", name="worked example").first).to_be_visible()
    expect(page.locator("main math").first).to_be_visible()
    everything = page.locator("main").text_content() or ""
    for reference in calculator(CALCULATOR).references:
        assert reference.title in everything
    mark = page.locator(f"main {MARK}:visible").first
    note = page.locator(f"#{mark.get_attribute('popovertarget')}")
    expect(note).to_be_hidden()
    mark.click()
    expect(note).to_be_visible()


def test_no_sideways_scroll_at_320_pixels(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(viewport={"width": 320, "height": 640})
    page = watched.page
    wide = []
    for path in ("", TOPIC, "topics/", "platforms/hollin-six/", "how-to-read/", "figures/hollin-six/", "sources/"):
        page.goto(site.url + path)
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > 320:
            wide.append((path, width))
    assert wide == []


def test_with_an_error_shown_nothing_scrolls_sideways(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(viewport={"width": 320, "height": 640})
    watched.page.goto(site.url + TOPIC)
    form = Form(watched.page)
    form.input("flow").fill("9" * 200)
    form.expect_state("stale")
    expect(form.error("flow")).to_be_visible()
    assert watched.page.evaluate("document.documentElement.scrollWidth") <= 320
