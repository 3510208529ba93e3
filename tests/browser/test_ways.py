"""Three people come in by the start page on a phone and reach the end of their way by the links they are shown."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Built, Watched

# Each step: what the link says that is tapped, and the heading that must then stand on the page.
WAYS = {
    "owner": [
        ("You own a truck", "You own a truck"),
        ("no part raises a rating", "Does more power raise a weight rating?"),
        ("what a long grade heats", "What does a long grade heat?"),
        ("Transmission cooler", "Transmission cooler"),
        ("Plan", "Your plan"),
    ],
    "shop": [
        ("You run a shop", "You run a shop"),
        ("the law, place by place", "What does the law say about a changed truck?"),
        ("California", "California: what does the law say?"),
        ("BAR, diesel parts", "BAR, diesel parts"),
        ("Figures", "Figures"),
        ("Figures of general practice", "Figures of general practice"),
    ],
    "trainer": [
        ("You teach", "You teach"),
        ("How hot may the exhaust be?", "How hot may the exhaust be?"),
        ("Exhaust temperature", "Exhaust temperature"),
        ("Glossary", "Glossary"),
        ("How hot may the exhaust be?", "How hot may the exhaust be?"),
        ("Does more boost mean more air?", "Does more boost mean more air?"),
    ],
}


@pytest.mark.parametrize("who", WAYS)
@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without scripts"])
def test_a_way_ends_where_it_should(who: str, scripts: bool, watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(viewport={"width": 360, "height": 780}, has_touch=True, java_script_enabled=scripts)
    page = watched.page
    page.goto(site.url)
    for words, heading in WAYS[who]:
        page.locator(".md-content").get_by_role("link", name=words, exact=True).first.tap()
        expect(page.locator("h1").first).to_contain_text(heading)
    assert watched.complaints == []
