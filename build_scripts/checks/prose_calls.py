"""A page that asks for a figure, a result or a source that is not there would fail later, when the pages are made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from jinja2 import Environment, TemplateSyntaxError, nodes

from build_scripts.catalogue import Catalogue
from build_scripts.checks._text import pages
from build_scripts.models.problem import Problem, closest
from calc.evaluate import understand
from calc.reading import BadInput
from calc.registry import calculators

name = "prose-calls"
description = (
    "Every figure, calculator, result and source that a page of docs asks for exists, with the inputs it names."
)
scope = "site"

_OF_A_CALCULATOR = ("calculator", "chart", "formula", "given", "result", "section", "valid")


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every call in the prose whose plain arguments name something that does not exist."""
    for file, text in pages(root):
        try:
            tree = Environment(autoescape=True).parse(text)
        except TemplateSyntaxError as error:
            yield Problem(
                file, error.lineno, "", f"a call that does not end or begin well ({error.message})", "{{ call }}"
            )
            continue
        for call in tree.find_all(nodes.Call):
            if isinstance(call.node, nodes.Name):
                plain = [argument.value for argument in call.args if isinstance(argument, nodes.Const)]
                yield from _problems(catalogue, file, call, call.node.name, [str(value) for value in plain])


def _problems(
    catalogue: Catalogue, file: str, call: nodes.Call, function: str, arguments: list[str]
) -> Iterator[Problem]:
    def unknown(word: str, known: Iterable[str], allowed: str) -> Problem:
        found = f"`{word}`, which does not exist"
        return Problem(file, call.lineno, function, found, allowed, closest(word, known))

    if len(arguments) < len(call.args) or not arguments:
        return
    first, *others = arguments
    if function == "figure" and first not in catalogue.figures:
        yield unknown(first, catalogue.figures, "the id of a figure in docs/data")
    elif function == "cite" and first not in {**catalogue.sources, **catalogue.references}:
        yield unknown(first, catalogue.sources, "the id of a source in docs/data/sources")
    elif function in _OF_A_CALCULATOR:
        asked = calculators().get(first)
        if asked is None:
            yield unknown(first, calculators(), "the id of a file in calc/calculators")
            return
        if function == "given" and others and others[0] not in asked.inputs:
            yield unknown(others[0], asked.inputs, f"an input of {first}")
        if function == "result":
            if others and others[0] not in asked.outputs:
                yield unknown(others[0], asked.outputs, f"an output of {first}")
            given = {item.key: str(item.value.value) for item in call.kwargs if isinstance(item.value, nodes.Const)}
            try:
                understand(asked, given, "us")
            except BadInput as bad:
                for problem in bad.problems:
                    found = f"{problem.name}={problem.given!r} ({problem.why})"
                    yield Problem(file, call.lineno, function, found, problem.allowed)
