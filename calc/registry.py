"""Finds calculators: every module of the folder `calculators` that defines one."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

import calc.calculators
from calc.contract import Calculator


@cache
def identifiers() -> tuple[str, ...]:
    """Ids of all calculators in alphabetical order, found without importing them."""
    names = (module.name for module in pkgutil.iter_modules(calc.calculators.__path__))
    return tuple(sorted(name.replace("_", "-") for name in names if not name.startswith("_")))


@cache
def calculator(identifier: str) -> Calculator:
    """The calculator with this id. Raises KeyError for an unknown id, TypeError for a file that defines none or two."""
    if identifier not in identifiers():
        raise KeyError(identifier)
    module = importlib.import_module(f"calc.calculators.{identifier.replace('-', '_')}")
    found = [value for value in vars(module).values() if isinstance(value, Calculator) and value.id == identifier]
    if len(found) != 1:
        raise TypeError(f"{module.__name__}: defines {len(found)} calculators; one file holds one")
    return found[0]


def calculators() -> dict[str, Calculator]:
    """Every calculator by id."""
    return {identifier: calculator(identifier) for identifier in identifiers()}
