"""The rules of the house that a program can check: style, types, lock files, and what lies where."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LOCKS = ("requirements.lock", "requirements-test.lock", "package-lock.json")
TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "LICENSE", "mkdocs.yml", "docs", "calc", "tests", "build_scripts"),
    *("pyproject.toml", "package.json", *LOCKS),
}
HOST = re.compile(r"\w+://|(?<![\w@/-])(?:[\w-]+\.)+(?:org|com|io|net|dev)\b|--(?:extra-)?index-url|--find-links")
MACHINE_PATH = re.compile(r"(?<![\w.~}*-])/(?:root|work|home/\w+|Users/\w+)/")
TEXT = {".cfg", ".css", ".html", ".j2", ".js", ".json", ".md", ".mjs", ".py", ".svg", ".toml", ".txt", ".yaml", ".yml"}


def tool(*command: str) -> subprocess.CompletedProcess[str]:
    """Run a tool of the test environment on the checkout."""
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False
    )


@pytest.mark.parametrize(
    "command", [("ruff", "format", "--check", "--diff", "."), ("ruff", "check", "."), ("mypy",)], ids=" ".join
)
def test_the_tools_find_nothing(command: tuple[str, ...]) -> None:
    done = tool(*command)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"


@pytest.fixture(scope="module")
def tracked() -> list[str]:
    """Every file that the repository holds."""
    try:
        done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("not a clone: which files belong to the project is known to git alone")
    names = [name for name in done.stdout.split("\0") if name and (ROOT / name).exists()]
    assert "README.md" in names
    return names


def test_the_top_level_holds_only_what_was_agreed(tracked: list[str]) -> None:
    found = {name.split("/")[0] for name in tracked}
    assert {name for name in found if not name.startswith(".")} - TOP_LEVEL == set()


def test_no_file_holds_a_path_of_somebodys_machine(tracked: list[str]) -> None:
    texts = [name for name in tracked if Path(name).suffix in TEXT]
    assert len(texts) > 10
    assert [name for name in texts if MACHINE_PATH.search((ROOT / name).read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize("name", LOCKS)
def test_a_lock_file_names_no_host(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    assert len(text) > 1000
    if name == "package-lock.json":
        # Sponsors' addresses and the like are not places that packages are fetched from.
        packages = json.loads(text)["packages"]
        assert [path for path, entry in packages.items() if "resolved" in entry] == []
        assert all(entry.get("integrity") for path, entry in packages.items() if path)
    else:
        assert HOST.findall(text) == []


@pytest.mark.parametrize("line", ["a @ https://x.y/z.whl", "--index-url x", "# from files.example.org"])
def test_a_host_is_seen(line: str) -> None:
    assert HOST.search(line)


@pytest.mark.parametrize("name", [name for name in LOCKS if name.startswith("requirements")])
def test_every_pinned_package_has_a_digest(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    entries = re.split(r"\n(?=[a-z0-9])", re.sub(r"(?m)^\s*#.*\n", "", text))
    assert len(entries) > 20
    assert [entry for entry in entries if "==" not in entry or "--hash=sha256:" not in entry] == []


def test_the_tests_lock_pins_the_same_versions_as_the_builds() -> None:
    build, test = (pins(name) for name in LOCKS[:2])
    assert build
    assert {name: test.get(name) for name in build} == build


def test_the_locks_hold_every_package_asked_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    for wanted, lock in (
        (project["project"]["dependencies"], "requirements.lock"),
        (project["dependency-groups"]["test"], "requirements-test.lock"),
    ):
        names = {re.split(r"[\[<>=!~; ]", entry)[0].lower() for entry in wanted}
        assert names <= pins(lock).keys()
    asked = json.loads((ROOT / "package.json").read_text(encoding="utf-8"))["dependencies"]
    locked = json.loads((ROOT / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    assert {name: locked[f"node_modules/{name}"]["version"] for name in asked} == asked


def pins(lock: str) -> dict[str, str]:
    """The version of every package in a lock file."""
    text = (ROOT / lock).read_text(encoding="utf-8")
    return dict(re.findall(r"(?m)^([a-z0-9-]+)==(\S+)", text))
