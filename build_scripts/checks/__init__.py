"""Rules that a record's own shape cannot state: one rule, one file, found by being in this folder.

A rule is a module with `name`, `description` (one sentence), `scope` ("figure", "record", "site" or "prose") and
`check(catalogue, root)`, which yields a Problem for everything that breaks the rule.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from build_scripts.catalogue import Catalogue, survey
from build_scripts.models.problem import Problem

SCOPES = ("figure", "record", "site", "prose")


@dataclass(frozen=True)
class Rule:
    """A rule as found in its file."""

    name: str
    description: str
    scope: str
    check: Callable[[Catalogue, Path], Iterable[Problem]]


def rules() -> tuple[Rule, ...]:
    """Every rule, in alphabetical order; modules whose name starts with an underscore are helpers, not rules."""
    names = sorted(module.name for module in pkgutil.iter_modules(__path__) if not module.name.startswith("_"))
    modules = [importlib.import_module(f"{__name__}.{name}") for name in names]
    return tuple(Rule(module.name, module.description, module.scope, module.check) for module in modules)


def run(catalogue: Catalogue, root: Path) -> list[Problem]:
    """Everything that breaks any rule, sorted by file and line."""
    return sorted({problem for rule in rules() for problem in rule.check(catalogue, root)})


def everything(root: Path) -> list[Problem]:
    """Everything that is wrong under `root`, sorted: in the data, against the rules, and in the prose.

    While records are broken only the rules of scope "prose" are asked: the others would blame what cannot be read.
    """
    catalogue, problems = survey(root)
    if not problems:
        return run(catalogue, root)
    prose = (problem for rule in rules() if rule.scope == "prose" for problem in rule.check(catalogue, root))
    return sorted({*problems, *prose})
