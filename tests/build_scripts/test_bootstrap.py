"""From any Python to the project's environment, without installing anything for real."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from build_scripts import __main__ as entry
from build_scripts import bootstrap

posix = pytest.mark.skipif(os.name == "nt", reason="stands in for Python with a shell script")


def script(path: Path, body: str) -> str:
    """An executable shell script."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\n{body}\n", encoding="utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return str(path)


def test_this_python_is_fit() -> None:
    path, lacks = bootstrap.probe([sys.executable])
    assert Path(path).exists()
    assert lacks == []


@posix
@pytest.mark.parametrize(
    ("body", "lacks"),
    [
        ("echo 'not installed' >&2; exit 127", ["start"]),
        ("echo hello", ["start"]),
        ("echo /opt/old/python; echo version", ["version"]),
        ("echo /opt/bare/python; echo venv", ["venv"]),
    ],
)
def test_a_candidate_is_believed_only_when_it_runs(tmp_path: Path, body: str, lacks: list[str]) -> None:
    assert bootstrap.probe([script(tmp_path / "python3.13", body)])[1] == lacks


def test_a_candidate_that_is_not_there_is_passed_over(tmp_path: Path) -> None:
    assert bootstrap.probe([str(tmp_path / "python3.13")]) == ("", ["start"])


@pytest.fixture
def only(monkeypatch: pytest.MonkeyPatch) -> dict[str, tuple[str, list[str]]]:
    """Candidates and what their probe says, in place of the real ones."""
    answers: dict[str, tuple[str, list[str]]] = {}

    def ask(command: Sequence[str]) -> tuple[str, list[str]]:
        return answers[command[0]]

    monkeypatch.setattr(bootstrap, "_candidates", lambda: [[name] for name in answers])
    monkeypatch.setattr(bootstrap, "probe", ask)
    return answers


def test_the_first_fit_candidate_is_taken(only: dict[str, tuple[str, list[str]]]) -> None:
    only.update({"a": ("", ["start"]), "b": ("/b", ["version"]), "c": ("/c", []), "d": ("/d", [])})
    assert bootstrap._fit_python() == "/c"


def test_without_any_it_says_what_to_install(only: dict[str, tuple[str, list[str]]]) -> None:
    only["a"] = ("/a", ["version"])
    with pytest.raises(
        bootstrap.CannotStart, match=r"needs Python 3\.12 to 3\.14(.|\n)*then run the same command again"
    ):
        bootstrap._fit_python()


def test_a_python_without_venv_is_named(only: dict[str, tuple[str, list[str]]]) -> None:
    only["a"] = ("/usr/bin/python3.12", ["venv"])
    with pytest.raises(bootstrap.CannotStart, match=r"/usr/bin/python3\.12(.|\n)*python3-venv"):
        bootstrap._fit_python()


@posix
def test_version_managers_folders_are_searched_newest_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for version in ("3.12.1", "3.14.0", "3.11.9"):
        script(tmp_path / "versions" / version / "bin" / "python", "exit 1")
    monkeypatch.setenv("PYENV_ROOT", str(tmp_path))
    monkeypatch.setenv("PATH", "")
    found = [command[0] for command in bootstrap._candidates() if str(tmp_path) in command[0]]
    assert [Path(path).parts[-3] for path in found] == ["3.14.0", "3.12.1"]


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A checkout with one lock file and an environment, and an installer that notes what it was asked to run."""
    for name, place in (("ROOT", ""), ("VENV", ".venv"), ("LOG", ".build/install.log")):
        monkeypatch.setattr(bootstrap, name, str(tmp_path / place))
    (tmp_path / ".venv").mkdir()
    (tmp_path / "requirements.lock").write_text("one==1", encoding="utf-8")
    (tmp_path / "package-lock.json").write_text("{}", encoding="utf-8")
    return tmp_path


@pytest.fixture
def installer(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Exit codes for the next installations, taken from the end; none left means that no more may run."""
    codes: list[int] = []

    def run(title: str, command: Sequence[str], extra: object = None) -> tuple[int, list[str]]:
        return codes.pop(), ["ERROR: no network"]

    monkeypatch.setattr(bootstrap, "_run_step", run)
    return codes


def test_packages_are_installed_once_and_again_when_the_lock_changes(checkout: Path, installer: list[int]) -> None:
    installer.append(0)
    bootstrap._install_python_packages("requirements.lock", "Installing")
    bootstrap._install_python_packages("requirements.lock", "Installing")
    assert installer == []
    (checkout / "requirements.lock").write_text("one==2", encoding="utf-8")
    installer.append(0)
    bootstrap._install_python_packages("requirements.lock", "Installing")
    assert installer == []


