"""The planner on the built pages: default answer, live answers, addresses, keys, narrow screens and paper."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

import pypdfium2
import pytest
from playwright.sync_api import Locator, Page, Route, expect

from calc.plan.page import respond
from tests.browser.conftest import READY, Built, Watched
from tests.browser.test_access import tab_until
from tests.browser.test_axe import axe, violations

__all__ = ["axe"]  # a fixture

QUICKEST = "fellwick-eight"
GOAL = "440 hp"


@pytest.fixture(scope="module")
def catalogue(site: Built) -> str:
    return (site.folder / "data" / "catalogue.json").read_text(encoding="utf-8")


@pytest.fixture
def opened(watch: Callable[..., Watched], site: Built) -> Iterator[Callable[..., Watched]]:
    """Opens pages of the planner; afterwards none may have complained, or asked another host, or told its server."""
    pages: list[Watched] = []

    def make(path: str = "plan/", **options: Any) -> Watched:
        watched = watch(**options)
        watched.page.goto(site.url + path)
        pages.append(watched)
        return watched

    yield make
    for watched in pages:
        assert watched.complaints == []
        assert [url for url in watched.requests if not url.startswith((site.url, "blob:", "data:"))] == []
        assert [url for url in watched.requests if urlsplit(url).query] == []


def box(page: Page) -> Locator:
    return page.locator("[data-plan]")


def expect_state(page: Page, state: str) -> None:
    expect(box(page)).to_have_attribute("data-state", state, timeout=READY)


def field(page: Page, name: str) -> Locator:
    return box(page).locator(f'[name="{name}"]')


def request(given: Mapping[str, str], view: str = "whole", **more: Any) -> dict[str, Any]:
    root = {"brief": "./", "whole": "../", "compare": "../../"}[view]
    return {"view": view, "given": dict(given), "system": "us", "root": root, **more}


def native(catalogue: str, asked: Mapping[str, Any]) -> dict[str, Any]:
    answer = respond(catalogue, asked)
    assert answer["ok"], answer
    return answer


def words(nodes: Iterable[Any]) -> str:
    """All text of an answer, both unit systems, as it follows in its elements."""
    found = ""
    for node in nodes:
        if isinstance(node, str):
            found += node
        elif isinstance(node, Mapping):
            found += node["us"] if node["us"] == node["si"] else node["us"] + node["si"]
        else:
            found += words(node[2:])
    return found


def shown(page: Page) -> str:
    """The same of a page, without the cautions, which the page keeps itself."""
    text: str = page.evaluate(
        """() => {
          const view = document.querySelector(".hr-view").cloneNode(true);
          for (const slot of view.querySelectorAll(".hr-slot-cautions")) slot.replaceChildren();
          return view.textContent;
        }"""
    )
    return text


def address(**given: str) -> str:
    return f"#plan?{urlencode({'v': '1', **given})}"


def sideways(page: Page) -> bool:
    wide: bool = page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
    return wide


# --- the answer ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("path", "view"), [("", "brief"), ("plan/", "whole")])
def test_without_a_script_the_default_answer_stands_there(
    path: str, view: str, catalogue: str, opened: Callable[..., Watched]
) -> None:
    page = opened(path, java_script_enabled=False).page
    first = field(page, "platform").locator("option[selected]").get_attribute("value") or ""
    answer = native(catalogue, request({"platform": first}, view))
    verdict = page.locator(".hr-verdict")
    expect(verdict).to_be_visible()
    expect(verdict).to_contain_text(words(answer["nodes"][:1])[:40])
    expect(page.locator(".hr-bands li").first).to_be_visible()
    expect(page.locator(".hr-status")).to_contain_text("default answers")
    assert page.locator(".hr-do:visible, .hr-progress:visible, .hr-broken:visible").count() == 0
    if view == "whole":
        rows = page.locator(".hr-plan[data-picked] .hr-list tbody tr").count()
        assert rows == len(answer["state"]["set"]) + 1
        expect(page.locator(".hr-plan[data-picked] .hr-total")).to_be_visible()
    else:
        page.locator("a.hr-full").click()
        expect(page.get_by_role("heading", name="Your plan")).to_be_visible()


def test_an_answer_in_the_page_is_the_one_computed_here(catalogue: str, opened: Callable[..., Watched]) -> None:
    page = opened().page
    field(page, "use").select_option("daily-driving")
    field(page, "goal").fill(GOAL)
    expect(page.locator(".hr-progress")).to_be_visible()
    expect(page.locator(".hr-verdict")).to_contain_text("440", timeout=READY)
    expect_state(page, "live")
    given = {"platform": QUICKEST, "use": "daily-driving", "goal": GOAL}
    answer = native(catalogue, request(given))
    assert shown(page) == words(answer["nodes"])
    expect(page.locator(".hr-progress")).to_be_hidden()

    parts = urlsplit(page.url)
    assert parts.query == "", "what is typed belongs into the fragment, which no server sees"
    kept = parse_qs(parts.fragment.partition("?")[2])
    assert {name: kept[name][0] for name in given} == given
    assert kept["set"][0].split(",") == answer["state"]["set"]


def test_a_newer_question_takes_the_place_of_an_older_one(catalogue: str, opened: Callable[..., Watched]) -> None:
    page = opened().page
    field(page, "goal").fill("430 hp")
    expect_state(page, "live")
    page.evaluate(
        """() => {
          const view = document.querySelector(".hr-view");
          window.verdicts = [];
          new MutationObserver(() => window.verdicts.push(view.querySelector(".hr-verdict").textContent))
            .observe(view, {childList: true});
        }"""
    )
    field(page, "goal").fill("620 hp")
    expect_state(page, "working")
    field(page, "goal").fill(GOAL)
    answer = native(catalogue, request({"platform": QUICKEST, "goal": GOAL}))
    expect(page.locator(".hr-verdict")).to_contain_text("440", timeout=READY)
    assert page.evaluate("window.verdicts") == [words(answer["nodes"][:1])], "the older question was answered as well"


def test_not_knowing_is_an_answer(opened: Callable[..., Watched]) -> None:
    page = opened(f"plan/{address(platform=QUICKEST, goal=GOAL)}", viewport={"width": 390, "height": 844}).page
    expect_state(page, "live")
    asked = page.locator(".hr-asked")
    asked.locator("summary").click()
    for label in ("Height", "Air temperature", "Labour rate"):
        entry = asked.locator("dl > div", has=page.locator("dt", has_text=label))
        expect(entry.locator(".hr-default")).to_be_visible()
        expect(entry.locator("button.hr-mark")).to_be_visible()
    page.locator(".hr-planform summary").first.click()
    assert field(page, "height").get_attribute("placeholder") == "I don’t know"
    field(page, "height").fill("I don't know")
    expect_state(page, "working")
    expect_state(page, "live")


def test_what_is_typed_before_the_script_comes_is_answered(opened: Callable[..., Watched]) -> None:
    page = opened("plan/uses/").page
    held: list[Route] = []
    page.route("**/assets/plan.js", lambda route: held.append(route))
    with page.expect_request("**/assets/plan.js"):
        page.goto(page.url.replace("uses/", ""))
    field(page, "goal").fill(GOAL)
    expect(box(page)).not_to_have_attribute("data-live", "true")
    held[0].continue_()
    expect(page.locator(".hr-verdict")).to_contain_text("440", timeout=READY)
    expect(field(page, "goal")).to_have_value(GOAL)


def test_home_leads_to_the_full_plan_of_the_question(opened: Callable[..., Watched]) -> None:
    page = opened("").page
    field(page, "goal").fill(GOAL)
    expect(page.locator(".hr-verdict")).to_contain_text("440", timeout=READY)
    verdict = page.locator(".hr-verdict").inner_text()
    page.locator("a.hr-full").click()
    expect(page.get_by_role("heading", name="Your plan")).to_be_visible()
    expect_state(page, "live")
    expect(field(page, "goal")).to_have_value(GOAL)
    assert page.locator(".hr-verdict").inner_text() == verdict


def test_what_cannot_be_used_is_told_beside_its_field(opened: Callable[..., Watched]) -> None:
    page = opened().page
    before = shown(page)
    page.locator(".hr-planform summary").first.click()
    field(page, "height").fill("9 furlongs")
    field(page, "goal").fill("100000 hp")
    expect_state(page, "stale")
    assert shown(page) == before
    summary = page.locator(".hr-summary")
    expect(summary.get_by_role("link")).to_have_count(2)
    page.locator(".hr-planform summary").first.click()
    expect(field(page, "height")).to_be_hidden()
    summary.get_by_role("link", name="Height").click()
    expect(field(page, "height")).to_be_focused()
    expect(page.locator("#plan-height-error")).to_be_visible()
    field(page, "height").fill("")
    field(page, "goal").fill(GOAL)
    expect_state(page, "live")
    expect(summary).to_be_hidden()


# --- addresses -------------------------------------------------------------------------------------------------------


def test_an_address_replays_its_plan(catalogue: str, opened: Callable[..., Watched]) -> None:
    given = {"platform": QUICKEST, "goal": GOAL, "refused": "gauges.logger", "fitted": "lift-pump.twin"}
    page = opened(
        f"plan/{address(**given, pick='most-margin', units='si', c='2020-01-01.old', set='gone.part', cost='$1')}"
    ).page
    expect_state(page, "live")
    answer = native(catalogue, request(given, pick="most-margin", system="si"))
    assert shown(page) == words(answer["nodes"])
    expect(page.locator('.hr-plan[data-picked][data-kind="most-margin"]')).to_have_attribute("open", "open")
    expect(page.locator("html")).to_have_attribute("data-units", "si")
    expect(field(page, "part-lift-pump")).to_have_value("+lift-pump.twin")
    changed = page.locator(".hr-changed")
    expect(changed).to_contain_text("2020-01-01.old")
    expect(changed).to_contain_text("gone.part")
    expect(changed).to_contain_text("Cost then: $1")


BROKEN = {
    "#plan": "holds no question",
    "#plan?": "which edition",
    address(): "no vehicle",
    f"#plan?v=9&platform={QUICKEST}": "edition 9",
    address(platform="no-such-truck"): "no-such-truck",
    address(platform=QUICKEST, use="flying"): "flying",
    address(platform=QUICKEST, goal="<img src=x onerror=window.hit=1>"): "goal",
    address(platform=QUICKEST, goal="9e9 hp"): "out of range",
    address(platform=QUICKEST, fitted="gone.part"): "no such id",
    address(platform=QUICKEST, pick="best"): "best",
    address(platform=QUICKEST, units="ells"): "units",
    address(platform=QUICKEST, gvwr="99999"): "gvwr",
    address(platform=QUICKEST) + "&platform=hollin-six": "twice",
    address(platform=QUICKEST, goal="4" * 500): "too long",
    address(platform=QUICKEST, set="x" * 7000): "longer than",
    f"#plan?v=1&platform={QUICKEST}&%E0%A4%A=%&__proto__=x": "no question of the planner",
    "#compare?v=1&a=platform%3Dhollin-six": "two plans side by side",
}


def test_a_broken_address_leads_to_help_and_never_to_a_plan(opened: Callable[..., Watched]) -> None:
    page = opened().page
    built = shown(page)
    for fragment, says in BROKEN.items():
        page.evaluate("fragment => { location.hash = fragment }", fragment)
        broken = page.locator(".hr-broken")
        expect(broken).to_contain_text(re.compile(re.escape(says), re.IGNORECASE), timeout=READY)
        expect(broken).to_be_visible(timeout=READY)
        expect(page.locator(".hr-view")).to_be_hidden()
        assert page.locator("img[src=x]").count() == 0
        page.get_by_role("button", name="Start from the default plan").click()
        expect_state(page, "default")
        assert shown(page) == built
        assert not urlsplit(page.url).fragment
    assert page.evaluate("window.hit") is None


def test_an_address_of_a_comparison_names_its_page(opened: Callable[..., Watched]) -> None:
    one, two = (urlencode({"platform": QUICKEST, "goal": goal}) for goal in ("420 hp", "440 hp"))
    page = opened(f"plan/#compare?{urlencode({'v': '1', 'a': one, 'b': two})}").page
    page.get_by_role("link", name="Open it on the page that it is for").click()
    expect(page.get_by_role("heading", name="Two plans side by side")).to_be_visible()
    expect_state(page, "live")


def test_where_python_cannot_start_the_built_plan_stays_and_no_other_is_made_up(
    watch: Callable[..., Watched], site: Built
) -> None:
    page = watch().page
    page.route("**/assets/python/**", lambda route: route.abort())
    page.goto(f"{site.url}plan/")
    built = shown(page)
    field(page, "goal").fill(GOAL)
    expect_state(page, "failed")
    assert shown(page) == built
    expect(page.locator(".hr-status")).to_contain_text("what you typed is kept")
    expect(field(page, "goal")).to_have_value(GOAL)
    page.evaluate("fragment => { location.hash = fragment }", address(platform=QUICKEST, goal=GOAL))
    expect(page.locator(".hr-broken")).to_contain_text("could not start", timeout=READY)
    expect(page.locator(".hr-view")).to_be_hidden()


# --- what a plan offers ----------------------------------------------------------------------------------------------


def test_a_plan_goes_into_an_enquiry(catalogue: str, opened: Callable[..., Watched]) -> None:
    page = opened(
        f"plan/{address(platform=QUICKEST, goal=GOAL)}", permissions=["clipboard-read", "clipboard-write"]
    ).page
    expect_state(page, "live")
    page.get_by_role("button", name="Copy for an enquiry").first.click()
    expect(page.locator(".hr-said-back").first).to_contain_text("Copied")
    text = page.evaluate("navigator.clipboard.readText()")
    answer = native(catalogue, request({"platform": QUICKEST, "goal": GOAL}))
    for name in answer["state"]["set"]:
        assert answer["state"]["titles"][name] in text
    assert "Emission hardware stays" in text
    assert "#plan?" in text.splitlines()[-1]


def test_two_plans_stand_side_by_side_and_in_the_address(catalogue: str, opened: Callable[..., Watched]) -> None:
    page = opened(f"plan/{address(platform=QUICKEST, goal=GOAL)}").page
    expect_state(page, "live")
    page.get_by_role("button", name="Compare with another").first.click()
    expect(page.get_by_role("heading", name="Two plans side by side")).to_be_visible()
    expect_state(page, "live")
    page.locator('[name="b-goal"]').fill("470 hp")
    expect(page.locator(".hr-compare").first).to_contain_text("470", timeout=READY)
    kept = parse_qs(urlsplit(page.url).fragment.partition("?")[2])
    a, b = (parse_qs(kept[side][0]) for side in "ab")
    assert (a["goal"], b["goal"]) == ([GOAL], ["470 hp"])
    asked = request(
        {"platform": QUICKEST, "goal": GOAL},
        "compare",
        other={"platform": QUICKEST, "goal": "470 hp"},
        pick=a["pick"][0],
        other_pick=b["pick"][0],
    )
    assert shown(page) == words(native(catalogue, asked)["nodes"])
    worse, better = page.locator(".hr-better > div").all()
    expect(worse).to_contain_text("What gets worse")
    expect(better).to_contain_text("more power at the wheels")
    sizes = [part.locator("li").first.evaluate("item => getComputedStyle(item).fontSize") for part in (worse, better)]
    assert sizes[0] == sizes[1], "what gets worse is told as loudly as what gets better"

    again = opened(f"plan/compare/#{urlsplit(page.url).fragment}").page
    expect_state(again, "live")
    assert shown(again) == shown(page)


# --- every reader ----------------------------------------------------------------------------------------------------


def test_keys_alone(opened: Callable[..., Watched]) -> None:
    page = opened().page
    tab_until(page, "#plan-goal")
    page.keyboard.type(GOAL)
    page.keyboard.press("Enter")
    expect(page.locator(".hr-verdict")).to_contain_text("440", timeout=READY)
    tab_until(page, '.hr-plan[data-kind="most-margin"] > summary', most=200)
    page.keyboard.press("Enter")
    expect(page.locator('.hr-plan[data-kind="most-margin"]')).to_have_attribute("data-picked", "true")
    expect(page).to_have_url(re.compile("pick=most-margin"))
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"


def test_the_access_checker_finds_nothing_in_any_state(opened: Callable[..., Watched], axe: str) -> None:
    page = opened(viewport={"width": 360, "height": 780}, color_scheme="dark", reduced_motion="reduce").page
    field(page, "goal").fill(GOAL)
    expect(page.locator(".hr-verdict")).to_contain_text("440", timeout=READY)
    page.evaluate("for (const folded of document.querySelectorAll('details')) folded.open = true")
    found = violations(page, axe, "main")
    field(page, "goal").fill("9 furlongs")
    expect_state(page, "stale")
    found += violations(page, axe, ".hr-planform")
    page.evaluate("location.hash = 'plan?v=9'")
    expect(page.locator(".hr-broken")).to_be_visible()
    found += violations(page, axe, "main")
    assert found == []


def test_no_sideways_scroll_at_320_pixels(opened: Callable[..., Watched]) -> None:
    page = opened("", viewport={"width": 320, "height": 640}).page
    home = page.url
    wide = []
    for path in (
        "",
        "plan/",
        "plan/compare/",
        "plan/uses/",
        "modifications/",
        "modifications/turbocharger/",
        f"platforms/{QUICKEST}/",
    ):
        page.goto(home + path)
        page.evaluate("for (const folded of document.querySelectorAll('details')) folded.open = true")
        if sideways(page):
            wide.append(path)
    page.goto(f"{home}plan/{address(platform=QUICKEST, goal='600 hp', samples='50')}")
    expect_state(page, "live")
    page.evaluate("for (const folded of document.querySelectorAll('details')) folded.open = true")
    if sideways(page):
        wide.append("live")
    field(page, "goal").fill("9" * 300)
    expect_state(page, "stale")
    if sideways(page):
        wide.append("stale")
    assert wide == []


def test_a_plan_prints_on_two_sheets_with_all_that_stands_behind_it(
    opened: Callable[..., Watched], tmp_path: Path
) -> None:
    dearest = address(platform=QUICKEST, goal="610 hp")  # the longest list of parts
    page = opened(f"plan/{dearest}").page
    expect_state(page, "live")
    questions = page.locator(".hr-plan[data-picked] .hr-ask li").count()
    parts = page.locator(".hr-plan[data-picked] .hr-list tbody tr").count() - 1
    assert parts > 10
    for paper in ("A4", "Letter"):
        file = tmp_path / f"{paper}.pdf"
        page.pdf(path=file, format=paper)
        with pypdfium2.PdfDocument(file) as sheets:
            assert len(sheets) <= 2, paper
            text = " ".join(sheet.get_textpage().get_text_bounded() for sheet in sheets)
        text = " ".join(text.split())
        for part in page.locator(".hr-plan[data-picked] .hr-list tbody th a").all_inner_texts():
            assert part in text
        assert f"{questions} questions to ask your installer" in text
        assert "Emission hardware stays" in text, "the cautions"
        assert "recalled from memory" in text, "the grades"
        assert "The formulas rest on" in text
        assert datetime.now(UTC).date().isoformat() in text
        assert "#plan?" in text, "the address"
        assert "Which exact parts" in text
