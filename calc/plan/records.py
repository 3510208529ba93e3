"""The catalogue as the planner reads it: platforms, modifications and uses, every figure in coherent SI."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from calc.provenance import Grade

VERSION = 1


class CatalogueError(ValueError):
    """The catalogue lacks something that the planner needs, or says something that it cannot use."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure in coherent SI: its likely value between the ends of its range (three equal numbers for a point)."""

    low: float
    value: float
    high: float
    unit: str
    grade: Grade
    id: str = ""

    @property
    def ends(self) -> tuple[float, float, float]:
        """Lower end, likely value, upper end."""
        return self.low, self.value, self.high


@dataclass(frozen=True, slots=True)
class Effect:
    """What a part does to a parameter of the platform, or to the capacity of a limit: `how` is set, scale or add."""

    target: str
    how: str
    figure: Figure

    def on(self, ends: tuple[float, float, float]) -> tuple[float, float, float]:
        """The range after the effect."""
        other = self.figure.ends
        if self.how == "set":
            return other
        if self.how == "scale":
            return ends[0] * other[0], ends[1] * other[1], ends[2] * other[2]
        return ends[0] + other[0], ends[1] + other[1], ends[2] + other[2]


@dataclass(frozen=True)
class Fits:
    """Where a part fits: platform ids (None is all of them), and where given only these `platform/variant`."""

    platforms: frozenset[str] | None = None
    variants: frozenset[str] = frozenset()

    def on(self, platform: str, variant: str) -> bool:
        """Whether it fits a platform, in its standard form or in a variant."""
        if self.platforms is not None and platform not in self.platforms:
            return False
        own = {name for name in self.variants if name.partition("/")[0] == platform}
        return not own or f"{platform}/{variant}" in own


@dataclass(frozen=True)
class Option:
    """One size or grade of a modification; `id` is `modification.option`. Cost in money, labour in s."""

    id: str
    modification: str
    title: str
    parts_cost: Figure
    labour: Figure
    changes: tuple[Effect, ...]
    raises: tuple[Effect, ...]
    fits: Fits | None
    needs: tuple[str, ...]
    excludes: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True)
class Modification:
    """A part or a piece of work with its options; `order` is its place in a sensible order of fitting."""

    id: str
    title: str
    kind: str
    order: float
    fits: Fits
    emission_status: str
    options: tuple[Option, ...]
    facts: Mapping[str, Any]


@dataclass(frozen=True)
class Limit:
    """What a platform says of one thing that can give out: its observed place along the power at the wheels (W)."""

    id: str
    title: str
    wheel_power: Figure | None
    first_sign: str
    why: str


@dataclass(frozen=True)
class Variant:
    """A form of a platform that differs in some figures: model years, axle, transmission."""

    id: str
    title: str
    figures: Mapping[str, Figure]
    words: Mapping[str, str]


@dataclass(frozen=True)
class Platform:
    """A platform: its figures by dotted path, its words (such as the type of turbocharger), its limits and variants."""

    id: str
    title: str
    figures: Mapping[str, Figure]
    words: Mapping[str, str]
    limits: Mapping[str, Limit]
    variants: Mapping[str, Variant]

    def figure(self, path: str) -> Figure:
        """The figure at a dotted path; CatalogueError when the platform has none."""
        try:
            return self.figures[path]
        except KeyError:
            raise CatalogueError(f"platform {self.id}: no figure {path}") from None

    def as_variant(self, variant: str) -> Platform:
        """This platform with what the variant says differently; itself for the empty id."""
        if not variant:
            return self
        chosen = self.variants[variant]
        limits = {
            name: dataclasses.replace(limit, wheel_power=chosen.figures[f"limits.{name}.wheel_power"])
            if f"limits.{name}.wheel_power" in chosen.figures
            else limit
            for name, limit in self.limits.items()
        }
        return dataclasses.replace(
            self,
            title=f"{self.title}, {chosen.title}",
            figures={**self.figures, **chosen.figures},
            words={**self.words, **chosen.words},
            limits=limits,
        )


@dataclass(frozen=True)
class Margin:
    """The share of a limit's capacity that a use may take, with the reason."""

    keep: Figure
    why: str


@dataclass(frozen=True)
class Load:
    """What a use pulls, for the limits of heat: combined mass (kg), grade (1), speed (m/s), trailer drag area (m2)."""

    mass: Figure
    grade: Figure
    speed: Figure
    mass_is_share: bool
    """The mass is a share of the gross combination weight rating rather than kg."""
    trailer_drag_area: Figure | None = None


@dataclass(frozen=True)
class Use:
    """What a vehicle is for, and the margins that this demands."""

    id: str
    title: str
    summary: str
    margins: Mapping[str, Margin]
    sustained: bool
    road: bool
    load: Load | None

    def margin(self, limit: str) -> Margin | None:
        """The margin for a limit: its own, or the default. Lambda and the control unit have no default: they do not
        wear."""
        own = self.margins.get(limit)
        return own or (None if limit in ("calibration", "smoke") else self.margins.get("default"))

    def keep(self, limit: str) -> float:
        """The share of a limit's capacity that may be used, 1 where the use does not say."""
        margin = self.margin(limit)
        return margin.keep.value if margin else 1.0


