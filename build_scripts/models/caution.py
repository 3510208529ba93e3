"""A caution: what can hurt a person or break the law, in own words."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from build_scripts.models.base import NotEmpty, PastDate, Record, SourceId, Text
from build_scripts.models.topics import Topic


class Caution(Record):
    """A caution shown on every page that touches its topics."""

    folder: ClassVar[str] = "cautions"
    purpose: ClassVar[str] = "A caution, shown wherever the work can hurt somebody or break the law."

    title: Text = Field(title="Title", description="What it is about, in a few words.", examples=["Hot exhaust"])
    severity: Literal["danger", "warning", "notice"] = Field(
        title="Severity",
        description="danger: can kill or maim; warning: can injure or cost dearly; notice: a rule to know.",
        examples=["danger"],
    )
    applies_to: Annotated[tuple[Topic, ...], Field(strict=False), NotEmpty] = Field(
        title="Applies to", description="The topics whose pages show it.", examples=[["exhaust", "hot-parts"]]
    )
    text: Text = Field(
        title="Text",
        description="The caution in own words, without figures; the last sentence defers to local codes and to "
        "licensed or qualified people.",
        examples=[
            "Let it cool first. Follow local codes and leave the work to a qualified technician where they say so."
        ],
    )
    sources: Annotated[tuple[SourceId, ...], Field(strict=False)] = Field(
        (), title="Sources", description="The ids of what it rests on, when it rests on more than experience.",
        examples=[["iso-13732-1"]],
    )  # fmt: skip
    reviewed: PastDate = Field(
        title="Reviewed", description="The day on which a person last checked it, YYYY-MM-DD.", examples=["2026-11-24"]
    )
