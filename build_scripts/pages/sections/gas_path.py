"""The gas path in section: from the air outside through turbocharger and cylinders to the end of the tailpipe."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from build_scripts.pages.sections import parts
from build_scripts.pages.sections.drawing import Cell, Drawing, Row, View
from build_scripts.pages.sections.parts import Draw, Numbers


@dataclass(frozen=True)
class Station:
    """A place on the path; the keys of its numbers are those of `calc.calculators._stations.GasPath`."""

    name: str
    pressure: str
    temperature: str
    flow: str
    bore: str = ""


def _air(name: str, pressure: str, temperature: str, bore: str = "") -> Station:
    return Station(name, pressure, temperature, "air_flow", bore)


def _gas(name: str, pressure: str, temperature: str = "turbine_outlet_temperature", bore: str = "") -> Station:
    return Station(name, pressure, temperature, "exhaust_flow", bore)


INTAKE = (
    _air("Air outside", "outside", "outside_temperature"),
    _air("Behind air filter", "air_filter", "inlet_temperature"),
    _air("Compressor inlet", "compressor_inlet", "inlet_temperature", "duct_bore"),
    _air("Compressor outlet", "compressor_outlet", "compressor_outlet_temperature"),
    _air("Behind charge cooler", "charge_cooler", "charge_temperature"),
    _air("Intake manifold", "manifold", "charge_temperature", "horn_bore"),
)
EXHAUST = (
    _gas("Exhaust manifold", "turbine_inlet", "turbine_inlet_temperature"),
    _gas("Turbine outlet", "turbine_outlet"),
    _gas("End of downpipe", "downpipe", bore="downpipe_bore"),
    _gas("Behind catalyst", "catalyst"),
    _gas("Behind particulate filter", "particulate_filter"),
    _gas("Behind silencer", "silencer"),
    _gas("End of tailpipe", "tail", "tail_temperature", "pipe_bore"),
)
_TO_CYLINDER = len(INTAKE) - 1


def _intake(x0: float, x1: float) -> Markup:
    return parts.mouth(x0 + 12, x0 + 0.34 * (x1 - x0)) + parts.air_filter(x0 + 0.34 * (x1 - x0), x1)


# What lies between one station and the next: how it is drawn, or the key of the bore of a plain pipe drawn to scale.
# The cylinders stand between intake and exhaust.
BETWEEN: tuple[Draw | str, ...] = (
    *(_intake, "duct_bore", parts.compressor, parts.cooler, "horn_bore", parts.cylinder, parts.turbine),
    *("downpipe_bore", parts.catalyst, parts.particulate_filter, parts.silencer, "pipe_bore"),
)

NOTES = (
    "Pressures are static: where a pipe widens, the gas slows down and a little pressure comes back.",
    "Gauge pressure counts from the air outside, absolute pressure from vacuum. Bars show absolute pressure and "
    "absolute temperature; the highest on the path is full.",
    "The bores of duct, horn, downpipe and pipe are drawn to one scale, nothing else is. The model loses no heat "
    "behind the turbine, and knows no single pressure in the cylinder: it swings with every stroke.",
)


_COLUMNS_OF_TABLE: tuple[tuple[str, Callable[[Station], str]], ...] = (
    ("Gauge pressure", lambda station: f"{station.pressure}_gauge"),
    ("Absolute pressure", lambda station: f"{station.pressure}_pressure"),
    ("Temperature", lambda station: station.temperature),
    ("Flow", lambda station: station.flow),
    ("Bore up to it", lambda station: station.bore),
)


def single(numbers: Numbers) -> Drawing:
    """One operating point."""
    return Drawing(
        title="The gas path in section",
        spoken=_spoken("Section along the gas path of one operating point."),
        views=[View("", _broad(numbers, "path"), _narrow(numbers, "path"))],
        head=("Station", *(name for name, _ in _COLUMNS_OF_TABLE)),
        rows=_rows(("path",)),
        notes=NOTES,
    )


def pair(numbers: Numbers) -> Drawing:
    """Two operating points side by side, bars on common scales."""
    both = (("Before", "before"), ("After", "after"))
    return Drawing(
        title="The gas path in section, before and after the change",
        spoken=_spoken(
            "Two sections along the gas path side by side, before and after the change, on the same scales."
        ),
        views=[
            View("Before", None, _narrow(numbers, "before")),
            View("After", None, _narrow(numbers, "after", "before")),
        ],
        head=("Station", *(f"{name}, {key}" for name, _ in _COLUMNS_OF_TABLE for _, key in both)),
        rows=_rows([key for _, key in both]),
        notes=(*NOTES, "After the change, a tick across each bar and the small number say what it was."),
    )


def _rows(keys: Sequence[str]) -> list[Row]:
    """The table: each column once for every operating point, and the cylinders between intake and exhaust."""

    def cells(names: Sequence[str]) -> list[Cell]:
        return [Cell(f"{key}.{name}" if name else "") for name in names for key in keys]

    rows = [Row(one.name, cells([pick(one) for _, pick in _COLUMNS_OF_TABLE])) for one in (*INTAKE, *EXHAUST)]
    swinging = [Cell(words="swings") for _ in range(3 * len(keys))]
    burnt = cells(["fuel_flow", ""])
    rows.insert(len(INTAKE), Row("Cylinders, fuel burnt", [*swinging, *burnt]))
    lambdas = [
        Row(f"Lambda{_when(key)}", [Cell() for _ in burnt + swinging], f"{key}.excess_air_ratio") for key in keys
    ]
    return [*rows, *lambdas]


def _when(key: str) -> str:
    return "" if key == "path" else f" {key}"


def _spoken(first: str) -> str:
    names = [*(one.name for one in INTAKE), "Cylinders", *(one.name for one in EXHAUST)]
    listed = ", ".join(name[:1].lower() + name[1:] for name in names)
    return f"{first} Stations in the direction of flow: {listed}. The numbers of each stand in the table below."


def _flows(numbers: Numbers, key: str, width: float) -> Markup:
    """The plate with what is no property of one station, and the key of the bars; 142 high."""
    rows = (
        ("Air flow", "air_flow"),
        ("Fuel flow", "fuel_flow"),
        ("Exhaust gas flow", "exhaust_flow"),
        ("Lambda", "excess_air_ratio"),
        ("Downpipe bore", "downpipe_bore"),
        ("Pipe bore", "pipe_bore"),
    )
    drawn = parts.path(f"M.5 .5H{parts.number(width - 0.5)}V142H.5ZM.5 98H{parts.number(width - 0.5)}", "fine")
    for place, (words, name) in enumerate(rows):
        y = 16 + 15 * place
        drawn += parts.words(8, y, words)
        drawn += parts.value(numbers, f"{key}.{name}", width - 8, y, "strong", "end")
    for place, (look, words) in enumerate((("there", "absolute pressure"), ("heat", "absolute temperature"))):
        drawn += Markup(
            '<g class="hr-span" data-look="{}" transform="translate(8 {})" '
            'style="--hr-full:26;--hr-low:1;--hr-high:1">'
            '<rect class="hr-span__low" width="26" height="6"/></g>'
        ).format(look, 106 + 17 * place)
        drawn += parts.words(42, 113 + 17 * place, words)
    return drawn


# --- broad: intake above, exhaust below, the turbocharger's shaft between them ----------------------------------------

_STEP, _HALF = 69.0, 34.5
_UPPER, _LOWER = 154.0, 266.0
_COLUMNS = (3, 4, 5, 6, 7, 8, 7, 5, 4, 3, 2, 1, 0)
_TUBE = 44.0


def _column(column: float) -> float:
    return _HALF + _STEP * column


def _part(numbers: Numbers, key: str, place: int, length: float) -> Markup:
    """What follows the station with this number."""
    part = BETWEEN[place]
    if not isinstance(part, str):
        return part(0, length)
    drawn = parts.scaled_duct(numbers, f"{key}.{part}", 0, length)
    return drawn + parts.arrow(length + 10) if place == len(BETWEEN) - 1 else drawn


def _broad(numbers: Numbers, key: str) -> Markup:
    drawn = parts.moved(_flows(numbers, key, 2.75 * _STEP), 0, 2)
    drawn += _upper_row(numbers, key) + _lower_row(numbers, key) + _turn()
    for place, station in enumerate((*INTAKE, *EXHAUST)):
        upper = place <= _TO_CYLINDER
        x, axis = _column(_COLUMNS[place]), _UPPER if upper else _LOWER
        drawn += parts.path(f"M{parts.number(x)} {parts.number(axis - 24)}v{13 - 2 * (place == 0)}", "line")
        drawn += parts.bar(numbers, f"{key}.{station.pressure}_pressure", x - 7, axis - 24, _TUBE, "there", up=True)
        drawn += parts.bar(numbers, f"{key}.{station.temperature}", x + 1, axis - 24, _TUBE, "heat", up=True)
        drawn += _label(numbers, key, station, x, axis - 102 if upper else axis + 74)
    drawn += _name("Cylinder", _column(9), _UPPER - 117)
    drawn += parts.value(numbers, f"{key}.fuel_flow", _column(9), _UPPER - 102, "strong", "middle")
    drawn += parts.words(_column(9), _UPPER - 90, "of fuel", "small", "middle")
    return parts.svg(drawn, 10 * _STEP, _LOWER + 103)


def _label(numbers: Numbers, key: str, station: Station, x: float, y: float) -> Markup:
    """Name and numbers under each other; the gauge pressure stands on the line y, the name on three lines above it."""
    gauge, absolute = f"{key}.{station.pressure}_gauge", f"{key}.{station.pressure}_pressure"
    return (
        _name(station.name, x, y - 15)
        + parts.value(numbers, gauge, x, y, "strong", "middle")
        + parts.value(numbers, absolute, x, y + 12, "small", "middle", ("", " abs."))
        + parts.value(numbers, f"{key}.{station.temperature}", x, y + 25, "", "middle")
    )


def _name(name: str, x: float, y: float) -> Markup:
    lines = _broken(name)
    return Markup().join(
        parts.words(x, y - 11 * (len(lines) - 1 - place), line, "name", "middle") for place, line in enumerate(lines)
    )


def _broken(name: str) -> list[str]:
    """A name on lines of at most eleven letters."""
    lines: list[str] = []
    for word in name.split():
        if lines and len(lines[-1]) + 1 + len(word) <= 11:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _upper_row(numbers: Numbers, key: str) -> Markup:
    drawn = Markup()
    for place in range(_TO_CYLINDER):
        drawn += parts.moved(_part(numbers, key, place, _STEP), _column(_COLUMNS[place]), _UPPER)
    return drawn


def _lower_row(numbers: Numbers, key: str) -> Markup:
    drawn = parts.moved(parts.duct(0, 2 * _STEP), _column(8), _LOWER, back=True)
    for place in range(_TO_CYLINDER + 1, len(BETWEEN)):
        start = 6 if place == _TO_CYLINDER + 1 else _COLUMNS[place]
        drawn += parts.moved(_part(numbers, key, place, _STEP), _column(start), _LOWER, back=True)
    return drawn


def _turn() -> Markup:
    """Two elbows with the cylinder between them, and the shaft of the turbocharger."""
    x, bore, wall = _column(9), parts.BORE, parts.WALL
    drawn = parts.moved(parts.cylinder(0, _LOWER - _UPPER - 28), x, _UPPER + 14, turn=90)
    start = _column(8)
    for axis, side in ((_UPPER, 1), (_LOWER, -1)):
        end = axis + 14 * side
        outer = [(start, axis - bore * side), (x + bore, axis - bore * side), (x + bore, end)]
        outer += [(x + bore + wall, end), (x + bore + wall, axis - (bore + wall) * side)]
        outer += [(start, axis - (bore + wall) * side)]
        inner = [(start, axis + bore * side), (x - bore, axis + bore * side), (x - bore, end), (x - bore - wall, end)]
        inner += [(x - bore - wall, axis + (bore + wall) * side), (start, axis + (bore + wall) * side)]
        drawn += parts.path(parts.outline(outer), "metal") + parts.path(parts.outline(inner), "metal")
    wheel = _column(5.5)
    top, bottom = _UPPER + 16, _LOWER - 16
    drawn += parts.path(f"M{wheel - 2} {top}V{bottom}M{wheel + 2} {top}V{bottom}", "line")
    middle = (top + bottom) / 2
    for side in (-1, 1):
        bearing = [(wheel + 2 * side, middle - 14), (wheel + 9 * side, middle - 14)]
        bearing += [(wheel + 9 * side, middle + 14), (wheel + 2 * side, middle + 14)]
        drawn += parts.path(parts.outline(bearing), "metal")
    return drawn


# --- narrow: the path goes down ---------------------------------------------------------------------------------------

_WIDTH, _AXIS, _TEXT = 280.0, 46.0, 92.0
_WARM, _LONG, _SHORT = 198.0, 96.0, 80.0
_PITCH, _ACROSS, _FIRST = 54.0, 96.0, 186.0


def _narrow(numbers: Numbers, key: str, than: str = "") -> Markup:
    """One operating point; with `than`, what each number was at another one, and a tick across its bar."""
    stations = (*INTAKE, *EXHAUST)
    places = [_FIRST]
    for place in range(len(BETWEEN)):
        places.append(places[-1] + (_ACROSS if place == _TO_CYLINDER else _PITCH))
    drawn = _flows(numbers, key, _WIDTH)
    for place, (start, end) in enumerate(itertools.pairwise(places)):
        drawn += parts.moved(_part(numbers, key, place, end - start), _AXIS, start, turn=90)
    compressor, turbine = (places[place] + _PITCH / 2 for place in (2, 6))
    side, edge = _AXIS + 36, _AXIS + 22
    drawn += parts.path(f"M{edge} {compressor}H{side}V{turbine}H{edge}", "line")
    for station, y in zip(stations, places, strict=True):
        drawn += parts.path(f"M{_AXIS + 13} {parts.number(y)}H{_TEXT - 4}", "fine")
        drawn += _row(numbers, key, station, y)
        drawn += _was(numbers, than, station, y) if than else _absolute(numbers, key, station, y)
    middle = places[_TO_CYLINDER] + _ACROSS / 2
    drawn += parts.words(_TEXT, middle - 2, "Cylinder", "name")
    drawn += parts.value(numbers, f"{key}.fuel_flow", _TEXT, middle + 13, "", "", ("", " of fuel"))
    return parts.svg(drawn, _WIDTH, places[-1] + 34)


def _row(numbers: Numbers, key: str, station: Station, y: float) -> Markup:
    warmth = f"{key}.{station.temperature}"
    return (
        parts.words(_TEXT, y - 8, station.name, "name")
        + parts.value(numbers, f"{key}.{station.pressure}_gauge", _TEXT, y + 7, "strong")
        + parts.value(numbers, warmth, _WARM, y + 7)
        + parts.bar(numbers, f"{key}.{station.pressure}_pressure", _TEXT, y + 11, _LONG, "there")
        + parts.bar(numbers, warmth, _WARM, y + 11, _SHORT, "heat")
    )


def _absolute(numbers: Numbers, key: str, station: Station, y: float) -> Markup:
    return parts.value(numbers, f"{key}.{station.pressure}_pressure", _TEXT, y + 27, "small", "", ("", " absolute"))


def _was(numbers: Numbers, key: str, station: Station, y: float) -> Markup:
    was = ("was ", "")
    return (
        parts.tick(numbers, f"{key}.{station.pressure}_pressure", _TEXT, y + 11, _LONG)
        + parts.tick(numbers, f"{key}.{station.temperature}", _WARM, y + 11, _SHORT)
        + parts.value(numbers, f"{key}.{station.pressure}_gauge", _TEXT, y + 27, "small", "", was)
        + parts.value(numbers, f"{key}.{station.temperature}", _WARM, y + 27, "small", "", was)
    )