def test_a_failed_installation_is_not_taken_for_done(checkout: Path, installer: list[int]) -> None:
    installer.extend([0, 1])
    with pytest.raises(bootstrap.CannotStart, match=r"no network(.|\n)*run the same command again"):
        bootstrap._install_python_packages("requirements.lock", "Installing")
    bootstrap._install_python_packages("requirements.lock", "Installing")
    assert installer == []


def test_a_failed_change_does_not_fall_back_on_the_old_stamp(checkout: Path, installer: list[int]) -> None:
    installer.append(0)
    bootstrap._install_python_packages("requirements.lock", "Installing")
    (checkout / "requirements.lock").write_text("one==2", encoding="utf-8")
    installer.append(1)
    with pytest.raises(bootstrap.CannotStart):
        bootstrap._install_python_packages("requirements.lock", "Installing")
    (checkout / "requirements.lock").write_text("one==1", encoding="utf-8")
    installer.append(0)
    bootstrap._install_python_packages("requirements.lock", "Installing")
    assert installer == []


def test_browser_packages_are_installed_again_when_their_folder_went(checkout: Path, installer: list[int]) -> None:
    modules = checkout / "node_modules"
    modules.mkdir()
    installer.append(0)
    bootstrap._install_browser_packages(with_tests=False)
    bootstrap._install_browser_packages(with_tests=False)
    assert installer == []
    (modules / ".installed").unlink()
    installer.append(0)
    bootstrap._install_browser_packages(with_tests=False)
    assert installer == []


def test_the_tests_packages_come_on_top_and_stay(checkout: Path, installer: list[int]) -> None:
    (checkout / "node_modules").mkdir()
    installer.extend([0, 0])
    bootstrap._install_browser_packages(with_tests=False)
    bootstrap._install_browser_packages(with_tests=True)
    assert installer == []
    bootstrap._install_browser_packages(with_tests=True)
    bootstrap._install_browser_packages(with_tests=False)


def test_a_folder_that_is_no_environment_is_not_deleted(checkout: Path) -> None:
    (checkout / ".venv" / "letters.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(bootstrap.CannotStart, match="not a Python environment"):
        bootstrap._make_venv(sys.executable)
    assert (checkout / ".venv" / "letters.txt").exists()


def test_a_step_shows_that_it_lives_and_keeps_its_output(checkout: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, tail = bootstrap._run_step(
        "Trying", [sys.executable, "-c", "print('Collecting one==1'); raise SystemExit(3)"]
    )
    assert (code, tail) == (3, ["Collecting one==1"])
    assert "Collecting one==1" in (checkout / ".build" / "install.log").read_text(encoding="utf-8")
    assert capsys.readouterr().out.splitlines() == ["Trying ...", "Trying: failed in 0 s"]


def test_python_is_started_without_what_leads_it_astray(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONHOME", "/elsewhere")
    monkeypatch.setenv("PYTHONPATH", "/elsewhere")
    environment = bootstrap._environment()
    assert "PYTHONHOME" not in environment
    assert environment["PYTHONPATH"] == bootstrap.ROOT


def test_help_needs_no_installation() -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-I",
            "-S",
            "-c",
            "import sys; sys.path.insert(0, '.'); from build_scripts.__main__ import main; main(['-h'])",
        ],
        cwd=bootstrap.ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    for command in ("serve", "test", "build", "check", "new", "lock"):
        assert f"\n    {command} " in done.stdout


def test_arguments_of_the_tests_go_through_and_others_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert entry.parser().parse_known_args(["test", "-k", "units", "tests/calc"])[1] == ["-k", "units", "tests/calc"]
    with pytest.raises(SystemExit) as stopped:
        entry.main(["build", "--output", "x"])
    assert stopped.value.code == 2
    assert "unrecognized arguments: --output x" in capsys.readouterr().err


old = [path for path in map(Path, Path.home().glob(".pyenv/versions/3.[6-9].*/bin/python")) if path.exists()]


@pytest.mark.skipif(not old, reason="no Python older than 3.10 on this machine")
def test_an_old_python_can_run_the_entry() -> None:
    for python in old:
        done = subprocess.run(
            [str(python), "-m", "build_scripts", "--help"],
            cwd=bootstrap.ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        assert "serve" in done.stdout
