"""Pydantic's findings, rewritten for the person who typed the file."""

from __future__ import annotations

import datetime
import types
import typing
from collections.abc import Callable, Iterator
from typing import Annotated, Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from build_scripts.models.figure import Wants
from build_scripts.models.guesses import refused_guess
from build_scripts.models.problem import Problem, Steps, closest, dotted
from calc.provenance import Grade

_KINDS_OF_VALUE = {
    "float_type": "a plain number, such as 6.3",
    "int_type": "a whole number, such as 6",
    "bool_type": "true or false",
    "string_type": "text",
    "date_type": "a day, written YYYY-MM-DD without quotes",
    "list_type": "a list, `[a, b]` or one `- a` line each",
    "tuple_type": "a list, `[a, b]` or one `- a` line each",
    "dict_type": "`key: value` lines",
    "finite_number": "a finite number",
    "is_instance_of": f"one of {', '.join(Grade)}",
    "string_too_short": "text that is not empty",
}


def explain(error: ValidationError, model: type[BaseModel], file: str, line: Callable[[Steps], int]) -> list[Problem]:
    """Every fault in a record as a Problem; `line` gives the line of a path in the file."""
    return [_problem(item, model, file, line) for item in error.errors(include_url=False)]


def _problem(item: Any, model: type[BaseModel], file: str, line: Callable[[Steps], int]) -> Problem:
    path = tuple(step for step in item["loc"] if step != "[key]")
    found, allowed, suggestion = _words(item, model, path)
    return Problem(file, line(path), dotted(path), found, allowed, suggestion)


def _words(item: Any, model: type[BaseModel], path: Steps) -> tuple[str, str, str]:
    kind, value, context = item["type"], item["input"], item.get("ctx", {})
    if kind == "data":
        return context["found"], context["allowed"], context["suggestion"]
    if kind == "missing":
        return "nothing", _wanted(model, path), ""
    if kind == "extra_forbidden":
        names = fields_at(model, path[:-1])
        return f"the key `{path[-1]}`", f"only {', '.join(names)}", closest(path[-1], names)
    if kind == "literal_error":
        field = field_at(model, path)
        choices = list(options(field.annotation)) if field else []
        return shown(value), f"one of {', '.join(choices)}", closest(value, choices) if value is not None else ""
    if kind in ("model_type", "model_attributes_type"):
        return shown(value), _wanted(model, path), ""
    # A day in another order is no number with a unit, whatever it looks like.
    found = f"the text `{value[:60]}`" if kind == "date_type" and isinstance(value, str) else shown(value)
    return found, _KINDS_OF_VALUE.get(kind, item["msg"]), ""


def shown(value: object) -> str:
    """A value as read from the file, with the reason why it was not read as a number when it looks like one."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return f"the truth {str(value).lower()}"
    if isinstance(value, int | float):
        return f"the number {value}"
    if isinstance(value, datetime.date):
        return f"the day {value}"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, dict):
        return f"the keys {', '.join(map(str, value))}" if value else "an empty mapping"
    text = str(value)
    guess = refused_guess(text)
    short = text if len(text) <= 60 else text[:57] + "..."
    return f"the text `{short}`" + (f" ({guess}; it is refused, not guessed)" if guess else "")


def _wanted(model: type[BaseModel], path: Steps) -> str:
    field = field_at(model, path)
    if field is None:
        return "a figure: {value: 6.3, unit: L, grade: practice, reviewed: 2026-11-24}"
    wants = wants_of(field)
    example = f"; for example {wants.example}" if wants else ""
    if not wants and field.examples:
        example = f"; for example {field.examples[0]}"
    return f"{(field.description or field.title or 'a value').rstrip('.')}{example}"


def wants_of(field: FieldInfo) -> Wants | None:
    """What the field asks of its figure, when it holds one."""
    found = [entry for entry in field.metadata if isinstance(entry, Wants)]
    found += [entry for entry in _metadata(field.annotation) if isinstance(entry, Wants)]
    return found[0] if found else None


def _metadata(annotation: Any) -> Iterator[Any]:
    if typing.get_origin(annotation) is Annotated:
        yield from annotation.__metadata__
    for argument in typing.get_args(annotation):
        yield from _metadata(argument)


def field_at(model: type[BaseModel], path: Steps) -> FieldInfo | None:
    """The declaration of the field at a path, None where the path leaves what the model declares."""
    current: Any = model
    field: FieldInfo | None = None
    for step in path:
        if isinstance(current, type) and issubclass(current, BaseModel):
            field = current.model_fields.get(str(step))
            if field is None:
                return None
            current = unwrapped(field.annotation)
        else:
            current = unwrapped(element(current))
    return field


def fields_at(model: type[BaseModel], path: Steps) -> list[str]:
    """The names of the fields that the part of a record at a path may have."""
    current: Any = model
    for step in path:
        if isinstance(current, type) and issubclass(current, BaseModel):
            field = current.model_fields.get(str(step))
            current = unwrapped(field.annotation) if field else None
        else:
            current = unwrapped(element(current))
    return list(current.model_fields) if isinstance(current, type) and issubclass(current, BaseModel) else []


def unwrapped(annotation: Any) -> Any:
    """The annotation without `Annotated` and without `| None`."""
    if typing.get_origin(annotation) is Annotated:
        return unwrapped(typing.get_args(annotation)[0])
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        some = [argument for argument in typing.get_args(annotation) if argument is not type(None)]
        return unwrapped(some[0])
    return annotation


def element(annotation: Any) -> Any:
    """What a list, tuple or mapping holds."""
    arguments = [argument for argument in typing.get_args(annotation) if argument is not Ellipsis]
    return arguments[-1] if arguments else None


def options(annotation: Any) -> Iterator[str]:
    """The words that a choice, or a list of choices, allows; none for anything else."""
    inner = unwrapped(annotation)
    if typing.get_origin(inner) is typing.Literal:
        yield from map(str, typing.get_args(inner))
    elif typing.get_origin(inner) in (tuple, list):
        yield from options(element(inner))
