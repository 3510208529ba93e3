"""Writes the nodes of a shown plan as HTML: what the page's script builds as elements."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from markupsafe import Markup, escape

from build_scripts.pages import markup
from build_scripts.pages.display import Pair
from calc.plan.nodes import Node

Fill = Callable[[Mapping[str, Any]], Markup]


def html(nodes: Iterable[Node], fill: Fill = lambda _: Markup()) -> Markup:
    """The nodes as HTML on one line; `fill` gives what an element holds beside its nodes, by its attributes."""
    return Markup().join(_one(node, fill) for node in nodes)


def _one(node: Node, fill: Fill) -> Markup:
    if isinstance(node, str):
        return _text(node)
    if isinstance(node, Mapping):
        return markup.quantity(Pair(node["us"], node["si"]))
    tag, attributes, *inside = node
    written = Markup().join(
        Markup(' {}="{}"').format(name, _style(value) if name == "style" else value)
        for name, value in attributes.items()
    )
    return Markup("<{}{}>{}{}</{}>").format(Markup(tag), written, html(inside, fill), fill(attributes), Markup(tag))


def _text(text: str) -> Markup:
    # Lines of a text that is copied stay lines, while Markdown takes the whole as one.
    return Markup(str(escape(text)).replace("\n", "&#10;"))


def _style(values: Mapping[str, str]) -> str:
    return ";".join(f"{name}:{value}" for name, value in values.items())
