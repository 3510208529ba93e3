"""Charts of a calculator: its outputs along one input, all other inputs as given.

Only numbers and names are made here; drawing is the page's affair.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from calc import registry, text, units
from calc.contract import Calculator, Choice, Curve, Impossible, Quantity
from calc.evaluate import understand
from calc.reading import BadInput

NO_ANSWER = "no answer"

Charts = dict[str, list[dict[str, Any]]]


@dataclass(frozen=True)
class _Point:
    """One answer, in the units of the function: `output` at `x`, while the compared input has the value `compared`."""

    output: str
    compared: Any
    x: float
    y: float


def page_curves(identifier: str, given: Mapping[str, str], system: str = "us") -> list[dict[str, Any]]:
    """Every chart of the calculator for typed texts, in the units of `system`; empty while an input cannot be used.

    Each chart: `title`; `x` and `y` (axis text with unit); `rows`, a list of {"x", "y", "series"} in which a point
    without an answer is left out; `here`, the rows of the given values themselves; `table`, the same numbers as text,
    with `head` and `rows`; and `says`, what the chart shows in words. A given range counts as its middle.
    """
    steps = curve_steps(identifier, given, system)
    while True:
        try:
            next(steps)
        except StopIteration as done:
            charts: Charts = done.value
            return charts[system]


def curve_steps(identifier: str, given: Mapping[str, str], system: str) -> Generator[None, None, Charts]:
    """The charts of `page_curves` in both unit systems, for texts typed in `system`, by steps of one point each.

    Whoever drives it may do something else between two steps, or leave off.
    """
    calculator = registry.calculator(identifier)
    try:
        values = understand(calculator, given, system)
    except BadInput:
        return {shown: [] for shown in text.SYSTEMS}
    arguments = {name: value.value for name, value in values.items()}
    given_answer = _result(calculator, arguments)
    drawn = []
    for curve in calculator.curves:
        points: list[_Point] = []
        for found in _points(calculator, curve, arguments):
            points += found
            yield
        drawn.append((curve, points, _here(calculator, curve, arguments, given_answer)))
    return {shown: [_chart(calculator, *parts, shown) for parts in drawn] for shown in text.SYSTEMS}


def _points(calculator: Calculator, curve: Curve, arguments: Mapping[str, Any]) -> Iterator[list[_Point]]:
    """The answers at each place of each line; a place without an answer has none."""
    low, high = _span(calculator, curve, arguments)
    for compared in _compared(curve, arguments):
        for step in range(curve.points):
            x = low + (high - low) * step / (curve.points - 1)
            changed = {**arguments, **({curve.compare: compared} if curve.compare else {}), curve.vary: x}
            yield _answers(curve, _result(calculator, changed), x, compared)


def _here(calculator: Calculator, curve: Curve, arguments: Mapping[str, Any], result: Any) -> list[_Point]:
    """The answers for the given values, where the chart holds them."""
    low, high = _span(calculator, curve, arguments)
    x = arguments[curve.vary]
    if x is None or not low <= x <= high:
        return []
    return _answers(curve, result, x, arguments[curve.compare] if curve.compare else None)


def _result(calculator: Calculator, arguments: Mapping[str, Any]) -> Any:
    try:
        return calculator.function(**arguments)
    except (Impossible, ArithmeticError, ValueError):
        return None


def _answers(curve: Curve, result: Any, x: float, compared: Any) -> list[_Point]:
    found = [(name, attrgetter(name)(result) if result else None) for name in curve.outputs]
    return [_Point(name, compared, x, y) for name, y in found if y is not None]


def _span(calculator: Calculator, curve: Curve, arguments: Mapping[str, Any]) -> tuple[float, float]:
    """The ends of the chart, moved out to hold the given value."""
    varied = _quantity(calculator, curve.vary)
    low, high = curve.span or (varied.low, varied.high)
    given = arguments[curve.vary]
    # A count has a step of its own, which other ends would break.
    return (low, high) if given is None or varied.whole else (min(low, given), max(high, given))


def _compared(curve: Curve, arguments: Mapping[str, Any]) -> list[Any]:
    if not curve.compare:
        return [None]
    given = arguments[curve.compare]
    others = [value for value in curve.values if value != given]
    return sorted([given, *others], key=lambda value: (isinstance(value, str), value))


def _quantity(calculator: Calculator, name: str) -> Quantity:
    kind = calculator.inputs[name].kind
    if isinstance(kind, Choice):
        raise TypeError(f"{calculator.id}: a curve cannot run along the choice {name!r}")
    return kind


# --- in the units of one system ---------------------------------------------------------------------------------------


def _chart(
    calculator: Calculator, curve: Curve, points: Sequence[_Point], given: Sequence[_Point], system: str
) -> dict[str, Any]:
    varied = _quantity(calculator, curve.vary)
    first = calculator.outputs[curve.outputs[0]]
    x_unit, y_unit = varied.shown_unit(system), first.shown_unit(system)
    lines = dict.fromkeys((point.output, point.compared) for point in points)
    names = {line: _series(calculator, curve, *line, system) for line in lines}

    def row(point: _Point) -> dict[str, Any]:
        return {
            "x": units.convert(point.x, varied.unit, x_unit),
            "y": units.convert(point.y, calculator.outputs[point.output].unit, y_unit),
            "series": names.get((point.output, point.compared), ""),
        }

    rows, here = [row(point) for point in points], [row(point) for point in given]
    x_text = {point.x: text.number(shown["x"], 4, trim=True) for point, shown in zip(points, rows, strict=True)}
    y_text = {
        (point.x, point.output, point.compared): text.number(shown["y"], first.digits)
        for point, shown in zip(points, rows, strict=True)
    }
    return {
        "title": curve.title,
        "x": _axis(varied.name, x_unit),
        "y": _axis(first.name if len(curve.outputs) == 1 else "", y_unit),
        "rows": rows,
        "here": here,
        "table": {
            "head": [_axis(varied.name, x_unit), *names.values()],
            "rows": [[x_text[x], *(y_text.get((x, *line), NO_ANSWER) for line in names)] for x in sorted(x_text)],
        },
        "says": _says(rows, here, x_unit, y_unit, first.digits),
    }


def _axis(name: str, unit: str) -> str:
    shown = units.unit(unit).shown
    return f"{name}, {shown}".strip(", ") if shown else name


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


def _says(
    rows: Sequence[Mapping[str, Any]], here: Sequence[Mapping[str, Any]], x_unit: str, y_unit: str, digits: int
) -> str:
    """The ends of every line and the given values, as a sentence for who does not see the chart."""

    def y(row: Mapping[str, Any]) -> str:
        return text.quantity(row["y"], y_unit, digits)

    def both(row: Mapping[str, Any]) -> str:
        return f"{y(row)} at {text.quantity(row['x'], x_unit, 4, trim=True)}"

    lines: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        lines.setdefault(row["series"], []).append(row)
    sentences = [f"{name}: from {both(line[0])} to {both(line[-1])}." for name, line in lines.items()]
    sentences += [f"For the values given, {row['series']}: {both(row)}." for row in here]
    return " ".join(sentences)
