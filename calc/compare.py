"""Before and after: what changed in a setting, and by how much everything else followed."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from calc.balance import OperatingPoint, balance
from calc.engine import Setting


@dataclass(frozen=True, kw_only=True)
class Change:
    """One quantity of an operating point (a field of OperatingPoint, in its SI unit) before and after."""

    name: str
    before: float
    after: float

    @property
    def difference(self) -> float:
        """After minus before; swapping the two turns its sign and nothing else."""
        return self.after - self.before


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Two operating points. `parts` are the dotted names of what differs between the two settings."""

    before: OperatingPoint
    after: OperatingPoint
    parts: tuple[str, ...]
    changes: tuple[Change, ...]

    def difference(self, name: str) -> float:
        """After minus before of one quantity, in its SI unit. Raises KeyError for a name that is none."""
        for change in self.changes:
            if change.name == name:
                return change.difference
        raise KeyError(name)


def compare(
    before: Setting,
    after: Setting,
    speed: float,
    *,
    fuel_flow: float | None = None,
    brake_power: float | None = None,
    wheel_power: float | None = None,
) -> Comparison:
    """Both settings solved at the same speed (r/min) and the same fuel flow (kg/s) or power (W).

    Same fuel shows what a part is worth as power, same power what it is worth as fuel, lambda and exhaust temperature.
    Raises as `balance.balance`.
    """

    def solve(setting: Setting) -> OperatingPoint:
        return balance(setting, speed, fuel_flow=fuel_flow, brake_power=brake_power, wheel_power=wheel_power)

    return compare_points(solve(before), solve(after), differing(before, after))


def compare_points(before: OperatingPoint, after: OperatingPoint, parts: tuple[str, ...] = ()) -> Comparison:
    """Two points that are already solved."""
    changes = tuple(
        Change(name=field.name, before=getattr(before, field.name), after=getattr(after, field.name))
        for field in fields(OperatingPoint)
        if field.compare and isinstance(getattr(before, field.name), float)
    )
    return Comparison(before=before, after=after, parts=parts, changes=changes)


def differing(before: Any, after: Any, path: str = "") -> tuple[str, ...]:
    """The dotted names of the fields in which two dataclasses differ, such as "intake.after.0.bore"."""
    if before == after:
        return ()
    if is_dataclass(before) and type(before) is type(after):
        pairs = [(field.name, getattr(before, field.name), getattr(after, field.name)) for field in fields(before)]
    elif isinstance(before, tuple) and isinstance(after, tuple) and len(before) == len(after) > 0:
        pairs = [(str(i), a, b) for i, (a, b) in enumerate(zip(before, after, strict=True))]
    else:
        return (path,)
    found: list[str] = []
    for name, a, b in pairs:
        found += differing(a, b, f"{path}.{name}" if path else name)
    return tuple(found)
