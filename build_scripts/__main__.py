"""What people type: ``python3 -m build_scripts COMMAND``.

This file and ``bootstrap`` use the standard library alone and no syntax newer than Python 3.6, so that an
old Python can still start them and be sent on to a newer one.
"""

import argparse
import sys
from typing import List, Optional

from build_scripts import bootstrap


def parser() -> argparse.ArgumentParser:
    """The whole command line: every command, its help and its options."""
    top = argparse.ArgumentParser(
        prog="python3 -m build_scripts",
        description="Install, build, serve, check and test the Headroom site. "
        "The first run installs pinned packages into .venv and node_modules in this folder, and nowhere else.",
        allow_abbrev=False,
    )
    commands = top.add_subparsers(dest="command", metavar="COMMAND")

    serve = _add(commands, "serve", "install, build, serve the site on this machine, and rebuild it on every change")
    serve.add_argument(
        "--port", type=int, metavar="N", help="the port to serve on (default: 8000, or the next free one)"
    )

    _add(
        commands,
        "test",
        "install what the tests need, build the site, and run every test",
        "Arguments that are not listed here go to pytest, for example: test tests/calc -k units",
    )

    build = _add(commands, "build", "check the data and the prose, and build the site into .build/site")
    build.add_argument(
        "--out", metavar="DIR", help="copy the finished site to this folder (new, empty, or an earlier build)"
    )

    _add(commands, "check", "check the data and the prose without building: every error with its file and line")

    new = _add(commands, "new", "write a commented template for a new record")
    new.add_argument("kind", metavar="KIND", help="platform, source, practice, caution ... (a folder of docs/data)")
    new.add_argument("id", metavar="ID", help="lower-case letters, digits and hyphens; it becomes the file's name")

    lock = _add(commands, "lock", "renew the lock files after a change in pyproject.toml or package.json")
    lock.add_argument("--upgrade", action="store_true", help="take the newest version of every package")
    return top


def _add(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, summary: str, epilog: str = ""
) -> argparse.ArgumentParser:
    described = summary[0].upper() + summary[1:] + "."
    return commands.add_parser(name, help=summary, description=described, epilog=epilog, allow_abbrev=False)


def main(argv: Optional[List[str]] = None) -> int:
    """Run one command inside the project's own environment; return the exit code."""
    given = sys.argv[1:] if argv is None else argv
    top = parser()
    arguments, others = top.parse_known_args(given)
    if not arguments.command:
        top.print_help()
        return 2
    if others and arguments.command != "test":
        top.error("unrecognized arguments: " + " ".join(others))
    try:
        bootstrap.enter(given, with_tests=arguments.command in ("test", "lock"))
        from build_scripts import commands

        return commands.run(arguments, others)
    except bootstrap.CannotStart as problem:
        sys.stdout.flush()
        sys.stderr.write("{}\n".format(problem))
        return 2
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped.\n")
        return 130


if __name__ == "__main__":
    sys.exit(main())
