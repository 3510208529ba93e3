"""Removing emission controls is no modification here: no plan may contain it, so no data may describe it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from build_scripts.catalogue import Catalogue
from build_scripts.models.problem import Problem

name = "emission-hardware-stays"
description = "No modification changes a catalyst or a particulate filter."
scope = "record"

_HARDWARE = re.compile(r"exhaust\.(catalyst|filter)_")


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every change to a part that cleans the exhaust."""
    for item in catalogue.modifications.values():
        for key, option in item.options.items():
            for index, change in enumerate(option.changes):
                if _HARDWARE.match(change.parameter):
                    steps = ("options", key, "changes", index, "parameter")
                    field = f"options.{key}.changes.{index + 1}.parameter"
                    found = f"`{change.parameter}`, a part that cleans the exhaust"
                    yield Problem(item.file, catalogue.line(item, steps), field, found, "parts that leave it as it is")
