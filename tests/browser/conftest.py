"""One Chromium for all tests of the pages, and pages that keep what the browser complained about and asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Locator, Page, expect, sync_playwright

READY = 60_000  # milliseconds until Python must have started, on a machine that runs other tests as well
TOPIC = "topics/exhaust-back-pressure/"
CALCULATOR = "exhaust-back-pressure"

# One page of every kind.
KINDS = (
    "",
    TOPIC,
    "safety/hot-parts/",
    "law/emission-hardware/",
    "law/united-states-california/",
    "glossary/",
    "how-to-read/",
    "figures/hollin-six/",
    "formulas/",
    "sources/",
    "sources/40-cfr-1068-101/",
    "calculators/exhaust-temperature/",
    "platforms/hollin-six/",
    "modifications/turbocharger/",
    "plan/",
    "plan/compare/",
    "404.html",
)


def addresses(folder: Path) -> list[str]:
    """Paths of all pages, as the server takes them."""
    pages = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.html"))
    return [page.removesuffix("index.html") for page in pages]


class Built(Protocol):
    """The built site and its server."""

    folder: Path
    url: str


@dataclass
class Watched:
    """A page with what it logged and which addresses it and its workers asked for."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        def log(message: Any) -> None:
            if message.type in ("error", "warning"):
                self.complaints.append(f"{message.type} at {self.page.url}: {message.text}")

        self.page.on("console", log)
        self.page.on("pageerror", lambda error: self.complaints.append(f"exception at {self.page.url}: {error}"))
        self.page.context.on("request", lambda request: self.requests.append(request.url))

    def python_requests(self) -> list[str]:
        """Addresses of the browser's Python that were asked for."""
        return [
            url for url in self.requests if "/assets/python/" in urlsplit(url).path or url.endswith("calc-worker.js")
        ]


class Form:
    """A calculator form on a page."""

    def __init__(self, page: Page, calculator: str = CALCULATOR) -> None:
        self.page = page
        self.calculator = calculator
        self.form = page.locator(f'form.hr-calc[data-calculator="{calculator}"]')

    def input(self, name: str) -> Locator:
        """The field of an input."""
        return self.form.locator(f'[name="{name}"]')

    @property
    def reset(self) -> Locator:
        """The way back to the defaults, which the script adds."""
        return self.form.locator("button[type=reset]")

    def error(self, name: str) -> Locator:
        """The place of an input's error."""
        return self.page.locator(f"#{self.calculator}-{name}-error")

    def slot(self, key: str, system: str = "us") -> Locator:
        """The text of an output in one unit system."""
        return self.form.locator(f'[data-slot="{key}"] .hr-{system}').first

    def texts(self) -> list[str]:
        """The texts of all outputs, both unit systems."""
        return [text.replace("\u00a0", " ") for text in self.form.locator("[data-slot]").all_text_contents()]

    def expect_state(self, state: str) -> None:
        """Wait until the form is in this state."""
        expect(self.form).to_have_attribute("data-state", state, timeout=READY)


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=chromium_path, args=["--no-sandbox"])
        yield launched
        launched.close()


@pytest.fixture
def watch(browser: Browser) -> Iterator[Callable[..., Watched]]:
    """Makes pages in contexts of their own; arguments are those of a browser context."""
    contexts = []

    def make(**options: Any) -> Watched:
        contexts.append(browser.new_context(**options))
        return Watched(contexts[-1].new_page())

    yield make
    for context in contexts:
        context.close()


@pytest.fixture
def topic(watch: Callable[..., Watched], site: Built) -> Watched:
    """The back-pressure page, just opened; afterwards nothing may have been complained about."""
    watched = watch()
    watched.page.goto(site.url + TOPIC)
    return watched


@pytest.fixture
def quiet(topic: Watched) -> Iterator[Watched]:
    """As `topic`, and the test fails if the console showed an error or a warning, or another host was asked."""
    yield topic
    assert topic.complaints == []
    origin = "{0.scheme}://{0.netloc}/".format(urlsplit(topic.page.url))
    assert [url for url in topic.requests if not url.startswith((origin, "blob:", "data:"))] == []