@dataclass(frozen=True)
class Catalogue:
    """Everything that the planner chooses from."""

    platforms: Mapping[str, Platform]
    modifications: Mapping[str, Modification]
    uses: Mapping[str, Use]
    practice: Mapping[str, Figure]

    @classmethod
    def read(cls, source: str | bytes | Mapping[str, Any]) -> Catalogue:
        """The catalogue from its JSON text or from the mapping in it. Raises CatalogueError."""
        try:
            content: Mapping[str, Any] = json.loads(source) if isinstance(source, str | bytes) else source
        except json.JSONDecodeError as error:
            raise CatalogueError(f"not JSON: {error}") from None
        if not isinstance(content, Mapping) or content.get("version") != VERSION:
            raise CatalogueError(f"not a catalogue of version {VERSION}")
        try:
            return cls(
                platforms={name: _platform(name, item) for name, item in content["platforms"].items()},
                modifications={name: _modification(name, item) for name, item in content["modifications"].items()},
                uses={name: _use(name, item) for name, item in content["uses"].items()},
                practice={name: _figure(item) for name, item in content["practice"].items()},
            )
        except (KeyError, TypeError, AttributeError, ValueError) as error:
            raise CatalogueError(f"the catalogue is not as the build writes it: {error!r}") from error

    @cached_property
    def options(self) -> Mapping[str, Option]:
        """Every option by its id."""
        return {option.id: option for item in self.modifications.values() for option in item.options}


def _is_figure(item: Any) -> bool:
    return isinstance(item, Mapping) and {"value", "low", "high", "unit", "grade"} <= set(item)


def _figure(item: Mapping[str, Any]) -> Figure:
    return Figure(
        low=float(item["low"]),
        value=float(item["value"]),
        high=float(item["high"]),
        unit=item["unit"],
        grade=Grade(item["grade"]),
        id=item.get("id", ""),
    )


def _walk(item: Any, path: str) -> Iterator[tuple[str, Figure | str]]:
    if _is_figure(item):
        yield path, _figure(item)
    elif isinstance(item, str):
        yield path, item
    elif isinstance(item, Mapping):
        for name, inner in item.items():
            yield from _walk(inner, f"{path}.{name}" if path else str(name))
    elif isinstance(item, list):
        for index, inner in enumerate(item):
            yield from _walk(inner, f"{path}.{index}")


def _leaves(item: Mapping[str, Any]) -> tuple[dict[str, Figure], dict[str, str]]:
    figures: dict[str, Figure] = {}
    words: dict[str, str] = {}
    for path, leaf in _walk(item, ""):
        if isinstance(leaf, Figure):
            figures[path] = leaf
        else:
            words[path] = leaf
    return figures, words


def _platform(name: str, item: Mapping[str, Any]) -> Platform:
    body = {key: value for key, value in item.items() if key not in ("variants", "limits")}
    figures, words = _leaves(body)
    limits = {
        key: Limit(
            id=key,
            title=limit["title"],
            wheel_power=_figure(limit["wheel_power"]) if _is_figure(limit.get("wheel_power")) else None,
            first_sign=limit.get("first_sign") or "",
            why=limit.get("why") or "",
        )
        for key, limit in item["limits"].items()
    }
    variants = {}
    for key, variant in (item.get("variants") or {}).items():
        own, said = _leaves(variant.get("differs") or {})
        variants[key] = Variant(id=key, title=variant["title"], figures=own, words=said)
    return Platform(id=name, title=item["title"], figures=figures, words=words, limits=limits, variants=variants)


def _fits(item: Any) -> Fits:
    if item is None or item == "all":
        return Fits()
    platforms = item.get("platforms") or "all"
    return Fits(
        platforms=None if platforms == "all" or "all" in platforms else frozenset(platforms),
        variants=frozenset(item.get("variants") or ()),
    )


def _effects(items: Any, target: str) -> tuple[Effect, ...]:
    found = []
    for item in items or ():
        (how,) = (name for name in ("set", "scale", "add") if item.get(name) is not None)
        found.append(Effect(item[target], how, _figure(item[how])))
    return tuple(found)


def _modification(name: str, item: Mapping[str, Any]) -> Modification:
    needs, excludes = tuple(item.get("needs") or ()), tuple(item.get("excludes") or ())
    options = tuple(
        Option(
            id=f"{name}.{key}",
            modification=name,
            title=option["title"],
            parts_cost=_figure(option["parts_cost"]),
            labour=_figure(option["labour"]),
            changes=_effects(option.get("changes"), "parameter"),
            raises=_effects(option.get("raises"), "limit"),
            fits=_fits(option["fits"]) if option.get("fits") else None,
            needs=needs + tuple(option.get("needs") or ()),
            excludes=excludes + tuple(option.get("excludes") or ()),
            note=option.get("note") or "",
        )
        for key, option in item["options"].items()
    )
    order = item.get("order", 0)
    return Modification(
        id=name,
        title=item["title"],
        kind=item.get("kind", ""),
        order=float(order["value"] if _is_figure(order) else order),
        fits=_fits(item.get("fits")),
        emission_status=item.get("emission_status", "neutral"),
        options=options,
        facts={key: value for key, value in item.items() if key not in ("options", "fits")},
    )


def _use(name: str, item: Mapping[str, Any]) -> Use:
    load = item.get("load")
    return Use(
        id=name,
        title=item["title"],
        summary=item.get("summary") or "",
        margins={
            key: Margin(_figure(margin["keep"]), margin.get("why") or "") for key, margin in item["margins"].items()
        },
        sustained=item.get("exhaust_temperature", "sustained") == "sustained",
        road=bool(item.get("road", True)),
        load=_load(load) if load else None,
    )


def _load(item: Mapping[str, Any]) -> Load:
    mass = next(_figure(value) for key, value in item.items() if "mass" in key and _is_figure(value))
    return Load(
        mass=mass,
        grade=_figure(item["grade"]),
        speed=_figure(item["speed"]),
        mass_is_share=mass.unit == "1",
        trailer_drag_area=_figure(item["trailer_drag_area"]) if item.get("trailer_drag_area") else None,
    )
