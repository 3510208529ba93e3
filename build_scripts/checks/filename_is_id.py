"""The name of a record's file is its id, so it must be one, and the folder must hold nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import DATA, Catalogue
from build_scripts.models import kinds
from build_scripts.models.problem import Problem, closest

name = "filename-is-id"
description = "Every file under docs/data is a record in the folder of its kind, named by its id."
scope = "record"

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\.yaml")
_OTHER = ("prose-exceptions.yaml",)


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every file and folder that nobody would read."""
    for path in sorted((root / DATA).iterdir()) if (root / DATA).is_dir() else []:
        file = path.relative_to(root).as_posix()
        if path.is_dir() and path.name not in kinds():
            allowed = f"one of {', '.join(kinds())}"
            yield Problem(file, 0, "", f"the folder `{path.name}`", allowed, closest(path.name, kinds()))
        elif path.is_file() and path.name not in _OTHER:
            yield Problem(file, 0, "", "a file beside the folders", "records inside the folder of their kind")
    for folder in kinds():
        for path in sorted((root / DATA / folder).glob("*")):
            if not _ID.fullmatch(path.name):
                meant = re.sub(r"[^a-z0-9]+", "-", path.stem.casefold()).strip("-") + ".yaml"
                allowed = "small letters, digits and single hyphens, then .yaml"
                file = path.relative_to(root).as_posix()
                yield Problem(file, 0, "", f"the name `{path.name}`", allowed, meant)
