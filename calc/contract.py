"""The shape of a calculator: a pure function whose annotations carry names, units, ranges and meaning.

A calculator file holds one function under `@calculator(...)`. Its parameters are annotated with `Quantity`, `Readings`
or `Choice`, its result is a frozen dataclass whose fields are annotated with `Output`, or with `Part` where one holds
outputs of its own. Form, table of units, range check, terminal, browser and documentation are all made from these
annotations, so each fact stands once.
"""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from calc import units
from calc.provenance import Grade, Reference, weakest


class Impossible(ValueError):
    """The values contradict each other or physics, each being in range by itself.

    The message is a plain sentence that says why; `inputs` names the parameters that a reader would change.
    """

    def __init__(self, why: str, inputs: Sequence[str] = ()) -> None:
        super().__init__(why)
        self.inputs = tuple(inputs)


@dataclass(frozen=True, kw_only=True)
class _Shown:
    """A quantity with the units it is shown in; `unit` is the coherent unit of the computation.

    `along` names a scale that it shares with others of its calculator: a picture draws them as bars of one scale.
    """

    unit: str
    name: str
    meaning: str
    us: str = ""
    si: str = ""
    symbol: str = ""
    along: str = ""

    def shown_unit(self, system: str) -> str:
        """The unit shown in "us" or "si"."""
        return (self.us if system == "us" else self.si) or self.unit

    def _check_units(self) -> None:
        dimensions = {
            units.unit(symbol).dimension for symbol in (self.unit, self.us or self.unit, self.si or self.unit)
        }
        if len(dimensions) > 1:
            raise ValueError(f"{self.name}: units of different dimensions {sorted(dimensions)}")


@dataclass(frozen=True, kw_only=True)
class Quantity(_Shown):
    """A number with a unit that a reader gives.

    `low` and `high` (in `unit`) are what the formula can answer, not what is wise. `grade` and `note` say where the
    default comes from. `monotone` is False where an output may rise and fall again inside a range of this input: the
    corners of a range then do not enclose the results, and the inside is sampled. `whole` wants a whole number.
    `typical` (low, high) makes the default a range, whose middle the function's own default must be.
    """

    low: float
    high: float
    grade: Grade = Grade.PRACTICE
    note: str = ""
    monotone: bool = True
    whole: bool = False
    typical: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        self._check_units()
        if not self.low < self.high:
            raise ValueError(f"{self.name}: low {self.low} is not below high {self.high}")


