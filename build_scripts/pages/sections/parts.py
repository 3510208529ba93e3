"""What section drawings are made of: walls in section, the parts of a path, numbers and bars that an answer moves.

Parts are drawn in coordinates of their own: x runs with the flow, y across it, and the axis of the path is y = 0.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup, escape

from build_scripts.pages.display import Pair

BORE, WALL, CASING, WIDEST = 9.0, 4.0, 18.0, 12.5
_NECK = 4.5


@dataclass(frozen=True)
class Numbers:
    """The texts and bars of one answer of `calc.present.page_answer`; a key "given.NAME" means an input."""

    answer: Mapping[str, Any]

    def pair(self, key: str) -> Pair:
        """The text of a key in both unit systems."""
        if key.startswith("given."):
            shown = self.answer["inputs"][key.removeprefix("given.")]
            return Pair(shown["understood_us"], shown["understood_si"])
        slot = self.answer["slots"][key]
        return Pair(slot, slot) if isinstance(slot, str) else Pair(slot["us"], slot["si"])

    def shown(self, key: str) -> Pair | str:
        """The same for an element whose text an answer replaces: one text where both systems read alike."""
        pair = self.pair(key)
        return pair.us if pair.us == pair.si else pair

    def span(self, key: str) -> tuple[float, float]:
        """Low and high end of a bar as shares of its scale."""
        low, high = self.answer["spans"][key]
        return low, high


def number(value: float) -> str:
    """A coordinate without needless digits."""
    return f"{value:.1f}".removesuffix(".0")


# --- text and bars ------------------------------------------------------------------------------------------------


def words(x: float, y: float, text: str, look: str = "", anchor: str = "") -> Markup:
    """A line of text; `look` is "name", "strong", "small" or nothing."""
    return _text(x, y, Markup(escape(text)), look, anchor)


def value(
    numbers: Numbers, key: str, x: float, y: float, look: str = "", anchor: str = "", around: tuple[str, str] = ("", "")
) -> Markup:
    """A number that an answer replaces, between two fixed texts."""
    pair = numbers.pair(key)
    if pair.us == pair.si:
        inside = Markup('<tspan data-slot="{}">{}</tspan>').format(key, pair.us)
    else:
        inside = Markup(
            '<tspan data-slot="{}"><tspan class="hr-us">{}</tspan><tspan class="hr-si">{}</tspan></tspan>'
        ).format(key, pair.us, pair.si)
    return _text(x, y, Markup("{}{}{}").format(around[0], inside, around[1]), look, anchor)


def _text(x: float, y: float, inside: Markup, look: str, anchor: str) -> Markup:
    return Markup('<text x="{}" y="{}"{}{}>{}</text>').format(
        number(x),
        number(y),
        Markup(' class="hr-draw__{}"').format(look) if look else "",
        Markup(' text-anchor="{}"').format(anchor) if anchor else "",
        inside,
    )


def bar(numbers: Numbers, key: str, x: float, y: float, length: float, look: str, *, up: bool = False) -> Markup:
    """A bar as long as its share of the scale: solid up to the low end of a range, hatched up to the high end.

    It runs to the right from (x, y), its upper edge, or, with `up`, upwards from (x, y), its left edge. `look` is
    "there", "needed" or "heat".
    """
    low, high = numbers.span(key)
    thick = 6.0 if up else 4.0
    frame = (thick, length) if up else (length, thick)

    def rect(name: str, share: float) -> Markup:
        width, height = (frame[0], frame[1] * share) if up else (frame[0] * share, frame[1])
        return Markup('<rect class="hr-span__{}" width="{}" height="{}"/>').format(name, number(width), number(height))

    return Markup(
        '<g class="hr-span" data-span="{}" data-look="{}"{} transform="translate({} {}){}" '
        'style="--hr-full:{};--hr-low:{:.4f};--hr-high:{:.4f}">{}{}{}</g>'
    ).format(
        key,
        look,
        Markup(" data-up") if up else "",
        number(x),
        number(y),
        Markup(" scale(1 -1)") if up else "",
        number(length),
        low,
        high,
        rect("frame", 1.0),
        rect("high", high),
        rect("low", low),
    )


def tick(numbers: Numbers, key: str, x: float, y: float, length: float) -> Markup:
    """A mark across a bar at (x, y) of this length, where another number of its scale ends."""
    low, high = numbers.span(key)
    return Markup(
        '<g class="hr-span" data-span="{}" data-look="tick" transform="translate({} {})" '
        'style="--hr-full:{};--hr-low:{:.4f};--hr-high:{:.4f}">'
        '<rect class="hr-span__tick" x="-1" y="-1.5" width="2" height="7"/></g>'
    ).format(key, number(x), number(y), number(length), low, high)


# --- lines --------------------------------------------------------------------------------------------------------


def path(data: str, look: str) -> Markup:
    """A line or an area; `look` is "line", "fine", "thick", "holes", "axis", "metal", "other", "solid" or "panel"."""
    return Markup('<path class="hr-draw__{}" d="{}"/>').format(look, data)


def outline(points: Iterable[tuple[float, float]], *, closed: bool = True) -> str:
    """The data of a path through points."""
    joined = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{joined}{'Z' if closed else ''}"


def moved(inside: Markup, x: float, y: float, *, turn: int = 0, back: bool = False) -> Markup:
    """A drawing moved to (x, y), turned by degrees, or with the flow running backwards."""
    return Markup('<g transform="translate({} {}){}{}">{}</g>').format(
        number(x),
        number(y),
        Markup(" rotate({})").format(turn) if turn else "",
        Markup(" scale(-1 1)") if back else "",
        inside,
    )


def svg(inside: Markup, width: float, height: float) -> Markup:
    """The picture as inline SVG; its numbers stand in a table beside it for those who do not see it."""
    return Markup('<svg class="hr-draw" viewBox="0 0 {} {}" aria-hidden="true" focusable="false">{}</svg>').format(
        number(width), number(height), inside
    )


def arrow(x: float, size: float = 5.0) -> Markup:
    """The direction of flow, on the axis at x."""
    return path(f"M{number(x - size)} 0H{number(x + size)}m-3.5 -3l3.5 3l-3.5 3", "fine")


def walls(profile: Sequence[tuple[float, float]]) -> Markup:
    """Both walls of a round passage cut along its axis; `profile` is (x, half the bore) along the flow."""
    inner = list(profile)
    outer = [(x, half + WALL) for x, half in reversed(inner)]
    upper = outline((x, -half) for x, half in (*inner, *outer))
    return path(upper, "metal") + path(outline((*inner, *outer)), "metal")


Draw = Callable[[float, float], Markup]


# --- the parts of a path, from x0 to x1 ---------------------------------------------------------------------------


def _middle(x0: float, x1: float, share: float = 0.5) -> tuple[float, float]:
    """A stretch in the middle of x0 to x1."""
    half = share * (x1 - x0) / 2
    centre = (x0 + x1) / 2
    return centre - half, centre + half


def duct(x0: float, x1: float, half: float = BORE) -> Markup:
    """A plain pipe."""
    return walls([(x0, half), (x1, half)]) + arrow((x0 + x1) / 2)


def scaled_duct(numbers: Numbers, key: str, x0: float, x1: float) -> Markup:
    """A plain pipe whose bore is drawn to the scale that the bar of `key` has."""
    low, high = numbers.span(key)
    x, width = number(x0), number(x1 - x0)
    return Markup(
        '<g class="hr-bore" data-span="{}" style="--hr-full:{};--hr-low:{:.4f};--hr-high:{:.4f}">'
        '<rect class="hr-bore__left" x="{}" y="{}" width="{}" height="{}"/>'
        '<rect class="hr-bore__right" x="{}" y="0" width="{}" height="{}"/></g>{}'
    ).format(
        *(key, number(WIDEST), low, high),
        *(x, number(-WALL), width, number(WALL)),
        *(x, width, number(WALL)),
        arrow((x0 + x1) / 2),
    )


def narrow_duct(x0: float, x1: float) -> Markup:
    """A pipe that is narrower than its neighbours."""
    a, b = _middle(x0, x1, 0.6)
    return walls([(x0, BORE), (a, 6), (b, 6), (x1, BORE)]) + arrow((a + b) / 2)


def mouth(x0: float, x1: float) -> Markup:
    """An open end that draws air in."""
    return walls([(x0, BORE + 7), (x0 + 5, BORE + 2), (x0 + 12, BORE), (x1, BORE)]) + arrow(x0 - 4)


def tail(x0: float, x1: float) -> Markup:
    """An open end that lets gas out."""
    return duct(x0, x1) + arrow(x1 + 10)


def _cased(x0: float, x1: float, share: float = 0.52) -> tuple[float, float, Markup]:
    a, b = _middle(x0, x1, share)
    return a, b, walls([(x0, BORE), (a - 4, BORE), (a, CASING), (b, CASING), (b + 4, BORE), (x1, BORE)])


def air_filter(x0: float, x1: float) -> Markup:
    """A pleated element in its housing."""
    a, b, housing = _cased(x0, x1)
    step = (b - a - 8) / 6
    pleats = [(a + 4 + step * place, CASING - 3 if place % 2 else -CASING + 3) for place in range(7)]
    return housing + path(outline(pleats, closed=False), "line")


def cooler(x0: float, x1: float) -> Markup:
    """A charge cooler: fins across the flow."""
    a, b, housing = _cased(x0, x1, 0.6)
    count = max(int((b - a - 4) // 3.5), 3)
    step = (b - a - 4) / count
    fins = "".join(
        f"M{number(a + 2 + step * (place + 0.5))} {number(-CASING)}V{number(CASING)}" for place in range(count)
    )
    return housing + path(fins, "fine")


def _brick(x0: float, x1: float, plugs: bool) -> Markup:
    a, b, housing = _cased(x0, x1)
    a, b = a + 4, b - 4
    edges = [-CASING + 4 * place for place in range(int(2 * CASING // 4) + 1)]
    channels = "".join(f"M{number(a)} {number(y)}H{number(b)}" for y in edges)
    body = path(f"M{number(a)} {number(-CASING)}H{number(b)}V{number(CASING)}H{number(a)}Z", "panel")
    drawn = housing + body + path(channels, "fine")
    if plugs:
        squares = "".join(
            f"M{number(a if place % 2 else b - 4)} {number(y)}h4v4h-4Z" for place, y in enumerate(edges[:-1])
        )
        drawn += path(squares, "solid")
    return drawn


def catalyst(x0: float, x1: float) -> Markup:
    """A brick with open channels."""
    return _brick(x0, x1, plugs=False)


def particulate_filter(x0: float, x1: float) -> Markup:
    """A brick whose channels are plugged at alternate ends."""
    return _brick(x0, x1, plugs=True)


def silencer(x0: float, x1: float) -> Markup:
    """A casing round a perforated pipe."""
    a, b, housing = _cased(x0, x1, 0.6)
    return housing + path(f"M{number(a)} {number(-BORE)}H{number(b)}M{number(a)} {number(BORE)}H{number(b)}", "holes")


def _wheel(x0: float, x1: float, first: float, last: float) -> Markup:
    a, b = _middle(x0, x1, 0.42)
    shell = walls([(x0, BORE), (a - 3, BORE), (a, first + 1), (b, last + 1), (b + 3, BORE), (x1, BORE)])
    wheel = path(outline([(a, -first), (b, -last), (b, last), (a, first)]), "panel")
    blades = "".join(
        f"M{number(a)} {number(share * first)}L{number(b)} {number(share * last)}" for share in (-0.5, 0.0, 0.5)
    )
    return shell + wheel + path(blades, "fine")


def compressor(x0: float, x1: float) -> Markup:
    """A wheel that the gas leaves squeezed."""
    return _wheel(x0, x1, CASING - 3, _NECK)


def turbine(x0: float, x1: float) -> Markup:
    """A wheel that the gas leaves expanded."""
    return _wheel(x0, x1, _NECK, CASING - 3)


def cylinder(x0: float, x1: float) -> Markup:
    """A cylinder with its piston across the path, a valve on either side and the injector opposite the piston."""
    a, b = _middle(x0, x1, 0.62)
    roof, bottom = -12.0, 40.0
    block = (
        outline([(a - 8, -BORE - WALL), (a - 8, roof - 6), (b + 8, roof - 6), (b + 8, -BORE - WALL)])
        + outline([(a - 8, BORE + WALL), (a - 8, bottom), (a, bottom), (a, BORE + WALL)])
        + outline([(b, BORE + WALL), (b, bottom), (b + 8, bottom), (b + 8, BORE + WALL)])
    )
    ports = walls([(x0, BORE), (a, BORE)]) + walls([(b, BORE), (x1, BORE)])
    crown = BORE + 6
    piston = path(outline([(a + 1, crown), (b - 1, crown), (b - 1, crown + 14), (a + 1, crown + 14)]), "other")
    centre = (a + b) / 2
    rod = path(f"M{number(centre)} {number(crown + 8)}V{number(bottom + 4)}", "line")
    valves = path(f"M{number(a)} {number(-BORE)}V{number(BORE)}M{number(b)} {number(-BORE)}V{number(BORE)}", "holes")
    injector = path(
        f"M{number(centre - 3)} {number(roof - 16)}h6V{number(roof)}l-3 5l-3 -5Z"
        f"M{number(centre)} {number(roof + 7)}l-6 9M{number(centre)} {number(roof + 7)}v10"
        f"M{number(centre)} {number(roof + 7)}l6 9",
        "line",
    )
    return path(block, "metal") + ports + piston + rod + valves + injector


# --- fuel and oil: narrow passages, thick walls -----------------------------------------------------------------------

_LINE = 3.5


def oil_line(x0: float, x1: float) -> Markup:
    """A plain line."""
    return walls([(x0, _LINE), (x1, _LINE)]) + arrow((x0 + x1) / 2)


def tank(x0: float, x1: float) -> Markup:
    """A vessel, open to the air, from which the path begins."""
    a, b = x0 + 6, x0 + 0.62 * (x1 - x0)
    vent = (a + b) / 2
    shell = outline([(vent - 4, -26), (a, -26), (a, 26), (b, 26), (b, _LINE)], closed=False)
    rest = outline([(vent + 4, -26), (b, -26), (b, -_LINE)], closed=False)
    return path(shell + rest, "thick") + walls([(b, _LINE), (x1, _LINE)]) + arrow((b + x1) / 2)


def pump(x0: float, x1: float) -> Markup:
    """A pump, by its usual sign: a circle with a triangle that points along the flow."""
    centre, radius = (x0 + x1) / 2, 19.0
    circle = path(f"M{number(centre - radius)} 0a19 19 0 1 1 38 0a19 19 0 1 1 -38 0Z", "panel")
    point = path(outline([(centre + 4, -11), (centre + radius, 0), (centre + 4, 11)]), "solid")
    sides = walls([(x0, _LINE), (centre - radius, _LINE)]) + walls([(centre + radius, _LINE), (x1, _LINE)])
    return sides + circle + point


def filter_in_line(x0: float, x1: float) -> Markup:
    """A filter in its housing, with the line before and behind it."""
    a, b = _middle(x0, x1, 0.4)
    housing = walls([(x0, _LINE), (a - 4, _LINE), (a, CASING - 2), (b, CASING - 2), (b + 4, _LINE), (x1, _LINE)])
    step = (b - a - 6) / 6
    pleats = [(a + 3 + step * place, CASING - 4 if place % 2 else -CASING + 4) for place in range(7)]
    return housing + path(outline(pleats, closed=False), "line")


def plunger_pump(x0: float, x1: float) -> Markup:
    """A plunger in its bore, driven by a cam, with a check valve on either side."""
    centre = (x0 + x1) / 2
    head = path(
        outline([(centre - 22, -_LINE), (centre - 22, -20), (centre + 22, -20), (centre + 22, -_LINE)])
        + outline([(centre - 22, _LINE), (centre - 22, 18), (centre - 8, 18), (centre - 8, _LINE)])
        + outline([(centre + 22, _LINE), (centre + 22, 18), (centre + 8, 18), (centre + 8, _LINE)]),
        "metal",
    )
    plunger = path(outline([(centre - 7, 6), (centre + 7, 6), (centre + 7, 25), (centre - 7, 25)]), "other")
    cam = path(f"M{number(centre - 9)} 35a9 10 0 1 1 18 0a9 10 0 1 1 -18 0ZM{number(centre)} 38h.5", "panel")
    valves = path(f"M{number(centre - 15)} -4v8M{number(centre + 15)} -4v8", "line")
    sides = walls([(x0, _LINE), (centre - 22, _LINE)]) + walls([(centre + 22, _LINE), (x1, _LINE)])
    return sides + head + plunger + cam + valves


def rail(x0: float, x1: float) -> Markup:
    """A thick-walled rail with its outlets."""
    a, b = x0 + 10, x1 - 10
    body = path(
        outline([(a, -_LINE), (a, -16), (b, -16), (b, -_LINE)]) + outline([(a, _LINE), (a, 16), (b, 16), (b, _LINE)]),
        "metal",
    )
    step = (b - a) / 4
    outlets = "".join(f"M{number(a + step * place)} -16v-10" for place in (1, 2, 3))
    return body + path(outlets, "thick") + walls([(x0, _LINE), (a, _LINE)]) + walls([(b, _LINE), (x1, _LINE)])


def injector(x0: float, x1: float) -> Markup:
    """A nozzle with its needle, and the jets that leave it."""
    a, b = x0 + 0.1 * (x1 - x0), x0 + 0.66 * (x1 - x0)
    body = walls([(x0, _LINE), (a, _LINE), (a, 7), (b - 12, 7), (b, 2)])
    needle = path(outline([(a + 4, -3), (b - 12, -3), (b - 3, 0), (b - 12, 3), (a + 4, 3)]), "other")
    jets = "".join(
        f"M{number(b + 4)} {number(share * 4)}L{number(b + 24)} {number(share * 18)}" for share in (-1, 0, 1)
    )
    return body + needle + path(jets, "holes")


def chamber(x0: float, x1: float) -> Markup:
    """A combustion chamber between head and piston, with the jets coming in."""
    a, b = x0 + 6, x0 + 0.62 * (x1 - x0)
    head = path(outline([(a, -34), (a + 8, -34), (a + 8, 34), (a, 34)]), "metal")
    liners = path(
        outline([(a + 8, -34), (x1 - 10, -34), (x1 - 10, -28), (a + 8, -28)])
        + outline([(a + 8, 28), (x1 - 10, 28), (x1 - 10, 34), (a + 8, 34)]),
        "metal",
    )
    crown = [(b, -27), (b, -10), (b + 8, -6), (b + 8, 6), (b, 10), (b, 27), (b + 20, 27), (b + 20, -27)]
    jets = "".join(f"M{number(a + 10)} 0L{number(b - 2)} {number(18 * share)}" for share in (-1, -0.4, 0.4, 1))
    return head + liners + path(outline(crown), "other") + path(jets, "holes")


def crank(x0: float, x1: float) -> Markup:
    """A crank: the circle of its pin, its arm, and the way it turns."""
    centre = (x0 + x1) / 2
    circle = path(f"M{number(centre - 26)} 0a26 26 0 1 1 52 0a26 26 0 1 1 -52 0Z", "holes")
    arm = path(
        f"M{number(centre)} 0L{number(centre + 13)} -22.5M{number(centre - 4)} 0a4 4 0 1 1 8 0a4 4 0 1 1 -8 0Z"
        f"M{number(centre + 9)} -22.5a4 4 0 1 1 8 0a4 4 0 1 1 -8 0Z",
        "line",
    )
    return circle + arm


def apply_piston(x0: float, x1: float) -> Markup:
    """A piston in its drum, pushed by oil against a return spring."""
    a, b = _middle(x0, x1, 0.66)
    drum = walls([(x0, _LINE), (a, _LINE), (a, 28), (b, 28)])
    body = path(outline([(a + 10, -27), (a + 22, -27), (a + 22, 27), (a + 10, 27)]), "other")
    seals = path("".join(f"M{number(a + 14)} {y}h4v4h-4Z" for y in (-28, 24)), "solid")
    step = (b - a - 24) / 6
    springs = "".join(
        outline([(a + 23 + step * place, y + (4 if place % 2 else -4)) for place in range(7)], closed=False)
        for y in (-17, 17)
    )
    return drum + body + seals + path(springs, "line") + path(f"M{number(b)} 0H{number(x1)}", "fine")


def plates(x0: float, x1: float) -> Markup:
    """A pack of clutch plates: steel ones held by the drum, lined ones by the hub."""
    a, b = _middle(x0, x1, 0.72)
    count = 9
    pitch = (b - a) / count
    drawn = walls([(a - 4, 30), (b + 4, 30)])
    for place in range(count):
        x = a + pitch * place
        near, far, look = (10, 24, "other") if place % 2 else (14, 30, "metal")
        for side in (-1, 1):
            corners = [(x, near * side), (x + pitch - 1.5, near * side), (x + pitch - 1.5, far * side), (x, far * side)]
            drawn += path(outline(corners), look)
    hub = path(outline([(a - 4, -10), (b + 4, -10), (b + 4, 10), (a - 4, 10)]), "panel")
    return drawn + hub + path(f"M{number(x0)} 0H{number(x1)}", "axis")


def shaft(x0: float, x1: float) -> Markup:
    """A shaft that carries torque on."""
    a, b = x0, x1 - 12
    body = path(outline([(a, -10), (b, -10), (b, 10), (a, 10)]), "panel")
    centre = (a + b) / 2
    turning = path(f"M{number(centre - 6)} 20a20 20 0 1 1 12 0m-1 -6l1 6l-6 -1", "line")
    return body + turning + path(f"M{number(x0)} 0H{number(x1)}", "axis")
