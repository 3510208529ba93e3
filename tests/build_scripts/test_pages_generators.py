"""The same pages through two site generators."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest

from build_scripts.pages import pages
from build_scripts.pages.plain import write_plain

FETCHING = {"script": "src", "link": "href", "img": "src", "iframe": "src", "source": "src"}


class Reader(HTMLParser):
    """Ids, links and fetched addresses of a page, its title, its language and what its head says of it."""

    def __init__(self) -> None:
        super().__init__()
        self.title = ""
        self.said: dict[str, list[str]] = {}
        self._in_title = False
        self.ids: list[str] = []
        self.links: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        if "id" in values:
            self.ids.append(values["id"])
        self._in_title = self._in_title or (tag == "title" and not self.title)
        if tag == "html":
            self.said["lang"] = [values.get("lang", "")]
        if tag == "link" and values.get("rel") == "canonical":
            self.said.setdefault("canonical", []).append(values["href"])
        if tag == "meta" and (values.get("name") or values.get("property")):
            self.said.setdefault(values.get("name") or values["property"], []).append(values.get("content", ""))
        if tag == "a" and values.get("href"):
            self.links.append(values["href"])
        if (
            tag in FETCHING
            and values.get(FETCHING[tag])
            and values.get("rel") not in ("canonical", "prev", "next", "edit")
        ):
            self.fetched.append(values[FETCHING[tag]])

    def handle_endtag(self, tag: str) -> None:
        if tag == "title":
            self._in_title = False

    def handle_data(self, data: str) -> None:
        if self._in_title:
            self.title += data


def run(folder: Path, path: Path, *command: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(path), "NO_MKDOCS_2_WARNING": "1"}
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )


@pytest.fixture(scope="module")
def built(root: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Reader]:
    out = tmp_path_factory.mktemp("site")
    done = run(root, root, "mkdocs", "build", "--quiet", "--strict", "-d", str(out))
    assert done.returncode == 0, done.stdout + done.stderr
    return dict(read(out))


def read(out: Path) -> Iterator[tuple[str, Reader]]:
    for file in sorted(out.rglob("*.html")):
        reader = Reader()
        reader.feed(file.read_text(encoding="utf-8"))
        yield f"/{file.relative_to(out).as_posix().removesuffix('index.html')}", reader


def test_every_link_inside_the_site_leads_somewhere(built: dict[str, Reader]) -> None:
    followed = 0
    for address, reader in built.items():
        if address == "/404.html":
            continue
        for href in reader.links:
            parts = urlsplit(urljoin(f"http://site{address}", href))
            if parts.netloc != "site" or parts.scheme != "http":
                continue
            assert parts.path in built, (address, href)
            # What a plan asks for stands behind the mark, too; it is no place of a page.
            if parts.fragment and not parts.fragment.startswith("plan?"):
                assert unquote(parts.fragment) in built[parts.path].ids, (address, href)
            followed += 1
    assert followed > 500


def test_every_page_is_three_links_from_the_start_at_most(built: dict[str, Reader]) -> None:
    far = {"/": 0}
    edge = ["/"]
    while edge:
        address = edge.pop(0)
        for href in built[address].links:
            target = urlsplit(urljoin(f"http://site{address}", href))
            if target.netloc == "site" and target.path in built and target.path not in far:
                far[target.path] = far[address] + 1
                edge.append(target.path)
    assert {address: far.get(address) for address in built if far.get(address, 9) > 3} == {"/404.html": None}


def test_every_page_says_what_it_is(built: dict[str, Reader]) -> None:
    """One title, description, address and language each, the same for whoever shares the page, and none twice."""
    pages_of = {address: reader for address, reader in built.items() if address != "/404.html"}
    for address, reader in pages_of.items():
        said = reader.said
        wanted = ("lang", "description", "canonical", "og:title", "og:description", "og:url", "og:type", "og:site_name")
        assert {name: len(said.get(name, [])) for name in wanted} == dict.fromkeys(wanted, 1), address
        assert said["lang"] == ["en"]
        assert said["canonical"] == said["og:url"] == [f"http://127.0.0.1:8000{address}"]
        assert said["og:description"] == said["description"]
        assert 30 <= len(said["description"][0]) <= 260, (address, said["description"])
        assert reader.title == f"{said['og:title'][0]} · Headroom"
    for of in (lambda reader: reader.title, lambda reader: reader.said["description"][0]):
        seen: dict[str, list[str]] = {}
        for address, reader in pages_of.items():
            seen.setdefault(of(reader), []).append(address)
        assert {text: where for text, where in seen.items() if len(where) > 1} == {}


def test_every_page_asks_one_question_and_leads_on(root: Path) -> None:
    for page in pages(root):
        meta = page.text.partition("\n---\n")[0]
        assert re.search(r'^question: ".*\?"$', meta, re.MULTILINE), page.uri
        if page.uri != "index.md":
            foot = re.findall(r'<p class="hr-next"><b>Next step:</b> (.+?): <a href="([^"]+)">', page.text)
            assert len(foot) == 1, page.uri
            assert foot[0][1] != "./", page.uri
            assert page.text.count("<h2 data-search-exclude>Related pages</h2>") == 1, page.uri


def test_the_page_for_a_wrong_address_leads_to_all_that_there_is(built: dict[str, Reader]) -> None:
    lost = built["/404.html"]
    assert "not found" in lost.title
    paths = {urlsplit(href).path for href in lost.links}
    assert {"/plan/", "/calculators/", "/topics/", "/glossary/", "/figures/", "/law/", "/safety/", "/ways/"} <= paths
    assert {path.rstrip("./") for path in paths} >= {""}


def test_no_page_fetches_from_elsewhere(built: dict[str, Reader]) -> None:
    fetched = [href for reader in built.values() for href in reader.fetched]
    assert fetched
    assert [href for href in fetched if urlsplit(href).netloc] == []


def test_ids_are_unique_on_each_page(built: dict[str, Reader]) -> None:
    for address, reader in built.items():
        double = {one for one in reader.ids if reader.ids.count(one) > 1}
        assert not double, (address, double)


def test_edit_links_lead_to_what_a_person_edits(built: dict[str, Reader]) -> None:
    edits = {address: next((href for href in r.links if "/edit/" in href), "") for address, r in built.items()}
    assert edits["/platforms/hollin-six/"].endswith("/edit/main/docs/data/platforms/hollin-six.yaml")
    assert edits["/topics/exhaust-back-pressure/"].endswith("/edit/main/docs/topics/exhaust-back-pressure.md")


def test_the_successor_of_the_theme_builds_the_same_pages(root: Path, tmp_path: Path, built: dict[str, Reader]) -> None:
    write_plain(root, tmp_path, pages(root))
    done = run(tmp_path, tmp_path, "zensical", "build", "--strict", "-f", "mkdocs.yml")
    assert done.returncode == 0, done.stdout + done.stderr
    other = dict(read(tmp_path / "site"))
    assert set(other) == set(built)
    text = (tmp_path / "site" / "platforms" / "hollin-six" / "index.html").read_text(encoding="utf-8")
    marks = len(re.findall(r'class="hr-mark\b', text))
    assert marks > 100
    assert set(built["/platforms/hollin-six/"].ids) - set(other["/platforms/hollin-six/"].ids) <= {"__toc"}