@dataclass(frozen=True, kw_only=True)
class Readings(Quantity):
    """Several numbers of one quantity, such as the pulls of a dynamometer session; the function gets a tuple."""

    least: int = 1
    most: int = 50


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of a few named options; `options` maps the word that is typed to what it means."""

    name: str
    meaning: str
    options: Mapping[str, str]
    grade: Grade = Grade.PRACTICE
    note: str = ""
    symbol: str = ""


Kind = Quantity | Choice


@dataclass(frozen=True, kw_only=True)
class Output(_Shown):
    """A result. `part_of` names the output that this one is a share of; `group` puts related results together.

    The unit "text" marks a sentence or a word, "bool" a yes or no. The function may answer None, which is "no answer",
    or, where the quantity has no upper end there, the words of `unbounded`: a payback that comes "never". `whole`
    marks a count.
    """

    digits: int = 3
    group: str = ""
    part_of: str = ""
    unbounded: str = ""
    whole: bool = False

    def __post_init__(self) -> None:
        self._check_units()


@dataclass(frozen=True)
class Part:
    """Marks a field of a result that is itself a dataclass of outputs, such as the stations of one operating point.

    Its outputs are those of the calculator under "field.output", and `name` stands before their names.
    """

    name: str = ""


@dataclass(frozen=True)
class Symbol:
    """A symbol of a formula, as TeX, with its meaning and the printable unit it stands in."""

    tex: str
    meaning: str
    unit: str = ""


@dataclass(frozen=True)
class Formula:
    """A formula as TeX, what it says, its symbols, and the reference it is taken from."""

    tex: str
    says: str
    where: tuple[Symbol, ...]
    reference: Reference


@dataclass(frozen=True, kw_only=True)
class Curve:
    """A chart worth more than a number: outputs against one input, all other inputs as given.

    `vary` runs over its whole range or over `span` (in the input's unit); with `compare`, one line is drawn for each
    of `values` of that input beside the one given. `outputs` share one axis.
    """

    title: str
    vary: str
    outputs: tuple[str, ...]
    span: tuple[float, float] | None = None
    compare: str = ""
    values: tuple[float | str, ...] = ()
    points: int = 25


@dataclass(frozen=True)
class Input:
    """A parameter of a calculator: its name in code, its kind and its default (in the kind's unit).

    `blank` tells that the function takes None, so that nothing is an answer although the default is something.
    """

    name: str
    kind: Kind
    default: Any
    blank: bool = False

    @property
    def optional(self) -> bool:
        """Whether an empty field is an answer."""
        return self.blank or self.default is None


@dataclass(frozen=True)
class Calculator:
    """A discovered calculator with everything a page, a terminal or a test needs to know about it."""

    id: str
    title: str
    question: str
    function: Callable[..., Any]
    inputs: Mapping[str, Input]
    outputs: Mapping[str, Output]
    formulas: tuple[Formula, ...]
    valid: str
    references: tuple[Reference, ...]
    cautions: tuple[str, ...]
    related: tuple[str, ...]
    curves: tuple[Curve, ...]
    formula_grade: Grade


def calculator(
    *,
    title: str,
    question: str,
    formulas: tuple[Formula, ...],
    valid: str,
    references: tuple[Reference, ...] = (),
    constants: tuple[Any, ...] = (),
    cautions: tuple[str, ...] = (),
    related: tuple[str, ...] = (),
    curves: tuple[Curve, ...] = (),
) -> Callable[[Callable[..., Any]], Calculator]:
    """Turn an annotated pure function into a Calculator whose id is the name of its module, with hyphens.

    `valid` says where the model stops being true, `constants` are the graded constants the function uses, `cautions`
    and `related` are ids of caution records and of other calculators. Raises TypeError at import when an annotation
    is missing: a calculator that does not describe itself must not exist.
    """

    def wrap(function: Callable[..., Any]) -> Calculator:
        hints = get_type_hints(function, include_extras=True)
        result_type = hints.pop("return")
        inputs = {
            name: _input(name, hints[name], parameter.default)
            for name, parameter in inspect.signature(function).parameters.items()
        }
        outputs = _outputs(result_type)
        cited = {reference.id: reference for reference in (*(f.reference for f in formulas), *references)}
        grades = [reference.grade for reference in cited.values()] + [constant.grade for constant in constants]
        for constant in constants:
            if constant.reference is not None:
                cited.setdefault(constant.reference.id, constant.reference)
        made = Calculator(
            id=function.__module__.rpartition(".")[2].replace("_", "-"),
            title=title,
            question=question,
            function=function,
            inputs=inputs,
            outputs=outputs,
            formulas=formulas,
            valid=valid,
            references=tuple(cited.values()),
            cautions=cautions,
            related=related,
            curves=curves,
            formula_grade=weakest(grades),
        )
        _check_names(made)
        return made

    return wrap


def _annotation(name: str, hint: Any, wanted: tuple[type, ...]) -> Any:
    if get_origin(hint) is Annotated:
        for extra in get_args(hint)[1:]:
            if isinstance(extra, wanted):
                return extra
    raise TypeError(f"{name}: annotate it with one of {', '.join(kind.__name__ for kind in wanted)}")


def _input(name: str, hint: Any, default: Any) -> Input:
    if default is inspect.Parameter.empty:
        raise TypeError(f"{name}: every input needs a default, so that a page can be computed before anyone types")
    blank = type(None) in get_args(get_args(hint)[0]) if get_origin(hint) is Annotated else False
    return Input(name, _annotation(name, hint, (Quantity, Choice)), default, blank)


def _outputs(result_type: Any) -> dict[str, Output]:
    if not dataclasses.is_dataclass(result_type):
        raise TypeError(f"{result_type!r}: a calculator returns a dataclass of annotated outputs")
    hints = get_type_hints(result_type, include_extras=True)
    found: dict[str, Output] = {}
    for field in dataclasses.fields(result_type):
        if field.name == "warnings":
            continue
        kind = _annotation(field.name, hints[field.name], (Output, Part))
        if isinstance(kind, Output):
            found[field.name] = kind
            continue
        inner = _outputs(get_args(hints[field.name])[0])
        found |= {f"{field.name}.{name}": _named(output, kind.name) for name, output in inner.items()}
    return found


def _named(output: Output, before: str) -> Output:
    if not before:
        return output
    return dataclasses.replace(output, name=f"{before}: {output.name[:1].lower()}{output.name[1:]}")


def _check_names(made: Calculator) -> None:
    for name, output in made.outputs.items():
        if output.part_of and output.part_of not in made.outputs:
            raise TypeError(f"{made.id}: {name} is part of {output.part_of!r}, which is no output")
    for curve in made.curves:
        for name in (curve.vary, *([curve.compare] if curve.compare else [])):
            if name not in made.inputs:
                raise TypeError(f"{made.id}: curve {curve.title!r} names {name!r}, which is no input")
        for name in curve.outputs:
            if name not in made.outputs:
                raise TypeError(f"{made.id}: curve {curve.title!r} names {name!r}, which is no output")
