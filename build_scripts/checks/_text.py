"""The Markdown files that people write, and places in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path


def pages(root: Path) -> Iterator[tuple[str, str]]:
    """Every Markdown file under docs: its name relative to `root`, and its text."""
    for path in sorted((root / "docs").rglob("*.md")):
        yield path.relative_to(root).as_posix(), path.read_text(encoding="utf-8")


def calls(function: str, text: str) -> Iterator[tuple[int, str]]:
    """Every `function("argument")` in a text: line and argument."""
    for found in re.finditer(rf"\b{function}\(\s*([\"'])(.*?)\1", text):
        yield text.count("\n", 0, found.start()) + 1, found.group(2)
