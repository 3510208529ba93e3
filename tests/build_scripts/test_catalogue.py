"""The project's own data, read as one catalogue."""

from __future__ import annotations

import dataclasses
import re
import shutil
from pathlib import Path

import pytest
import yaml

from build_scripts import catalogue
from build_scripts.building import ROOT
from build_scripts.catalogue import Catalogue
from calc.provenance import Grade, Reference


@pytest.fixture(scope="module")
def data() -> Catalogue:
    return catalogue.load(ROOT)


def test_every_file_is_a_record(data: Catalogue) -> None:
    files = {path.relative_to(ROOT).as_posix() for path in (ROOT / "docs" / "data").glob("*/*.yaml")}
    assert len(files) > 50
    assert {record.file for folder in data.records.values() for record in folder.values()} == files


def test_every_figure_has_the_id_and_line_of_its_place(data: Catalogue) -> None:
    assert len(data.figures) > 100
    for identifier, figure in data.figures.items():
        assert identifier == figure.id == f"{figure.folder}/{figure.record}/{figure.path}"
        key = next(step for step in reversed(figure.steps) if isinstance(step, str))
        lines = (ROOT / figure.file).read_text(encoding="utf-8").splitlines()
        first = figure.line if isinstance(figure.steps[-1], str) else figure.line - int(figure.steps[-1]) - 1
        assert lines[first - 1].lstrip().startswith(f"{key}:")
        assert figure.title
        assert figure.description


def test_figures_hold_what_the_files_hold(data: Catalogue) -> None:
    """The same files, read by the plain loader of the YAML library."""
    for figure in data.figures.values():
        value = yaml.safe_load((ROOT / figure.file).read_text(encoding="utf-8"))
        for step in figure.steps:
            value = value[step]
        assert figure.figure.ends == (value.get("value", value.get("low")), value.get("value", value.get("high")))
        assert (figure.figure.unit, str(figure.grade)) == (value["unit"], value["grade"])


def test_anchors_are_single_and_fit_for_html(data: Catalogue) -> None:
    anchors = [figure.anchor for figure in data.figures.values()]
    assert len(set(anchors)) == len(anchors)
    assert all(re.fullmatch(r"[a-z][a-z0-9-]*", anchor) for anchor in anchors)


def test_labels_of_a_platform_tell_its_figures_apart(data: Catalogue) -> None:
    for platform in data.platforms.values():
        labels = [figure.label for figure in data.figures_of(platform)]
        assert sorted({label for label in labels if labels.count(label) > 1}) == []


def test_the_platforms_are_invented_in_every_figure(data: Catalogue) -> None:
    assert len(data.platforms) >= 4
    for platform in data.platforms.values():
        figures = data.figures_of(platform)
        assert len(figures) > 90
        assert {figure.grade for figure in figures} == {Grade.INVENTED}
        assert data.grade_of(platform) is Grade.INVENTED


def test_sources_list_the_figures_that_rest_on_them(data: Catalogue) -> None:
    cited = {figure.id for figures in data.cited.values() for figure in figures}
    assert cited == {figure.id for figure in data.figures.values() if figure.figure.source}
    resting = {name for name, found in data.figures.items() if found.figure.source == "iso-13732-1"}
    assert "practice/burn-threshold-bare-metal/figure" in resting
    assert {figure.id for figure in data.cited["iso-13732-1"]} == resting


def test_cautions_come_danger_first(data: Catalogue) -> None:
    order = [caution.severity for caution in data.cautions_for(["exhaust", "law"])]
    assert order == sorted(order, key=["danger", "warning", "notice"].index)
    assert len(set(order)) == 3
    assert data.cautions_for([]) == ()


def test_no_caution_says_that_emission_hardware_may_go(data: Catalogue) -> None:
    text = data.cautions["emission-hardware"].text
    assert "no page will offer it" in text
    assert data.cautions["emission-hardware"].severity == "danger"


def test_limits_of_the_demo_are_in_the_order_of_the_story(data: Catalogue) -> None:
    limits = data.platforms["hollin-six"].limits
    first = sorted(limits.keys() - {"calibration"}, key=lambda key: limits[key].wheel_power.ends)
    assert first[:2] == ["transmission", "turbocharger"]
    assert first.index("turbocharger") < first.index("injectors") < first.index("high-pressure-pump")
    ratings = data.platforms["hollin-six"].ratings
    assert ratings.wheel_power.likely < limits["transmission"].wheel_power.ends[0] < ratings.goal_power.likely


def test_the_catalogue_is_frozen(data: Catalogue) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        data.records = {}  # type: ignore[misc]
    with pytest.raises(TypeError):
        data.figures["x"] = None  # type: ignore[index]
    with pytest.raises(TypeError):
        data.platforms["x"] = None  # type: ignore[index]


def test_a_folder_without_data_is_an_empty_catalogue(tmp_path: Path) -> None:
    empty = catalogue.load(tmp_path)
    assert (dict(empty.platforms), dict(empty.figures)) == ({}, {})


def test_figures_may_cite_what_calc_itself_rests_on(tmp_path: Path) -> None:
    (tmp_path / "docs/data/practice").mkdir(parents=True)
    target = tmp_path / "docs/data/practice/burn-threshold-bare-metal.yaml"
    shutil.copy(ROOT / "docs/data/practice/burn-threshold-bare-metal.yaml", target)
    found = catalogue.load(tmp_path, {"iso-13732-1": Reference("iso-13732-1", "A standard")})
    assert [figure.record for figure in found.cited["iso-13732-1"]] == ["burn-threshold-bare-metal"]
