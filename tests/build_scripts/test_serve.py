"""The server answers as a careful static host would, on this machine only."""

from __future__ import annotations

import http.client
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from build_scripts import building, serve

SITEMAP = """<?xml version="1.0" encoding="UTF-8"?>
<urlset><url><loc>https://shop.invalid/headroom/</loc></url>
<url><loc>https://shop.invalid/headroom/topics/</loc></url></urlset>"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small site."""
    files = {
        "index.html": b"<h1>home</h1> https://shop.invalid/headroom/",
        "404.html": b"<h1>not here</h1>",
        "sitemap.xml": SITEMAP.encode(),
        "topics/index.html": b"<h1>topics</h1>",
        "empty/picture.svg": b"<svg/>",
        "assets/python/manifest.json": b"{}",
        "assets/python/worker.0a1b.mjs": b"export {}",
        "assets/python/core.0a1b.wasm": b"\0asm",
        "assets/python/core.0a1b.wasm.br": b"small",
        "assets/python/calc.0a1b.whl": b"PK",
    }
    for name, content in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(content)
    return tmp_path


@pytest.fixture
def server(folder: Path) -> Iterator[serve.Server]:
    """A server of it."""
    with serve.running(folder) as running:
        yield running


def get(server: serve.Server, path: str, method: str = "GET", **headers: str) -> tuple[http.client.HTTPResponse, bytes]:
    """The answer to one request; underscores in header names stand for hyphens."""
    connection = http.client.HTTPConnection(serve.HOST, server.server_port, timeout=10)
    try:
        connection.request(method, path, headers={name.replace("_", "-"): value for name, value in headers.items()})
        response = connection.getresponse()
        return response, response.read()
    finally:
        connection.close()


@pytest.mark.parametrize(
    ("path", "kind", "cache"),
    [
        ("/", "text/html; charset=utf-8", "no-cache"),
        ("/empty/picture.svg", "image/svg+xml", "no-cache"),
        ("/assets/python/manifest.json", "application/json", "no-cache"),
        ("/assets/python/worker.0a1b.mjs", "text/javascript; charset=utf-8", "immutable"),
        ("/assets/python/core.0a1b.wasm", "application/wasm", "immutable"),
        ("/assets/python/calc.0a1b.whl", "application/octet-stream", "immutable"),
    ],
)
def test_type_and_caching(server: serve.Server, path: str, kind: str, cache: str) -> None:
    response, content = get(server, path)
    assert response.status == 200
    assert response.headers["Content-Type"] == kind
    assert cache in response.headers["Cache-Control"]
    assert int(response.headers["Content-Length"]) == len(content) > 0


def test_a_compressed_copy_goes_to_browsers_that_take_it(server: serve.Server) -> None:
    response, content = get(server, "/assets/python/core.0a1b.wasm", Accept_Encoding="gzip, br")
    assert (response.headers["Content-Encoding"], content) == ("br", b"small")
    assert response.headers["Content-Type"] == "application/wasm"
    response, content = get(server, "/assets/python/core.0a1b.wasm", Accept_Encoding="gzip")
    assert (response.headers["Content-Encoding"], content) == (None, b"\0asm")


@pytest.mark.parametrize("path", ["/nowhere/", "/assets/python/gone.0a1b.wasm", "/empty/", "/../../etc/passwd"])
def test_what_is_not_there_gets_the_sites_own_page_and_is_not_kept(server: serve.Server, path: str) -> None:
    response, content = get(server, path)
    assert (response.status, content) == (404, b"<h1>not here</h1>")
    assert response.headers["Cache-Control"] == "no-cache"


def test_a_head_request_gets_no_content(server: serve.Server) -> None:
    for path, status in (("/", 200), ("/sitemap.xml", 200), ("/nowhere", 404)):
        response, content = get(server, path, "HEAD")
        assert (response.status, content) == (status, b"")
        assert int(response.headers["Content-Length"]) > 0


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1"])
def test_the_sitemap_alone_carries_the_address_it_is_served_at(server: serve.Server, host: str) -> None:
    origin = f"{host}:{server.server_port}"
    _, content = get(server, "/sitemap.xml", Host=origin)
    assert f"<loc>http://{origin}/</loc>" in content.decode()
    assert f"<loc>http://{origin}/topics/</loc>" in content.decode()
    assert b"shop.invalid" not in content
    assert b"https://shop.invalid/headroom/" in get(server, "/")[1]


