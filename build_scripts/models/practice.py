"""A figure of general practice: what the trade goes by, with how far it may be trusted."""

from __future__ import annotations

from typing import Any, ClassVar, Literal

from pydantic import Field, ModelWrapValidatorHandler, model_validator
from pydantic_core import InitErrorDetails

from build_scripts.models.base import Record, Text, checked, wrong_at
from build_scripts.models.figure import Figure
from build_scripts.models.problem import closest
from build_scripts.models.topics import Topic
from calc.units import UNITS

DIMENSIONS = sorted({unit.dimension for unit in UNITS.values()} - {"text", "truth"})


class Practice(Record):
    """One figure that holds for engines in general, with what it means to be on either side of it."""

    folder: ClassVar[str] = "practice"
    purpose: ClassVar[str] = "A figure of general practice, for every platform that has none of its own."

    title: Text = Field(
        title="Title", description="What the figure is called.", examples=["Back-pressure at full load"]
    )
    topic: Topic = Field(title="Topic", description="The subject under which it is filed.", examples=["exhaust"])
    about: Text = Field(
        title="About", description="What it is, where it is measured and why it matters, in own words.",
        examples=["Gauge pressure at the turbine outlet; it adds to what the pistons push against."],
    )  # fmt: skip
    quantity: Text = Field(
        title="Quantity", description="What the figure measures: a dimension of calc/units.py.", examples=["pressure"]
    )
    clear: Literal["below", "above", "inside"] | None = Field(
        None,
        title="Clear side",
        description="Where nothing is to be feared: below the low end, above the high end, or inside the range. "
        "Left out for a figure that is no limit.",
        examples=["below"],
    )
    figure: Figure = Field(title="Figure", description="The figure itself.")
    watch: Text | None = Field(
        None, title="Watch", description="What makes people misread it.", examples=["Gauge, not absolute."]
    )

    @model_validator(mode="wrap")
    @classmethod
    def _measures_what_it_says(cls, data: Any, handler: ModelWrapValidatorHandler[Practice]) -> Practice:
        return checked(cls.__name__, data, handler, _faults(data) if isinstance(data, dict) else [])


def _faults(data: dict[str, Any]) -> list[InitErrorDetails]:
    quantity, figure = data.get("quantity"), data.get("figure")
    if isinstance(quantity, str) and quantity not in DIMENSIONS:
        allowed = f"one of {', '.join(DIMENSIONS)}"
        return [wrong_at(("quantity",), quantity, f"`{quantity}`", allowed, closest(quantity, DIMENSIONS))]
    unit = figure.get("unit") if isinstance(figure, dict) else None
    if isinstance(quantity, str) and isinstance(unit, str) and unit in UNITS and UNITS[unit].dimension != quantity:
        found = f"`{unit}`, a unit of {UNITS[unit].dimension}"
        return [wrong_at(("figure", "unit"), unit, found, f"a unit of {quantity}, as `quantity` says")]
    return []
