"""No rule of the access checker is broken: on any page, at both widths, in both palettes, in every state."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import KINDS, TOPIC, Built, Form, Watched, addresses

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SIZES = {360: 780, 1280: 900}
SCHEMES = ("light", "dark")

RUN = """async ([within, tags]) => {
  const options = { preload: false, resultTypes: ["violations"], runOnly: { type: "tag", values: tags } };
  const { violations, passes, incomplete } = await axe.run(within, options);
  if (passes.length + incomplete.length < 5) return ["the checker looked at next to nothing"];
  return violations.flatMap(({ id, nodes }) => nodes.map(({ target, failureSummary }) =>
    `${id}: ${target.join(" ")} (${failureSummary.split("\\n").slice(1, 2).join().trim()})`));
}"""

# The checker cannot tell the contrast of text on a drawn ground, so the squares of the paper are left out.
PLAIN_PAPER = "body { background-image: none !important; }"


@pytest.fixture(scope="session")
def axe(root: Path) -> str:
    """The checker's script."""
    return (root / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


def violations(page: Page, axe: str, within: str = "html") -> list[str]:
    """What the checker finds in the part of the page that `within` selects."""
    if not page.evaluate("typeof axe === 'object'"):
        page.add_style_tag(content=PLAIN_PAPER)
        page.evaluate(f"{axe};0")
    found: list[str] = page.evaluate(RUN, [within, TAGS])
    width = page.viewport_size["width"] if page.viewport_size else ""
    return [f"{page.url} {width} {scheme_of(page)}: {one}" for one in found]


def scheme_of(page: Page) -> str:
    """The palette that is shown."""
    return str(page.evaluate("document.body.dataset.mdColorScheme"))


def looks(page: Page) -> Iterator[tuple[int, str]]:
    """Show the page at both widths in both palettes, one after the other."""
    for width, height in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            expect(page.locator("body")).to_have_attribute(
                "data-md-color-scheme", {"light": "default", "dark": "slate"}[scheme]
            )
            yield width, scheme


@pytest.mark.parametrize("half", [0, 1])
def test_every_kind_of_page(half: int, watch: Callable[..., Watched], site: Built, axe: str) -> None:
    page = watch(reduced_motion="reduce").page
    found = []
    for address in KINDS[half::2]:
        page.goto(site.url + address)
        for width, scheme in looks(page):
            # The page of all formulas is long and in two colours: both palettes once will do.
            if address != "formulas/" or (width, scheme) in ((360, "light"), (1280, "dark")):
                found += violations(page, axe)
    assert found == []


@pytest.mark.parametrize("half", [0, 1])
def test_every_page(half: int, watch: Callable[..., Watched], site: Built, axe: str) -> None:
    """The frame is the same everywhere and checked with the kinds; here only what is a page's own."""
    scheme = SCHEMES[half]
    page = watch(viewport={"width": 1280, "height": 900}, color_scheme=scheme, reduced_motion="reduce").page
    # Sources, modifications and registers come from one template each; one of each stands among the kinds.
    alike = ("sources/", "modifications/", "figures/")
    pages = [one for one in addresses(site.folder) if one not in KINDS and not one.startswith(alike)]
    found = []
    for address in pages[half::2]:
        page.goto(site.url + address)
        found += violations(page, axe, "main")
    assert found == []


def test_every_state_of_a_page(watch: Callable[..., Watched], site: Built, axe: str) -> None:
    page = watch(reduced_motion="reduce").page
    page.goto(site.url + TOPIC)
    form = Form(page)
    found = []

    mark = page.locator("main button.hr-mark[popovertarget]:visible").first
    for _ in looks(page):
        mark.click()
        assert page.locator(":popover-open").count() == 1
        found += violations(page, axe, "main")
        page.keyboard.press("Escape")

    form.input("flow").fill("48")
    form.expect_state("live")
    for _ in looks(page):
        found += violations(page, axe, "form.hr-calc")

    form.input("flow").fill("-3 furlongs")
    form.expect_state("stale")
    expect(form.error("flow")).to_be_visible()
    for _ in looks(page):
        found += violations(page, axe, "form.hr-calc")
    assert found == []


def test_the_search_while_it_is_open(watch: Callable[..., Watched], site: Built, axe: str) -> None:
    found = []
    for width, height in SIZES.items():
        page = watch(viewport={"width": width, "height": height}, reduced_motion="reduce").page
        page.goto(site.url + "glossary/")
        page.locator("label[for=__search]:visible, .md-search__input:visible").first.click()
        page.keyboard.type("boost")
        expect(page.locator(".md-search-result__item").first).to_be_visible()
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            found += violations(page, axe)
    assert found == []


def test_the_checker_would_find_what_is_wrong(watch: Callable[..., Watched], site: Built, axe: str) -> None:
    page = watch().page
    page.goto(site.url)
    page.evaluate(
        """document.querySelector("main").insertAdjacentHTML("beforeend",
        '<p style="color:#999;background:#eee">pale</p><input><img src="assets/favicon.svg">')"""
    )
    found = "\n".join(violations(page, axe, "main"))
    assert {rule for rule in ("color-contrast", "label", "image-alt") if f"{rule}: " in found} == {
        "color-contrast",
        "label",
        "image-alt",
    }
