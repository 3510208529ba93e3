"""Any page on paper: nothing of a table is lost, nothing is too small to read, each mark leads to a numbered note."""

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from playwright.sync_api import Page

from tests.browser.conftest import KINDS, TOPIC, Built, Watched, addresses

SMALLEST = 6.5  # points; smaller type is lost on a workshop's printer
SPACES = frozenset({*range(33), 0xA0, 0x2002, 0x2009, 0xFFFE})
MARGIN = 20  # points of white that must stay on either side, or a printer cuts letters off

# What must be found on paper: every text of every cell, marks with their numbers, notes with theirs.
EXPECTED = """() => {
  const seen = (element) => element.checkVisibility({ contentVisibilityAuto: true });
  const all = (selector) => [...document.querySelectorAll(selector)].filter(seen);
  const texts = (element) => {
    const found = [];
    const walk = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const [words, parent] = [walk.currentNode.data, walk.currentNode.parentElement];
      if (words.trim() && seen(parent) && !parent.closest(".hr-mark, math")) found.push(words);
    }
    return found;
  };
  return {
    cells: all("main :is(th, td)").flatMap(texts),
    columns: all("main table").map((table) => [table.querySelectorAll("thead th").length,
      [...table.querySelectorAll("thead th")].filter(seen).length]),
    marks: all("main button.hr-mark").map((mark) => [mark.textContent, mark.dataset.note ?? ""]),
    notes: Object.fromEntries(all(".hr-note[data-note]").map((note) => [note.dataset.note, texts(note)])),
    shown: all("header, nav, .md-sidebar, .md-search, .md-footer, .hr-edit, .md-top, dialog[open]").length,
    closed: all("main details").filter((one) => ![...one.children].slice(1).some(seen)).length,
    fields: all("main input").map((field) => field.value),
  };
}"""


# What each sheet says of itself: its heading, the data it was made from, and where it is found.
FRAME = """() => [document.querySelector("h1").textContent, location.pathname,
  document.querySelector(".hr-imprint div:nth-last-child(3) > dd").textContent]"""


class Piece(NamedTuple):
    """A printed character."""

    page: int
    size: float
    left: float
    right: float


def squeezed(text: str) -> str:
    """Text without white space, which a PDF does not keep."""
    return re.sub(r"[\s\u00a0\u2002\u2009\u200b\u00ad\u2011\u0002\ufffe-]+", "", text)


def pieces(document: pdfium.PdfDocument) -> Iterator[Piece]:
    """Every printed character but spaces, with the size it has on paper."""
    matrix = raw.FS_MATRIX()
    left, right, bottom, top = (ctypes.c_double() for _ in range(4))
    for number, page in enumerate(document, 1):
        text = page.get_textpage()
        for index in range(text.count_chars()):
            if raw.FPDFText_GetUnicode(text, index) in SPACES:
                continue
            assert raw.FPDFText_GetMatrix(text, index, matrix)
            scale = math.sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c))
            raw.FPDFText_GetCharBox(text, index, left, right, bottom, top)
            yield Piece(number, raw.FPDFText_GetFontSize(text, index) * scale, left.value, right.value)


def printed(page: Page, paper: str) -> tuple[pdfium.PdfDocument, str]:
    """The page as it is printed, and all its text without white space."""
    document = pdfium.PdfDocument(page.pdf(format=paper, print_background=False))
    return document, squeezed("".join(sheet.get_textpage().get_text_range() for sheet in document))


def expected_on_paper(page: Page) -> dict[str, Any]:
    """What the page holds as a printer sees it."""
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    found: dict[str, Any] = page.evaluate(EXPECTED)
    page.emulate_media(media="null")
    return found


