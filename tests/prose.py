"""The prose of the project as plain words, each with where it stands: Markdown, data files and templates."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

# Fields of a record that hold ids, numbers and days, not prose.
NO_PROSE = {
    "applies_to", "binds", "cautions", "changes", "citation", "emission_status", "excludes", "grade",
    "kind", "level", "limit", "needs", "next", "order", "pages", "parameter", "parts", "platforms", "publisher",
    "related", "reviewed", "seen", "short", "source", "sources", "subject", "topic", "topics", "unit", "url",
    "variants", "where", "within", "group", "hide",
}  # fmt: skip
_CODE = re.compile(r"```.*?```|`[^`\n]*`|^ {4}.*$", re.DOTALL | re.MULTILINE)
_CALL = re.compile(r"\{\{.*?\}\}|\{%.*?%\}", re.DOTALL)
_TAG = re.compile(r"<[^>]+>")
_LINK = re.compile(r"\]\([^)]*\)")
_QUOTED = re.compile(r'"([^"]*)"')


@dataclass(frozen=True)
class Passage:
    """A piece of prose and its place; `key` is the field of a record that holds it."""

    file: str
    line: int
    text: str
    key: str = ""


def passages(root: Path) -> Iterator[Passage]:
    """Every passage of docs, of the two guides and of the texts that templates hold."""
    for path in sorted([*(root / "docs").rglob("*.md"), root / "README.md", root / "DEVELOPERS.md"]):
        yield from markdown(path.relative_to(root).as_posix(), path.read_text(encoding="utf-8"))
    for path in sorted((root / "build_scripts" / "templates").iterdir()):
        yield from _lines(path.relative_to(root).as_posix(), plain(path.read_text(encoding="utf-8")))
    for path in sorted((root / "docs" / "data").rglob("*.yaml")):
        yield from data(path.relative_to(root).as_posix(), path.read_text(encoding="utf-8"))


def markdown(file: str, text: str) -> Iterator[Passage]:
    """The passages of a Markdown file, its front matter included."""
    if text.startswith("---\n"):
        meta, _, body = text.removeprefix("---\n").partition("\n---\n")
        yield from data(file, meta)
        text = "\n" * (meta.count("\n") + 3) + body
    yield from _lines(file, plain(text))


def data(file: str, text: str) -> Iterator[Passage]:
    """The passages of a YAML file: every string that is no id."""
    node = yaml.compose(text)
    if node is not None:
        yield from _strings(file, node)


def plain(text: str) -> str:
    """Text without code, calls, tags and addresses; words that a call shows stay. Lines keep their numbers."""

    def shown(found: re.Match[str]) -> str:
        words = " ".join(text for text in _QUOTED.findall(found[0]) if " " in text)
        return f" {words} " + "\n" * (found[0].count("\n") - words.count("\n"))

    def gone(found: re.Match[str]) -> str:
        return " " + "\n" * found[0].count("\n")

    return _LINK.sub("]", _TAG.sub(gone, _CALL.sub(shown, _CODE.sub(gone, text))))


def _lines(file: str, text: str) -> Iterator[Passage]:
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip():
            yield Passage(file, number, line)


def _strings(file: str, node: Any, key: str = "") -> Iterator[Passage]:
    if isinstance(node, yaml.MappingNode):
        for name, value in node.value:
            yield from _strings(file, value, str(name.value))
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            yield from _strings(file, value, key)
    elif node.tag.endswith(":str") and key not in NO_PROSE:
        yield Passage(file, node.start_mark.line + 1, plain(node.value), key)
