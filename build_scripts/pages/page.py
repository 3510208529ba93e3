"""What a page is, and the order in which pages stand in the navigation."""

from __future__ import annotations

import json
import posixpath
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

HOME = "index.md"
_LAST = 50


@dataclass(frozen=True)
class Page:
    """A page as Markdown with front matter.

    `uri` is its place in the site ("platforms/hollin-six.md"), `origin` the file, relative to the project, that a
    person edits to change it. `order` sorts pages of one folder, and by a folder's index page the folders. `group` puts
    a page at the top, or by its index page a folder, into a section of that name.
    """

    uri: str
    text: str
    origin: str
    title: str
    order: int = _LAST
    group: str = ""

    @property
    def folder(self) -> str:
        """The folder it stands in; empty at the top."""
        return posixpath.dirname(self.uri)

    @property
    def is_index(self) -> bool:
        """Whether it stands for its folder."""
        return posixpath.basename(self.uri) == "index.md"


def with_front_matter(title: str, origin: str, body: str, **more: Any) -> str:
    """The text of a page: front matter, which is JSON and therefore YAML, and the body."""
    meta = {"title": title, "origin": origin, **more}
    lines = [f"{key}: {json.dumps(value, ensure_ascii=False)}" for key, value in meta.items()]
    return "\n".join(["---", *lines, "---", "", body.strip(), ""])


def navigation(pages: Iterable[Page]) -> list[dict[str, Any]]:
    """The navigation: folders are sections, named by their index page; sorted by `order`, then title."""
    return _section(sorted(pages, key=lambda page: page.uri), "")


def _section(pages: list[Page], folder: str) -> list[dict[str, Any]]:
    entries: list[tuple[int, str, dict[str, Any]]] = []
    grouped: dict[str, list[tuple[int, str, dict[str, Any]]]] = {}
    below: dict[str, list[Page]] = {}
    for page in pages:
        inside = page.uri.removeprefix(f"{folder}/" if folder else "")
        if "/" in inside:
            below.setdefault(posixpath.join(folder, inside.partition("/")[0]), []).append(page)
        elif page.uri == HOME:
            entries.append((-1, "", {page.title: page.uri}))
        elif not page.is_index:
            grouped.setdefault(page.group, []).append((page.order, page.title, {page.title: page.uri}))
    for name, inner in below.items():
        index = next((page for page in inner if page.is_index and page.folder == name), None)
        title = index.title if index else posixpath.basename(name).replace("-", " ").capitalize()
        content: list[Any] = [index.uri] if index else []
        content += _section(inner, name)
        entry = (index.order if index else _LAST, title, {title: content})
        grouped.setdefault(index.group if index else "", []).append(entry)
    entries += grouped.pop("", [])
    for name, inner_entries in grouped.items():
        first = min(order for order, _, _ in inner_entries)
        entries.append((first, name, {name: _sorted(inner_entries)}))
    return _sorted(entries)


def _sorted(entries: Iterable[tuple[int, str, dict[str, Any]]]) -> list[dict[str, Any]]:
    return [entry for _, _, entry in sorted(entries, key=lambda item: item[:2])]
