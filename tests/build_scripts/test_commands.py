"""The commands: where a build may be written, how the tests find their browser, and that people are told the truth."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from build_scripts import building, chromium, commands
from build_scripts.__main__ import parser


@pytest.fixture
def built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, where the site counts as built already."""
    site = tmp_path / "checkout" / ".build" / "site"
    (site / "assets").mkdir(parents=True)
    for name in ("index.html", "sitemap.xml"):
        (site / name).write_text("new", encoding="utf-8")
    monkeypatch.setattr(commands, "ROOT", tmp_path / "checkout")
    monkeypatch.setattr(building, "ensure", lambda root: False)
    return tmp_path


def test_the_site_is_copied_to_a_new_folder_and_over_an_earlier_build(built: Path) -> None:
    out = built / "public"
    assert commands.build(str(out)) == 0
    (out / "index.html").write_text("old", encoding="utf-8")
    (out / "gone.html").write_text("old", encoding="utf-8")
    assert commands.build(str(out)) == 0
    assert sorted(path.name for path in out.iterdir()) == ["assets", "index.html", "sitemap.xml"]
    assert (out / "index.html").read_text(encoding="utf-8") == "new"
    assert sorted(path.name for path in built.iterdir()) == ["checkout", "public"]


@pytest.mark.parametrize("address", ["", "https://shop.invalid/headroom/"])
def test_a_copy_without_its_published_address_is_pointed_out(
    built: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], address: str
) -> None:
    monkeypatch.setenv("HEADROOM_SITE_URL", address)
    assert commands.build(str(built / "public")) == 0
    assert ("HEADROOM_SITE_URL" in capsys.readouterr().out) == (address == "")


@pytest.mark.parametrize("files", [["letter.txt"], ["index.html", "sitemap.xml", "assets", ".git"]])
def test_a_folder_with_anything_else_in_it_is_left_alone(built: Path, files: list[str]) -> None:
    out = built / "mine"
    out.mkdir()
    for name in files:
        (out / name).write_text("mine", encoding="utf-8")
    assert commands.build(str(out)) == 2
    assert sorted(path.name for path in out.iterdir()) == sorted(files)


def test_a_failed_build_prints_its_errors(
    built: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(root: Path) -> bool:
        raise building.BuildFailed("docs/a.md:3: found x")

    monkeypatch.setattr(building, "ensure", fail)
    assert commands.build(None) == 1
    assert "docs/a.md:3: found x" in capsys.readouterr().err


def test_the_named_browser_is_taken_or_missed_aloud(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    browser = tmp_path / "browser"
    monkeypatch.setenv("HEADROOM_CHROMIUM", str(browser))
    with pytest.raises(chromium.NoChromium, match=r"HEADROOM_CHROMIUM names .*browser, which is not there"):
        chromium.find_or_install()
    browser.touch()
    assert chromium.find() == str(browser)


def test_without_a_browser_it_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("HEADROOM_CHROMIUM", raising=False)
    monkeypatch.setenv("PATH", "")
    monkeypatch.setattr(chromium, "_usual_places", list)
    monkeypatch.setattr(chromium, "_root_on_debian", lambda: False)
    assert commands.test([]) == 1
    assert "need Chromium: install it" in capsys.readouterr().err


def test_every_command_runs_something(monkeypatch: pytest.MonkeyPatch) -> None:
    called = []
    typed = {"serve": [], "test": [], "build": [], "check": [], "new": ["platforms", "x"], "lock": []}
    assert set(typed) == set(re.findall(r"(?m)^    (\w+)  ", parser().format_help()))
    for name, arguments in typed.items():
        monkeypatch.setattr(commands, name, lambda *_, name=name: called.append(name) or 0)
        assert commands.run(parser().parse_args([name, *arguments]), []) == 0
    assert called == list(typed)


def test_the_readme_and_the_check_run_by_machines_name_the_same_command() -> None:
    readme = (building.ROOT / "README.md").read_text(encoding="utf-8")
    script = (building.ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "\n    python3 -m build_scripts test\n" in readme
    assert "\n    python3 -m build_scripts serve\n" in readme
    assert "exec python3 -m build_scripts test\n" in script
    known = set(re.findall(r"(?m)^    (\w+)  ", parser().format_help()))
    named = set(re.findall(r"python3 -m build_scripts (\w+)", readme))
    assert named
    assert named <= known
