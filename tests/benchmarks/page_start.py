"""How fast the page's Python starts and answers, against a plain load of the same runtime in the same run.

Run by hand: `.venv/bin/python -m tests.benchmarks.page_start [ROUNDS]`. Prints three tables. Trust the ratios; the
milliseconds are those of this computer and of what else it does. Both ways run in a module worker and are served alike:
brotli copies, kept for good by the browser.

* start: from navigation to the first answer in the page, with a new profile (cold) and again with the same (warm).
* wire: bytes of the bodies a first visit fetches for Python, as compressed.
* answer: from an `input` event to the changed text in the page, for every calculator page of the site; before it, a
  worker that only counts for a few milliseconds. Where its p95 is far from its p50, the computer is too busy.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import zipfile
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import BrowserContext, Page, sync_playwright

from build_scripts import building, bundle, chromium, serve
from calc import registry

COLD_BAR, WIRE_BAR, ANSWER_BAR = 0.5, 4.0e6, 16.0
ROUNDS = 5
EVENTS = 100
CALCULATOR = "exhaust-back-pressure"

BARE_WORKER = """
import { loadPyodide } from "./pyodide.mjs";
const python = await loadPyodide({ indexURL: new URL("./", self.location.href).href });
await python.loadPackage(new URL("./calc-1-py3-none-any.whl", self.location.href).href, { checkIntegrity: false });
const answer = python.runPython(`
import json
from calc.present import page_answer
lambda name: json.dumps(page_answer(name, {}, "us"))
`);
self.postMessage(answer("%s"));
"""
BARE_PAGE = """<!doctype html><title>bare</title><p id="result"></p><script type="module">
const worker = new Worker("assets/python/bare/worker.mjs", { type: "module" });
worker.onmessage = ({ data }) => {
  document.getElementById("result").textContent = JSON.parse(data).slots.back_pressure.us;
  window.took = performance.now();
};
</script>"""
OWN_PAGE = """<!doctype html><title>own</title><form class="hr-calc" data-calculator="%s" data-state="default">
<input name="flow" value="66" data-us="66" data-si="0.49895"><p id="result" data-slot="back_pressure"></p></form>
<script type="module" src="assets/headroom.js"></script><script type="module">
new MutationObserver(() => { window.took ??= performance.now(); })
  .observe(document.getElementById("result"), { childList: true, subtree: true });
