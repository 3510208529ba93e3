"""What every record has: strict fields, an id that is its file's name, and words for what is wrong."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sized
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    PrivateAttr,
    StringConstraints,
    ValidationError,
    ValidationInfo,
)
from pydantic_core import InitErrorDetails, PydanticCustomError

from build_scripts.models.problem import Steps, closest

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]

Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]


class Model(BaseModel):
    """A part of a record: no unknown keys, no value of another type, no change once read."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


@dataclass(frozen=True)
class Origin:
    """Where a record was read: its folder, its id (the file's name) and the file, relative to the project."""

    folder: str = ""
    id: str = ""
    file: str = ""


class Record(Model):
    """One file of `docs/data/<folder>/<id>.yaml`. A subclass names its `folder` and is then found by itself."""

    folder: ClassVar[str]
    purpose: ClassVar[str]
    _origin: Origin = PrivateAttr(default=Origin())

    @property
    def id(self) -> str:
        """The name of the file without its ending."""
        return self._origin.id

    @property
    def file(self) -> str:
        """The file that people edit, relative to the project: what "edit this page" leads to."""
        return self._origin.file

    def at(self, origin: Origin) -> None:
        """Remember where this record was read."""
        self._origin = origin


def wrong(found: str, allowed: str, suggestion: str = "") -> PydanticCustomError:
    """An error that says what was found, what is allowed and what was probably meant."""
    return PydanticCustomError(
        "data", "found {found}; allowed: {allowed}", {"found": found, "allowed": allowed, "suggestion": suggestion}
    )


def wrong_at(path: Steps, value: object, found: str, allowed: str, suggestion: str = "") -> InitErrorDetails:
    """The same for a place below the value that is being checked."""
    return InitErrorDetails(type=wrong(found, allowed, suggestion), loc=path, input=value)


def checked[T](title: str, data: object, handler: Callable[[Any], T], faults: list[InitErrorDetails]) -> T:
    """What `handler` makes of `data`, or every fault at once: those already found and those that `handler` finds."""
    try:
        result = handler(data)
    except ValidationError as error:
        details = [
            InitErrorDetails(
                type=wrong(**item["ctx"]) if item["type"] == "data" else item["type"],
                loc=item["loc"],
                input=item["input"],
                ctx=item.get("ctx", {}),
            )
            for item in error.errors(include_url=False)
        ]
        raise ValidationError.from_exception_data(title, [*details, *faults]) from None
    if faults:
        raise ValidationError.from_exception_data(title, faults)
    return result


def _known(kind: str) -> AfterValidator:
    def check(value: str, info: ValidationInfo) -> str:
        ids: dict[str, frozenset[str]] = (info.context or {}).get("ids", {})
        if kind in ids and value not in ids[kind]:
            allowed = f"the id of a file in docs/data/{kind}/"
            raise wrong(f"`{value}`, which does not exist", allowed, closest(value, ids[kind]))
        return value

    return AfterValidator(check)


def _not_in_future(value: datetime.date, info: ValidationInfo) -> datetime.date:
    today: datetime.date = (info.context or {}).get("today") or datetime.datetime.now(datetime.UTC).date()
    if value > today + datetime.timedelta(days=1):
        raise wrong(f"{value}, which is in the future", "the day on which a person last looked, YYYY-MM-DD")
    return value


def _some[T: Sized](value: T) -> T:
    if not len(value):
        raise wrong("nothing in it", "at least one")
    return value


NotEmpty = AfterValidator(_some)
SourceId = Annotated[str, _known("sources"), Field(json_schema_extra={"refers_to": "sources"})]
CautionId = Annotated[str, _known("cautions"), Field(json_schema_extra={"refers_to": "cautions"})]
PlatformId = Annotated[str, _known("platforms"), Field(json_schema_extra={"refers_to": "platforms"})]
PastDate = Annotated[datetime.date, AfterValidator(_not_in_future)]
