"""Markdown extension: a table typed in Markdown gets a box that scrolls by keyboard as well, with a name for it."""

from __future__ import annotations

import xml.etree.ElementTree as etree
from collections import Counter
from typing import Any

from markdown import Markdown
from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor


class _Boxes(Treeprocessor):
    def run(self, root: etree.Element) -> None:
        name = "Table"
        given: Counter[str] = Counter()
        for parent in list(root.iter()):
            for place, child in enumerate(list(parent)):
                if child.tag in ("h1", "h2", "h3", "h4"):
                    name = f"Table: {''.join(child.itertext())}"
                if child.tag == "table":
                    for cell in list(child.iter("th")):
                        if "".join(cell.itertext()).strip():
                            cell.set("scope", "col")
                        else:
                            cell.tag = "td"  # an empty corner heads nothing
                    given[name] += 1
                    label = name if given[name] == 1 else f"{name}, {given[name]}"
                    child.set("class", "hr-table")
                    box = etree.Element(
                        "div", {"class": "hr-scroll", "tabindex": "0", "role": "region", "aria-label": label}
                    )
                    box.append(child)
                    parent[place] = box


class ScrollingTables(Extension):
    """Wraps every table of the page."""

    def extendMarkdown(self, md: Markdown) -> None:
        """Registers after inline text is read, so that a heading's words can name the table."""
        md.treeprocessors.register(_Boxes(md), "hr-scrolling", 15)


def makeExtension(**settings: Any) -> ScrollingTables:
    """The entry point that Markdown looks for."""
    return ScrollingTables(**settings)
