"""Pages that people write: every Markdown file under docs/, with front matter (title, order, summary)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateError, TemplateSyntaxError

from build_scripts.loading import read_text
from build_scripts.models.problem import DataErrors, Problem
from build_scripts.pages.edition import Draft, Edition
from build_scripts.pages.functions import functions
from build_scripts.pages.sheet import Sheet

_ALLOWED = "front matter: title, and if wanted order, summary, question, group, related, next, parts, hide"
_WORDS = ("title", "summary", "question", "group")
_WAYS = ("related", "next")


def drafts(edition: Edition, root: Path) -> Iterator[Draft]:
    """A draft for each file; a file without a title is a problem."""
    for path in sorted((root / "docs").rglob("*.md")):
        origin = path.relative_to(root).as_posix()
        try:
            yield _draft(path, origin, root)
        except DataErrors as errors:
            edition.problems += errors.problems


def _draft(path: Path, origin: str, root: Path) -> Draft:
    meta, _ = split(path.read_text(encoding="utf-8"))
    values: dict[str, Any] = read_text(meta, origin).value if meta else {}
    order, parts = values.get("order", 50), values.get("parts", [])
    words = {name: values.get(name, "") for name in _WORDS}
    ways = {name: values.get(name, {}) for name in _WAYS}
    if not words["title"] or not isinstance(order, int) or not all(isinstance(word, str) for word in words.values()):
        raise DataErrors([Problem(origin, 1, "", "no title in front matter", _ALLOWED)])
    for name, way in ways.items():
        if not isinstance(way, dict) or not all(isinstance(why, str | None) for why in way.values()):
            allowed = "pages or calculators, each with what for: `topics/costs.md: what it costs`"
            raise DataErrors([Problem(origin, 1, name, "something else", allowed)])
    uri = path.relative_to(root / "docs").as_posix()
    related, then = ({key: why or "" for key, why in ways[name].items()} for name in _WAYS)
    return Draft(
        uri, words["title"], origin, lambda sheet: _text(sheet, root), order, words["summary"],
        hide=values.get("hide", []), question=words["question"], related=related, then=then, parts=parts,
        group=words["group"],
    )  # fmt: skip


def split(text: str) -> tuple[str, str]:
    """Front matter (empty lines in the place of its marks, so that lines keep their numbers) and body."""
    if not text.startswith("---\n"):
        return "", text
    meta, found, body = text.removeprefix("---\n").partition("\n---\n")
    return ("\n" + meta, body) if found else ("", text)


def _text(sheet: Sheet, root: Path) -> str:
    try:
        template = _environment(root).get_template(sheet.origin)
        _, body = split(template.render(functions(sheet)))
    except TemplateSyntaxError as error:
        sheet.edition.problems.append(Problem(sheet.origin, error.lineno, "", error.message or "", "a template"))
        return ""
    except (TemplateError, TypeError) as error:
        line = _line(error, sheet.origin, root)
        allowed = f"calls of {', '.join(sorted(functions(sheet)))}"
        sheet.edition.problems.append(Problem(sheet.origin, line, "", str(error), allowed))
        return ""
    return body


@cache
def _environment(root: Path) -> Environment:
    return Environment(loader=FileSystemLoader(root), undefined=StrictUndefined, autoescape=True)


def _line(error: Exception, origin: str, root: Path) -> int:
    trace, line = error.__traceback__, 0
    while trace:
        if trace.tb_frame.f_code.co_filename == str(root / origin):
            line = trace.tb_lineno
        trace = trace.tb_next
    return line
