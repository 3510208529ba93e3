"""Conditions between options: what one needs beside it, and what it excludes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from calc.plan.records import Option


def real(options: Iterable[Option | None]) -> Iterator[Option]:
    """The options among choices of which one may be to leave things as they are."""
    return (option for option in options if option is not None)


def named(ids: Iterable[str]) -> set[str]:
    """The modifications of ids of modifications and options."""
    return {one.partition(".")[0] for one in ids}


def _met(wanted: str, options: Iterable[Option]) -> bool:
    """Whether an option, or any option of a modification, is among the options."""
    return any(wanted in (option.id, option.modification) for option in options)


def agree(options: Iterable[Option], present: Sequence[Option], judged: set[str] | None = None) -> bool:
    """Whether what the options need is present and what they exclude is not; `judged` names the modifications whose
    conditions count, all by default."""
    for option in options:
        for wanted, needed in (*((one, True) for one in option.needs), *((one, False) for one in option.excludes)):
            if (judged is None or wanted.partition(".")[0] in judged) and _met(wanted, present) != needed:
                return False
    return True


def linked(choices: Mapping[str, Sequence[Option | None]], name: str) -> set[str]:
    """The modifications that the options of one need or exclude, among those that there are choices of."""
    wanted = {one for option in real(choices[name]) for one in (*option.needs, *option.excludes)}
    return named(wanted) & set(choices)
