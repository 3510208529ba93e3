"""The same model with every field left free: for what differs from a record that is whole."""

from __future__ import annotations

import typing
from typing import Annotated, Any

from pydantic import BaseModel, Field, create_model

from build_scripts.models.base import Model
from build_scripts.models.figure import Figure


def partly(model: type[BaseModel], *, without: frozenset[str] = frozenset()) -> type[Model]:
    """`model` with every field optional, in the models inside it too; a list is replaced as a whole.

    `without` names the fields that never differ.
    """
    fields: dict[str, Any] = {}
    for name, field in model.model_fields.items():
        if name in without:
            continue
        annotation: Any = _partly(field.annotation)
        for entry in field.metadata:
            annotation = Annotated[annotation, entry]
        own = Field(None, title=field.title, description=field.description, examples=field.examples)
        fields[name] = (annotation | None, own)
    return create_model(
        f"{model.__name__}Differs", __base__=Model, __doc__=model.__doc__, __module__=__name__, **fields
    )


def _partly(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel) and annotation is not Figure:
        return partly(annotation)
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is dict:
        held: Any = (arguments[0], _partly(arguments[1]))
        return dict[held]  # type: ignore[misc]
    return annotation
