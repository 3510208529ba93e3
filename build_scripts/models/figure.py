"""A figure: a value or a range, whole with its unit, grade, source and day of review."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from typing import Annotated, Any, TypeGuard, cast

from pydantic import (
    BeforeValidator,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ModelWrapValidatorHandler,
    ValidationInfo,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, InitErrorDetails, core_schema

from build_scripts.models.base import Model, PastDate, SourceId, Text, checked, wrong, wrong_at
from build_scripts.models.problem import closest
from calc.provenance import Grade
from calc.units import UNITS, UnitError, convert, find, units_of

_GRADES = [grade.value for grade in Grade]
_USUAL = frozenset((
    "Pa", "kPa", "MPa", "bar", "psi", "degC", "degF", "delta_K", "delta_degF", "mm", "m", "in", "ft", "L", "in3",
    "kg", "lb", "hp", "kW", "N.m", "lbf.ft", "kg/s", "lb/min", "L/h", "gal/h", "cm2", "in2", "m2", "ft2", "%", "1",
))  # fmt: skip
_NOT_A_MEASURE = ("text", "bool")


def _unit(value: object) -> object:
    if value == 1:
        raise wrong("the number 1", 'the unit of a pure number, in quotes: "1"', '"1"')
    if isinstance(value, str) and (value not in UNITS or value in _NOT_A_MEASURE):
        raise wrong(
            f"`{value}`", "the symbol of a unit known to calc/units.py, such as kPa, psi, L, in, hp", _meant(value)
        )
    return value


def _meant(text: str, dimension: str = "") -> str:
    for candidate in dict.fromkeys([dimension] if dimension else [unit.dimension for unit in UNITS.values()]):
        try:
            return find(text, candidate).symbol
        except UnitError:
            continue
    units = units_of(dimension) if dimension else UNITS.values()
    words = {word: unit.symbol for unit in units for word in (*unit.aliases, unit.symbol)}
    return words.get(closest(text, words), "")


def _grade(value: object) -> object:
    if isinstance(value, str):
        if value not in _GRADES:
            labels = {grade.label: grade.value for grade in Grade}
            meant = labels.get(value) or closest(value, _GRADES)
            raise wrong(f"`{value}`", f"one of {', '.join(_GRADES)}", meant)
        return Grade(value)
    return value


class Figure(Model):
    """A value or a range with everything a reader needs to judge it."""

    value: float | None = Field(
        None, title="Value", description="The number, when there is one. Else give `low` and `high`.", examples=[6.3]
    )
    low: float | None = Field(
        None, title="Low", description="The lower end of a range; for a limit, the level below which a part is clear.",
        examples=[675],
    )  # fmt: skip
    high: float | None = Field(
        None, title="High", description="The upper end of a range; for a limit, above it a part is beyond.",
        examples=[760],
    )  # fmt: skip
    unit: Annotated[str, BeforeValidator(_unit)] = Field(
        title="Unit", description="The unit in which the source states it, as written in calc/units.py.",
        examples=["kPa"],
    )  # fmt: skip
    grade: Annotated[Grade, BeforeValidator(_grade)] = Field(
        title="Grade",
        description="How well it is supported, strongest first: standard, measured, practice, memory, invented. "
        "A value that nobody has seen in a source is memory.",
        examples=["practice"],
    )
    source: SourceId | None = Field(
        None, title="Source",
        description="The id of a record in docs/data/sources/. Required for standard, refused for invented.",
        examples=["iso-13732-1"],
    )  # fmt: skip
    where: Text | None = Field(
        None, title="Where", description="Clause, table or page in that source. Required for standard.",
        examples=["clause 4.2"],
    )  # fmt: skip
    reviewed: PastDate = Field(
        title="Reviewed", description="The day on which a person last checked this figure, YYYY-MM-DD.",
        examples=["2026-11-24"],
    )  # fmt: skip
    condition: Text | None = Field(
        None, title="Condition", description="When it holds: gauge or absolute, flow, oil temperature.",
        examples=["gauge, at rated speed"],
    )  # fmt: skip
    note: Text | None = Field(
        None, title="Note", description="What a reader should know before relying on it.", examples=["one engine only"]
    )

    @model_validator(mode="wrap")
    @classmethod
    def _whole(cls, data: Any, handler: ModelWrapValidatorHandler[Figure]) -> Figure:
        errors = _faults(data) if isinstance(data, dict) else []
        return checked(cls.__name__, data, handler, errors)

    @property
    def ends(self) -> tuple[float, float]:
        """The lower and upper end in `unit`; twice the value when there is no range."""
        if self.value is not None:
            return (self.value, self.value)
        return (cast(float, self.low), cast(float, self.high))

    @property
    def is_range(self) -> bool:
        """Whether it is given as `low` and `high`."""
        return self.value is None

    @property
    def likely(self) -> float:
        """The value, or the middle of the range, in `unit`."""
        low, high = self.ends
        return (low + high) / 2

    def ends_in(self, unit: str) -> tuple[float, float]:
        """The lower and upper end in another unit of the same dimension; calc.units.UnitError when it is not one."""
        low, high = self.ends
        return (convert(low, self.unit, unit), convert(high, self.unit, unit))

    def likely_in(self, unit: str) -> float:
        """The value, or the middle of the range, in another unit of the same dimension."""
        return convert(self.likely, self.unit, unit)


def _faults(data: dict[str, Any]) -> list[InitErrorDetails]:
    errors = []
    value, low, high = data.get("value"), data.get("low"), data.get("high")
    given = [name for name in ("value", "low", "high") if data.get(name) is not None]
    if given not in (["value"], ["low", "high"]):
        found = " and ".join(f"`{name}`" for name in given) or "neither"
        errors.append(wrong_at(_first_key(data), value, found, "either `value`, or `low` and `high` together"))
    elif _is_number(low) and _is_number(high) and low > high:
        swapped = f"low: {high}, high: {low}"
        errors.append(wrong_at(("low",), low, f"low {low} above high {high}", "a low end below the high end", swapped))
    grade, source = data.get("grade"), data.get("source")
    if grade == Grade.STANDARD:
        allowed = "the id of the standard's record, since the grade is standard (else grade it practice or memory)"
        if not source:
            errors.append(wrong_at(("source",), source, "no source", allowed))
        if not data.get("where"):
            errors.append(wrong_at(("where",), None, "no clause or table", "where in the standard it stands"))
    if grade == Grade.INVENTED and source:
        errors.append(wrong_at(("source",), source, f"a source (`{source}`)", "no source for an invented figure"))
    return errors


def _first_key(data: dict[str, Any]) -> tuple[str, ...]:
    return next(((name,) for name in ("value", "low", "high") if name in data), ())


def _is_number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


@dataclass(frozen=True)
class Wants:
    """What a field asks of its figure: the dimension, the unit a shop would type, and the band that is plausible.

    The band is far wider than what is good: a value outside it was most likely typed in another unit.
    """

    dimension: str
    unit: str
    low: float
    high: float

    def __post_init__(self) -> None:
        if UNITS[self.unit].dimension != self.dimension:
            raise ValueError(f"{self.unit} does not measure {self.dimension}")

    @property
    def units(self) -> list[str]:
        """The units a person may use, the usual one first."""
        others = [unit.symbol for unit in units_of(self.dimension) if unit.symbol != self.unit]
        return [self.unit, *others]

    @property
    def example(self) -> str:
        """A figure of this kind as one types it."""
        middle = float(f"{(self.low * self.high) ** 0.5 if self.low > 0 else (self.low + self.high) / 2:.2g}")
        number = str(int(middle)) if middle == int(middle) else str(middle)
        unit = f'"{self.unit}"' if self.unit in ("1", "%") else self.unit
        return f"{{value: {number}, unit: {unit}, grade: invented, reviewed: {datetime.date(2026, 11, 24)}}}"

    def faults(self, data: Any) -> list[InitErrorDetails]:
        """What is wrong with the unit and the size of a figure as read from a file."""
        unit = data.get("unit") if isinstance(data, dict) else None
        if unit not in UNITS or unit in _NOT_A_MEASURE:
            return []
        if UNITS[unit].dimension != self.dimension:
            found = f"`{unit}`, a unit of {UNITS[unit].dimension}"
            allowed = f"a unit of {self.dimension}: {', '.join(self.units)}"
            return [wrong_at(("unit",), unit, found, allowed, _meant(unit, self.dimension))]
        errors = []
        for name in ("value", "low", "high"):
            number = data.get(name)
            if _is_number(number) and not self._plausible(number, unit):
                low, high = (_short(convert(end, self.unit, unit)) for end in (self.low, self.high))
                allowed = f"what is plausible here, about {low} to {_with_unit(high, unit)}"
                errors.append(wrong_at((name,), number, _with_unit(number, unit), allowed, self._typed(number, unit)))
        return errors

    def _plausible(self, number: float, unit: str) -> bool:
        value, slack = convert(number, unit, self.unit), 1e-9 * max(abs(self.low), abs(self.high))
        return self.low - slack <= value <= self.high + slack

    def _typed(self, number: float, unit: str) -> str:
        """The same number in the usual unit that brings it nearest to the middle of the band."""
        others = [other for other in self.units if other != unit and self._plausible(number, other)]
        others = [other for other in others if other in _USUAL] or others
        middle = (self.low + self.high) / 2 if self.low <= 0 else (self.low * self.high) ** 0.5
        others.sort(key=lambda other: abs(math.log(max(convert(number, other, self.unit) / middle, 1e-9))))
        return _with_unit(number, others[0]) if others else ""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def check(data: Any, inner: core_schema.ValidatorFunctionWrapHandler, info: ValidationInfo) -> Figure:
            figure: Figure = checked("Figure", data, inner, self.faults(data))
            return figure

        return core_schema.with_info_wrap_validator_function(check, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        band = f"{_short(self.low)} to {_with_unit(_short(self.high), self.unit)}"
        return {**handler(schema), "dimension": self.dimension, "plausible": band, "units": self.units}


def _with_unit(number: float | str, unit: str) -> str:
    return f"{number}" if unit == "1" else f"{number} {unit}"


def _short(value: float) -> str:
    return f"{value:.3g}" if abs(value) < 1e3 else f"{float(f'{value:.3g}'):.0f}"
