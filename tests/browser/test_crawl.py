"""Every page of the site, at two widths and in both palettes: nothing complains, and no other host is asked."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.browser.conftest import Built, Watched, addresses


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_every_page_is_quiet(width: int, scheme: str, watch: Callable[..., Watched], site: Built) -> None:
    watched = watch(viewport={"width": width, "height": 800}, color_scheme=scheme)
    pages = addresses(site.folder)
    assert len(pages) >= 10
    sideways = []
    for address in pages:
        watched.page.goto(site.url + address, wait_until="load")
        if watched.page.evaluate("document.documentElement.scrollWidth") > width:
            sideways.append(address)
    assert watched.complaints == []
    assert [url for url in watched.requests if not url.startswith((site.url, "data:", "blob:"))] == []
    assert watched.python_requests() == []
    assert sideways == []
    palette = watched.page.locator("body").get_attribute("data-md-color-scheme")
    assert palette == {"light": "default", "dark": "slate"}[scheme]
