"""The search of the built site finds what people of the trade look for, in their words and with their slips."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from playwright.sync_api import expect

from tests.browser.conftest import Built, Watched

QUERIES: dict[str, dict[str, list[str]]] = yaml.safe_load(
    Path(__file__).with_name("search_queries.yaml").read_text(encoding="utf-8")
)
FIRST = 3

# The site's own worker, asked as the page asks it; each query comes with what “did you mean” makes of it.
ASK = """async (queries) => {
  const settings = JSON.parse(document.getElementById("__config").textContent);
  const base = new URL(settings.base + "/", location.href);
  const worker = new Worker(new URL(settings.search, base));
  const answer = (message) => new Promise((resolve) => {
    worker.onmessage = (event) => resolve(event.data);
    worker.postMessage(message);
  });
  const index = await (await fetch(new URL("search/search_index.json", base))).json();
  await answer({ type: 0, data: { ...index, options: { suggest: false } } });
  const { suggestion } = await import(new URL("assets/search.js", base));
  const words = await (await fetch(new URL("assets/search-words.json", base))).json();
  const found = {};
  for (const query of queries) {
    const meant = suggestion(query, words);
    const results = (await answer({ type: 2, data: meant })).data.items;
    found[query] = { meant, pages: results.map((group) => group[0].location.split("#")[0]) };
  }
  worker.terminate();
  return found;
}"""


@pytest.fixture(scope="module")
def found(browser: Any, site: Built) -> dict[str, dict[str, Any]]:
    context = browser.new_context()
    page = context.new_page()
    page.goto(site.url)
    answers: dict[str, dict[str, Any]] = page.evaluate(ASK, [*QUERIES["queries"], *QUERIES["typos"]])
    context.close()
    return answers


@pytest.mark.parametrize(("kind", "share"), [("queries", 0.95), ("typos", 0.8)])
def test_what_is_looked_for_stands_among_the_first_three(
    found: dict[str, dict[str, Any]], kind: str, share: float
) -> None:
    wanted = QUERIES[kind]
    missed = {
        query: found[query]["pages"][:FIRST]
        for query, pages in wanted.items()
        if not set(pages) & set(found[query]["pages"][:FIRST])
    }
    assert len(wanted) >= 15
    assert len(missed) <= (1 - share) * len(wanted), missed


def test_a_word_that_the_site_knows_is_left_alone(found: dict[str, dict[str, Any]]) -> None:
    assert {query: found[query]["meant"] for query in QUERIES["queries"] if found[query]["meant"] != query} == {}


def test_every_expected_page_exists(site: Built) -> None:
    named = {page for kind in QUERIES.values() for pages in kind.values() for page in pages}
    assert [page for page in sorted(named) if not (site.folder / page / "index.html").is_file()] == []


def test_a_slip_is_offered_a_way_on_and_leads_to_the_page(watch: Callable[..., Watched], site: Built) -> None:
    page = watch().page
    page.goto(site.url)
    box = page.get_by_role("textbox", name="Search")
    box.click()
    box.press_sequentially("warrenty")
    meant = page.locator(".hr-did-you-mean button")
    expect(meant).to_have_text("warranty")
    meant.click()
    first = page.locator(".md-search-result__link").first
    expect(first).to_have_attribute("href", f"{site.url}law/warranty/?h=warranty")
    expect(meant).to_have_count(0)