def test_a_strange_host_name_is_not_repeated(server: serve.Server) -> None:
    _, content = get(server, "/sitemap.xml", Host="a<b")
    assert f"<loc>http://127.0.0.1:{server.server_port}/topics/</loc>" in content.decode()


def test_a_page_changed_within_a_second_is_sent_anew(server: serve.Server, folder: Path) -> None:
    stamp = get(server, "/topics/")[0].headers["Last-Modified"]
    (folder / "topics" / "index.html").write_bytes(b"<h1>newer</h1>")
    response, content = get(server, "/topics/", If_Modified_Since=stamp)
    assert (response.status, content) == (200, b"<h1>newer</h1>")


def test_a_site_swapped_while_serving_is_the_one_served(server: serve.Server, folder: Path, tmp_path: Path) -> None:
    fresh = tmp_path.with_name(tmp_path.name + "-fresh")
    fresh.mkdir()
    (fresh / "index.html").write_text("fresh", encoding="utf-8")
    building.swap(fresh, folder)
    assert get(server, "/")[1] == b"fresh"


def test_only_this_machine_is_answered(server: serve.Server) -> None:
    assert server.server_address[0] == "127.0.0.1"


def test_a_taken_port_is_said_and_without_one_the_next_is_used(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with serve.running(folder) as first:
        with pytest.raises(serve.NoPort, match=f"Port {first.server_port} cannot be used"):
            serve.open_server(folder, first.server_port)
        monkeypatch.setattr(serve, "FIRST_PORT", first.server_port)
        second = serve.open_server(folder)
        assert second.server_port > first.server_port
        second.server_close()


# Serves a checkout with a stand-in for the build, so that the test is about starting, rebuilding and stopping.
SERVE = """
import sys
from pathlib import Path
from build_scripts import building, serve

def copy(root, site):
    text = (root / "docs" / "index.md").read_text()
    if "bad" in text:
        raise building.BuildFailed("docs/index.md:1: bad")
    (site / "index.html").write_text(text)

def build(root):
    try:
        return building.ensure(root, copy) or True
    except building.BuildFailed as failure:
        print(failure, flush=True)
        return False

serve._build = build
sys.exit(serve.serve(Path(sys.argv[1]), 0))
"""


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent as a POSIX signal")
@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_serving_rebuilds_on_change_and_ends_cleanly(tmp_path: Path, stop: signal.Signals) -> None:
    text = tmp_path / "docs" / "index.md"
    text.parent.mkdir()
    text.write_text("first", encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, "-c", SERVE, str(tmp_path)],
        cwd=building.ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        # A shell that starts the tests in the background lets its children ignore Ctrl-C.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    try:
        assert process.stdout
        line = process.stdout.readline()
        assert line.startswith("Headroom is at http://127.0.0.1:"), line
        port = int(line.split(":")[2].split("/")[0])
        assert fetch(port) == b"first"
        text.write_text("a bad page", encoding="utf-8")
        while "docs/index.md:1: bad" not in line:
            line = process.stdout.readline()
            assert line
        assert fetch(port) == b"first"
        text.write_text("second", encoding="utf-8")
        until = time.monotonic() + 20
        while fetch(port) != b"second":
            assert time.monotonic() < until
            time.sleep(0.1)
        process.send_signal(stop)
        rest = process.communicate(timeout=10)[0]
        assert process.returncode == 0
        assert "Stopped." in rest
        assert "Traceback" not in rest
    finally:
        process.kill()


def fetch(port: int) -> bytes:
    """The first page of a server on this machine."""
    connection = http.client.HTTPConnection(serve.HOST, port, timeout=10)
    try:
        connection.request("GET", "/")
        return connection.getresponse().read()
    finally:
        connection.close()
