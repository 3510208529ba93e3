"""How fast charts follow a field, and what they cost the numbers, for every calculator page of the site.

Run by hand: `.venv/bin/python -m tests.benchmarks.charts [CALCULATOR ...]`. From an `input` event to the changed text
of the first number, and to the changed tables of all charts, which come last. Every event gives a value that no answer
has been computed for; the next waits until the charts are drawn. "typing" are numbers while the charts of the event
before are still being computed: an event each time that a number has come. The first row is a worker that only counts
for a few milliseconds: where its p95 is far from its p50, the computer is too busy to judge by.
"""

from __future__ import annotations

import sys

from playwright.sync_api import Page, sync_playwright

from build_scripts import building, chromium, serve
from calc import registry
from calc.contract import Calculator, Choice, Readings
from tests.benchmarks.page_start import FLOOR, quantile, verdict

NUMBER_BAR, CHART_BAR = 16.0, 50.0
EVENTS = 60

MEASURE = """async ([calculator, name, events, wait]) => {
  const form = document.querySelector(`form.hr-calc[data-calculator="${calculator}"]`);
  const field = form.elements.namedItem(name);
  const first = Number(field.value);
  const places = [...form.closest(".hr-calc-box").querySelectorAll("[data-chart] tbody")];
  const changed = (place, start) => new Promise((done) => {
    const observer = new MutationObserver(() => { observer.disconnect(); done(performance.now() - start); });
    observer.observe(place, { childList: true, subtree: true, characterData: true });
    setTimeout(() => { observer.disconnect(); done(NaN); }, 10000);
  });
  let typed = 0;
  const type = async () => {
    const start = performance.now();
    const number = changed(form.querySelector("[data-slot]"), start);
    const charts = Promise.all(places.map((place) => changed(place, start)));
    field.value = String(first * (1 + 0.0003137 * ++typed));
    field.dispatchEvent(new Event("input", { bubbles: true }));
    return wait ? [await number, Math.max(...await charts)] : [await number, 0];
  };
  await type();
  await changed(places.at(-1), performance.now()).catch(() => {});
  const times = [];
  for (let n = 0; n < events; n++) times.push(await type());
  return times;
}"""


def field(calculator: Calculator) -> str:
    """An input that every point of the charts depends on."""
    along = {curve.vary for curve in calculator.curves}
    for name, item in calculator.inputs.items():
        kind = item.kind
        if name in along or isinstance(kind, Choice | Readings) or kind.whole or not item.default:
            continue
        if kind.low <= item.default and item.default * 1.05 <= kind.high:
            return name
    raise ValueError(f"{calculator.id}: no input to type into")


def measure(page: Page, url: str, identifier: str) -> tuple[list[list[float]], list[list[float]]]:
    """Rows of [milliseconds to the number, milliseconds to the last chart]: waiting for the charts, and not."""
    folder = building.site_folder()
    mark = f'data-calculator="{identifier}"'
    holder = next(path for path in folder.rglob("index.html") if mark in path.read_text(encoding="utf-8"))
    name = field(registry.calculator(identifier))
    rows = []
    for wait in (True, False):
        page.goto(url + holder.relative_to(folder).as_posix().removesuffix("index.html"))
        page.locator(f"form[{mark}] input:visible").first.focus()
        page.locator(f'form[{mark}][data-state="live"]').wait_for(timeout=60_000)
        rows.append(page.evaluate(MEASURE, [identifier, name, EVENTS, wait]))
    return rows[0], rows[1]


def main(wanted: list[str]) -> int:
    building.ensure()
    names = wanted or [name for name, calculator in registry.calculators().items() if calculator.curves]
    print(f"ms, {EVENTS} events each; bars: number p95 < {NUMBER_BAR:.0f}, charts p95 < {CHART_BAR:.0f}")
    print(f"{'':26} {'number p50':>10} {'p95':>6}   {'charts p50':>10} {'p95':>6}   {'typing p50':>10} {'p95':>6}")
    with sync_playwright() as playwright, serve.running(building.site_folder()) as server:
        browser = playwright.chromium.launch(executable_path=chromium.find(), args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(server.url)
        floor = page.evaluate(FLOOR, EVENTS)
        print(f"{'(a worker that counts)':26} {quantile(floor, 0.5):10.1f} {quantile(floor, 0.95):6.1f}")
        for name in names:
            waited, typed = measure(page, server.url, name)
            columns = ([row[0] for row in waited], [row[1] for row in waited], [row[0] for row in typed])
            shown = [[value for value in column if value == value] for column in columns]
            if not all(shown):
                print(f"{name:26} nothing changed")
                continue
            ends = [quantile(column, 0.95) for column in shown]
            cells = (f"{quantile(column, 0.5):10.1f} {end:6.1f}" for column, end in zip(shown, ends, strict=True))
            held = verdict(ends[0] < NUMBER_BAR and ends[1] < CHART_BAR)
            print(f"{name:26} {'   '.join(cells)}   {held}", flush=True)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
