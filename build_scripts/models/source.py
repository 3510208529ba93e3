"""A source: a standard, a law, a textbook, a page, and which copy of it was really read."""

from __future__ import annotations

import datetime
from typing import Annotated, ClassVar, Literal

from pydantic import AfterValidator, Field

from build_scripts.models.base import PastDate, Record, SourceId, Text, wrong


def _year_or_day(value: int | datetime.date) -> int | datetime.date:
    year = value if isinstance(value, int) else value.year
    if not 1600 <= year <= 2200:
        raise wrong(f"the year {year}", "the year of publication, YYYY, or the day, YYYY-MM-DD")
    return value


class Source(Record):
    """Something a figure, a rule or a caution rests on."""

    folder: ClassVar[str] = "sources"
    purpose: ClassVar[str] = "A source: what a figure rests on, and which copy of it was read."

    title: Text = Field(
        title="Title", description="The title as printed on it.", examples=["Ergonomics of the thermal environment"]
    )
    publisher: Text = Field(
        title="Publisher", description="Who issued it.", examples=["International Organization for Standardization"]
    )
    edition: Text | None = Field(
        None, title="Edition", description="Edition, part or amendment, as text.", examples=["first edition"]
    )
    published: Annotated[int | datetime.date, AfterValidator(_year_or_day)] | None = Field(
        None, title="Published", description="Year, or day as YYYY-MM-DD; left out when not known.", examples=[2006]
    )
    kind: Literal[
        "standard", "statute", "regulation", "guidance", "textbook", "handbook", "paper", "encyclopaedia", "trade press"
    ] = Field(title="Kind", description="What sort of document it is.", examples=["standard"])
    citation: Text = Field(
        title="Citation", description="The full citation, enough to find it again.",
        examples=["ISO 13732-1:2006, Ergonomics of the thermal environment"],
    )  # fmt: skip
    short: Text = Field(title="Short form", description="What stands beside a figure.", examples=["ISO 13732-1:2006"])
    url: Annotated[Text, Field(pattern=r"^https://\S+$")] | None = Field(
        None, title="Address", description="Where the issuer shows it, if anywhere.", examples=["https://example.org/"]
    )
    seen: PastDate | None = Field(
        None, title="Seen", description="The day on which a person last read the copy; left out when nobody has.",
        examples=["2026-11-24"],
    )  # fmt: skip
    access: Literal["free", "paid", "library", "unknown"] = Field(
        title="Access", description="How a reader gets at it.", examples=["paid"]
    )
    copy_seen: Literal["original", "secondary", "none"] = Field(
        title="Copy seen",
        description="Which copy was read: the original, a page that quotes it, or none (then never standard).",
        examples=["secondary"],
    )
    licence: Text = Field(
        title="Licence",
        description="On what terms its text may be used.",
        examples=["copyright; facts only, own words"],
    )
    superseded_by: SourceId | None = Field(
        None, title="Superseded by", description="The id of the source that replaces it.", examples=["iso-13732-1"]
    )
    note: Text | None = Field(
        None, title="Note", description="What a reader should know about the copy read.", examples=["read in excerpts"]
    )
