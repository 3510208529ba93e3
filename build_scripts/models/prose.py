"""Figures that may stand in prose without a mark, each with the reason and so with its end."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from build_scripts.models.base import Model, Text


class ProseException(Model):
    """One text that looks like a figure and may stay."""

    file: Text = Field(
        title="File", description="The Markdown file, from the project down.", examples=["docs/about.md"]
    )
    text: Text = Field(title="Text", description="The words as the problem quotes them.", examples=["5 years"])
    reason: Text = Field(
        title="Reason", description="Why it is no figure of the data, and what would end the exception.",
        examples=["The title of a book."],
    )  # fmt: skip


class ProseExceptions(Model):
    """The file docs/data/prose-exceptions.yaml."""

    exceptions: Annotated[tuple[ProseException, ...], Field(strict=False)] = Field(
        title="Exceptions", description="The list, which may be empty.", examples=[[]]
    )
