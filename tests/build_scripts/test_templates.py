"""Templates of new records: written from the models, refused while they are empty, sound once they are filled in."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from build_scripts import catalogue
from build_scripts.loading import read_text
from build_scripts.models import kinds, schema
from build_scripts.models.base import Record
from build_scripts.models.explain import unwrapped, wants_of
from build_scripts.models.figure import Figure
from build_scripts.models.prose import ProseExceptions
from build_scripts.models.templates import EXAMPLE, new_record, template

KINDS = list(kinds())


def filled(text: str, everything: bool) -> str:
    """The template with every example in its place; with `everything`, the optional fields too."""
    lines = []
    for line in text.splitlines():
        if everything and (EXAMPLE in line or re.fullmatch(r"[ #]*# [a-z_]+:", line)):
            line = re.sub(r"^(?: *# )+", lambda found: found.group().replace("# ", ""), line)
        if line.lstrip().startswith("#"):
            continue
        before, mark, example = line.partition(EXAMPLE)
        lines.append(re.sub(r"\{(value|low): .*\}$|(?<=:) *$", "", before) + " " + example if mark else line)
    return "\n".join(lines) + "\n"


def validated(kind: str, text: str) -> Record:
    return kinds()[kind].model_validate(read_text(text, "x.yaml").value)


def test_there_are_kinds() -> None:
    assert {"platforms", "modifications", "uses", "law", "sources", "practice", "cautions"} <= set(KINDS)


@pytest.mark.parametrize("everything", [False, True], ids=["required", "everything"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_template_filled_with_its_own_examples_is_sound(kind: str, everything: bool) -> None:
    record = validated(kind, filled(template(kind), everything))
    given = record.model_dump(exclude_unset=True)
    assert given
    if everything:
        assert set(given) == set(kinds()[kind].model_fields)


@pytest.mark.parametrize("kind", KINDS)
def test_an_empty_template_is_refused_on_every_line_that_wants_something(kind: str, tmp_path: Path) -> None:
    path = new_record(kind, "new-one", tmp_path)
    assert path == tmp_path / "docs" / "data" / kind / "new-one.yaml"
    wanting = {
        number
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if EXAMPLE in line and not line.lstrip().startswith("#")
    }
    assert wanting
    _, problems = catalogue.survey(tmp_path, {})
    assert {problem.line for problem in problems} == wanting


def test_a_record_is_named_in_the_singular_too(tmp_path: Path) -> None:
    assert new_record("platform", "a-truck", tmp_path) == tmp_path / "docs/data/platforms/a-truck.yaml"


def test_an_existing_record_is_never_overwritten(tmp_path: Path) -> None:
    path = new_record("source", "a-book", tmp_path)
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(FileExistsError, match=r"sources/a-book\.yaml is there already"):
        new_record("source", "a-book", tmp_path)
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["A Truck", "a_truck", "../truck", "a--b", "", "truck.yaml"])
def test_an_id_that_cannot_be_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="small letters"):
        new_record("platform", name, tmp_path)
    assert list(tmp_path.rglob("*.yaml")) == []


def test_a_kind_that_is_misspelt_is_met_with_the_right_one(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="Did you mean platforms"):
        new_record("platfrom", "a-truck", tmp_path)


def fields(model: type[BaseModel]) -> Iterator[tuple[str, Any]]:
    """Every field of a model and of the models in it."""
    for name, field in model.model_fields.items():
        yield f"{model.__name__}.{name}", field
        yield from inside(field.annotation)


def inside(annotation: Any) -> Iterator[tuple[str, Any]]:
    inner = unwrapped(annotation)
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        yield from fields(inner)
    for argument in getattr(inner, "__args__", ()):
        yield from inside(argument)


@pytest.mark.parametrize("model", [*kinds().values(), ProseExceptions], ids=lambda model: model.__name__)
def test_every_field_says_what_it_is_and_gives_an_example(model: type[BaseModel]) -> None:
    found = dict(fields(model))
    assert len(found) > 3
    for name, field in found.items():
        assert field.title, name
        assert (field.description or "").endswith("."), name
        holds_more = any(inside(field.annotation))
        assert field.examples or wants_of(field) or holds_more, name


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_of_a_kind_comes_from_its_model(kind: str) -> None:
    found = schema(kind)
    assert found["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert set(found["properties"]) == set(kinds()[kind].model_fields)
    assert found["additionalProperties"] is False
    for entry in found["properties"].values():
        part = found["$defs"][entry["$ref"].rpartition("/")[2]] if "$ref" in entry else {}
        assert entry.get("description") or part["description"]


def test_the_schema_says_what_a_figure_must_measure() -> None:
    displacement = schema("platforms")["$defs"]["Engine"]["properties"]["displacement"]
    assert displacement["dimension"] == "volume"
    assert displacement["units"][0] == "L"
    assert displacement["plausible"] == "0.5 to 20 L"


def test_a_figure_speaks_for_itself() -> None:
    day = datetime.date(2026, 11, 24)
    one = Figure.model_validate({"value": 6.3, "unit": "L", "grade": "invented", "reviewed": day})
    two = Figure.model_validate({"low": 100, "high": 200, "unit": "degC", "grade": "memory", "reviewed": day})
    assert (one.ends, one.is_range, one.likely) == ((6.3, 6.3), False, 6.3)
    assert (two.ends, two.is_range, two.likely) == ((100, 200), True, 150)
    assert two.ends_in("degF") == pytest.approx((212, 392))
    assert one.likely_in("in3") == pytest.approx(384.45, rel=1e-4)
