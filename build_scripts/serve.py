"""Serves a built site on this machine, and rebuilds it when something it is made from changes."""

from __future__ import annotations

import contextlib
import io
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import FrameType
from typing import Any, BinaryIO
from urllib.parse import unquote, urlsplit
from xml.sax.saxutils import escape

from build_scripts import building

HOST = "127.0.0.1"
FIRST_PORT = 8000
PORTS_TRIED = 50

# Files under here carry a digest of their content in their name, except the one that lists the others.
HASHED = ("/assets/python/", "/assets/charts/")
MANIFEST = "manifest.json"


class NoPort(Exception):
    """The port asked for, or every port tried, is taken."""


class Handler(SimpleHTTPRequestHandler):
    """A static host as a site owner would set it up: types, caching, a page for what is not found, compression."""

    protocol_version = "HTTP/1.1"
    extensions_map = SimpleHTTPRequestHandler.extensions_map | {
        ".css": "text/css; charset=utf-8",
        ".html": "text/html; charset=utf-8",
        ".js": "text/javascript; charset=utf-8",
        ".json": "application/json",
        ".mjs": "text/javascript; charset=utf-8",
        ".svg": "image/svg+xml",
        ".wasm": "application/wasm",
        ".webmanifest": "application/manifest+json",
        ".whl": "application/octet-stream",
        ".woff2": "font/woff2",
        ".xml": "text/xml; charset=utf-8",
        ".yaml": "text/plain; charset=utf-8",
        ".yml": "text/plain; charset=utf-8",
        ".zip": "application/octet-stream",
    }

    def send_head(self) -> io.BytesIO | BinaryIO | None:
        """Send the status and the headers of what is asked for; return its content, for GET to send."""
        self._wait_for_folder()
        path = unquote(urlsplit(self.path).path)
        if self._is_immutable(path):
            return self._compressed() or super().send_head()
        # A time stamp of one second cannot tell two builds apart, so the browser's copy is never vouched for.
        del self.headers["If-Modified-Since"]
        if path == "/sitemap.xml":
            return self._sitemap()
        return super().send_head()

    def end_headers(self) -> None:
        """Add what every answer carries."""
        path = unquote(urlsplit(self.path).path)
        keep = "public, max-age=31536000, immutable" if self._is_immutable(path) else "no-cache"
        self.send_header("Cache-Control", keep)
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Answer what is not there with the site's own page for it."""
        page = Path(self.directory, "404.html")
        if code != 404 or not page.is_file():
            super().send_error(code, message, explain)
            return
        content = page.read_bytes()
        self.send_response(404)
        self._send_body_headers("text/html; charset=utf-8", content)
        if self.command != "HEAD":
            self.wfile.write(content)

    def list_directory(self, path: str | os.PathLike[str]) -> io.BytesIO | None:
        """A folder without a page is not there."""
        self.send_error(404)
        return None

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: a line for every file would bury the build's messages."""

    def _wait_for_folder(self) -> None:
        """A new site takes the place of the old one in two steps; do not answer between them."""
        for _ in range(50):
            if Path(self.directory).is_dir():
                return
            time.sleep(0.01)

    def _is_immutable(self, path: str) -> bool:
        if not path.startswith(HASHED) or path.endswith(MANIFEST):
            return False
        return Path(self.translate_path(path)).is_file()

    def _compressed(self) -> io.BytesIO | None:
        """The brotli copy beside a file, when there is one and the browser takes it."""
        accepted = {part.split(";")[0].strip() for part in self.headers.get("Accept-Encoding", "").split(",")}
        file = Path(self.translate_path(self.path))
        copy = file.with_name(file.name + ".br")
        if "br" not in accepted or not copy.is_file():
            return None
        content = copy.read_bytes()
        self.send_response(200)
        self.send_header("Content-Encoding", "br")
        self.send_header("Vary", "Accept-Encoding")
        self._send_body_headers(self.guess_type(str(file)), content)
        return io.BytesIO(content)

    def _sitemap(self) -> io.BytesIO | None:
        """The sitemap with this server's address in it: the theme loads pages instantly only within the sitemap."""
        try:
            text = Path(self.directory, "sitemap.xml").read_text(encoding="utf-8")
        except FileNotFoundError:
            self.send_error(404)
            return None
        host = self.headers.get("Host", "")
        if not re.fullmatch(r"[\w.\-:\[\]]+", host):
            host = "{}:{}".format(*self.connection.getsockname())
        content = with_origin(text, f"http://{host}/").encode()
        self.send_response(200)
        self._send_body_headers("text/xml; charset=utf-8", content)
        return io.BytesIO(content)

    def _send_body_headers(self, kind: str, content: bytes) -> None:
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()


