"""What was reviewed long ago says so, in a copy that nobody renews as well."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Built, Watched


@pytest.mark.parametrize(("days", "shown"), [(170, 0), (200, 1)])
def test_the_law_of_a_place_tells_when_its_review_is_old(
    days: int, shown: int, watch: Callable[..., Watched], site: Built
) -> None:
    page = watch().page
    page.goto(site.url + "law/united-states/")
    reviewed = page.locator("[data-reviewed]")
    day = datetime.datetime.fromisoformat(str(reviewed.get_attribute("data-reviewed")))
    page.clock.set_fixed_time(day + datetime.timedelta(days=days))
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-units", "us")
    expect(reviewed.locator(".hr-old")).to_have_count(shown)
