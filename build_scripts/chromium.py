"""Finds the browser that the tests drive; on a Debian machine, as root, installs it."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")

ADVICE = (
    "The tests of the pages need Chromium: install it (Debian: apt-get install chromium) "
    "or set HEADROOM_CHROMIUM to the path of one, then run the same command again."
)


class NoChromium(Exception):
    """No Chromium on this machine; the text says what to install."""


def find() -> str:
    """The path of a Chromium.

    Raises:
        NoChromium: There is none, or HEADROOM_CHROMIUM names a file that is not there.
    """
    named = os.environ.get("HEADROOM_CHROMIUM")
    if named:
        if not Path(named).is_file():
            raise NoChromium(f"HEADROOM_CHROMIUM names {named}, which is not there. {ADVICE}")
        return named
    for name in NAMES:
        found = shutil.which(name)
        if found:
            return found
    for place in _usual_places():
        if place.is_file():
            return str(place)
    raise NoChromium(ADVICE)


def find_or_install() -> str:
    """The path of a Chromium, installed first where that can be done without asking: Debian, as root.

    Raises:
        NoChromium: There is none and it could not be installed.
    """
    try:
        return find()
    except NoChromium:
        if os.environ.get("HEADROOM_CHROMIUM") or not _root_on_debian():
            raise
    print("Installing Chromium for the tests of the pages (apt-get) ...", flush=True)
    environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    for command in (
        ["apt-get", "update", "-q"],
        ["apt-get", "install", "-q", "-y", "--no-install-recommends", "chromium"],
    ):
        if subprocess.run(command, env=environment, check=False).returncode != 0:
            raise NoChromium(f"'{' '.join(command)}' failed. {ADVICE}")
    return find()


def _root_on_debian() -> bool:
    return Path("/etc/debian_version").exists() and bool(shutil.which("apt-get")) and os.geteuid() == 0


def _usual_places() -> list[Path]:
    places = [
        Path(folder, "Applications", f"{name}.app", "Contents", "MacOS", name)
        for folder in ("/", Path.home())
        for name in ("Chromium", "Google Chrome")
    ]
    for variable in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
        folder = os.environ.get(variable)
        if folder:
            places.append(Path(folder, "Chromium", "Application", "chrome.exe"))
            places.append(Path(folder, "Google", "Chrome", "Application", "chrome.exe"))
    return places
