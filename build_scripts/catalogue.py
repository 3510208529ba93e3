"""All records of `docs/data`, read, checked and joined: what every page, check and bundle is made from."""

from __future__ import annotations

import datetime
import importlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import Any, cast

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from build_scripts.loading import Document, read
from build_scripts.models import kinds
from build_scripts.models.base import Origin, Record
from build_scripts.models.caution import Caution
from build_scripts.models.explain import explain
from build_scripts.models.figure import Figure
from build_scripts.models.law import Law
from build_scripts.models.modification import Modification
from build_scripts.models.platform import Platform
from build_scripts.models.practice import Practice
from build_scripts.models.problem import DataErrors, Problem, Steps, dotted
from build_scripts.models.source import Source
from build_scripts.models.term import Terms
from build_scripts.models.topics import Topic
from build_scripts.models.use import Use
from calc.provenance import Grade, Reference, weakest

DATA = "docs/data"


@dataclass(frozen=True)
class FigureRecord:
    """A figure with its place: everything a page, a mark or a check needs to show and trace it.

    `id` is `folder/record/path` ("platforms/hollin-six/engine.bore"), `label` what the figure is called ("Bore"),
    `title` the same with its record ("Hollin Six: Bore"), `description` what it means, `steps` the path as the keys and
    positions that lead to it, `file` and `line` where people edit it.
    """

    id: str
    title: str
    label: str
    description: str
    figure: Figure
    folder: str
    record: str
    path: str
    steps: Steps
    file: str
    line: int

    @property
    def grade(self) -> Grade:
        """How well the figure is supported."""
        return self.figure.grade

    @property
    def anchor(self) -> str:
        """The id as an HTML id: letters, digits and hyphens."""
        return self.id.replace("/", "--").replace(".", "-").replace("_", "-")


@dataclass(frozen=True)
class Catalogue:
    """Every record by folder and id, and every figure by its id. Frozen; made by `load`."""

    records: Mapping[str, Mapping[str, Record]] = field(default_factory=dict)
    documents: Mapping[tuple[str, str], Document] = field(default_factory=dict)
    references: Mapping[str, Reference] = field(default_factory=dict)

    @property
    def platforms(self) -> Mapping[str, Platform]:
        """Platforms by id."""
        return cast(Mapping[str, Platform], self.of("platforms"))

    @property
    def sources(self) -> Mapping[str, Source]:
        """Sources by id."""
        return cast(Mapping[str, Source], self.of("sources"))

    @property
    def practice(self) -> Mapping[str, Practice]:
        """Figures of general practice by id."""
        return cast(Mapping[str, Practice], self.of("practice"))

    @property
    def cautions(self) -> Mapping[str, Caution]:
        """Cautions by id."""
        return cast(Mapping[str, Caution], self.of("cautions"))

    @property
    def modifications(self) -> Mapping[str, Modification]:
        """Modifications by id."""
        return cast(Mapping[str, Modification], self.of("modifications"))

    @property
    def uses(self) -> Mapping[str, Use]:
        """Uses by id."""
        return cast(Mapping[str, Use], self.of("uses"))

    @property
    def law(self) -> Mapping[str, Law]:
        """The law of each place by id."""
        return cast(Mapping[str, Law], self.of("law"))

    @property
    def terms(self) -> Mapping[str, Terms]:
        """The words of the trade by subject."""
        return cast(Mapping[str, Terms], self.of("terms"))

    def of(self, folder: str) -> Mapping[str, Record]:
        """The records of a folder by id, in the order of their ids; empty when there are none."""
        return self.records.get(folder, MappingProxyType({}))

    @cached_property
    def figures(self) -> Mapping[str, FigureRecord]:
        """Every figure of every record by its id, in the order of the files."""
        found = (
            figure for folder in self.records for record in self.of(folder).values() for figure in self._in(record)
        )
        return MappingProxyType({figure.id: figure for figure in found})

    @cached_property
    def cited(self) -> Mapping[str, tuple[FigureRecord, ...]]:
        """The figures that rest on each source, by source id: what a page of the source lists."""
        return MappingProxyType(
            {
                source: tuple(figure for figure in self.figures.values() if figure.figure.source == source)
                for source in [*self.sources, *self.references]
            }
        )

    def figures_of(self, record: Record) -> tuple[FigureRecord, ...]:
        """The figures of one record, in the order of its fields."""
        return tuple(self._in(record))

    def grade_of(self, record: Record) -> Grade:
        """The weakest grade among a record's figures; ValueError when it has none."""
        return weakest(figure.grade for figure in self._in(record))

    def cautions_for(self, topics: Iterable[Topic]) -> tuple[Caution, ...]:
        """The cautions of these topics, danger first."""
        order = ("danger", "warning", "notice")
        wanted = set(topics)
        found = [caution for caution in self.cautions.values() if wanted & set(caution.applies_to)]
        return tuple(sorted(found, key=lambda caution: order.index(caution.severity)))

    def line(self, record: Record, path: Steps = ()) -> int:
        """The line on which a part of a record stands in its file; 1 for the record as a whole."""
        document = self.documents.get((record.folder, record.id))
        return document.line(path) if document else 1

    def _in(self, record: Record) -> Iterator[FigureRecord]:
        title = str(getattr(record, "title", record.id))
        for path, labels, description, figure in _figures(record, (), (), ""):
            label = ": ".join(labels)
            yield FigureRecord(
                id=f"{record.folder}/{record.id}/{dotted(path)}",
                title=title if isinstance(record, Practice) else f"{title}: {label}",
                label=title if isinstance(record, Practice) else label,
                description=record.about if isinstance(record, Practice) else description,
                figure=figure,
                folder=record.folder,
                record=record.id,
                path=dotted(path),
                steps=path,
                file=record.file,
                line=self.line(record, path),
            )


