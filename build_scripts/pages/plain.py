"""Writes the pages as a plain folder of Markdown with a configuration that another generator can read."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import yaml

from build_scripts.pages.page import Page, navigation


class _Settings(yaml.SafeLoader):
    """Reads mkdocs.yml; where it asks for an environment variable, its default counts."""


def _default(loader: yaml.SafeLoader, node: yaml.Node) -> Any:
    return loader.construct_sequence(node)[-1] if isinstance(node, yaml.SequenceNode) else None


_Settings.add_constructor("!ENV", _default)


def write_plain(root: Path, out: Path, pages: Sequence[Page]) -> None:
    """Write `pages`, the assets and a configuration without any hook into the empty folder `out`.

    The result holds nothing that points back into the project: `out`/docs, `out`/theme and `out`/mkdocs.yml.
    """
    for page in pages:
        target = out / "docs" / page.uri
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(page.text, encoding="utf-8")
    shutil.copytree(root / "docs" / "assets", out / "docs" / "assets")
    shutil.copytree(root / "build_scripts" / "theme", out / "theme")
    settings = yaml.load((root / "mkdocs.yml").read_text(encoding="utf-8"), Loader=_Settings)
    (out / "mkdocs.yml").write_text(yaml.safe_dump(plain(settings, pages), allow_unicode=True), encoding="utf-8")


def plain(settings: dict[str, Any], pages: Sequence[Page]) -> dict[str, Any]:
    """The settings of mkdocs.yml without what needs this project's code, and with the navigation written out."""
    kept = {key: value for key, value in settings.items() if key not in ("hooks", "validation")}
    kept["theme"] = settings["theme"] | {"custom_dir": "theme"}
    kept["markdown_extensions"] = [
        extension
        for extension in settings["markdown_extensions"]
        if not (isinstance(extension, str) and extension.startswith("build_scripts."))
    ]
    return kept | {"nav": navigation(pages)}
