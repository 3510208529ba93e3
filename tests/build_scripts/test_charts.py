"""What draws charts in the page: one library under a hashed name, one specification for the build and the browser."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from pathlib import Path

import pytest
import vl_convert

from build_scripts import charts
from build_scripts.pages.line_chart import WIDTHS, chart_spec, lines_svg
from calc.curves import page_curves


@pytest.fixture(scope="module")
def made(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    site = tmp_path_factory.mktemp("site")
    charts.write(root, site)
    return site / charts.FOLDER


def test_the_library_carries_its_hash_and_its_license(made: Path) -> None:
    manifest = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    content = (made / manifest["library"]).read_bytes()
    assert manifest["library"] == f"vega-{hashlib.sha256(content).hexdigest()[:12]}.js"
    assert {path.name for path in made.iterdir()} == {"manifest.json", manifest["library"]}
    assert content.startswith(b"/*!\nCopyright")
    assert not re.search(rb"(?m)^import ", content), "a second file would have to be fetched"


def test_the_page_draws_by_what_the_build_drew_by(root: Path, made: Path) -> None:
    manifest = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["specs"] == {width: chart_spec(width) for width in WIDTHS}
    pinned = json.loads((root / "package.json").read_text(encoding="utf-8"))["dependencies"]
    assert pinned["vega"] == vl_convert.get_vega_version(), "the page and the build must use the same Vega"


def test_a_missing_or_changed_library_is_told(root: Path, tmp_path: Path) -> None:
    with pytest.raises(charts.ChartsError, match="Vega is missing"):
        charts.library(tmp_path)
    for name in ("vega", "vega-interpreter"):
        shutil.copytree(root / "node_modules" / name, tmp_path / name)
    assert charts.library(tmp_path)
    script = tmp_path / "vega-interpreter" / "build" / "vega-interpreter.js"
    script.write_text("import { other } from 'vega-util';\n" + script.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(charts.ChartsError, match="imports other names"):
        charts.library(tmp_path)


def test_the_answer_is_marked_by_a_dot() -> None:
    (chart,) = page_curves("exhaust-back-pressure", {}, "us")
    without = lines_svg(chart["rows"], chart["x"], chart["y"])
    marked = lines_svg(chart["rows"], chart["x"], chart["y"], here=chart["here"])
    assert marked.count("<path") == without.count("<path") + 1
    for text in (chart["x"], chart["y"], *chart["table"]["head"][1:]):
        assert f">{text}</text>" in marked