def with_origin(sitemap: str, origin: str) -> str:
    """A sitemap's text with the published address, which is the shortest in it, replaced by `origin`."""
    published = min(re.findall(r"<loc>(.*?)</loc>", sitemap), key=len, default="")
    return sitemap.replace(f"<loc>{published}", f"<loc>{escape(origin)}")


class Server(ThreadingHTTPServer):
    """Answers many requests at once, from this machine only."""

    daemon_threads = True
    # On Windows this option would let two servers share one port.
    allow_reuse_address = os.name != "nt"

    @property
    def url(self) -> str:
        """The address of the site's first page."""
        return f"http://{HOST}:{self.server_port}/"

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Pass over browsers that hang up half-way; report anything else as usual."""
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)


def open_server(folder: Path, port: int | None = None) -> Server:
    """A server of `folder` on the port asked for (0: any), or on 8000 or the next free one; it does not answer yet.

    Raises:
        NoPort: The port asked for, or every port tried, is taken.
    """

    def handler(*args: Any) -> Handler:
        return Handler(*args, directory=str(folder))

    ports = range(FIRST_PORT, FIRST_PORT + PORTS_TRIED) if port is None else [port]
    for number in ports:
        try:
            return Server((HOST, number), handler)
        except (OSError, OverflowError) as error:
            reason = error
    tried = f"Port {port}" if port is not None else f"Every port from {ports[0]} to {ports[-1]}"
    raise NoPort(f"{tried} cannot be used on {HOST} ({reason}). Choose another: serve --port N")


@contextlib.contextmanager
def running(folder: Path, port: int | None = 0) -> Iterator[Server]:
    """A server of `folder` that answers until the block ends."""
    server = open_server(folder, port)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def serve(root: Path, port: int | None) -> int:
    """Build when needed, serve, and rebuild on change until Ctrl-C; return the exit code."""
    signal.signal(signal.SIGTERM, _stop)
    if not (building.is_current(root) or _build(root) or building.site_folder(root).is_dir()):
        print("There is no earlier site to serve. Put the errors above right and run this again.", file=sys.stderr)
        return 1
    try:
        with running(building.site_folder(root), port) as server:
            print(f"Headroom is at {server.url} (stop with Ctrl-C)", flush=True)
            _rebuild_on_change(root)
    except KeyboardInterrupt:
        print("\nStopped.")
    except NoPort as problem:
        print(problem, file=sys.stderr)
        return 2
    return 0


def _rebuild_on_change(root: Path) -> None:
    seen = snapshot(root)
    while True:
        time.sleep(0.7)
        now = snapshot(root)
        if now == seen:
            continue
        # Wait until the files rest: a branch being checked out changes many, one after the other.
        while (later := snapshot(root)) != now:
            now = later
            time.sleep(0.3)
        changed = sorted(path for path in seen.keys() | now.keys() if seen.get(path) != now.get(path))
        seen = now
        if building.is_current(root):
            print("Back to what the site was made from: nothing to build.", flush=True)
            continue
        more = f" and {len(changed) - 1} more" if len(changed) > 1 else ""
        print(f"Changed: {changed[0]}{more}. Building again ...", flush=True)
        if _build(root):
            print("The site is new: reload the page.", flush=True)


def snapshot(root: Path) -> dict[str, tuple[int, int]]:
    """Time of change and size of every input: cheap enough to take each second."""
    found = {}
    for path in building.inputs(root):
        with contextlib.suppress(FileNotFoundError):
            status = path.stat()
            found[path.relative_to(root).as_posix()] = (status.st_mtime_ns, status.st_size)
    return found


def _build(root: Path) -> bool:
    """Build in a process of its own, which also installs what a changed lock asks for; tell whether it went well."""
    done = subprocess.run([sys.executable, "-m", "build_scripts", "build"], cwd=root, check=False)
    if done.returncode != 0 and building.site_folder(root).is_dir():
        print("Not built. The last good site stays; save a correction to build again.", file=sys.stderr, flush=True)
    return done.returncode == 0


def _stop(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt
