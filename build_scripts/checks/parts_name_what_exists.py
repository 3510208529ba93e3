"""A part that names a parameter, a limit or another part that is not there would be planned with and do nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from pydantic import BaseModel

from build_scripts.catalogue import Catalogue
from build_scripts.models.explain import field_at, wants_of
from build_scripts.models.figure import Figure
from build_scripts.models.modification import Effect, Fits, Modification, Option
from build_scripts.models.platform import Platform
from build_scripts.models.problem import Problem, Steps, closest, dotted
from calc.units import UNITS

name = "parts-name-what-exists"
description = "Every part, parameter, limit and variant that a modification names exists, and its figures fit them."
scope = "record"


def check(catalogue: Catalogue, root: Path) -> Iterator[Problem]:
    """A problem for every name that leads nowhere, and for every figure that does not fit what it changes."""
    for item in catalogue.modifications.values():
        for steps, found, allowed, meant in _faults(catalogue, item):
            yield Problem(item.file, catalogue.line(item, steps), dotted(steps), found, allowed, meant)


Fault = tuple[Steps, str, str, str]


def _faults(catalogue: Catalogue, item: Modification) -> Iterator[Fault]:
    yield from _parts(catalogue, item, item, ())
    yield from _variants(catalogue, item.fits, ("fits",))
    for key, option in item.options.items():
        steps = ("options", key)
        yield from _parts(catalogue, item, option, steps)
        if option.fits is not None:
            yield from _variants(catalogue, option.fits, (*steps, "fits"))
        platforms = _fitted(catalogue, item.fits, option.fits)
        for index, change in enumerate(option.changes):
            place = (*steps, "changes", index)
            yield from _first(_parameter(one, change.parameter, change, place) for one in platforms)
        for index, effect in enumerate(option.raises):
            place = (*steps, "raises", index)
            yield from _first(_limit(one, effect.limit, effect, place) for one in platforms)


def _first(found: Iterable[Iterator[Fault]]) -> Iterator[Fault]:
    """The faults on the first platform that has any: the others would only say the same."""
    return iter(next((faults for faults in map(list, found) if faults), []))


def _parts(catalogue: Catalogue, item: Modification, part: Modification | Option, steps: Steps) -> Iterator[Fault]:
    known = {name for name in catalogue.modifications if name != item.id}
    known |= {f"{name}.{key}" for name in known for key in catalogue.modifications[name].options}
    for field in ("needs", "excludes"):
        for index, other in enumerate(getattr(part, field)):
            if other not in known:
                allowed = "the id of another modification, or `modification.option`"
                yield (*steps, field, index), f"`{other}`", allowed, closest(other, known)
    for both in sorted(set(part.needs) & set(part.excludes)):
        yield (*steps, "needs"), f"`{both}` among the excludes too", "a part that is needed or excluded, not both", ""


def _variants(catalogue: Catalogue, fits: Fits, steps: Steps) -> Iterator[Fault]:
    known = [f"{name}/{key}" for name, platform in catalogue.platforms.items() for key in platform.variants]
    for index, variant in enumerate(fits.variants):
        if variant not in known:
            allowed = "platform/variant of a platform in docs/data/platforms"
            yield (*steps, "variants", index), f"`{variant}`", allowed, closest(variant, known)


def _fitted(catalogue: Catalogue, *fits: Fits | None) -> Iterable[Platform]:
    wanted = [set(one.platforms) for one in fits if one is not None and one.platforms]
    return [platform for name, platform in catalogue.platforms.items() if all(name in some for some in wanted)]


def _parameter(platform: Platform, path: str, effect: Effect, steps: Steps) -> Iterator[Fault]:
    value: object = platform
    for step in path.split("."):
        value = getattr(value, step, None)
        if not isinstance(value, BaseModel):
            break
    if not isinstance(value, Figure):
        allowed = f"a figure of every platform that it fits, as section.field ({platform.id} has none)"
        yield (*steps, "parameter"), f"`{path}`", allowed, closest(path, _paths())
        return
    field = field_at(Platform, tuple(path.split(".")))
    wants = wants_of(field) if field else None
    if wants is None or effect.how == "scale":
        return
    where = (*steps, effect.how)
    yield from _measures(effect, wants.dimension, where)
    low, high = effect.figure.ends
    if effect.how == "set" and UNITS[effect.figure.unit].dimension == wants.dimension:
        for fault in wants.faults({"unit": effect.figure.unit, "low": low, "high": high}):
            context = getattr(fault["type"], "context", None) or {}
            yield where, context["found"], context["allowed"], context["suggestion"]


def _limit(platform: Platform, limit: str, effect: Effect, steps: Steps) -> Iterator[Fault]:
    if limit not in platform.limits:
        allowed = f"a limit of every platform that it fits ({platform.id} has none of that name)"
        yield (*steps, "limit"), f"`{limit}`", allowed, closest(limit, platform.limits)
    elif effect.how != "scale":
        yield from _measures(effect, "power", (*steps, effect.how))


def _measures(effect: Effect, dimension: str, steps: Steps) -> Iterator[Fault]:
    wanted = "temperature difference" if effect.how == "add" and dimension == "temperature" else dimension
    found = UNITS[effect.figure.unit].dimension
    if found != wanted:
        yield (*steps, "unit"), f"`{effect.figure.unit}`, a unit of {found}", f"a unit of {wanted}", ""


def _paths() -> list[str]:
    sections = {name: field.annotation for name, field in Platform.model_fields.items()}
    return [
        f"{name}.{field}"
        for name, part in sections.items()
        if isinstance(part, type) and issubclass(part, BaseModel)
        for field in part.model_fields
    ]
