"""Who may import whom: `calc` stands alone on the standard library, and every part leans only on those below it."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
STANDARD = frozenset(sys.stdlib_module_names)
STARTERS = ("__main__.py", "bootstrap.py")

LINT = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"

# Imports every module of the package, then prints the top-level names of all that got loaded.
IMPORT_ALL = """
import sys
sys.path.insert(0, sys.argv[1])
import importlib, pkgutil
import calc
names = ["calc"] + [m.name for m in pkgutil.walk_packages(calc.__path__, "calc.") if not m.name.endswith("__main__")]
for name in names:
    importlib.import_module(name)
print(len(names), *sorted({name.split(".")[0] for name in sys.modules}))
"""


def imported(tree: ast.AST) -> Iterator[str]:
    """The top-level name of every absolute import in a syntax tree, wherever in the file it stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            yield node.module.split(".")[0]


def python_files(folder: str) -> list[Path]:
    """The Python files under a folder of the checkout; a test of none of them would prove nothing."""
    files = sorted((ROOT / folder).rglob("*.py"))
    assert files, f"no Python file under {folder}"
    return files


def strangers(text: str) -> set[str]:
    """What a file of `calc` imports beside the standard library and `calc`."""
    return set(imported(ast.parse(text))) - STANDARD - {"calc"}


@pytest.mark.parametrize("path", python_files("calc"), ids=lambda path: path.relative_to(ROOT).as_posix())
def test_calc_imports_only_the_standard_library(path: Path) -> None:
    assert strangers(path.read_text(encoding="utf-8")) == set()


@pytest.mark.parametrize(
    "line", ["import pydantic", "from build_scripts import loading", "def f():\n import yaml.nodes"]
)
def test_a_stranger_is_seen(line: str) -> None:
    assert strangers(f"import math\n{line}\n")


def test_calc_can_be_imported_with_nothing_installed(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "calc", tmp_path / "calc", ignore=shutil.ignore_patterns("__pycache__"))
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-B", "-W", "error", "-c", IMPORT_ALL, str(tmp_path)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    count, *loaded = done.stdout.split()
    assert int(count) >= len(list((ROOT / "calc").glob("*.py"))) - 1
    assert set(loaded) - STANDARD - {"calc", "__main__"} == set()


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Hold the imports of the checkout in `folder` against the contracts in its pyproject.toml."""
    return subprocess.run([sys.executable, "-c", LINT], cwd=folder, capture_output=True, text=True, check=False)


def test_every_part_imports_only_from_those_below_it() -> None:
    done = lint(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("file", "line"),
    [("calc/units.py", "import build_scripts.loading"), ("build_scripts/loading.py", "import build_scripts.building")],
)
def test_an_import_from_above_is_seen(tmp_path: Path, file: str, line: str) -> None:
    for name in ("calc", "build_scripts"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    with (tmp_path / file).open("a", encoding="utf-8") as target:
        target.write(f"\n{line}\n")
    done = lint(tmp_path)
    assert done.returncode == 1
    assert "BROKEN" in done.stdout


def test_only_the_hook_knows_the_page_generator_and_it_is_thin() -> None:
    users = [
        path.relative_to(ROOT).as_posix()
        for path in python_files("build_scripts")
        if "mkdocs" in set(imported(ast.parse(path.read_text(encoding="utf-8"))))
    ]
    assert users == ["build_scripts/hooks.py"]
    assert len((ROOT / users[0]).read_text(encoding="utf-8").splitlines()) < 40


@pytest.mark.parametrize("name", STARTERS)
def test_the_entry_can_be_started_by_an_old_python(name: str) -> None:
    text = (ROOT / "build_scripts" / name).read_text(encoding="utf-8")
    tree = ast.parse(text, feature_version=(3, 6))
    assert not any(isinstance(node, ast.NamedExpr) for node in ast.walk(tree))
    assert set(imported(tree)) - STANDARD == ({"build_scripts"} if name == "__main__.py" else set())
