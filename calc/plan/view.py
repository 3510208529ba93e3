"""An answer of the planner as a page shows it: the short form for the first page, the whole for the plan's own.

The build and the page call the same functions, so that the default answer in a page equals the live one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from calc import text
from calc.plan import frontier_view
from calc.plan.enquiry import STATUS, enquiry, questions
from calc.plan.nodes import Node, Notes, badge, cell, classed, el, mark, pair, percent, said, table, weakest_in
from calc.plan.records import Catalogue
from calc.plan.shown import Said, Shown
from calc.plan.wording import MAINTAIN, inside, listed
from calc.provenance import Grade

_AXIS = 1.5
"""The share of a limit at the right end of its bar."""

_CERTAINTY: Mapping[str, str] = {
    "certainly": "Certainly within the limits: even where every part is at the weak end of its range.",
    "possibly": "Possibly within the limits: it hangs on where this vehicle lies in the ranges.",
    "certainly not": "Certainly not within the limits of this use.",
}
_NAMES: Mapping[str, str] = {
    "platform": "Platform",
    "use": "Use",
    "goal": "Goal",
    "height": "Height",
    "temperature": "Air temperature",
    "labour_rate": "Labour rate",
    "budget": "Budget",
    "fitted": "Already fitted",
    "refused": "Not wanted",
    "exempt": "Emission exemptions",
}
_POINT: Sequence[tuple[str, str]] = (
    ("boost", "Boost, gauge"),
    ("drive_ratio", "Drive pressure over boost"),
    ("egt", "Exhaust before the turbine"),
    ("lambda", "Lambda"),
    ("charge_temperature", "Intake manifold"),
    ("fuel", "Fuel at full load"),
    ("air", "Air at full load"),
    ("back_pressure", "Back-pressure"),
    ("crank_power", "Power at the crankshaft"),
)
_ANCHOR = str.maketrans({"/": "--", ".": "-", "_": "-"})
ALWAYS_CAUTIONS = ("emission-hardware",)
LOAD_CAUTIONS = ("towing-ratings",)


class View:
    """One answer, ready to be shown on a page whose `root` leads to the site's first page."""

    def __init__(self, answer: Mapping[str, Any], catalogue: Catalogue, root: str, made: str, pick: str = "") -> None:
        self.answer, self.catalogue, self.root, self.made = answer, catalogue, root, made
        self.notes = Notes(root)
        self.plans: list[Mapping[str, Any]] = list(answer["plans"])
        kinds = [plan["kind"] for plan in self.plans]
        self.picked = pick if pick in kinds else next(iter(kinds), "")
        use = catalogue.uses[answer["inputs"]["use"]["ids"][0]]
        self.towing = use.load is not None

    # The two forms

    def brief(self) -> list[Node]:
        """The answer in a sentence, what gives out first as a picture, and the shopping list by name."""
        plan = self._plan(self.picked)
        found = [self._verdict(), self._certainty(), self._way(), self._leader(), self.picture(), *self._in_short(plan)]
        return [*(node for node in found if node is not None), *self.notes.all()]

    def whole(self) -> list[Node]:
        """Everything that the plan's page shows: what an owner acts on first, then the other plans, then the why."""
        answer = self.answer
        ordered = sorted(self.plans, key=lambda plan: plan["kind"] != self.picked)
        found: list[Node | None] = [
            self._verdict(),
            self._certainty(),
            *self._in_the_way(),
            self._understood(),
            *(self.plan(plan) for plan in ordered[:1]),
            el("h2", {"id": "plans", "class": "hr-screen"}, "Other answers") if ordered else None,
            *(self.plan(plan) for plan in ordered[1:]),
            self._nothing(),
            self._maintain(),
            *(el("div", {"class": "hr-screen"}, close) for close in self._close()),
            classed("p", "hr-print hr-plan__paper", "Data version ", self.made, ". Grades: ", *self._legend()),
            el("div", {"class": "hr-screen"}, el("h2", {"id": "first"}, "What gives out first"), self._leader(),
               self.picture()),
            self._frontier(),
            el("div", {"class": "hr-screen"}, el("h2", {"id": "model"}, "How it was worked out"), *self._left_out(),
               el("details", {"class": "hr-fold"}, el("summary", {}, "What the model takes for granted"),
                  el("ul", {}, *(el("li", {}, note) for note in answer["notes"])),
                  classed("p", "hr-quiet", f"Operating points solved for this answer: {answer['solutions']:,}."))),
        ]  # fmt: skip
        return [*(node for node in found if node is not None), *self.notes.all()]

    # The answer in words

    def _verdict(self) -> Node:
        grade = weakest_in(self.plans, self.answer["goal"])
        return el("p", {"class": "hr-verdict"}, self.notes.sentence(self.answer["summary"], grade))

    def _certainty(self) -> Node:
        word = self.answer["certainty"]
        return el("p", {"class": "hr-certainty", "data-within": word.replace(" ", "-")}, _CERTAINTY[word])

    def _way(self) -> Node:
        full = el("a", {"class": "hr-full", "href": f"{self.root}plan/"}, "The full plan")
        return classed("p", "hr-way", full, ": what each part is for, its cost, printout and questions for a shop.")

    def _in_the_way(self) -> list[Node]:
        items = [
            el("li", {}, self.notes.sentence(item["sentence"], weakest_in(self.answer["standard"])))
            for item in self.answer["in_the_way"]
        ]
        return [el("div", {}, el("p", {}, "What stands in the way:"), el("ul", {}, *items))] if items else []

    def _leader(self) -> Node:
        standard = self.answer["standard"]
        return el("p", {}, "As it is sold. ", self.notes.sentence(standard["sentence"], weakest_in(standard["places"])),
                  *(el("span", {}, " ", close["sentence"]) for close in self.answer["too_close"]
                    if close["what"] == "first-to-give-out"))  # fmt: skip

    def _close(self) -> list[Node]:
        return [
            el("p", {"class": "hr-close"}, el("strong", {}, "Too close to call. "), close["sentence"])
            for close in self.answer["too_close"]
            if close["what"] != "first-to-give-out"
        ]

    def _understood(self) -> Node:
        entries = []
        for name, label in _NAMES.items():
            known = self.answer["inputs"][name]
            tail: list[Node | None] = []
            if known["default"]:
                tail = [" ", classed("span", "hr-default", "default"), self._default_mark(name, known)]
            note = classed("small", "hr-quiet", known["note"]) if known["note"] else None
            entries.append(el("div", {}, el("dt", {}, label), el("dd", {}, said(known["understood"]), *tail, note)))
        taken = sum(self.answer["inputs"][name]["default"] for name in _NAMES)
        words = f"What was asked, as understood: {taken} of {len(_NAMES)} by default"
        return el("details", {"class": "hr-asked"}, el("summary", {}, words),
                  el("dl", {"class": "hr-facts"}, *entries))  # fmt: skip

    def _default_mark(self, name: str, known: Mapping[str, Any]) -> Node | None:
        if name not in ("goal", "height", "temperature", "labour_rate"):
            return None
        grade = Grade.MEMORY
        if name == "goal":
            grade = self.answer["goal"].grade
        return self.notes.of(
            f"default-{name}",
            grade,
            el("b", {}, f"{_NAMES[name]}: the default"),
            grade.label.capitalize(),
        )

    def _legend(self) -> list[Node]:
        found: list[Node] = []
        for grade in Grade:
            found += [", " if found else "", badge(grade)]
        return [*found, "; = computed by the planner from these figures, with the weakest grade that went in."]

    # A plan

    def _plan(self, kind: str) -> Mapping[str, Any] | None:
        return next((plan for plan in self.plans if plan["kind"] == kind), None)

    def _in_short(self, plan: Mapping[str, Any] | None) -> list[Node]:
        """What to fit, by name and in order, and what it comes to; and that doing nothing is an answer too."""
        nothing = self.answer["do_nothing"]
        instead = el("p", {}, "Or do nothing: ", self.notes.sentence(nothing["summary"], weakest_in(nothing["limits"])))
        if plan is None or not plan["parts"]:
            return [instead]
        items = [el("li", {}, *self._part_name(part)) for part in plan["parts"]]
        return [
            classed("p", "hr-plan__list", "What to fit, in this order:"),
            el("ol", {"class": "hr-plan__names"}, *items),
            instead,
        ]

    def _part_name(self, part: Mapping[str, Any]) -> list[Node]:
        name = self.catalogue.modifications[part["modification"]].title
        link = self.notes.link(f"modifications/{part['modification']}/", name)
        return [link] if name.casefold() == part["title"].casefold() else [link, f": {inside(part['title'])}"]

    def plan(self, plan: Mapping[str, Any]) -> Node:
        """One plan: its list, its limits, its operating point, and what goes to a shop."""
        kind = plan["kind"]
        attributes = {"class": "hr-plan", "data-kind": kind, "data-picked": "true" if kind == self.picked else None}
        open_ = {"open": "open"} if kind == self.picked else {}
        head = el(
            "summary", {"class": "hr-plan__head"},
            classed("span", "hr-plan__title", plan["title"]),
            classed("span", "hr-plan__cost", self.notes.plain(plan["cost"])),
            classed("span", "hr-plan__word", f"{plan['certainty']} within its limits"),
        )  # fmt: skip
        cautions = self.cautions(plan)
        own = Notes(self.root, f"plan-note-{kind}")  # with the plan, so that a sheet holds those of its plan alone
        inner: list[Node | None] = [
            head,
            self._parts(plan, own),
            self._budget(plan),
            *self._stops(plan),
            self._likelihood(plan),
            self._buttons(kind),
            el("details", {"class": "hr-fold"}, el("summary", {}, "How much of each limit it uses"),
               self.limits(plan["limits"], plan["title"])),
            self._point(plan),
            self._questions(plan),
            el("details", {"class": "hr-fold hr-warned"},
               el("summary", {}, f"Before anybody works on it: {len(cautions)} cautions"),
               el("div", {"class": "hr-slot-cautions", "data-cautions": " ".join(cautions)})),
            el("details", {"class": "hr-enquiry"}, el("summary", {}, "Text for an enquiry"),
               self._enquiry(plan)),
            *own.all(),
        ]  # fmt: skip
        return el("details", attributes | open_, *inner)

    def _parts(self, plan: Mapping[str, Any], own: Notes) -> Node:
        if not plan["parts"]:
            return el("p", {}, "Nothing needs to be fitted.")
        rows = [self._part(number, part, own) for number, part in enumerate(plan["parts"], 1)]
        total = el(
            "tr", {"class": "hr-total"},
            el("th", {"scope": "row"}, "Together, parts and labour: ", self.notes.figure(plan["cost"])),
            cell("Parts", self.notes.figure(plan["parts_cost"]), name="hr-num"),
            cell("Labour", self.notes.figure(plan["labour"]),
                 classed("small", "", self.notes.figure(plan["labour_cost"])), name="hr-num"),
        )  # fmt: skip
        head = ("Part, in order of fitting, and why", "Parts", "Labour")
        return table(f"Shopping list: {plan['title']}", head, [*rows, total], "hr-list")

    def _part(self, number: int, part: Mapping[str, Any], own: Notes) -> Node:
        option = self.catalogue.options[part["id"]]
        status = None
        if part["emission_status"] != "neutral":
            where = " for the road"
            words = STATUS[part["emission_status"]].removesuffix(where)
            tail = classed("span", "hr-screen", where) if STATUS[part["emission_status"]].endswith(where) else None
            status = classed("small", "hr-status-law", words, tail, ".")
        about = el("th", {"scope": "row"}, f"{number}. ", *self._part_name(part),
                   classed("small", "", self.notes.sentence(part["why"], weakest_in(part))), status)  # fmt: skip

        title = inside(self.catalogue.modifications[part["modification"]].title)
        same = part["cost"].grade is part["labour"].grade

        def figure(item: Shown, what: str, identifier: str) -> Node:
            # One note for both figures of a part where both rest on the same: paper has little room.
            name, key = ("Parts and labour", "both") if same else (what, what.casefold())
            rows: list[Node] = []
            for known in (option.parts_cost.id, option.labour.id) if same else (identifier,):
                place = f"figures/modifications/#{known.translate(_ANCHOR)}"
                rows += [", " if rows else "", self.notes.link(place, "in the register")]
            opened = own.of(
                f"{option.id.replace('.', '-')}-{key}", item.grade,
                el("b", {}, f"{name}: {title}"), item.grade.label.capitalize(),
                classed("span", "hr-screen", *rows),
            )  # fmt: skip
            return classed("span", "hr-figure", pair(item), opened)

        return el(
            "tr", {}, about,
            cell("Parts", figure(part["cost"], "Parts", option.parts_cost.id), name="hr-num"),
            cell("Labour", figure(part["labour"], "Labour", option.labour.id), name="hr-num"),
        )  # fmt: skip

    def _budget(self, plan: Mapping[str, Any]) -> Node | None:
        word = plan["within_budget"]
        if word is None:
            return None
        return el("p", {}, f"{word.capitalize()} within the budget.")

    def _stops(self, plan: Mapping[str, Any]) -> list[Node]:
        """What stops this plan: the part closest to its limit, and the ratings on the label, which no part raises."""
        ratings: list[Node] = []
        for stop in self.answer["stops"]:
            ratings += [", " if ratings else "", f"{inside(stop['title'])} ", self.notes.figure(stop["value"])]
        return [
            el("p", {"class": "hr-stop"}, self.notes.sentence(plan["closest"], weakest_in(plan["limits"]))),
            *([classed("p", "hr-stop", "No part raises what stands on the label: ", *ratings, ".")] if ratings else []),
        ]

    def limits(self, limits: Sequence[Mapping[str, Any]], title: str) -> Node:
        """Every limit with the share that is used: a bar, a word, and the figures behind it."""
        return table(
            f"Limits: {title}",
            ("Part", "Used", "State", "Asked of it, and what it bears"),
            [self._limit(limit) for limit in limits],
            "hr-limits",
        )

    def _limit(self, limit: Mapping[str, Any]) -> Node:
        grade = Grade(limit["grade"])
        used = el("span", {"class": "hr-figure"}, share_text(limit["share"]), self.notes.computed(grade))
        allowed = limit["allowed"]
        keeps = f"allowed {percent(allowed)}"
        asked, able = limit["asked"], limit["able"]
        figures = el("span", {}, pair(asked), " of ", pair(able), f", {limit['measure']}") if asked and able else None
        return el(
            "tr", {"data-limit": limit["limit"], "data-state": limit["state"]},
            el("th", {"scope": "row"}, limit["part"]),
            cell("Used", used, share_bar(limit["share"], allowed, limit["state"]), classed("small", "", keeps)),
            cell("State", el("span", {"class": "hr-swatch", "data-band": BANDS[limit["state"]], "aria-hidden": "true"}),
                 f" {limit['state']}",
                 classed("small", "", limit["within"], classed("span", "hr-screen", " with the margin"))),
            cell("Asked", figures or "no operating point", classed("small", "hr-screen", limit["margin_why"])
                 if limit["margin_why"] else None),
        )  # fmt: skip

    def _point(self, plan: Mapping[str, Any]) -> Node | None:
        at = plan["operating_point"]
        if at is None:
            return None
        entries = [
            el("div", {}, el("dt", {}, label), el("dd", {}, self.notes.figure(at[key])))
            for key, label in _POINT
            if at[key] is not None
        ]
        extra = plan["extra_fuel"]
        mild = el("p", {}, self.notes.sentence(extra["sentence"], weakest_in(at))) if extra else None
        return el(
            "details", {"class": "hr-fold hr-point"},
            el("summary", {}, "The engine at the goal, and how mild its calibration can be"),
            el("dl", {"class": "hr-facts"}, *entries),
            mild,
            classed("p", "hr-quiet", f"Boost is set by {at['boost_set_by']}."),
        )  # fmt: skip

    def _likelihood(self, plan: Mapping[str, Any]) -> Node | None:
        likely = plan["likelihood"]
        if likely is None:
            return None
        return el("p", {"class": "hr-likelihood"}, self.notes.sentence(likely["sentence"], weakest_in(plan["limits"])))

    def _buttons(self, kind: str) -> Node:
        def button(do: str, words: str) -> Node:
            return el("button", {"type": "button", "class": "hr-button", "data-do": do, "data-kind": kind}, words)

        return el(
            "p", {"class": "hr-do"},
            button("print", "Print this plan"),
            button("copy", "Copy for an enquiry"),
            button("compare", "Compare with another"),
            el("span", {"class": "hr-said-back", "role": "status"}),
        )  # fmt: skip

    def _questions(self, plan: Mapping[str, Any]) -> Node:
        rows = [
            el("li", {}, question.text, " ", classed("span", "hr-worry", f"Worry at: {question.worry}"))
            for question in questions(plan, towing=self.towing)
        ]
        return el("details", {"class": "hr-fold hr-ask"},
                  el("summary", {}, f"{len(rows)} questions to ask your installer, with the answers that should worry"),
                  el("ol", {}, *rows))  # fmt: skip

    def _enquiry(self, plan: Mapping[str, Any]) -> Node:
        us, si = (enquiry(self.answer, plan, self.made, system, towing=self.towing) for system in text.SYSTEMS)
        attributes = {"readonly": "readonly", "rows": "12", "aria-label": f"Text for an enquiry: {plan['title']}"}
        return el(
            "div", {},
            el("textarea", attributes | {"class": "hr-text hr-us"}, us),
            el("textarea", attributes | {"class": "hr-text hr-si"}, si),
        )  # fmt: skip

    def cautions(self, plan: Mapping[str, Any]) -> list[str]:
        """The cautions of the parts of a plan, by id."""
        found = [*ALWAYS_CAUTIONS, *(LOAD_CAUTIONS if self.towing else ())]
        for part in plan["parts"]:
            found += self.catalogue.modifications[part["modification"]].facts.get("cautions", ())
        return list(dict.fromkeys(found))

    # Nothing, and maintenance

    def _nothing(self) -> Node:
        nothing = self.answer["do_nothing"]
        return el(
            "details", {"class": "hr-plan", "data-kind": "nothing"},
            el("summary", {"class": "hr-plan__head"}, classed("span", "hr-plan__title", nothing["title"]),
               classed("span", "hr-plan__cost", self.notes.plain(nothing["cost"])),
               classed("span", "hr-plan__word", "costs nothing")),
            el("p", {}, self.notes.sentence(nothing["summary"], weakest_in(nothing["limits"]))),
            self.limits(nothing["limits"], nothing["title"]),
        )  # fmt: skip

    def _maintain(self) -> Node:
        maintain = self.answer["maintain_first"]
        return el(
            "details", {"class": "hr-plan", "data-kind": "maintain"},
            el("summary", {"class": "hr-plan__head"}, classed("span", "hr-plan__title", maintain["title"]),
               classed("span", "hr-plan__word", "before any part")),
            el("p", {}, maintain["summary"]),
            el("ul", {}, *(el("li", {}, step) for step in MAINTAIN)),
        )  # fmt: skip

    # What gives out first

    def picture(self) -> Node:
        """What gives out first on the vehicle as it stands: a band for each part along the power at the wheels."""
        places = self.answer["standard"]["places"]
        standard, goal = self.answer["do_nothing"]["power"], self.answer["goal"]
        ends = [standard.value, goal.value]
        for place in places:
            if place["wheel_power"] is not None:
                ends += [place["wheel_power"].low, place["wheel_power"].high]
        low, high = min(ends), max(ends)
        room = max(0.08 * (high - low), 0.02 * high)
        low, high = max(low - room, 0.0), high + room

        def at(value: float) -> str:
            return f"{min(max((value - low) / (high - low), 0.0), 1.0):.4f}"

        reached = [place for place in places if place["from"] is not None or place["wheel_power"] is not None]
        bands = [self._band(place, goal, at) for place in reached]
        levels = [
            el("span", {"class": f"hr-level hr-level-{name}", "style": {"--hr-at": at(power.value)}},
               classed("span", "hr-level__name", f"{name} ", pair(power)))
            for name, power in (("standard", standard), ("goal", goal))
        ]  # fmt: skip
        at_goal = self.answer["at_goal"]
        caption = el(
            "p", {}, self.notes.sentence(at_goal["sentence"], weakest_in(places)),
            " The control unit itself asks for no more than it was calibrated for.",
        )  # fmt: skip
        key = el("ul", {"class": "hr-key"}, *(
            el("li", {}, el("span", {"class": "hr-swatch", "data-band": band}), words)
            for band, words in (("clear", "clear: holds"), ("doubt", "doubtful: some hold, some do not"),
                                ("beyond", "beyond: expect it to give out"))))  # fmt: skip
        return el(
            "div", {"class": "hr-picture hr-first",
                    "style": {"--hr-goal": at(goal.value), "--hr-standard": at(standard.value)}},
            caption,
            el("div", {"class": "hr-levels", "aria-hidden": "true"}, *levels),
            el("ul", {"class": "hr-bands", "aria-label": "What gives out first, by power at the wheels"}, *bands),
            self._far_off([place for place in places if place not in reached]),
            key,
            classed("p", "hr-quiet", "Computed for the vehicle as it stands, by power at the wheels. On the right: how "
                    "each stands at the goal.", self.notes.computed(weakest_in(places))),
        )  # fmt: skip

    def _far_off(self, places: Sequence[Mapping[str, Any]]) -> Node | None:
        if not places:
            return None
        names = listed([inside(place["part"]) for place in places])
        return el("p", {"class": "hr-far"}, f"Clear, with nothing to draw: {names}. ", said(places[0]["sentence"]))

    def _band(self, place: Mapping[str, Any], goal: Shown, at: Any) -> Node:
        power: Shown | None = place["wheel_power"]
        weak: Shown | None = place["from"]
        if power is not None:
            style = {"--hr-low": at(power.low), "--hr-high": at(power.high)}
            words: Node = pair(power)
            state = "clear" if goal.value < power.low else "beyond" if goal.value > power.high else "doubtful"
        else:
            assert weak is not None
            style = {"--hr-low": at(weak.value), "--hr-high": "1"}
            words = el("span", {}, "from ", pair(weak), " on")
            state = "clear" if goal.value < weak.value else "doubtful"
        return el(
            "li", {"class": "hr-band", "data-limit": place["limit"], "data-state": state, "style": style},
            classed("span", "hr-band__name", f"{place['part']}: ", words, " "),
            classed("span", "hr-band__state", state),
            el("span", {"class": "hr-band__bar", "aria-hidden": "true"},
               *(classed("span", f"hr-band__{name}") for name in ("clear", "doubt", "beyond"))),
        )  # fmt: skip

    def _frontier(self) -> Node | None:
        found = [
            *frontier_view.by_goal(self.answer, self.catalogue, self.notes),
            *frontier_view.by_margin(self.answer, self.catalogue, self.notes),
        ]
        return el("div", {"class": "hr-screen hr-frontier"}, *found) if found else None

    # What is left out

    def _left_out(self) -> list[Node]:
        if not self.answer["left_out"]:
            return []
        rows = [el("li", {}, f"{item['title']}: {inside(item['why'])}") for item in self.answer["left_out"]]
        return [el("details", {"class": "hr-fold"}, el("summary", {}, "Parts that no plan could choose"),
                   el("ul", {}, *rows))]  # fmt: skip


BANDS: Mapping[str, str] = {"clear": "clear", "doubtful": "doubt", "beyond": "beyond"}


def share_text(share: Mapping[str, float | None]) -> str:
    """The share of a limit that is used, as a range."""
    low, high = share["low"], share["high"]
    if low is None or high is None or not math.isfinite(high):
        return "more than it can be"
    if round(100.0 * low) == round(100.0 * high):
        return percent(high)
    return f"{100.0 * low:.0f} to {percent(high)}"


def share_bar(share: Mapping[str, float | None], allowed: float, state: str) -> Node:
    """The share that is used as a bar: sure up to the low end, hatched to the high one; a tick where the use stops."""

    def at(value: float | None) -> str:
        return f"{min(max((value if value is not None else _AXIS) / _AXIS, 0.0), 1.0):.4f}"

    style = {"--hr-low": at(share["low"]), "--hr-high": at(share["high"]), "--hr-at": at(allowed), "--hr-one": at(1.0)}
    return el("span", {"class": "hr-used", "data-state": state, "aria-hidden": "true", "style": style})


__all__ = ["ALWAYS_CAUTIONS", "LOAD_CAUTIONS", "Said", "View", "mark", "percent", "share_bar", "share_text"]
