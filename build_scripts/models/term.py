"""Words of the trade by subject: what they mean, what else they are called, and which pages they should find."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field

from build_scripts.models.base import Model, NotEmpty, Record, Text


class Term(Model):
    """One word."""

    word: Text = Field(title="Word", description="The word that this site uses.", examples=["Boost"])
    also: Annotated[tuple[Text, ...], Field(strict=False)] = Field(
        (), title="Also", description="What the trade says as well: synonyms, abbreviations, what people type.",
        examples=[["charge pressure", "MAP"]],
    )  # fmt: skip
    means: Text = Field(
        title="Means", description="What it means, in one or two sentences without figures.",
        examples=["Pressure in the intake manifold."],
    )  # fmt: skip
    pages: Annotated[tuple[Text, ...], Field(strict=False), NotEmpty] = Field(
        title="Pages",
        description="The pages that the word should find, the one that explains it first: an address or a calculator.",
        examples=[["topics/airflow-and-boost.md", "air-demand"]],
    )


class Terms(Record):
    """The words of one subject; together the records are the glossary, and the synonyms that search knows."""

    folder: ClassVar[str] = "terms"
    purpose: ClassVar[str] = "Words of the trade: what they mean, their other names, and the pages they should find."

    title: Text = Field(title="Title", description="The subject.", examples=["Fuel"])
    order: int = Field(title="Order", description="Its place in the glossary.", examples=[30])
    terms: Annotated[tuple[Term, ...], Field(strict=False), NotEmpty] = Field(
        title="Terms", description="The words: for each `word`, `also`, `means` and `pages`.",
        examples=[[{
            "word": "Boost", "also": ["charge pressure"], "means": "Pressure in the manifold.",
            "pages": ["topics/airflow-and-boost.md"],
        }]],
    )  # fmt: skip
