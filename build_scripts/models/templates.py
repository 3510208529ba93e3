"""Commented templates for new records, written from the models themselves, so that they cannot go stale."""

from __future__ import annotations

import datetime
import json
import re
import textwrap
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from build_scripts.models import kinds
from build_scripts.models.explain import element, options, unwrapped, wants_of
from build_scripts.models.figure import Figure, Wants
from build_scripts.models.problem import closest

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = "  # for example: "
_WIDTH = 110


def new_record(kind: str, identifier: str, root: Path = ROOT) -> Path:
    """Write the template of a record to docs/data/<folder>/<identifier>.yaml and give its path.

    `kind` is the name of the folder, or of one record in it ("platforms" or "platform"). Raises ValueError for a
    kind or an id that cannot be, FileExistsError when the record is there already.
    """
    folder = _folder(kind)
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", identifier):
        raise ValueError(f"found the id `{identifier}`; allowed: small letters, digits and single hyphens")
    path = root / "docs" / "data" / folder / f"{identifier}.yaml"
    if path.exists():
        raise FileExistsError(f"docs/data/{folder}/{identifier}.yaml is there already; nothing was written")
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(template(folder), encoding="utf-8")
    return path


def _folder(kind: str) -> str:
    known = kinds()
    for folder in known:
        if kind in (folder, folder.removesuffix("s")):
            return folder
    hint = closest(kind, known)
    raise ValueError(
        f"found the kind `{kind}`; allowed: {', '.join(known)}." + (f" Did you mean {hint}?" if hint else "")
    )


def template(folder: str) -> str:
    """The template of a kind of record as YAML text; KeyError when there is no such kind."""
    model = kinds()[folder]
    lines = [
        f"# {model.purpose}",
        "# The name of the file is the id. Fill in every line; take the # away from those you want in addition.",
        *(_legend() if _has_figures(model) else []),
        "",
        *_fields(model, ""),
    ]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _legend() -> Iterator[str]:
    yield "#"
    yield "# A figure is {value: 6.3, unit: L, grade: practice, reviewed: 2026-11-24}, on one line or on several:"
    for name, field in Figure.model_fields.items():
        yield from _comment(f"{name}: {field.description}", "#   ")


def _has_figures(model: type[BaseModel]) -> bool:
    return any(_holds_figure(field.annotation) for field in model.model_fields.values())


def _holds_figure(annotation: Any) -> bool:
    inner = unwrapped(annotation)
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        return inner is Figure or _has_figures(inner)
    return any(_holds_figure(argument) for argument in typing.get_args(inner))


def _fields(model: type[BaseModel], indent: str) -> Iterator[str]:
    for name, field in model.model_fields.items():
        inner = unwrapped(field.annotation)
        section = isinstance(inner, type) and issubclass(inner, BaseModel) and inner is not Figure
        if section and not indent:
            yield ""
        yield from _comment(" ".join(_explained(field)), f"{indent}# ")
        lines = list(_entry(name, field, inner, indent))
        yield from lines if field.is_required() else (f"{indent}# {line.removeprefix(indent)}" for line in lines)


def _explained(field: FieldInfo) -> Iterator[str]:
    yield f"{field.title}."
    yield field.description or ""
    choices = list(options(field.annotation))
    if choices:
        yield f"One of {', '.join(choices)}."
    wants = wants_of(field)
    if wants:
        unit = "" if wants.unit == "1" else f" {wants.unit}"
        yield f"Plausible: {wants.low:g} to {wants.high:g}{unit}."


def _entry(name: str, field: FieldInfo, inner: Any, indent: str) -> Iterator[str]:
    wants = wants_of(field)
    if inner is Figure:
        yield f"{indent}{name}: {_range(wants) if wants and _more(field, 'range') else _figure(wants)}"
    elif isinstance(inner, type) and issubclass(inner, BaseModel):
        yield f"{indent}{name}:"
        yield from _fields(inner, indent + "  ")
    elif typing.get_origin(inner) is dict and not field.examples:
        yield f"{indent}{name}:"
        first, *others = _more(field, "names") or ["a-name-of-its-own"]
        lines = list(_fields(unwrapped(element(inner)), indent + "    "))
        yield from (f"{indent}  {first}:", *lines)
        # The explanations stand once.
        plain = [line for line in lines if not line.lstrip().startswith("#")]
        for other in others:
            yield from (f"{indent}  {other}:", *plain)
    elif typing.get_origin(inner) in (tuple, list) and unwrapped(element(inner)) is Figure:
        yield f"{indent}{name}:"
        yield f"{indent}  - {_figure(wants)}"
    else:
        yield f"{indent}{name}: {EXAMPLE}{_yaml(field.examples[0] if field.examples else '', inner)}"


def _more(field: FieldInfo, key: str) -> Any:
    return field.json_schema_extra.get(key) if isinstance(field.json_schema_extra, dict) else None


def _range(wants: Wants) -> str:
    level = re.search(r"value: ([\d.]+)", wants.example)
    low = float(level[1]) if level else wants.low
    example = wants.example.replace(f"value: {low:g}", f"low: {low:g}, high: {low * 1.1:g}")
    return f"{{low: , high: , unit: {wants.unit}, grade: , reviewed: }}{EXAMPLE}{example}"


def _figure(wants: Wants | None) -> str:
    if wants is None:
        return "{value: , unit: , grade: , reviewed: }" + EXAMPLE + Wants("pressure", "kPa", 50, 200).example
    unit = f'"{wants.unit}"' if wants.unit in ("1", "%") else wants.unit
    return f"{{value: , unit: {unit}, grade: , reviewed: }}{EXAMPLE}{wants.example}"


def _yaml(value: object, annotation: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_yaml(item, None) for item in value)}]"
    if isinstance(value, dict):
        pairs = (f"{key}: {_yaml(item, datetime.date if key == 'reviewed' else None)}" for key, item in value.items())
        return f"{{{', '.join(pairs)}}}"
    if isinstance(value, bool):
        return str(value).lower()
    if not isinstance(value, str):
        return str(value)
    a_day = annotation is datetime.date
    return value if a_day or re.fullmatch(r"[A-Za-z][\w-]*", value) else json.dumps(value, ensure_ascii=False)


def _comment(text: str, prefix: str) -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()), _WIDTH, initial_indent=prefix, subsequent_indent=prefix, break_on_hyphens=False
    )
