"""The planner's terminal.

    python -m calc plan platform=ID use=ID goal="480 hp" [name=value ...] [--json] [--units si|us] [--catalogue PATH]

The catalogue is what the site's build writes. Exit status 2 means that an input could not be used: one line says which.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from pathlib import Path
from typing import Any

from calc import text
from calc.plan.answer import plan
from calc.plan.question import NAMES
from calc.plan.records import Catalogue, CatalogueError
from calc.plan.shown import Said, Shown, as_json
from calc.reading import BadInput, Problem

VARIABLE = "HEADROOM_CATALOGUE"
_MAKES_IT = "python3 -m build_scripts build"


def main(arguments: list[str]) -> int:
    """Run on the arguments behind `plan`; the exit status is 0, or 2 with one line on stderr."""
    parser = argparse.ArgumentParser(prog="python -m calc plan", description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("values", nargs="*", metavar="name=value", help=f"one of {', '.join(NAMES)}")
    parser.add_argument("--json", action="store_true", help="answer in JSON")
    parser.add_argument("--units", choices=("si", "us"), default="si", help="unit system of bare numbers and answers")
    parser.add_argument(
        "--catalogue", type=Path, help=f"the catalogue's JSON; by default ${VARIABLE} or the last build's"
    )
    options = parser.parse_intermixed_args(arguments)
    try:
        catalogue = load(options.catalogue)
        answer = plan(catalogue, _given(options.values), options.units)
    except BadInput as bad:
        more = f" (and {len(bad.problems) - 1} more inputs)" if len(bad.problems) > 1 else ""
        return _refused(f"{bad.problems[0].message}{more}")
    except CatalogueError as error:
        return _refused(f"catalogue: {error}")
    if options.json:
        print(json.dumps(as_json(answer, options.units), indent=2, ensure_ascii=False, allow_nan=False), flush=True)
    else:
        print(_table(answer, options.units), flush=True)
    return 0


def _refused(line: str) -> int:
    print(" ".join(line.split()), file=sys.stderr)
    return 2


def load(path: Path | None = None) -> Catalogue:
    """The catalogue at `path`, where the variable says, or of the last build. Raises CatalogueError."""
    root = Path(__file__).resolve().parents[2]
    named = path or (Path(os.environ[VARIABLE]) if os.environ.get(VARIABLE) else None)
    places = [named] if named else [root / ".build/catalogue.json", root / ".build/site/data/catalogue.json"]
    for place in places:
        try:
            return Catalogue.read(place.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError):
            continue
    given = f"{named} cannot be read" if named else "there is none yet"
    raise CatalogueError(f"{given}; `{_MAKES_IT}` makes it")


def _given(words: list[str]) -> dict[str, str]:
    given: dict[str, str] = {}
    for word in words:
        name, equals, value = word.partition("=")
        if not equals:
            raise BadInput([Problem(word, "", 'name=value, such as goal="480 hp"', "an input needs a value")])
        if name in given:
            raise BadInput([Problem(name, value, ", ".join(NAMES), "this input is given twice")])
        given[name] = value
    return given


def _table(answer: dict[str, Any], system: str) -> str:
    rows = [answer["platform"]["title"], _text(answer["summary"], system), ""]
    for name, item in answer["inputs"].items():
        mark = "  (default)" if item["default"] else ""
        rows.append(f"  {name:12} {_text(item['understood'], system)}{mark}")
        rows += [f"  {'':12} {item['note']}"] if item["note"] else []
    rows += ["", _text(answer["standard"]["sentence"], system)]
    for place in answer["standard"]["places"]:
        rows.append(f"  {place['part']:28} {_text(place['sentence'], system)}")
    rows += ["", answer["at_goal"]["sentence"]]
    for one in answer["plans"]:
        rows += ["", *_plan_rows(one, system)]
    rows += ["", f"{answer['do_nothing']['title']}: {_text(answer['do_nothing']['summary'], system)}"]
    rows += [f"{answer['maintain_first']['title']}: {answer['maintain_first']['summary']}"]
    rows += [f"  - {step}" for step in answer["maintain_first"]["steps"]]
    for title, key in (("Cost against goal", "goal"), ("Cost against margin", "margin")):
        if answer["frontier"][key]:
            rows += ["", title]
            for step in answer["frontier"][key]:
                at = f"{step['goal'].text(system)}" if key == "goal" else f"{100 * step['spare']:.1f} % to spare"
                rows.append(f"  {at:14} {step['cost'].text(system):22} {', '.join(step['modifications']) or 'nothing'}")
    if answer["frontier"]["expensive"]:
        rows += ["", _text(answer["frontier"]["expensive"]["sentence"], system)]
    rows += [f"In the way: {_text(one['sentence'], system)}" for one in answer["in_the_way"]]
    rows += [one["sentence"] for one in answer["too_close"]]
    rows += [f"Left out: {one['title']} ({one['id']}). {one['why']}" for one in answer["left_out"]]
    rows += [f"{one['title']}: {one['value'].text(system)}. {one['sentence']}" for one in answer["stops"]]
    rows += ["", *(f"note: {note}" for note in answer["notes"])]
    return "\n".join(rows).replace(text.NO_BREAK, " ")


def _plan_rows(one: dict[str, Any], system: str) -> list[str]:
    rows = [f"{one['title']}: {one['cost'].text(system)}, {one['labour'].text(system)} of labour"]
    for part in one["parts"]:
        rows.append(f"  {part['title']} ({part['id']}): {_text(part['why'], system)}")
    at = one["operating_point"]
    if at:
        named = ", ".join(
            f"{name.replace('_', ' ')} {value.text(system)}" for name, value in at.items() if isinstance(value, Shown)
        )
        rows.append(f"  at the goal: {named}")
    if one["extra_fuel"]:
        rows.append(f"  {_text(one['extra_fuel']['sentence'], system)}")
    rows.append(f"  {_text(one['closest'], system)}")
    for limit in one["limits"]:
        share = limit["share"]
        used = (
            "no operating point"
            if share["high"] is None
            else f"{100 * share['low']:.0f} to {100 * share['high']:.0f} %"
        )
        rows.append(f"    {limit['part']:28} {used:18} {limit['state']:9} within the margin: {limit['within']}")
    if one["likelihood"]:
        rows.append(f"  {_text(one['likelihood']['sentence'], system)}")
    return rows


def _text(said: Said | str, system: str) -> str:
    return said.text(system) if isinstance(said, Said) else said
