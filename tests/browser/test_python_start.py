"""Python in the page starts when it is wanted, once a visit, and its failure costs no answer that was there."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Route, expect

from build_scripts import bundle, serve
from calc.present import page_answer
from tests.browser.conftest import CALCULATOR, TOPIC, Built, Form, Watched


def back_pressure(given: dict[str, str]) -> str:
    text: str = page_answer(CALCULATOR, given, "us")["slots"]["back_pressure"]["us"]
    return text


def test_not_a_byte_before_the_first_interest(quiet: Watched) -> None:
    page = quiet.page
    page.wait_for_load_state("networkidle")
    page.mouse.wheel(0, 800)
    page.get_by_role("button", name="SI", exact=True).click()
    assert quiet.python_requests() == []
    Form(page).input("flow").focus()
    Form(page).expect_state("live")
    asked = quiet.python_requests()
    assert any(url.endswith("pyodide.asm.wasm") for url in asked)
    assert any("stdlib-lean-" in url for url in asked)
    assert not any("stdlib-full-" in url for url in asked)
    assert len(asked) == len(set(asked))


def test_one_python_for_a_visit_of_several_pages(quiet: Watched, site: Built) -> None:
    page = quiet.page
    page.evaluate("window.sameWindow = true")
    Form(page).input("flow").fill("48")
    Form(page).expect_state("live")
    assert len(page.workers) >= 1
    calculators = [worker for worker in page.workers if worker.url.endswith("calc-worker.js")]
    assert len(calculators) == 1
    started = len(quiet.python_requests())
    for target in ("how-to-read/", "platforms/", "topics/"):
        page.locator(f'a[href$="{target}"]:visible').first.click()
        page.wait_for_url(f"**/{target}")
    page.locator('main a[href*="exhaust-back-pressure"]:visible').first.click()
    page.wait_for_url(f"**/{TOPIC}")
    assert page.evaluate("window.sameWindow") is True, "the theme reloaded the page: does site_url match?"
    form = Form(page)
    expect(form.form).to_have_count(1)
    form.input("flow").fill("52")
    form.expect_state("live")
    expect(form.slot("back_pressure")).to_have_text(back_pressure({"flow": "52"}))
    assert [worker for worker in page.workers if worker.url.endswith("calc-worker.js")] == calculators
    assert len(quiet.python_requests()) == started


def test_typing_before_python_is_ready_is_not_lost(quiet: Watched) -> None:
    form = Form(quiet.page)
    held: list[Route] = []
    quiet.page.context.route("**/pyodide.asm.wasm", lambda route: held.append(route))
    form.input("flow").press_sequentially("1")
    form.expect_state("loading")
    expect(form.form.locator(".hr-status")).to_contain_text("Starting")
    form.input("flow").fill("47")
    form.input("temperature").fill("900")
    while not held:
        quiet.page.wait_for_event("request")
    held[0].continue_()
    form.expect_state("live")
    expect(form.slot("back_pressure")).to_have_text(back_pressure({"flow": "47", "temperature": "900"}))


@pytest.mark.parametrize("lost", ["pyodide.asm.wasm", "pyodide.asm.mjs", "manifest.json", "*.whl", "calc-worker.js"])
def test_without_python_the_built_answer_stays(lost: str, topic: Watched) -> None:
    topic.page.context.route(f"**/{lost}", lambda route: route.abort())
    form = Form(topic.page)
    form.input("flow").fill("48")
    form.expect_state("failed")
    expect(form.form.locator(".hr-status")).to_contain_text("could not start")
    expect(form.slot("back_pressure")).to_have_text(back_pressure({}))
    expect(form.input("flow")).to_have_value("48")


def test_python_recovers_when_the_host_does(topic: Watched) -> None:
    topic.page.context.route("**/pyodide.asm.wasm", lambda route: route.abort())
    form = Form(topic.page)
    form.input("flow").fill("48")
    form.expect_state("failed")
    topic.page.context.unroute("**/pyodide.asm.wasm")
    form.input("flow").fill("49")
    form.expect_state("live")
    expect(form.slot("back_pressure")).to_have_text(back_pressure({"flow": "49"}))


def test_a_file_that_never_comes_is_told_in_time(watch: Callable[..., Watched], site: Built) -> None:
    watched = watch()
    watched.page.clock.install()
    watched.page.context.route("**/pyodide.asm.wasm", lambda route: None)
    watched.page.goto(site.url + TOPIC)
    form = Form(watched.page)
    form.input("flow").fill("48")
    form.expect_state("loading")
    watched.page.clock.fast_forward(21_000)
    form.expect_state("failed")
    expect(form.form.locator(".hr-status")).to_contain_text("not ready")
    expect(form.slot("back_pressure")).to_have_text(back_pressure({}))


@pytest.fixture
def copy(site: Built, tmp_path: Path) -> Path:
    """A copy of the site that a test may damage."""
    folder = tmp_path / "site"
    shutil.copytree(site.folder, folder)
    return folder


def only(folder: Path, pattern: str) -> Path:
    (path,) = (folder / bundle.FOLDER).glob(pattern)
    return path


@pytest.mark.parametrize("pattern", ["*/calc-1-py3-none-any.whl", "stdlib-lean-*.zip"])
def test_a_damaged_file_is_refused(pattern: str, copy: Path, watch: Callable[..., Watched]) -> None:
    damaged = only(copy, pattern)
    content = bytearray(damaged.read_bytes())
    content[len(content) // 2] ^= 1
    damaged.write_bytes(content)
    with serve.running(copy) as server:
        watched = watch()
        watched.page.goto(server.url + TOPIC)
        form = Form(watched.page)
        form.input("flow").fill("48")
        if damaged.suffix == ".whl":
            form.expect_state("failed")
            expect(form.slot("back_pressure")).to_have_text(back_pressure({}))
        else:  # the whole library takes the place of the lean one
            form.expect_state("live")
            expect(form.slot("back_pressure")).to_have_text(back_pressure({"flow": "48"}))


@pytest.mark.parametrize("module", ["difflib.pyc", "dataclasses.pyc", "encodings/utf_8.pyc"])
def test_a_module_missing_in_the_lean_library_comes_from_the_whole(
    module: str, copy: Path, watch: Callable[..., Watched]
) -> None:
    lean = only(copy, "stdlib-lean-*.zip")
    with zipfile.ZipFile(lean) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    del members[module]
    with zipfile.ZipFile(lean, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    listed = copy / bundle.FOLDER / "manifest.json"
    manifest = json.loads(listed.read_text(encoding="utf-8"))
    manifest["integrity"][lean.name] = bundle.integrity(lean)
    listed.write_text(json.dumps(manifest), encoding="utf-8")
    with serve.running(copy) as server:
        watched = watch()
        notes: list[str] = []
        watched.page.on("console", lambda message: notes.append(message.text))
        watched.page.goto(server.url + TOPIC)
        form = Form(watched.page)
        form.input("flow").fill("48")
        form.expect_state("live")
        expect(form.slot("back_pressure")).to_have_text(back_pressure({"flow": "48"}))
        assert any("whole standard library" in note for note in notes)
        assert any("stdlib-full-" in url for url in watched.requests)
