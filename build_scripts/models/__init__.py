"""The shape of the data: one record, one file.

A new kind of record is a new file here with a subclass of `Record`; nothing else has to be told.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping
from typing import Any

from build_scripts.models.base import Record


def kinds() -> Mapping[str, type[Record]]:
    """Every kind of record by the name of its folder under docs/data/, found in this package."""
    for module in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{module.name}")
    return {model.folder: model for model in sorted(_subclasses(Record), key=lambda model: model.folder)}


def schema(kind: str) -> dict[str, Any]:
    """The JSON Schema of a kind of record; KeyError when there is no such kind."""
    model = kinds()[kind]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **model.model_json_schema(mode="validation")}


def _subclasses(model: type[Record]) -> set[type[Record]]:
    found: set[type[Record]] = set()
    for child in model.__subclasses__():
        found |= _subclasses(child)
        if "folder" in vars(child) and child.__module__.startswith(f"{__name__}."):
            found.add(child)
    return found
