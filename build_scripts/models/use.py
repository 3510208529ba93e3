"""A use: what a vehicle is for, and the margins that this demands."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from build_scripts.models.base import Model, NotEmpty, Record, Slug, Text
from build_scripts.models.figure import Figure, Wants


class Margin(Model):
    """How much of a limit the use may take."""

    keep: Annotated[Figure, Wants("ratio", "1", 0.4, 1.3)] = Field(
        title="Share that may be used",
        description="Share of the low end of the limit that may be used; above 1 where the use accepts to pass it.",
    )
    why: Text = Field(
        title="Why", description="The reason, in one sentence.", examples=["A grade takes minutes, not seconds."]
    )


class Load(Model):
    """What the vehicle pulls, for the limits of heat."""

    mass_share: Annotated[Figure, Wants("ratio", "1", 0.1, 1)] = Field(
        title="Combined mass", description="Mass of vehicle and trailer over the rated combination mass."
    )
    grade: Annotated[Figure, Wants("ratio", "%", 0, 20)] = Field(
        title="Grade", description="Rise over run of the hill that it must hold."
    )
    speed: Annotated[Figure, Wants("speed", "mph", 5, 80)] = Field(
        title="Speed", description="Speed that it must hold there."
    )
    trailer_drag_area: Annotated[Figure, Wants("area", "m2", 0, 12)] | None = Field(
        None,
        title="Drag area of the trailer",
        description="What the trailer adds to the vehicle's own; none if left out.",
    )


class Use(Record):
    """What a vehicle is for."""

    folder: ClassVar[str] = "uses"
    purpose: ClassVar[str] = "A use of a vehicle, with the margins that it demands and why."

    title: Text = Field(title="Title", description="What the use is called.", examples=["Daily driving"])
    summary: Text = Field(
        title="Summary", description="What happens in this use, in one or two sentences.", examples=["Short trips."]
    )
    why: Text = Field(
        title="Why", description="Why its margins are what they are.", examples=["Nobody watches the gauges."]
    )
    road: bool = Field(title="Road", description="Whether the vehicle goes on public roads.", examples=[True])
    exhaust_temperature: Literal["sustained", "momentary"] = Field(
        title="Exhaust temperature", description="Whether full load lasts for minutes or for seconds.",
        examples=["sustained"],
    )  # fmt: skip
    load: Load | None = Field(
        None, title="Load", description="What it pulls; left out when heat under load is no matter."
    )
    margins: Annotated[dict[Slug, Margin], NotEmpty] = Field(
        title="Margins", description="The margin for each limit by its name, and one under `default` for all others."
    )
