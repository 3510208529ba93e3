"""A modification: a part or a piece of work, what it changes, what it costs, and what it asks for."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, ModelWrapValidatorHandler, StringConstraints, model_validator
from pydantic_core import InitErrorDetails

from build_scripts.models.base import CautionId, Model, NotEmpty, PlatformId, Record, Slug, Text, checked, wrong_at
from build_scripts.models.figure import Figure, Wants

EFFECTS = ("set", "scale", "add")

PartId = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9]+(-[a-z0-9]+)*)?$")]
VariantId = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*/[a-z0-9]+(-[a-z0-9]+)*$")]
Path = Annotated[str, StringConstraints(pattern=r"^[a-z_]+(\.[a-z_]+)+$")]
_A_FIGURE = {"value": 5.0, "unit": "in", "grade": "practice", "reviewed": "2026-11-24"}
_MORE_POWER = {"low": 80, "high": 120, "unit": "hp", "grade": "practice", "reviewed": "2026-11-24"}


class Fits(Model):
    """Where it fits."""

    platforms: Annotated[tuple[PlatformId, ...], Field(strict=False)] = Field(
        (), title="Platforms", description="The ids of the platforms that it fits; left out when it fits all of them.",
        examples=[["hollin-six"]],
    )  # fmt: skip
    variants: Annotated[tuple[VariantId, ...], Field(strict=False)] = Field(
        (), title="Variants",
        description="On a platform named here it fits only these variants; left out when it fits every form.",
        examples=[["hollin-six/tall-axle"]],
    )  # fmt: skip
    note: Text | None = Field(
        None, title="Note", description="What to look at before ordering.", examples=["Check the flange."]
    )


class Effect(Model):
    """What a part does to one figure: it sets it, scales it or adds to it."""

    set: Figure | None = Field(None, title="Set to", description="The new value, whatever it was before.")
    scale: Annotated[Figure, Wants("ratio", "1", 0.1, 5)] | None = Field(
        None, title="Scaled by", description="The new value over the old one."
    )
    add: Figure | None = Field(
        None, title="Added", description="What comes on top; below zero for what is taken away. A temperature gets "
        "a difference."
    )  # fmt: skip

    @model_validator(mode="wrap")
    @classmethod
    def _one_effect(cls, data: Any, handler: ModelWrapValidatorHandler[Effect]) -> Effect:
        return checked(cls.__name__, data, handler, _faults(data) if isinstance(data, dict) else [])

    @property
    def how(self) -> str:
        """Which of the three it is: set, scale or add."""
        return next(name for name in EFFECTS if getattr(self, name) is not None)

    @property
    def figure(self) -> Figure:
        """The figure of the effect."""
        figure: Figure = getattr(self, self.how)
        return figure


def _faults(data: dict[str, Any]) -> list[InitErrorDetails]:
    given = [name for name in EFFECTS if data.get(name) is not None]
    if len(given) == 1:
        return []
    found = " and ".join(f"`{name}`" for name in given) or "no effect"
    return [wrong_at((given[0],) if given else (), data, found, "one of `set`, `scale` and `add`")]


class Change(Effect):
    """A change to a parameter of the platform."""

    parameter: Path = Field(
        title="Parameter", description="The figure of the platform that changes, as section.field.",
        examples=["exhaust.pipe_bore"],
    )  # fmt: skip

    @property
    def title(self) -> str:
        """What it is called among the figures."""
        return self.parameter


class Raise(Effect):
    """A change to a limit that no parameter computes."""

    limit: Slug = Field(
        title="Limit", description="The name under which the platforms list the limit.", examples=["calibration"]
    )

    @property
    def title(self) -> str:
        """What it is called among the figures."""
        return f"limit {self.limit}"


class Gain(Model):
    """A gain that was observed or is commonly told, with the conditions without which it means nothing."""

    what: Text = Field(title="What", description="What was gained.", examples=["Power at the wheels"])
    figure: Figure = Field(title="Gain", description="How much of it.")
    condition: Text = Field(
        title="Condition", description="What else was on the vehicle and how it was measured.",
        examples=["after a full calibration, same rollers, same day"],
    )  # fmt: skip

    @property
    def title(self) -> str:
        """What it is called among the figures."""
        return self.what


class Option(Model):
    """One size or grade."""

    title: Text = Field(title="Title", description="The size or grade in words.", examples=["One size up"])
    parts_cost: Annotated[Figure, Wants("money", "money", 0, 60000)] = Field(
        title="Parts", description="What the parts cost, from cheap to dear, without labour."
    )
    labour: Annotated[Figure, Wants("time", "h", 0, 120)] = Field(
        title="Labour", description="Hours of work, from a quick fitter to a stubborn vehicle."
    )
    changes: Annotated[tuple[Change, ...], Field(strict=False)] = Field(
        (), title="Changes", description="What it changes in the platform: for each a `parameter` and one of `set`, "
        "`scale` and `add`.", examples=[[{"parameter": "exhaust.pipe_bore", "set": _A_FIGURE}]],
    )  # fmt: skip
    raises: Annotated[tuple[Raise, ...], Field(strict=False)] = Field(
        (), title="Raises", description="What it changes in a limit that no parameter computes: for each a `limit` and "
        "one of `set`, `scale` and `add`.", examples=[[{"limit": "calibration", "add": _MORE_POWER}]],
    )  # fmt: skip
    observed_gain: Annotated[tuple[Gain, ...], Field(strict=False)] = Field(
        (), title="Observed gain", description="What others gained with it: for each `what`, `figure` and `condition`.",
        examples=[[{"what": "Power at the wheels", "figure": _MORE_POWER, "condition": "same rollers, same day"}]],
    )  # fmt: skip
    needs: Annotated[tuple[PartId, ...], Field(strict=False)] = Field(
        (), title="Needs", description="What else this option needs; as for the modification.",
        examples=[["gauges"]],
    )  # fmt: skip
    excludes: Annotated[tuple[PartId, ...], Field(strict=False)] = Field(
        (), title="Excludes", description="What this option does not go with; as for the modification.",
        examples=[["plug-in-module"]],
    )  # fmt: skip
    fits: Fits | None = Field(None, title="Fits", description="Where this option fits, when it is not everywhere.")
    note: Text | None = Field(
        None, title="Note", description="What tells this option from the others.", examples=["Loud without a silencer."]
    )


class Modification(Record):
    """A part or a piece of work, with an option for each size or grade."""

    folder: ClassVar[str] = "modifications"
    purpose: ClassVar[str] = "A modification: what it changes, its cost and its needs. Never a removal of controls."

    title: Text = Field(title="Title", description="What it is called.", examples=["Larger pipe"])
    kind: Literal[
        "calibration",
        "intake",
        "charge-cooler",
        "exhaust",
        "turbocharger",
        "injectors",
        "high-pressure-pump",
        "lift-pump",
        "transmission",
        "converter",
        "driveline",
        "fasteners",
        "cooling",
        "gauges",
    ] = Field(title="Kind", description="The part of the vehicle that it belongs to.", examples=["exhaust"])
    question: Text = Field(
        title="Question", description="The question that an owner would ask about it.", examples=["Is it worth it?"]
    )
    summary: Text = Field(
        title="Summary", description="What it is and does, in one or two sentences without figures.",
        examples=["A wider pipe behind the emission hardware."],
    )  # fmt: skip
    order: int = Field(
        title="Order", description="Its place in a sensible order of fitting: gauges first, calibration last.",
        examples=[50],
    )  # fmt: skip
    emission_status: Literal["exemption-needed", "neutral", "closed-course-only"] = Field(
        title="Emission status",
        description="exemption-needed: for road use ask for the certified exemption; neutral: touches nothing that "
        "counts; closed-course-only: not on public roads.",
        examples=["neutral"],
    )
    law_note: Text | None = Field(
        None, title="Law", description="What the law has to do with it, without advice.",
        examples=["Ask for the exemption number."],
    )  # fmt: skip
    difficulty: Literal["plain", "skilled", "specialist"] = Field(
        title="Difficulty",
        description="plain: hand tools; skilled: a trained mechanic; specialist: a shop that does it often.",
        examples=["plain"],
    )
    reversibility: Text = Field(
        title="Reversibility", description="Whether and how the standard part can go back.", examples=["Bolts back on."]
    )
    materials: Text = Field(
        title="Materials", description="What it is made of and what that means.", examples=["Stainless steel lasts."]
    )
    durability: Text = Field(
        title="Durability", description="What wears, and what it makes other parts wear.", examples=["Clamps loosen."]
    )
    who_needs_it: Text = Field(
        title="Who needs it", description="For whom it is worth the money.", examples=["Whoever tows uphill."]
    )
    who_does_not: Text = Field(
        title="Who does not", description="Who can leave it out.", examples=["A standard calibration."]
    )
    fits: Fits = Field(
        default_factory=lambda: Fits.model_validate({}),
        title="Fits",
        description="Where it fits; left out when it fits every platform in every form.",
    )
    needs: Annotated[tuple[PartId, ...], Field(strict=False)] = Field(
        (), title="Needs", description="What it needs: ids of modifications, of which any option will do, or "
        "`modification.option`.", examples=[["gauges"]],
    )  # fmt: skip
    excludes: Annotated[tuple[PartId, ...], Field(strict=False)] = Field(
        (), title="Excludes", description="What it does not go with, in the same words.", examples=[["plug-in-module"]]
    )
    fitting: Annotated[tuple[Text, ...], Field(strict=False), NotEmpty] = Field(
        title="Fitting", description="The main steps, in order.", examples=[["Let it cool.", "Hang the pipe."]]
    )
    check_after: Annotated[tuple[Text, ...], Field(strict=False), NotEmpty] = Field(
        title="Check after", description="What to look at after fitting.", examples=[["No leak at the clamps."]]
    )
    cautions: Annotated[tuple[CautionId, ...], Field(strict=False)] = Field(
        (), title="Cautions", description="The ids of the cautions that belong to it.", examples=[["lifting"]]
    )
    options: Annotated[dict[Slug, Option], NotEmpty] = Field(
        title="Options", description="Each size or grade, under a short name of its own."
    )
