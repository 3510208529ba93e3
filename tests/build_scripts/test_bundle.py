"""The files of the browser's Python: complete, checked, lean, the same from any folder, and made only when needed."""

from __future__ import annotations

import base64
import hashlib
import json
import shutil
import zipfile
from pathlib import Path
from typing import Any

import brotli
import pytest

from build_scripts import bundle


@pytest.fixture(scope="module")
def made(root: Path) -> Path:
    return bundle.prepared(root)


@pytest.fixture(scope="module")
def manifest(made: Path) -> Any:
    return json.loads((made / "manifest.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def elsewhere(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of what a bundle is made from, in another folder and without anything made before."""
    copy = tmp_path_factory.mktemp("elsewhere")
    shutil.copytree(root / "calc", copy / "calc", ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "node_modules").mkdir()
    (copy / "node_modules" / "pyodide").symlink_to(root / "node_modules" / "pyodide", target_is_directory=True)
    bundle.prepared(copy)
    return copy


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def members(archive: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(archive) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_the_manifest_names_every_file_with_its_digest(made: Path, manifest: Any) -> None:
    content = files(made)
    del content["manifest.json"]
    digests = {name: base64.b64encode(hashlib.sha256(data).digest()).decode() for name, data in content.items()}
    assert manifest["integrity"] == {name: f"sha256-{digest}" for name, digest in digests.items()}
    for name in ("lean", "full", "lock"):
        assert manifest[name] in content
    for name in bundle.RUNTIME_FILES:
        assert manifest["runtime"] + name in content


def test_names_carry_the_content(made: Path, manifest: Any) -> None:
    for name in ("lean", "full", "lock"):
        digest = hashlib.sha256((made / manifest[name]).read_bytes()).hexdigest()
        assert digest[:12] in manifest[name]


def test_the_lock_file_holds_our_package_alone(made: Path, manifest: Any) -> None:
    lock = json.loads((made / manifest["lock"]).read_text(encoding="utf-8"))
    assert list(lock["packages"]) == manifest["packages"] == ["calc"]
    package = lock["packages"]["calc"]
    assert package["sha256"] == hashlib.sha256((made / package["file_name"]).read_bytes()).hexdigest()
    assert "://" not in json.dumps(lock)


def test_the_wheel_is_bytecode_of_all_of_calc(root: Path, made: Path, manifest: Any) -> None:
    lock = json.loads((made / manifest["lock"]).read_text(encoding="utf-8"))
    wheel = members(made / lock["packages"]["calc"]["file_name"])
    modules = {name for name in wheel if not name.startswith("calc-1.dist-info/")}
    assert modules == {path.relative_to(root).as_posix() + "c" for path in (root / "calc").rglob("*.py")}


def test_bytecode_stands_for_itself(made: Path, manifest: Any) -> None:
    """Unchecked hashes, so no time stamp and no source is asked for; and no folder of this computer inside."""
    archives = [made / manifest["full"], *made.glob("calc-*/*.whl")]
    for archive in archives:
        compiled = {name: data for name, data in members(archive).items() if name.endswith(".pyc")}
        assert compiled
        assert {data[4:8] for data in compiled.values()} == {(1).to_bytes(4, "little")}
        assert not any(str(made.parents[2]).encode() in data for data in compiled.values())


def test_the_lean_library_is_a_small_part_of_the_whole(made: Path, manifest: Any) -> None:
    lean, full = members(made / manifest["lean"]), members(made / manifest["full"])
    assert lean.items() <= full.items()
    assert 50 < len(lean) < len(full) / 2
    assert sum(map(len, lean.values())) < sum(map(len, full.values())) / 2
    assert {"dataclasses.pyc", "encodings/utf_8.pyc", "traceback.pyc"} <= lean.keys()


def test_the_same_bytes_from_another_folder(made: Path, elsewhere: Path) -> None:
    assert files(bundle.prepared(elsewhere)) == files(made)


def test_nothing_is_run_when_nothing_changed(elsewhere: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(script: str, *_: object, **__: object) -> str:
        raise AssertionError(f"{script} was run")

    monkeypatch.setattr(bundle, "node", refused)
    bundle.make(elsewhere, tmp_path)
    assert files(tmp_path / bundle.FOLDER) == files(bundle.prepared(elsewhere))


def test_a_changed_formula_compiles_calc_alone(elsewhere: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = json.loads((bundle.prepared(elsewhere) / "manifest.json").read_text(encoding="utf-8"))
    runs: list[str] = []
    run = bundle.node

    def counted(script: str, *arguments: Path | str, text: str = "") -> str:
        runs.append(script)
        return run(script, *arguments, text=text)

    monkeypatch.setattr(bundle, "node", counted)
    more = elsewhere / "calc" / "more.py"
    more.write_text("SPARE = 1.0\n", encoding="utf-8")
    try:
        after = json.loads((bundle.prepared(elsewhere) / "manifest.json").read_text(encoding="utf-8"))
    finally:
        more.unlink()
    assert runs == ["compile.mjs", "trace.mjs", "answer.mjs"]
    assert after["lock"] != before["lock"]
    assert (after["runtime"], after["full"], after["lean"]) == (before["runtime"], before["full"], before["lean"])


def test_a_file_that_does_not_compile_fails_the_build(elsewhere: Path) -> None:
    broken = elsewhere / "calc" / "calculators" / "broken.py"
    broken.write_text("def broken(:\n", encoding="utf-8")
    try:
        with pytest.raises(bundle.BundleError, match=r"broken\.py"):
            bundle.prepared(elsewhere)
    finally:
        broken.unlink()


def test_a_missing_runtime_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(bundle.BundleError, match="build_scripts build"):
        bundle.make(tmp_path, tmp_path / "site")


def test_compressed_copies_hold_the_same(tmp_path: Path) -> None:
    folder = tmp_path / "site" / bundle.FOLDER / "runtime-0"
    folder.mkdir(parents=True)
    (folder / "a.wasm").write_bytes(b"wasm" * 1000)
    for _ in range(2):
        bundle.compress(tmp_path, tmp_path / "site")
        assert {path.name for path in folder.iterdir()} == {"a.wasm", "a.wasm.br"}
        assert brotli.decompress((folder / "a.wasm.br").read_bytes()) == b"wasm" * 1000