def load(root: Path, references: Mapping[str, Reference] | None = None) -> Catalogue:
    """The records under `root`/docs/data; raises DataErrors with everything that is wrong in any file.

    `references` are the sources that calc itself rests on (calc.references unless others are given): figures may cite
    them, and no source record may have the id of one of them.
    """
    catalogue, problems = survey(root, references)
    if problems:
        raise DataErrors(problems)
    return catalogue


def survey(root: Path, references: Mapping[str, Reference] | None = None) -> tuple[Catalogue, list[Problem]]:
    """The records that are sound, and every problem in the others."""
    references = calc_references() if references is None else references
    models = kinds()
    files = {folder: sorted((root / DATA / folder).glob("*.yaml")) for folder in models}
    ids = {folder: frozenset(path.stem for path in paths) for folder, paths in files.items()}
    ids["sources"] |= frozenset(references)
    context = {"ids": ids, "today": datetime.datetime.now(datetime.UTC).date()}
    problems: list[Problem] = []
    records: dict[str, Mapping[str, Record]] = {}
    documents: dict[tuple[str, str], Document] = {}
    for folder, model in models.items():
        sound: dict[str, Record] = {}
        for path in files[folder]:
            try:
                document = read(path, root)
                sound[path.stem] = _record(document, model, Origin(folder, path.stem, document.file), context)
                documents[folder, path.stem] = document
            except DataErrors as error:
                problems += error.problems
        records[folder] = MappingProxyType(sound)
    for path in files["sources"]:
        if path.stem in references:
            file, found = path.relative_to(root).as_posix(), f"the id `{path.stem}`, which calc/references.py holds"
            problems.append(Problem(file, 1, "", found, "records of what calc/references.py does not hold"))
    catalogue = Catalogue(MappingProxyType(records), MappingProxyType(documents), MappingProxyType(dict(references)))
    return catalogue, problems


def calc_references() -> Mapping[str, Reference]:
    """The sources that the shared physics rests on, by id."""
    known = vars(importlib.import_module("calc.references")).values()
    return {reference.id: reference for reference in known if isinstance(reference, Reference)}


def _record(document: Document, model: type[Record], origin: Origin, context: dict[str, Any]) -> Record:
    try:
        record = model.model_validate(document.value, context=context)
    except ValidationError as error:
        raise DataErrors(explain(error, model, document.file, document.line)) from None
    record.at(origin)
    return record


def _figures(
    value: object,
    path: Steps,
    labels: tuple[str, ...],
    description: str,
    owner: tuple[str, ...] = (),
    key: str = "",
) -> Iterator[tuple[Steps, tuple[str, ...], str, Figure]]:
    """Every figure in a value with its path, its labels and its description.

    A figure is named by its field, below the titles (`owner`) of the parts with a title of their own that hold it;
    `key` names a part of a mapping that has none.
    """
    if isinstance(value, Figure):
        yield path, labels, description, value
    elif isinstance(value, BaseModel):
        own = (getattr(value, "title", None) or key) if path else ""
        owner = (*owner, str(own)) if own else owner
        for name, declared in type(value).model_fields.items():
            label = (*owner, _title(declared, name))
            yield from _figures(getattr(value, name), (*path, name), label, declared.description or "", owner)
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _figures(item, (*path, str(name)), (*labels, str(name)), description, owner, str(name))
    elif isinstance(value, tuple | list):
        for index, item in enumerate(value):
            yield from _figures(item, (*path, index), (*labels, str(index + 1)), description, owner)


def _title(declared: FieldInfo, name: str) -> str:
    return declared.title or name.replace("_", " ")