def faults(page: Page, paper: str) -> list[str]:
    """What is wrong with the printed page; empty when nothing is."""
    expected = expected_on_paper(page)
    document, text = printed(page, paper)
    found = []
    width = document[0].get_width()
    runs = list(pieces(document))
    small = [run for run in runs if run.size < SMALLEST]
    if small:
        found.append(f"{len(small)} signs below {SMALLEST} pt, such as {small[0]}")
    cut = [run for run in runs if run.left < MARGIN or run.right > width - MARGIN]
    if cut:
        found.append(f"{len(cut)} signs in the margin, such as {cut[0]}")
    found += [f"a table of {whole} columns shows {shown}" for whole, shown in expected["columns"] if whole != shown]
    found += [f"the cell {cell!r} is lost" for cell in expected["cells"] if squeezed(cell) not in text]
    for letter, number in expected["marks"]:
        if not number or letter + number not in text:
            found.append(f"the mark {letter} {number} is lost")
        elif number not in expected["notes"]:
            found.append(f"the mark {letter} {number} has no note")
    for number, note in expected["notes"].items():
        lost = [words for words in (number + note[0], *note[1:]) if squeezed(words) not in text]
        if lost:
            found.append(f"the note {number} lacks {lost[0]!r}")
    if expected["shown"]:
        found.append(f"{expected['shown']} parts of the frame are printed")
    if expected["closed"]:
        found.append(f"{expected['closed']} parts stay folded")
    for part in page.evaluate(FRAME):
        if squeezed(part.removesuffix("#")) not in text:
            found.append(f"{part} is missing")
    return [f"{page.url} on {paper}: {fault}" for fault in found[:5]]


@pytest.mark.parametrize("half", [0, 1])
def test_every_page_prints_whole(half: int, watch: Callable[..., Watched], site: Built) -> None:
    # Pages of single sources are short and all alike; one of them stands among the kinds.
    pages = [page for page in addresses(site.folder) if not page.startswith("sources/") or page in KINDS]
    page = watch(color_scheme="dark").page
    found = []
    for address in pages[half::2]:
        if address == "404.html":
            continue
        page.goto(site.url + address)
        found += faults(page, "A4")
    assert found == []


def test_the_widest_pages_print_whole_on_the_other_paper_too(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(viewport={"width": 360, "height": 740}).page
    found = []
    for address in (TOPIC, "figures/hollin-six/", "platforms/hollin-six/", "modifications/full-calibration/", "plan/"):
        page.goto(site.url + address)
        found += faults(page, "Letter")
    assert found == []


def test_a_dark_page_prints_black_on_white(watch: Callable[..., Watched], site: Built) -> None:
    page = watch(color_scheme="dark").page
    page.goto(site.url)
    page.emulate_media(media="print", color_scheme="dark")
    colours = page.evaluate(
        "[document.body, document.querySelector('h1'), document.querySelector('main p:not([hidden])')]"
        ".map((one) => [getComputedStyle(one).backgroundColor, getComputedStyle(one).color])"
    )
    assert colours[0][0] in ("rgb(255, 255, 255)", "rgba(0, 0, 0, 0)")
    assert {ink for _, ink in colours[1:]} == {"rgb(0, 0, 0)"}
    sheet = pdfium.PdfDocument(page.pdf(format="A4", print_background=True))[0].render(scale=0.5)
    data = bytes(sheet.buffer)
    assert sum(value > 200 for value in data) > 0.7 * len(data)


def test_an_open_note_and_the_state_of_a_form_print_as_they_should(watch: Callable[..., Watched], site: Built) -> None:
    page = watch().page
    page.goto(site.url + "calculators/exhaust-temperature/")
    mark = page.locator("main button.hr-mark:visible").first
    mark.click()
    name = mark.get_attribute("popovertarget") or ""
    first = page.locator("form.hr-calc input").first
    first.fill("431")
    page.wait_for_function("location.hash.includes('431')")
    assert page.locator(f"#{name}:popover-open").count() == 1
    document, text = printed(page, "A4")
    assert page.locator(":popover-open").count() == 0, "it would lie over the text, and stand among the notes as well"
    assert "431" in text
    assert squeezed(page.url) in text, "the sheet says where it can be opened again, with what was typed"
    assert len(document) > 1


def test_numbers_on_paper_follow_reading_without_a_script(site: Built) -> None:
    for path in sorted(Path(site.folder).rglob("index.html")):
        html = path.read_text(encoding="utf-8")
        pairs = re.findall(r'popovertarget="([^"]+)" data-note="(\d+)"', html)
        firsts = list(dict.fromkeys(int(number) for _, number in pairs))
        assert firsts == list(range(1, len(firsts) + 1)), path
        assert len(pairs) == html.count("popovertarget="), path
        assert len(dict(pairs)) == len({number for _, number in pairs}), path
