"""A page while it is written: its figures, quantities, results, formulas, cautions and sources, and their notes."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import FrameType
from typing import Any

from jinja2 import Template
from markupsafe import Markup, escape

from build_scripts.catalogue import FigureRecord
from build_scripts.models.problem import Problem, closest
from build_scripts.pages import footnotes, markup
from build_scripts.pages.display import Pair, partner, value_pair
from build_scripts.pages.edition import (
    DEFAULTS_URI,
    Edition,
    Place,
    default_anchor,
    figure_pair,
    register_uri,
    source_uri,
)
from calc import units
from calc.contract import Calculator
from calc.present import page_answer
from calc.provenance import Grade, weakest


@dataclass(frozen=True)
class Note:
    """What stands behind a mark: lines of HTML under an id of the page."""

    id: str
    lines: tuple[Markup, ...]


@dataclass
class Sheet:
    """One page while it is written. A wrong id is recorded as a problem with its line; writing goes on."""

    edition: Edition
    uri: str
    origin: str
    title: str
    late: bool = False
    notes: dict[object, Note] = field(default_factory=dict)
    calculators: list[str] = field(default_factory=list)
    pictures: int = 0
    sections: int = 0

    @property
    def place(self) -> Place:
        """This page, for the lists of where things are used."""
        return Place(self.uri, self.title)

    # --- figures ---------------------------------------------------------------------------------------------------

    def figure(self, identifier: str) -> Markup:
        """A figure of the catalogue with its mark."""
        record = self.find("figure", identifier, self.edition.catalogue.figures, "the id of a figure in docs/data")
        return self.marked(record) if record else Markup()

    def marked(self, record: FigureRecord) -> Markup:
        """A figure record with its mark."""
        self.edition.uses(record.id, self.place)
        return self._with_mark(figure_pair(record), record.grade, self.figure_note(record))

    def figure_note(self, record: FigureRecord) -> Note:
        """The note of a figure, made once for the page."""
        return self.note(record.id, lambda: self._figure_lines(record))

    def _figure_lines(self, record: FigureRecord) -> list[Markup]:
        whole = record.figure
        source = self.source(whole.source) if whole.source else ""
        pair = figure_pair(record)
        original = pair.us if partner(whole.unit)[0] == whole.unit else pair.si
        return [
            Markup("<b>{}</b>: {}").format(record.title, original),
            Markup("{}{}{}").format(
                whole.grade.label.capitalize(),
                Markup(" · {}").format(source) if source else "",
                f" · {whole.where}" if whole.where else "",
            ),
            *([Markup("Condition: {}").format(whole.condition)] if whole.condition else []),
            *([Markup("{}").format(whole.note)] if whole.note else []),
            Markup('Reviewed {} · <a href="{}">in the register</a>').format(
                whole.reviewed.isoformat(), markup.link(self.uri, register_uri(record), record.anchor)
            ),
        ]

    def quantity(self, text: str, grade: str = "memory", note: str = "", source: str = "", where: str = "") -> Markup:
        """A quantity that a page states itself, such as quantity("4 in", grade="practice"), with its mark."""
        found = self._grade(grade)
        try:
            number, symbol = _split(text)
        except ValueError as problem:
            self.wrong("quantity", f"`{text}`", str(problem))
            return Markup(escape(text))
        cited = self.source(source) if source else Markup()
        lines = [
            Markup("<b>{}</b>").format(text.strip()),
            Markup("{}{}{}").format(
                found.label.capitalize(), Markup(" · {}").format(cited) if cited else "", f" · {where}" if where else ""
            ),
            *([Markup(escape(note))] if note else []),
        ]
        return self._with_mark(value_pair(number, symbol), found, self.note((text, grade, note, source), lambda: lines))

    def default_note(self, name: str, value: Pair, grade: Grade, note: str = "", anchor: str = "") -> Note:
        """The note of a default value; `anchor` is its row in the register of what the calculators start from."""
        lines = [
            Markup("<b>{}</b>: {}, the default value").format(name, markup.quantity(value)),
            Markup(escape(grade.label.capitalize())),
            *([Markup(escape(note))] if note else []),
            *([self._default_row(anchor, "In the register")] if anchor else []),
        ]
        return self.note((name, value, grade, note, anchor), lambda: lines)

    def _default_row(self, anchor: str, words: str) -> Markup:
        return Markup('<a href="{}">{}</a>').format(markup.link(self.uri, DEFAULTS_URI, anchor), words)

    def given(self, identifier: str, name: str) -> Markup:
        """The default of a calculator's input, with its mark."""
        calculator = self.calculator_of(identifier, "given")
        if calculator is None:
            return Markup()
        if name not in calculator.inputs:
            self.unknown("given", name, calculator.inputs, f"an input of {identifier}")
            return Markup()
        kind = calculator.inputs[name].kind
        shown = page_answer(identifier, {}, "us")["inputs"][name]
        pair = Pair(shown["understood_us"], shown["understood_si"])
        anchor = default_anchor(identifier, name)
        return self._with_mark(pair, kind.grade, self.default_note(kind.name, pair, kind.grade, kind.note, anchor))

    def result(self, identifier: str, output: str, **inputs: object) -> Markup:
        """An output of a calculator, computed while building, with a mark that says so.

        Inputs are texts as a reader would type them ("5 in"); all others keep their defaults.
        """
        calculator = self.calculator_of(identifier, "result")
        if calculator is None:
            return Markup()
        if output not in calculator.outputs:
            self.unknown("result", output, calculator.outputs, f"an output of {identifier}")
            return Markup()
        answer = page_answer(identifier, {name: str(value) for name, value in inputs.items()}, "us")
        if not answer["ok"]:
            for problem in answer["problems"]:
                self.wrong("result", f"{problem['input']}={problem['given']!r}", problem["message"].rstrip("."))
            return Markup()
        pair = as_pair(answer["slots"][output])
        if calculator.outputs[output].unit in ("text", "bool"):
            return markup.quantity(pair)
        grade = Grade(answer["grades"][output]["id"])
        return self._with_mark(pair, grade, self.computed_note(calculator, grade, answer, inputs), computed=True)

    def computed_note(
        self,
        calculator: Calculator,
        grade: Grade,
        answer: Mapping[str, Any] | None = None,
        changed: Iterable[str] = (),
    ) -> Note:
        """The note of a computed figure: what was changed, the formulas' sources, the weakest grade that went in."""
        names = tuple(changed)
        given = [(calculator.inputs[name].kind.name, answer["inputs"][name]) for name in names] if answer else []

        def lines() -> list[Markup]:
            works = Markup("; ").join(self._work(reference.id) for reference in calculator.references)
            values = Markup("; ").join(
                Markup("{} {}").format(name, markup.quantity(Pair(shown["understood_us"], shown["understood_si"])))
                for name, shown in given
            )
            return [
                Markup("<b>Computed</b> by “{}” from its default values{}").format(
                    calculator.title, Markup(", but for: {}").format(values) if given else ""
                ),
                Markup("Formulas: {}").format(works),
                Markup("Weakest grade that went in: <span data-weakest>{}</span>").format(grade.label),
                self._default_row(calculator.id, "Its values and constants in the register"),
            ]

        return self.note((calculator.id, grade, str(given)), lines)

    def _with_mark(self, pair: Pair | str, grade: Grade, note: Note, *, computed: bool = False) -> Markup:
        return Markup('<span class="hr-figure">{}{}</span>').format(
            markup.quantity(pair), markup.mark(grade, note.id, computed=computed)
        )

    def note(self, key: object, lines: Callable[[], list[Markup]]) -> Note:
        """The note kept under `key`, made once for the page."""
        if key not in self.notes:
            self.notes[key] = Note(f"note-{len(self.notes) + 1}", ())
            self.notes[key] = Note(self.notes[key].id, tuple(lines()))
        return self.notes[key]

    # --- pieces ----------------------------------------------------------------------------------------------------

    def formula(self, identifier: str) -> Markup:
        """The formulas of a calculator, with every symbol, its unit and the source."""
        found = self.calculator_of(identifier, "formula")
        if found is None:
            return Markup()
        works = {reference.id: self._work(reference.id) for reference in found.references}
        return markup.one_line(self.edition.render("formula.html", calculator=found, works=works))

    def valid(self, identifier: str) -> Markup:
        """Where the model of a calculator stops being true."""
        found = self.calculator_of(identifier, "valid")
        return Markup(escape(found.valid)) if found else Markup()

    def caution(self, identifier: str) -> Markup:
        """A caution in full."""
        found = self.find("caution", identifier, self.edition.catalogue.cautions, "the id of a caution")
        if found is None:
            return Markup()
        sources = [self.source(source) for source in found.sources]
        return markup.one_line(self.edition.render("caution.html", caution=found, sources=sources))

    def not_advice(self) -> Markup:
        """The sentence that every page about the law shows."""
        return Markup(
            '<p class="hr-not-advice"><strong>This is not legal advice.</strong> It tells what was read, on which day '
            "and in which copy. The law differs from place to place and changes. Before you buy or fit a part, ask "
            "the authority or a licensed inspection station where the vehicle is registered.</p>"
        )

    def cite(self, identifier: str, where: str = "") -> Markup:
        """A source by its short form, linked to its page."""
        return Markup("{}{}").format(self.source(identifier, "cite"), f", {where}" if where else "")

    def grades(self) -> Markup:
        """All grades, strongest first, as a table."""
        return markup.one_line(self.edition.render("grades.html", grades=list(Grade)))

    def demo(self, identifier: str) -> Markup:
        """The line that marks an invented platform; nothing for one that exists."""
        found = self.find("demo", identifier, self.edition.catalogue.platforms, "the id of a platform")
        if found is None or self.edition.catalogue.grade_of(found) is not Grade.INVENTED:
            return Markup()
        return Markup(
            '<p class="hr-demo">{} is an invented truck for demonstration. '
            "No figure of it describes a real vehicle.</p>"
        ).format(found.title)

    def goto(self, uri: str, words: str, anchor: str = "") -> Markup:
        """A link to a page of the site by its place there, "platforms/hollin-six.md"."""
        if uri not in self.edition.drafts:
            self.unknown("goto", uri, self.edition.drafts, "a page of the site")
            return Markup(escape(words))
        return Markup('<a href="{}">{}</a>').format(markup.link(self.uri, uri, anchor), words)

    def home(self, identifier: str) -> Markup:
        """A link to the page on which a calculator stands."""
        found = self.calculator_of(identifier, "home")
        if found is None:
            return Markup()
        return Markup('<a href="{}">{}</a>').format(markup.link(self.uri, self.edition.homes[identifier]), found.title)

    def tail(self, body: str) -> Markup:
        """The notes of all marks of the page `body`: popovers on a screen, a list of sources on paper."""
        notes = {note.id: note for note in self.notes.values()}
        shown = [notes[name] for name in footnotes.in_order(body, list(notes))]
        return self.edition.render("notes.html", notes=shown) if shown else Markup()

    # --- looking up ------------------------------------------------------------------------------------------------

    def source(self, identifier: str, function: str = "source") -> Markup:
        """A source by its short form, linked to its page; remembered as cited here."""
        sources = self.edition.catalogue.sources
        if identifier in self.edition.references and identifier not in sources:
            return self._work(identifier)
        found = self.find(function, identifier, sources, "the id of a source in docs/data/sources")
        if found is None:
            return Markup()
        self._cites(identifier)
        return Markup('<a href="{}">{}</a>').format(markup.link(self.uri, source_uri(identifier)), found.short)

    def _cites(self, identifier: str) -> None:
        # A page that lists sources for their own sake is no use of them.
        if not self.late:
            self.edition.cites(identifier, self.place)

    def _work(self, identifier: str) -> Markup:
        """A work that a formula rests on, linked to the list of such works or to its own page."""
        if identifier in self.edition.catalogue.sources:
            return self.source(identifier)
        self._cites(identifier)
        reference = self.edition.references[identifier]
        return Markup('<a href="{}"><cite>{}</cite></a>').format(
            markup.link(self.uri, "sources/index.md", f"work-{identifier}"), reference.title
        )

    def calculator_of(self, identifier: str, function: str) -> Calculator | None:
        """A calculator by its id; None, and a problem of `function`, where there is none."""
        return self.find(function, identifier, self.edition.calculators, "the id of a file in calc/calculators")

    def _grade(self, word: str) -> Grade:
        try:
            return Grade(word)
        except ValueError:
            self.unknown("quantity", word, [grade.value for grade in Grade], "a grade")
            return weakest(Grade)

    def find[Found](self, function: str, identifier: str, known: Mapping[str, Found], allowed: str) -> Found | None:
        """What has an id; None, and a problem of `function`, where nothing has."""
        if identifier in known:
            return known[identifier]
        self.unknown(function, identifier, known, allowed)
        return None

    def unknown(self, function: str, given: str, known: Any, allowed: str) -> None:
        """Record that a function was called with what does not exist."""
        self.wrong(function, f"`{given}`, which does not exist", allowed, closest(given, known))

    def wrong(self, function: str, found: str, allowed: str, suggestion: str = "") -> None:
        """Record a problem at the line of the page that is being read."""
        line = page_line(sys._getframe(), self.origin)
        self.edition.problems.append(Problem(self.origin, line, function, found, allowed, suggestion))


def page_line(frame: FrameType | None, name: str) -> int:
    """The line of the template `name` in which the running call stands; 0 when it does not come from there."""
    while frame:
        template = frame.f_globals.get("__jinja_template__")
        if isinstance(template, Template) and template.name == name:
            return template.get_corresponding_lineno(frame.f_lineno)
        frame = frame.f_back
    return 0


def as_pair(shown: Mapping[str, str] | str) -> Pair | str:
    """A text of calc.present as a pair, or as one text when both systems read the same."""
    return shown if isinstance(shown, str) else Pair(shown["us"], shown["si"])


def _split(text: str) -> tuple[float, str]:
    number, _, unit = text.strip().partition(" ")
    value = float(number.replace(",", "").replace("\u2212", "-"))
    unit = unit.strip() or "1"
    for known in units.UNITS.values():
        if unit in (known.symbol, known.label):
            return value, known.symbol
    raise ValueError("a number and a unit, such as 3.5 in")
