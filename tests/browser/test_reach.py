"""What an access checker does not see: borders, sizes, focus, order, names, tables behind charts, enlarged text."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import CALCULATOR, KINDS, TOPIC, Built, Watched

PHONE = {"viewport": {"width": 360, "height": 780}, "has_touch": True, "is_mobile": True}

# Fields and buttons: the contrast of their edge with the ground around them, their height and their type.
CONTROLS = """() => {
  const parse = (colour) => {
    const found = colour.match(/rgba?\\(([^)]*)\\)/);
    if (found) return found[1].split(/[ ,\\/]+/).map(Number);
    const srgb = colour.match(/color\\(srgb ([^)]*)\\)/);
    return srgb ? srgb[1].split(/[ \\/]+/).map((part, place) => place < 3 ? part * 255 : Number(part)) : [0, 0, 0, 0];
  };
  const ground = (element) => {
    for (let one = element; one; one = one.parentElement) {
      const colour = parse(getComputedStyle(one).backgroundColor);
      if (colour.length < 4 || colour[3] > 0.9) return colour;
    }
    return [255, 255, 255];
  };
  const light = (colour) => {
    const linear = (part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
    const [r, g, b] = colour.map((part) => linear(part / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (a, b) => (Math.max(light(a), light(b)) + 0.05) / (Math.min(light(a), light(b)) + 0.05);
  const found = [];
  const all = "main :is(input, select, textarea, button), .hr-units button, .md-search__form";
  for (const control of document.querySelectorAll(all)) {
    if (!control.checkVisibility({ visibilityProperty: true })) continue;
    const style = getComputedStyle(control);
    const around = ground(control.parentElement);
    const frame = control.closest(".hr-units") ?? control;
    const border = getComputedStyle(frame);
    const edge = parseFloat(border.borderBottomWidth) > 0 ? contrast(parse(border.borderBottomColor), around) : 1;
    const box = control.getBoundingClientRect();
    const after = control.matches(".hr-mark") ? getComputedStyle(control, "::after") : null;
    found.push({
      name: `${control.tagName} ${control.id || control.className || control.name}`,
      edge: Math.max(edge, contrast(ground(control), around)),
      height: Math.max(box.height, after ? parseFloat(after.height) || 0 : 0),
      field: control.matches("input:not([type=checkbox], [type=radio], [type=range]), select, textarea"),
      tick: control.matches("[type=checkbox], [type=radio]"),
      mark: control.matches(".hr-mark, .hr-units *, [type=range]"),
      font: parseFloat(style.fontSize),
    });
  }
  return found;
}"""

FOCUS = """() => {
  const ROWS = "tr, .hr-facts, .hr-answers, .hr-fields";
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const style = getComputedStyle(one);
  // A label or a neighbour may show the focus of a control that is itself out of sight.
  const near = [one, one.nextElementSibling, one.labels?.[0], one.parentElement].filter(Boolean);
  const rings = (look) =>
    (look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2) || look.boxShadow !== "none";
  const box = one.getBoundingClientRect();
  const middle = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return {
    name: `${one.tagName} ${one.id || one.className} ${(one.textContent ?? "").trim().slice(0, 30)}`,
    ring: near.some((each) => rings(getComputedStyle(each))),
    covered: box.width > 0 && middle != null && !one.contains(middle) && !middle.contains(one)
      && middle.closest(".md-header, .hr-top") != null && !one.closest(".md-header, .hr-top"),
    main: one.closest("main article, main .md-content") != null,
    // Cells of a row stand side by side, each from the top.
    row: Math.round(scrollY + (one.closest(ROWS)?.getBoundingClientRect().top ?? NaN)),
    loose: one.closest(".hr-top, [popover]") != null || getComputedStyle(one).float !== "none",
    top: box.top + scrollY,
    bottom: box.bottom + scrollY,
  };
}"""


def tabbed(page: Page, most: int) -> list[dict[str, Any]]:
    """What has the focus after each press of Tab, from the top of the page to its end."""
    found = []
    for _ in range(most):
        page.keyboard.press("Tab")
        state = page.evaluate(FOCUS)
        if state is None:
            break
        found.append(state)
    return found


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_controls_can_be_seen_and_hit(scheme: str, watch: Callable[..., Watched], site: Built) -> None:
    page = watch(color_scheme=scheme, **PHONE).page
    faults, seen = [], 0
    for address in KINDS:
        page.goto(site.url + address)
        for control in page.evaluate(CONTROLS):
            seen += 1
            least = 24 if control["mark"] or control["tick"] else 44
            if control["edge"] < 3 and not control["tick"]:
                faults.append(f"{address} {control['name']}: contrast of the edge {control['edge']:.1f}")
            if control["height"] < least and not control["tick"]:
                faults.append(f"{address} {control['name']}: {control['height']:.0f} px high")
            if control["field"] and control["font"] < 16:
                faults.append(f"{address} {control['name']}: type of {control['font']:.1f} px")
    assert seen > 100
    assert sorted(set(faults)) == []


@pytest.mark.parametrize("address", [TOPIC, "plan/", "glossary/"])
def test_tab_goes_down_the_page_and_its_place_is_always_seen(
    address: str, watch: Callable[..., Watched], site: Built
) -> None:
    page = watch(viewport={"width": 1280, "height": 900}, reduced_motion="reduce").page
    page.goto(site.url + address)
    steps = tabbed(page, 220)
    assert len(steps) > 20
    assert [step["name"] for step in steps if not step["ring"]] == []
    assert [step["name"] for step in steps if step["covered"]] == []
    inside = [step for step in steps if step["main"] and not step["loose"]]
    assert len(inside) > 5
    upwards = [
        f"{before['name']} -> {after['name']}"
        for before, after in itertools.pairwise(inside)
        if after["bottom"] < before["top"] - 4 and after.get("row") != before.get("row")
    ]
    assert upwards == []


def test_what_scrolls_sideways_can_be_reached_by_keys(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(viewport={"width": 360, "height": 780}).page
    faults, wide = [], 0
    for address in KINDS:
        page.goto(site.url + address)
        boxes = page.evaluate("""() => [...document.querySelectorAll("main *")]
          .filter((one) => one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 40
            && ["auto", "scroll"].includes(getComputedStyle(one).overflowX) && one.checkVisibility())
          .map((one) => [one.tagName + " " + one.className, one.tabIndex, one.getAttribute("role"),
            one.getAttribute("aria-label") ?? one.getAttribute("aria-labelledby") ?? ""])""")
        wide += len(boxes)
        faults += [(address, *box) for box in boxes if box[1] != 0 or not box[2] or not box[3]]
    assert wide > 3
    assert faults == []


def test_every_chart_has_its_numbers_in_a_table(watch: Callable[..., Watched], site: Built) -> None:
    page = watch().page
    drawn = 0
    for address in ("", TOPIC, "platforms/hollin-six/", "plan/", "calculators/exhaust-temperature/"):
        page.goto(site.url + address)
        figures = page.evaluate("""() => [...document.querySelectorAll("main figure, main .hr-picture")]
          .filter((figure) => figure.querySelector("svg:not(.hr-defs)"))
          .map((figure) => ({
            name: figure.querySelector("[role=img]")?.getAttribute("aria-label") ?? "",
            rows: figure.querySelectorAll("table tbody tr").length,
            numbers: (figure.querySelector("table")?.textContent.match(/\\d+/g) ?? []).length,
          }))""")
        drawn += len(figures)
        for figure in figures:
            assert figure["name"], address
            assert figure["rows"] >= 2, (address, figure)
            assert figure["numbers"] >= figure["rows"], (address, figure)
    assert drawn >= 3


def test_each_field_says_its_name_unit_and_range(watch: Callable[..., Watched], site: Built) -> None:
    page = watch().page
    page.goto(site.url + TOPIC)
    client = page.context.new_cdp_session(page)
    nodes = client.send("Accessibility.getFullAXTree")["nodes"]
    fields = [node for node in nodes if node.get("role", {}).get("value") == "textbox" and not node.get("ignored")]
    told = {
        node["name"]["value"]: node.get("description", {}).get("value", "")
        for node in fields
        if "Search" not in node["name"]["value"]
    }
    assert len(told) >= 6
    flow = next(value for name, value in told.items() if name.startswith("Exhaust gas flow"))
    assert "lb/min" in flow
    assert "Accepted" in flow
    assert all("Accepted" in description for description in told.values())


def test_headings_and_landmarks_make_an_outline(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(viewport={"width": 1280, "height": 900}).page
    for address in KINDS:
        page.goto(site.url + address)
        nodes = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
        shown = [node for node in nodes if not node.get("ignored")]
        roles = [node["role"]["value"] for node in shown]
        assert {role: roles.count(role) for role in ("main", "banner", "contentinfo")} == {
            "main": 1,
            "banner": 1,
            "contentinfo": 1,
        }, address
        levels = [
            next(each["value"]["value"] for each in node["properties"] if each["name"] == "level")
            for node in shown
            if node["role"]["value"] == "heading"
        ]
        assert levels.count(1) == 1, (address, levels)
        own = levels[levels.index(1) :]
        assert all(after - before <= 1 for before, after in itertools.pairwise(own)), (address, own)


def test_nothing_moves_for_a_reader_who_asked_for_stillness(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(reduced_motion="reduce").page
    for address in ("", TOPIC, "plan/"):
        page.goto(site.url + address)
        moving = page.evaluate("""() => [...document.querySelectorAll("*")].flatMap((one) =>
          ["", "::before", "::after"].map((part) => {
          const style = getComputedStyle(one, part || null);
          const long = (times) => times.split(",").some((time) => parseFloat(time) > 0.01);
          return long(style.transitionDuration) || (style.animationName !== "none" && long(style.animationDuration))
            ? one.tagName + " " + one.className + part : "";
        })).filter(Boolean)""")
        assert moving == [], address


SPACED = """* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; }
p { margin-bottom: 2em !important; }"""
LARGE = "html { font-size: 250% !important; }"  # twice the theme's own size


@pytest.mark.parametrize(
    ("width", "height", "style"),
    [(320, 640, ""), (320, 640, SPACED), (1280, 900, LARGE), (320, 225, "")],
    ids=["320 pixels", "text spacing", "text twice as large", "zoom of 400 %"],
)
def test_enlarged_text_never_scrolls_the_page_sideways(
    width: int, height: int, style: str, watch: Callable[..., Watched], site: Built
) -> None:
    page = watch(viewport={"width": width, "height": height}).page
    faults = []
    for address in KINDS:
        page.goto(site.url + address)
        if style:
            page.add_style_tag(content=style)
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if over > 0:
            faults.append(f"{address}: {over} px too wide")
        clipped = page.evaluate("""() => [...document.querySelectorAll(".md-content *")].filter((one) => {
          const style = getComputedStyle(one);
          return one.checkVisibility() && one.textContent.trim() && !one.closest("svg, math, thead")
            && ["hidden", "clip"].includes(style.overflowX) && style.clipPath === "none"
            && (one.scrollWidth > one.clientWidth + 2 || one.scrollHeight > one.clientHeight + 2);
        }).map((one) => one.tagName + " " + one.className)""")
        faults += [f"{address}: {name} cuts its text off" for name in clipped]
    assert faults == []


def test_on_a_low_screen_the_header_leaves_room_to_read(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(viewport={"width": 320, "height": 256}).page
    page.goto(site.url + TOPIC)
    page.locator(f'form[data-calculator="{CALCULATOR}"] input').first.scroll_into_view_if_needed()
    fixed = page.evaluate("""() => [...document.querySelectorAll("*")]
      .filter((one) => ["fixed", "sticky"].includes(getComputedStyle(one).position)
        && one.checkVisibility({ visibilityProperty: true, opacityProperty: true }))
      .map((one) => one.getBoundingClientRect())
      .filter((box) => box.top < 256 && box.bottom > 0 && box.width > 160 && box.left < 320 && box.right > 0)
      .reduce((sum, box) => sum + Math.min(box.bottom, 256) - Math.max(box.top, 0), 0)""")
    assert fixed <= 128


def test_the_search_waits_for_a_reader_and_then_answers(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch()
    page = watched.page
    page.goto(site.url + "glossary/", wait_until="networkidle")
    assert not any("search_index" in url for url in watched.requests)
    page.locator(".md-search__input").click()
    page.keyboard.type("wastegate")
    expect(page.locator(".md-search-result__item").first).to_be_visible()
    assert any("search_index" in url for url in watched.requests)
    assert watched.complaints == []
