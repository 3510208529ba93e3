"""The law of a place, as far as a modified vehicle meets it: what was read, where, and on which day."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from build_scripts.models.base import Model, NotEmpty, PastDate, Record, SourceId, Text
from build_scripts.models.figure import Figure, Wants
from build_scripts.models.topics import Topic

Subject = Literal["emissions", "noise", "inspection", "ratings", "safety", "warranty", "insurance"]

_MONEY = Wants("money", "money", 50, 2e6)


class Provision(Model):
    """One rule, in own words."""

    title: Text = Field(title="Title", description="What it is about.", examples=["Tampering"])
    text: Text = Field(
        title="Text", description="What it says, in own words.", examples=["Nobody may remove a device."]
    )
    subject: Subject = Field(
        title="Subject", description="What it rules, which decides where the site shows it.", examples=["emissions"]
    )
    binds: Annotated[tuple[Literal["owner", "repairer", "seller", "maker"], ...], Field(strict=False), NotEmpty] = (
        Field(title="Binds", description="Whom it binds.", examples=[["owner", "repairer"]])
    )
    where: Text = Field(title="Where", description="Act, section and clause.", examples=["section 1(a)"])
    source: SourceId = Field(title="Source", description="The id of its record.", examples=["clean-air-act-203"])
    seen: Literal["original", "secondary", "none"] = Field(
        title="Seen",
        description="Whether its own words were read, or a page that quotes them, or neither: then it is recalled.",
        examples=["original"],
    )
    changes_soon: bool = Field(
        False, title="Changes soon", description="Whether it must be read again before every edition.", examples=[True]
    )
    watch: Text | None = Field(
        None, title="Watch", description="What people misread in it.", examples=["Covers owners too."]
    )


class Penalty(Model):
    """What a breach can cost."""

    what: Text = Field(
        title="What", description="The breach, whom it meets and the currency.", examples=["Tampering, by a dealer"]
    )
    figure: Annotated[Figure, _MONEY] = Field(
        title="At most", description="The greatest fine.",
        examples=["{value: 2500, unit: money, grade: memory, reviewed: 2026-11-24}"],
    )  # fmt: skip


class Means(Model):
    """What the law of a place means for modifications, by what they do to emission control."""

    neutral: Text = Field(
        title="Neutral", description="For a part that touches no emission control.", examples=["Free to fit."]
    )
    exemption_needed: Text = Field(
        title="Exemption needed", description="For a part that may touch emission control.",
        examples=["Ask for the exemption."],
    )  # fmt: skip
    closed_course_only: Text = Field(
        title="Closed course only", description="For a part that is sold for closed courses.",
        examples=["Not on the road."],
    )  # fmt: skip

    def of(self, status: str) -> str:
        """The sentence for an emission status."""
        return str(getattr(self, status.replace("-", "_")))


class Law(Record):
    """The law of one place."""

    folder: ClassVar[str] = "law"
    purpose: ClassVar[str] = "The law of a place as it was read on a day: no advice, no substitute for the authority."

    title: Text = Field(title="Title", description="The place.", examples=["Example state"])
    level: Literal["union", "federal", "state", "country"] = Field(
        title="Level", description="What kind of place it is.", examples=["state"]
    )
    order: int = Field(50, title="Order", description="Its place in the list of places.", examples=[50])
    within: Text | None = Field(
        None, title="Within", description="The id of the larger place whose law also holds.", examples=["united-states"]
    )
    topics: Annotated[tuple[Topic, ...], Field(strict=False), NotEmpty] = Field(
        title="Topics", description="The subjects that it touches.", examples=[["law", "emissions"]]
    )
    summary: Text = Field(
        title="Summary", description="What an owner should know first.", examples=["Controls stay on."]
    )
    ask: Text = Field(
        title="Ask", description="Which office knows more.", examples=["The environment office of the state."]
    )
    provisions: Annotated[tuple[Provision, ...], Field(strict=False), NotEmpty] = Field(
        title="Provisions",
        description="Its rules: for each `title`, `text`, `subject`, `binds`, `where`, `source` and `seen`.",
        examples=[[{
            "title": "Tampering", "text": "Nobody may remove a device.", "subject": "emissions", "binds": ["owner"],
            "where": "section 1(a)", "source": "clean-air-act-203", "seen": "original",
        }]],
    )  # fmt: skip
    means: Means = Field(
        title="Means",
        description="A sentence for each emission status of a modification: what the rules above make of it here.",
        examples=[],
    )
    penalties: Annotated[tuple[Penalty, ...], Field(strict=False)] = Field(
        (), title="Penalties", description="The greatest fines, where they were seen.",
        examples=[[{
            "what": "Tampering, by a dealer, US dollars",
            "figure": {"value": 2500, "unit": "money", "grade": "memory", "reviewed": "2026-11-24"},
        }]],
    )  # fmt: skip
    reviewed: PastDate = Field(
        title="Reviewed", description="The day on which a person last checked it, YYYY-MM-DD.", examples=["2026-11-24"]
    )
