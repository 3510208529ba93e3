"""The catalogue as JSON for the planner: every figure in coherent SI with its grade and id, every text as it stands.

`calc` reads this and never the files that people edit. Raises nothing of its own: the records are checked before.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
from collections.abc import Mapping
from enum import Enum
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from build_scripts.catalogue import Catalogue
from build_scripts.models.base import Record
from build_scripts.models.figure import Figure
from build_scripts.models.problem import Steps, dotted
from calc.units import UNITS, to_si

VERSION = 1
FILE = "data/catalogue.json"
FOLDERS = ("platforms", "modifications", "uses")

_COHERENT = {unit.dimension: unit.symbol for unit in reversed(UNITS.values()) if unit.factor == 1.0 and not unit.offset}


def coherent(symbol: str) -> str:
    """The symbol of the coherent SI unit of the same dimension; of hours, seconds."""
    return _COHERENT[UNITS[symbol].dimension]


def exported(catalogue: Catalogue) -> dict[str, Any]:
    """The catalogue as plain values: `version`, `made`, then records by folder and id, and the figures of practice.

    `made` names the state of the figures: the day of the newest review, and a digest that changes with any of them.
    """
    content = {
        **{folder: {name: _record(record) for name, record in catalogue.of(folder).items()} for folder in FOLDERS},
        "practice": {
            name: _figure(item.figure, f"practice/{name}/figure") for name, item in catalogue.practice.items()
        },
    }
    digest = hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:8]
    newest = max((figure.figure.reviewed for figure in catalogue.figures.values()), default=None)
    return {"version": VERSION, "made": f"{newest or 'none'}.{digest}", **content}


def as_text(catalogue: Catalogue) -> str:
    """The exported catalogue as JSON, the same text for the same records."""
    return json.dumps(exported(catalogue), ensure_ascii=False, allow_nan=False, sort_keys=False)


def write(catalogue: Catalogue, *places: Path) -> None:
    """Write the exported catalogue to each of the files, whole or not at all."""
    content = as_text(catalogue)
    for place in places:
        place.parent.mkdir(parents=True, exist_ok=True)
        fresh = place.with_name(place.name + ".new")
        fresh.write_text(content, encoding="utf-8", newline="\n")
        os.replace(fresh, place)


def _record(record: Record) -> dict[str, Any]:
    content: dict[str, Any] = _plain(record, f"{record.folder}/{record.id}", ())
    return content


def _plain(value: object, record: str, path: Steps) -> Any:
    if isinstance(value, Figure):
        return _figure(value, f"{record}/{dotted(path)}")
    if isinstance(value, BaseModel):
        found = {name: _plain(getattr(value, name), record, (*path, name)) for name in type(value).model_fields}
        return {name: item for name, item in found.items() if item is not None}
    if isinstance(value, Mapping):
        return {str(name): _plain(item, record, (*path, str(name))) for name, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item, record, (*path, index)) for index, item in enumerate(value)]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime.date):
        return value.isoformat()
    return value


def _figure(figure: Figure, identifier: str) -> dict[str, Any]:
    low, high = figure.ends
    return {
        "low": to_si(low, figure.unit),
        "value": to_si(figure.likely, figure.unit),
        "high": to_si(high, figure.unit),
        "unit": coherent(figure.unit),
        "grade": figure.grade.value,
        "id": identifier,
    }
