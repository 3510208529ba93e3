"""Charts of a calculator: its outputs along one input, all other inputs as given.

Only numbers and names are made here; drawing is the page's affair.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc import registry, text, units
from calc.contract import Calculator, Choice, Curve, Impossible, Quantity
from calc.evaluate import understand
from calc.reading import BadInput, Value


def page_curves(identifier: str, given: Mapping[str, str], system: str = "us") -> list[dict[str, Any]]:
    """Every chart of the calculator for typed texts, in the units of `system`; empty while an input cannot be used.

    Each chart: `title`, `x` and `y` (axis text with unit), and `rows`, a list of {"x", "y", "series"} in which a point
    without an answer is left out. A given range counts as its middle.
    """
    calculator = registry.calculator(identifier)
    try:
        values = understand(calculator, given, system)
    except BadInput:
        return []
    return [_chart(calculator, curve, values, system) for curve in calculator.curves]


def _chart(calculator: Calculator, curve: Curve, values: Mapping[str, Value], system: str) -> dict[str, Any]:
    varied = _quantity(calculator, curve.vary)
    first = calculator.outputs[curve.outputs[0]]
    x_unit, y_unit = varied.shown_unit(system), first.shown_unit(system)
    return {
        "title": curve.title,
        "x": _axis(varied.name, x_unit),
        "y": _axis(first.name if len(curve.outputs) == 1 else "", y_unit),
        "rows": [
            {
                "x": units.convert(x, varied.unit, x_unit),
                "y": units.convert(y, calculator.outputs[name].unit, y_unit),
                "series": series,
            }
            for series, name, x, y in _points(calculator, curve, values, system)
        ],
    }


def _quantity(calculator: Calculator, name: str) -> Quantity:
    kind = calculator.inputs[name].kind
    if isinstance(kind, Choice):
        raise TypeError(f"{calculator.id}: a curve cannot run along the choice {name!r}")
    return kind


def _axis(name: str, unit: str) -> str:
    shown = units.unit(unit).shown
    return f"{name}, {shown}".strip(", ") if shown else name


def _points(
    calculator: Calculator, curve: Curve, values: Mapping[str, Value], system: str
) -> Iterator[tuple[str, str, float, float]]:
    varied = _quantity(calculator, curve.vary)
    low, high = curve.span or (varied.low, varied.high)
    arguments = {name: value.value for name, value in values.items()}
    for compared in _compared(calculator, curve, values):
        changed = arguments | ({curve.compare: compared} if curve.compare else {})
        for step in range(curve.points):
            x = low + (high - low) * step / (curve.points - 1)
            try:
                result = calculator.function(**changed | {curve.vary: x})
            except (Impossible, ArithmeticError, ValueError):
                continue
            for name in curve.outputs:
                y = getattr(result, name)
                if y is not None:
                    yield _series(calculator, curve, name, compared, system), name, x, y


def _compared(calculator: Calculator, curve: Curve, values: Mapping[str, Value]) -> list[Any]:
    if not curve.compare:
        return [None]
    given = values[curve.compare].value
    others = [value for value in curve.values if value != given]
    return sorted([given, *others], key=lambda value: (isinstance(value, str), value))


def _series(calculator: Calculator, curve: Curve, output: str, compared: Any, system: str) -> str:
    names = [calculator.outputs[output].name] if len(curve.outputs) > 1 or not curve.compare else []
    if curve.compare:
        item = calculator.inputs[curve.compare]
        if isinstance(item.kind, Choice):
            names.append(item.kind.options[compared])
        else:
            symbol = item.kind.shown_unit(system)
            shown = text.typed(units.convert(compared, item.kind.unit, symbol))
            names.append(text.with_unit(shown, symbol))
    return ", ".join(names)
