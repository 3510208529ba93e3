"""Builds happen when something changed, and are all or nothing."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from build_scripts import building


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A checkout with one page."""
    (tmp_path / "docs").mkdir()
    (tmp_path / "docs" / "index.md").write_text("first", encoding="utf-8")
    return tmp_path


def copy_page(root: Path, site: Path) -> None:
    """Stands in for the whole build."""
    site.joinpath("index.html").write_text((root / "docs" / "index.md").read_text(encoding="utf-8"), encoding="utf-8")


def fail(root: Path, site: Path) -> None:
    """A build that ends half-way."""
    site.joinpath("index.html").write_text("half", encoding="utf-8")
    raise building.BuildFailed("docs/index.md:1: found x, allowed y")


def page(root: Path) -> str:
    return (building.site_folder(root) / "index.html").read_text(encoding="utf-8")


def test_a_build_happens_once_until_an_input_changes(checkout: Path) -> None:
    assert building.ensure(checkout, copy_page)
    assert not building.ensure(checkout, fail)
    (checkout / "docs" / "index.md").write_text("second", encoding="utf-8")
    assert building.ensure(checkout, copy_page)
    assert page(checkout) == "second"


def test_a_failed_build_leaves_the_last_good_site_and_is_tried_again(checkout: Path) -> None:
    building.ensure(checkout, copy_page)
    (checkout / "docs" / "index.md").write_text("second", encoding="utf-8")
    with pytest.raises(building.BuildFailed, match="found x"):
        building.ensure(checkout, fail)
    assert page(checkout) == "first"
    assert not building.is_current(checkout)
    assert building.ensure(checkout, copy_page)
    assert page(checkout) == "second"
    assert sorted(path.name for path in (checkout / ".build").iterdir() if path.is_dir()) == ["site"]


def test_an_input_saved_while_building_makes_the_result_stale(checkout: Path) -> None:
    def save_and_copy(root: Path, site: Path) -> None:
        copy_page(root, site)
        (root / "docs" / "index.md").write_text("second", encoding="utf-8")

    building.ensure(checkout, save_and_copy)
    assert not building.is_current(checkout)


@pytest.mark.parametrize(
    "name", ["docs/data/a.yaml", "calc/a.py", "build_scripts/a.j2", "mkdocs.yml", "package-lock.json"]
)
def test_every_kind_of_input_counts(checkout: Path, name: str) -> None:
    before = building.fingerprint(checkout)
    (checkout / name).parent.mkdir(parents=True, exist_ok=True)
    (checkout / name).write_text("new", encoding="utf-8")
    assert building.fingerprint(checkout) != before


@pytest.mark.parametrize(
    "name", ["docs/.index.md.swp", "docs/index.md~", "calc/__pycache__/a.pyc", "tests/a.py", ".build/a"]
)
def test_what_no_page_is_made_from_does_not_count(checkout: Path, name: str) -> None:
    before = building.fingerprint(checkout)
    (checkout / name).parent.mkdir(parents=True, exist_ok=True)
    (checkout / name).write_text("new", encoding="utf-8")
    assert building.fingerprint(checkout) == before


def test_the_published_address_counts(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = building.fingerprint(checkout)
    monkeypatch.setenv("HEADROOM_SITE_URL", "https://shop.invalid/headroom/")
    assert building.fingerprint(checkout) != before


def test_a_renamed_file_counts(checkout: Path) -> None:
    before = building.fingerprint(checkout)
    (checkout / "docs" / "index.md").rename(checkout / "docs" / "other.md")
    assert building.fingerprint(checkout) != before


def test_problems_in_the_data_stop_the_build(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(building, "check", lambda root: ["docs/data/a.yaml:3: unit: found x", "b.md:1: bare number"])
    with pytest.raises(building.BuildFailed, match=r"a\.yaml:3(.|\n)*b\.md:1"):
        building.ensure(checkout)


def test_a_site_without_its_first_page_is_not_published(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("check", "_mkdocs", "_charts", "_bundle"):
        monkeypatch.setattr(building, name, lambda *_: [])
    with pytest.raises(building.BuildFailed, match=r"lacks: index\.html"):
        building.ensure(checkout)
    assert not building.site_folder(checkout).exists()


def test_a_long_step_gives_signs_of_life_and_stops_when_it_fails(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(building, "BEAT", 0.01)
    building.step("Pages", lambda: time.sleep(0.2))
    first, *beats, last = capsys.readouterr().out.splitlines()
    assert (first, set(beats)) == ("Pages ...", {"  0 s"})
    assert last.startswith("Pages: done in 0.")
    with pytest.raises(ZeroDivisionError):
        building.step("Pages", lambda: print(1 / 0))
    assert "done" not in capsys.readouterr().out
