"""YAML text to plain values, with the line of every key and value, and without a guess.

Older YAML reads `no` as false, `12:30` as 750, `010` as 8, and keeps the last of two equal keys without a word. Here a
number is written as digits with an optional decimal point and exponent, a truth is `true` or `false`, a day is
YYYY-MM-DD; everything else is text, and what cannot be read in one way only is refused.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from build_scripts.models.problem import DataErrors, Problem, Steps, dotted

BOOL, INT, FLOAT = "tag:yaml.org,2002:bool", "tag:yaml.org,2002:int", "tag:yaml.org,2002:float"
NULL, DATE, TEXT = "tag:yaml.org,2002:null", "tag:yaml.org,2002:timestamp", "tag:yaml.org,2002:str"

MOST = 1e30


class PlainLoader(yaml.SafeLoader):
    """Reads only values that mean the same to everybody."""

    yaml_implicit_resolvers = {}  # noqa: RUF012 (what the base class declares)


for _tag, _pattern, _first in (
    (BOOL, r"true|false", "tf"),
    (INT, r"[-+]?(?:0|[1-9][0-9]*)", "-+0123456789"),
    (FLOAT, r"[-+]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?", "-+0123456789"),
    (DATE, r"[0-9]{4}-[0-9]{2}-[0-9]{2}", "0123456789"),
    (NULL, r"~|null|", ["~", "n", ""]),
):
    PlainLoader.add_implicit_resolver(_tag, re.compile(rf"(?:{_pattern})$"), list(_first))


@dataclass(frozen=True)
class Document:
    """One file as read: `value` is a mapping, `keys` and `values` give the line on which each of them stands."""

    file: str
    value: dict[str, object]
    keys: dict[Steps, int] = field(default_factory=dict)
    values: dict[Steps, int] = field(default_factory=dict)

    def line(self, path: Steps) -> int:
        """The line of the value at `path`; where it is missing, the line of the nearest key above it."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.values:
                found = self.values if end == len(path) else self.keys
                return found[path[:end]]
        return 1


def read(path: Path, root: Path) -> Document:
    """The YAML file `path`; raises DataErrors with every problem in it, named relative to `root`."""
    name = path.relative_to(root).as_posix()
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise DataErrors([Problem(name, line, "", "bytes that are not UTF-8", "a text file in UTF-8")]) from None
    return read_text(text, name)


def read_text(text: str, name: str) -> Document:
    """The YAML mapping in `text`; `name` is what problems call the file. Raises DataErrors."""
    try:
        node = yaml.compose(text, Loader=PlainLoader)
    except yaml.MarkedYAMLError as error:
        raise DataErrors([_syntax(error, name)]) from None
    except yaml.YAMLError as error:
        line = text.count("\n", 0, getattr(error, "position", 0)) + 1
        raise DataErrors([Problem(name, line, "", str(error).splitlines()[0], "printable text")]) from None
    if not isinstance(node, yaml.MappingNode):
        line = node.start_mark.line + 1 if node else 1
        raise DataErrors([Problem(name, line, "", "no `key: value` lines", "a record of `key: value` lines")])
    reader = _Reader(name, text)
    value = reader.mapping(node, ())
    if reader.problems:
        raise DataErrors(reader.problems)
    return Document(name, value, reader.keys, reader.values)


class _Reader:
    def __init__(self, name: str, text: str) -> None:
        self.name = name
        self.keys: dict[Steps, int] = {}
        self.values: dict[Steps, int] = {}
        self.problems = [
            Problem(name, token.start_mark.line + 1, "", found, allowed)
            for token in yaml.scan(text, Loader=PlainLoader)
            for kind, found, allowed in _REFUSED
            if isinstance(token, kind)
        ]
        self.nodes: set[int] = set()

    def refuse(self, node: yaml.Node, path: Steps, found: str, allowed: str) -> None:
        self.problems.append(Problem(self.name, node.start_mark.line + 1, dotted(path), found, allowed))

    def mapping(self, node: yaml.MappingNode, path: Steps) -> dict[str, object]:
        result: dict[str, object] = {}
        for key_node, value_node in node.value:
            line = key_node.start_mark.line + 1
            if not isinstance(key_node, yaml.ScalarNode) or key_node.tag != TEXT:
                shown = f"`{key_node.value}`" if isinstance(key_node, yaml.ScalarNode) else "a list or mapping"
                comma = ", and a point, not a comma, in a number" if key_node.tag in (INT, FLOAT) else ""
                self.refuse(key_node, path, f"the key {shown}", f"a key that is a word{comma}")
                continue
            key = str(key_node.value)
            here = (*path, key)
            if key in result:
                first = self.keys[here]
                self.refuse(
                    key_node,
                    here,
                    f"`{key}` a second time (first on line {first}, again on line {line})",
                    "each key once",
                )
                continue
            self.keys[here] = line
            result[key] = self.value(value_node, here)
        return result

    def value(self, node: yaml.Node, path: Steps) -> object:
        line = node.start_mark.line + 1
        self.values[path] = line
        self.keys.setdefault(path, line)
        if id(node) in self.nodes:
            return None
        self.nodes.add(id(node))
        if isinstance(node, yaml.MappingNode):
            self.values[path] = self.keys[path]
            return self.mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            self.values[path] = self.keys[path]
            return [self.value(item, (*path, index)) for index, item in enumerate(node.value)]
        return self.scalar(node, path)

    def scalar(self, node: yaml.Node, path: Steps) -> object:
        text = str(node.value)
        try:
            value = _READ.get(node.tag, str)(text)
        except ValueError:
            self.refuse(node, path, f"`{text[:40]}`, which does not exist", "a day of the calendar, or a number")
            return None
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) > MOST:
            self.refuse(node, path, f"a number of {len(text)} signs", "a number that something measures")
            return None
        return value


_READ: dict[str, Callable[[str], object]] = {
    NULL: lambda _: None,
    BOOL: "true".__eq__,
    INT: int,
    FLOAT: float,
    DATE: datetime.date.fromisoformat,
}

_REFUSED = (
    (yaml.AnchorToken, "an anchor (`&name`)", "every value written out where it stands"),
    (yaml.AliasToken, "an alias (`*name`)", "every value written out where it stands"),
    (yaml.TagToken, "a tag (`!name`)", "plain values without tags"),
)


def _syntax(error: yaml.MarkedYAMLError, name: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    line = mark.line + 1 if mark else 1
    found = error.problem or "text that is not YAML"
    if error.context:
        found = f"{found} ({error.context})"
    if "'\\t'" in found:
        return Problem(name, line, "", "a tab where a value should start", "spaces, never tabs, at the start of a line")
    return Problem(name, line, "", found, "YAML: `key: value`, two spaces for each level, text with `: ` in quotes")
