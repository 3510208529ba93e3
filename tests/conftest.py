"""What tests share: the browser to drive, and the built site with a server of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from build_scripts import building, chromium, serve


@dataclass(frozen=True)
class Site:
    """The built site: its folder, and the address it is served at (ends with a slash)."""

    folder: Path
    url: str


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return building.ROOT


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """The path of the Chromium to drive; the test fails, saying what to install, when there is none."""
    try:
        return chromium.find()
    except chromium.NoChromium as problem:
        pytest.fail(str(problem), pytrace=False)


@pytest.fixture(scope="session")
def site() -> Iterator[Site]:
    """The site built from this checkout, once however many processes test, and a server of it."""
    try:
        building.ensure()
    except building.BuildFailed as failure:
        pytest.fail(f"The site cannot be built:\n{failure}", pytrace=False)
    with serve.running(building.site_folder()) as server:
        yield Site(building.site_folder(), server.url)