document.querySelector("input").focus();
</script>"""


def prepare(folder: Path) -> None:
    """The site, the two pages to compare, and a plain set of runtime files, all with brotli copies."""
    building.ensure()
    shutil.copytree(building.site_folder(), folder, dirs_exist_ok=True)
    bare = folder / bundle.FOLDER / "bare"
    bare.mkdir()
    runtime = building.ROOT / "node_modules" / "pyodide"
    for name in (*bundle.RUNTIME_FILES, "python_stdlib.zip", "pyodide-lock.json"):
        shutil.copyfile(runtime / name, bare / name)
    (bare / "worker.mjs").write_text(BARE_WORKER % CALCULATOR, encoding="utf-8")
    with zipfile.ZipFile(bare / bundle.WHEEL, "w", zipfile.ZIP_DEFLATED) as wheel:
        for path in sorted((building.ROOT / "calc").rglob("*.py")):
            wheel.write(path, path.relative_to(building.ROOT).as_posix())
        wheel.writestr("calc-1.dist-info/METADATA", "Metadata-Version: 2.1\nName: calc\nVersion: 1\n")
        wheel.writestr("calc-1.dist-info/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        wheel.writestr("calc-1.dist-info/RECORD", "")
    (folder / "bare.html").write_text(BARE_PAGE, encoding="utf-8")
    (folder / "own.html").write_text(OWN_PAGE % CALCULATOR, encoding="utf-8")
    print("Compressing (half a minute the first time) ...", flush=True)
    bundle.compress(building.ROOT, folder)


def visit(context: BrowserContext, url: str) -> tuple[float, list[str]]:
    """Milliseconds from navigation to the answer, and the paths that were fetched."""
    paths: list[str] = []
    context.on("request", lambda request: paths.append(urlsplit(request.url).path))
    page = context.new_page()
    page.goto(url)
    page.wait_for_function("window.took !== undefined", timeout=120_000)
    took = float(page.evaluate("window.took"))
    page.close()
    return took, paths


def wire(folder: Path, paths: list[str]) -> int:
    total = 0
    for path in set(paths):
        file = folder / path.lstrip("/")
        copy = file.with_name(file.name + ".br")
        if file.is_file() and (bundle.FOLDER.as_posix() in path or path.endswith("calc-worker.js")):
            total += (copy if copy.is_file() else file).stat().st_size
    return total


MEASURE = """async ([calculator, events]) => {
  const form = document.querySelector(`form.hr-calc[data-calculator="${calculator}"]`);
  const field = [...form.querySelectorAll("input[name]")].find((one) => Number(one.value) > 0);
  const first = Number(field.value);
  const type = (text) => new Promise((done) => {
    const observer = new MutationObserver(() => { observer.disconnect(); done(performance.now() - start); });
    observer.observe(form.querySelector("[data-slot]"), { childList: true, subtree: true, characterData: true });
    const start = performance.now();
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    setTimeout(() => { observer.disconnect(); done(NaN); }, 5000);
  });
  for (let n = 0; n < 5; n++) await type(String(first * (1 + 0.002 * n)));
  const times = [];
  for (let n = 0; n < events; n++) times.push(await type(String(first * (1 + 0.0005 * (n % 40)))));
  return times;
}"""


FLOOR = """async (events) => {
  const count = "onmessage = () => { let s = 0; for (let n = 0; n < 4e6; n++) s += Math.sqrt(n); postMessage(s); }";
  const worker = new Worker(URL.createObjectURL(new Blob([count])));
  const times = [];
  for (let n = 0; n < events; n++) {
    const start = performance.now();
    await new Promise((done) => { worker.onmessage = done; worker.postMessage(n); });
    times.push(performance.now() - start);
  }
  worker.terminate();
  return times;
}"""


def answers(page: Page, url: str, folder: Path) -> list[tuple[str, list[float]]]:
    """Milliseconds from event to text, for the first page that has each calculator; first a worker that counts."""
    page.goto(url)
    rows = [("(a worker that counts)", page.evaluate(FLOOR, EVENTS))]
    for identifier in registry.identifiers():
        mark = f'data-calculator="{identifier}"'
        holders = [path for path in folder.rglob("index.html") if mark in path.read_text(encoding="utf-8")]
        if not holders:
            continue
        page.goto(url + holders[0].relative_to(folder).as_posix().removesuffix("index.html"))
        page.locator(f"form[{mark}] input:visible").first.focus()
        page.locator(f'form[{mark}][data-state="live"]').wait_for(timeout=60_000)
        rows.append((identifier, page.evaluate(MEASURE, [identifier, EVENTS])))
    return rows


def quantile(values: list[float], share: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def verdict(holds: bool) -> str:
    return "holds" if holds else "MISSED"


def main(rounds: int) -> int:
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        folder = Path(scratch) / "site"
        prepare(folder)
        times: dict[tuple[str, str], list[float]] = {}
        bytes_fetched: dict[str, int] = {}
        with serve.running(folder) as server:
            for number in range(rounds):
                ways = ("bare", "own") if number % 2 else ("own", "bare")
                for way in ways:
                    context = playwright.chromium.launch_persistent_context(
                        str(Path(scratch) / f"profile-{number}-{way}"),
                        executable_path=chromium.find(),
                        args=["--no-sandbox"],
                    )
                    for kind in ("cold", "warm"):
                        took, paths = visit(context, f"{server.url}{way}.html")
                        times.setdefault((way, kind), []).append(took)
                        if kind == "cold":
                            bytes_fetched[way] = wire(folder, paths)
                    context.close()
            browser = playwright.chromium.launch(executable_path=chromium.find(), args=["--no-sandbox"])
            measured = answers(browser.new_page(), server.url, folder)
            browser.close()

    print(f"\nStart, ms, median of {rounds} (least to most)")
    for kind in ("cold", "warm"):
        middle = {way: statistics.median(times[way, kind]) for way in ("bare", "own")}
        for way in ("bare", "own"):
            row = times[way, kind]
            print(f"  {kind} {way:5} {middle[way]:7.0f}  ({min(row):.0f} to {max(row):.0f})")
        ratio = middle["own"] / middle["bare"]
        print(f"  {kind} ratio {ratio:7.2f}  bar {COLD_BAR}: {verdict(ratio <= COLD_BAR)}")
    print("\nWire, bytes")
    for way in ("bare", "own"):
        print(f"  {way:5} {bytes_fetched[way]:10,}")
    print(f"  bar   {WIRE_BAR:10,.0f}: {verdict(bytes_fetched['own'] <= WIRE_BAR)}")
    print(f"\nAnswer, ms from input event to text, {EVENTS} events each; bar p95 < {ANSWER_BAR:.0f}")
    for identifier, row in measured:
        good = [one for one in row if one == one]
        if not good:
            print(f"  {identifier:28} no answer changed")
            continue
        p95 = quantile(good, 0.95)
        unchanged = len(row) - len(good)
        print(
            f"  {identifier:28} p50 {quantile(good, 0.5):6.1f}  p95 {p95:6.1f}  {verdict(p95 < ANSWER_BAR)}"
            + (f"  ({unchanged} without a change)" if unchanged else "")
        )
    return 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS))
