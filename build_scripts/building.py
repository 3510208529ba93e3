"""From the checkout to a finished site in .build/site: only when something changed, and all or nothing."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from filelock import FileLock

from build_scripts import search_words

ROOT = Path(__file__).resolve().parent.parent

# Everything a page is made from. A change in any of them makes the built site stale.
INPUTS = (
    "docs",
    "calc",
    "build_scripts",
    "mkdocs.yml",
    "requirements.lock",
    "package-lock.json",
    "README.md",
    "DEVELOPERS.md",
)

# Variables that the pages carry in them: the address they are published at, and where "edit this page" leads.
VARIABLES = ("HEADROOM_SITE_URL", "HEADROOM_EDIT_URL")

# A build without one of these did not end well, whatever its tools said.
NECESSARY = (
    "index.html",
    "404.html",
    "sitemap.xml",
    "assets/search-words.json",
    "assets/python/manifest.json",
    "assets/charts/manifest.json",
    "data/catalogue.json",
)

# Seconds between two signs of life.
BEAT = 10.0


class BuildFailed(Exception):
    """The site could not be built; the text holds every error found, one a line."""


def site_folder(root: Path = ROOT) -> Path:
    """Where the last good site lies."""
    return root / ".build" / "site"


def inputs(root: Path = ROOT) -> Iterator[Path]:
    """Every file that a page is made from, in a fixed order; editors' and Python's own files left out."""
    for name in INPUTS:
        place = root / name
        if place.is_file():
            yield place
        for folder, folders, files in os.walk(place):
            folders[:] = sorted(f for f in folders if (f != "__pycache__" and not f.startswith(".")) or f == ".icons")
            for file in sorted(files):
                if not file.startswith((".", "#")) and not file.endswith(("~", ".pyc", ".swp", ".tmp")):
                    yield Path(folder, file)


def fingerprint(root: Path = ROOT) -> str:
    """A digest of the names and contents of all inputs, of the variables used, and of the Python that builds."""
    variables = [os.environ.get(name, "") for name in VARIABLES]
    digest = hashlib.sha256("\0".join([sys.version, *variables]).encode())
    for path in inputs(root):
        try:
            content = path.read_bytes()
        except FileNotFoundError:  # Gone since it was listed: an editor swaps files while saving.
            continue
        digest.update(f"{path.relative_to(root).as_posix()}\0{len(content)}\0".encode())
        digest.update(content)
    return digest.hexdigest()


def is_current(root: Path = ROOT) -> bool:
    """Whether the last good site was made from the inputs as they are now."""
    try:
        stamp = _stamp(root).read_text(encoding="utf-8")
    except FileNotFoundError:
        return False
    return site_folder(root).is_dir() and stamp == fingerprint(root)


def ensure(root: Path = ROOT, make: Callable[[Path, Path], None] | None = None) -> bool:
    """Build the site when it is not current; tell whether it was built.

    A build that fails leaves the last good site in its place. Two processes never build at the same time.

    Args:
        root: The checkout.
        make: What makes the site (root, empty folder); by default the whole of it.

    Raises:
        BuildFailed: With every error found.
    """
    state = root / ".build"
    state.mkdir(exist_ok=True)
    with FileLock(state / "building.lock"):
        if is_current(root):
            return False
        # Taken first: an input saved while building makes the result stale, and the next start builds again.
        made_from = fingerprint(root)
        fresh = state / "site.new"
        shutil.rmtree(fresh, ignore_errors=True)
        fresh.mkdir()
        try:
            (make or make_site)(root, fresh)
            _stamp(root).unlink(missing_ok=True)
            swap(fresh, site_folder(root))
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
        _stamp(root).write_text(made_from, encoding="utf-8")
        return True


def swap(fresh: Path, place: Path) -> None:
    """Put the folder `fresh` where `place` is; what was there goes."""
    old = place.with_name(place.name + ".old")
    shutil.rmtree(old, ignore_errors=True)
    if place.exists():
        _rename(place, old)
    _rename(fresh, place)
    shutil.rmtree(old, ignore_errors=True)


def make_site(root: Path, site: Path) -> None:
    """Check everything, write all pages and the browser's Python into the empty folder `site`.

    Raises:
        BuildFailed: With every error found.
    """
    problems = check(root)
    if problems:
        raise BuildFailed("\n".join(problems))
    step("Pages", lambda: _mkdocs(root, site))
    step("Words for the search", lambda: search_words.write(site))
    step("Catalogue for the planner", lambda: _export(root, site))
    step("Charts for the browser", lambda: _charts(root, site))
    step("Python for the browser", lambda: _bundle(root, site))
    missing = [name for name in NECESSARY if not (site / name).is_file()]
    if missing:
        raise BuildFailed("The build ended without an error, but the site lacks: " + ", ".join(missing))


def check(root: Path = ROOT) -> list[str]:
    """Read and check the data and the prose; one line for every problem, none when all is well."""
    from build_scripts import checks

    return [str(problem) for problem in checks.everything(root)]


def _mkdocs(root: Path, site: Path) -> None:
    # A process of its own: the generator keeps what it imported, and would show yesterday's docstring.
    environment = dict(os.environ, PYTHONPATH=str(root), NO_MKDOCS_2_WARNING="1")
    command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--strict", "-f", "mkdocs.yml", "-d", str(site)]
    done = subprocess.run(
        command,
        cwd=root,
        env=environment,
        text=True,
        encoding="utf-8",
        errors="replace",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    if done.returncode != 0:
        raise BuildFailed(done.stdout.strip() or f"The page generator ended with exit code {done.returncode}.")


def _export(root: Path, site: Path) -> None:
    from build_scripts import catalogue, export

    export.write(catalogue.load(root), site / export.FILE, root / ".build" / "catalogue.json")


def _charts(root: Path, site: Path) -> None:
    from build_scripts import charts

    try:
        charts.write(root, site)
    except charts.ChartsError as error:
        raise BuildFailed(str(error)) from error


def _bundle(root: Path, site: Path) -> None:
    from build_scripts import bundle

    try:
        bundle.make(root, site)
    except bundle.BundleError as error:
        raise BuildFailed(str(error)) from error


def step(title: str, action: Callable[[], None]) -> None:
    """Do something that takes a while, saying so before, every ten seconds, and after."""
    started = time.monotonic()
    over = threading.Event()

    def beat() -> None:
        while not over.wait(BEAT):
            print(f"  {time.monotonic() - started:.0f} s", flush=True)

    print(f"{title} ...", flush=True)
    threading.Thread(target=beat, daemon=True).start()
    try:
        action()
    finally:
        over.set()
    print(f"{title}: done in {time.monotonic() - started:.1f} s", flush=True)


def _stamp(root: Path) -> Path:
    return root / ".build" / "site.made-from"


def _rename(source: Path, target: Path) -> None:
    """Rename a folder, trying again while another program (a virus scanner, say) holds a file in it."""
    for wait in (0.1, 0.2, 0.4, 0.8):
        try:
            source.rename(target)
            return
        except PermissionError:
            time.sleep(wait)
    source.rename(target)
