"""The exported catalogue is what the planner reads: complete, in SI, the same for the same records."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from build_scripts import catalogue, export
from build_scripts.building import ROOT
from build_scripts.catalogue import Catalogue
from calc.plan.records import Catalogue as Read
from calc.plan.records import Figure
from calc.units import to_si


@pytest.fixture(scope="module")
def records() -> Catalogue:
    return catalogue.load(ROOT)


@pytest.fixture(scope="module")
def read(records: Catalogue) -> Read:
    return Read.read(export.as_text(records))


def test_every_platform_figure_arrives_in_si(records: Catalogue, read: Read) -> None:
    compared = 0
    for record in records.figures.values():
        if record.folder != "platforms" or record.path.startswith(("limits.", "variants.")):
            continue
        (found,) = [figure for figure in read.platforms[record.record].figures.values() if figure.id == record.id]
        assert found.grade == record.grade
        assert found.ends[::2] == tuple(to_si(end, record.figure.unit) for end in record.figure.ends)
        compared += 1
    assert compared > 50


def test_every_limit_and_practice_arrives(records: Catalogue, read: Read) -> None:
    for name, platform in records.platforms.items():
        assert set(read.platforms[name].limits) == set(platform.limits)
        for key, limit in platform.limits.items():
            figure = read.platforms[name].limits[key].wheel_power
            assert isinstance(figure, Figure)
            assert figure.value == pytest.approx(limit.wheel_power.likely_in("W"))
    assert set(read.practice) == set(records.practice)


def test_every_modification_and_use_arrives(records: Catalogue, read: Read) -> None:
    assert set(read.modifications) == set(records.of("modifications"))
    assert set(read.uses) == set(records.of("uses"))


def test_units_are_coherent() -> None:
    assert [export.coherent(unit) for unit in ("hp", "degC", "delta_degF", "h", "money", "in", "1", "lbf.ft")] == [
        "W",
        "K",
        "delta_K",
        "s",
        "money",
        "m",
        "1",
        "N.m",
    ]


def test_it_is_written_whole_and_the_same_each_time(records: Catalogue, tmp_path: Path) -> None:
    places = tmp_path / "site" / "data" / "catalogue.json", tmp_path / "catalogue.json"
    export.write(records, *places)
    first = [place.read_text(encoding="utf-8") for place in places]
    export.write(catalogue.load(ROOT), *places)
    assert [place.read_text(encoding="utf-8") for place in places] == first
    assert first[0] == first[1]
    assert json.loads(first[0])["version"] == export.VERSION
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["catalogue.json"]
