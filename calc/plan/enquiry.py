"""What an owner takes to a shop: questions with the answer that should worry, and the plan as plain text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calc.plan.nodes import weakest_in
from calc.plan.wording import inside


@dataclass(frozen=True)
class Question:
    """A question for the installer, and the answer that should make an owner careful."""

    text: str
    worry: str


ALWAYS = (
    Question(
        "Which exact parts, by number, and do they fit this model year, axle and transmission?",
        "“It fits everything.”",
    ),
    Question(
        "Does every emission device stay fitted and working, and does the diagnostic system stay complete?",
        "“We can switch that off.”",
    ),
    Question(
        "How many hours are in the price, and what is not: fluids, gaskets, seized bolts, alignment, towing?",
        "One sum and no hours.",
    ),
    Question(
        "What will you measure before and after, under which conditions, and do I get the records?",
        "“You will feel it.”",
    ),
    Question(
        "At this power, what gives out first on a vehicle like mine, and how will I notice in time?",
        "“Nothing does.”",
    ),
    Question(
        "Who answers for it if something gives out, for how long, and what does it do to warranty and insurance?",
        "“Nobody ever asks.”",
    ),
)
EXEMPTION = Question(
    "What is the exemption number of each part that touches emissions, and does it name my vehicle and model year?",
    "“That is only paperwork.”",
)
LOAD = Question(
    "Are the ratings on the label untouched, and is the trailer I pull inside them?",
    "“With this power you can pull more.”",
)
BY_KIND: Mapping[str, Question] = {
    "calibration": Question(
        "Which limits does the calibration hold (exhaust temperature, boost, rail pressure, torque by gear), and can "
        "the standard one go back?",
        "No list of limits, or no way back.",
    ),
    "turbocharger": Question(
        "How do I learn at what flow and speed the turbocharger ends, and was the oil supply looked at?",
        "A power figure instead of a compressor map.",
    ),
    "injectors": Question(
        "Are the injectors matched, with a flow sheet for each, and are their codes entered in the control unit?",
        "No flow sheet.",
    ),
    "high-pressure-pump": Question(
        "How will you show that rail pressure holds at full load, and how is the system kept clean while open?",
        "“The old one had no problem.”",
    ),
    "lift-pump": Question(
        "What feed pressure do you measure at full load, and what happens on the road if the pump stops?",
        "No gauge on the feed line.",
    ),
    "transmission": Question(
        "What is line pressure before and after, measured where, and which plates and clearances go in?",
        "“Stage so-and-so”, and no figures.",
    ),
    "converter": Question(
        "Which stall speed, how many lock-up faces, and does the control unit know about them?",
        "A stall speed chosen by catalogue picture.",
    ),
    "driveline": Question(
        "Which joints and wall does the shaft have, and who balances it?", "“It is thicker.”",
    ),
    "fasteners": Question(
        "How are the fasteners tightened, with which lubricant, and is the head surface measured?",
        "“As tight as they go.”",
    ),
    "charge-cooler": Question(
        "What pressure does the cooler lose at full flow, and are the pipes tested for leaks afterwards?",
        "Only its size is known.",
    ),
    "intake": Question(
        "What restriction do you measure before the compressor at full load, and is the filter fine enough for dust?",
        "Only a sound and a colour.",
    ),
    "exhaust": Question(
        "Does the work end behind the emission hardware or, for a downpipe, keep every sensor and brick in place?",
        "“We leave that piece out.”",
    ),
    "cooling": Question(
        "Which temperature do you expect at the end of a long grade with the trailer on?", "“Cooler than before.”",
    ),
    "gauges": Question(
        "Where does the probe sit, before or behind the turbine, and what keeps its tip out of the wheel?",
        "“Wherever it is easy.”",
    ),
}  # fmt: skip


def questions(plan: Mapping[str, Any], *, towing: bool) -> list[Question]:
    """The questions that go with a plan: those for everybody, then those for its parts."""
    parts = plan["parts"]
    asked = list(ALWAYS)
    if any(part["emission_status"] != "neutral" for part in parts):
        asked.append(EXEMPTION)
    if towing:
        asked.append(LOAD)
    return asked + [BY_KIND[kind] for kind in dict.fromkeys(part["kind"] for part in parts) if kind in BY_KIND]


def enquiry(answer: Mapping[str, Any], plan: Mapping[str, Any], made: str, system: str, *, towing: bool) -> str:
    """The plan as plain text for a message to a shop; the page adds the address that reopens it."""
    parts = plan["parts"]
    weakest = weakest_in(plan["cost"], plan["parts"])
    lines = [
        "Enquiry: please check and quote",
        "",
        f"Vehicle: {answer['platform']['title']}",
        f"Use: {answer['use']['title']}",
        f"Goal: {answer['goal'].text(system)} at the wheels",
        *(f"{label}: {_understood(answer, name, system)}" for name, label in ASKED.items()),
        "",
        f"{plan['title']}, in order of fitting:",
        *(_part(number, part, system) for number, part in enumerate(parts, 1)),
        *([] if parts else ["nothing to fit"]),
        f"Together: parts {plan['parts_cost'].text(system)}, labour {plan['labour'].text(system)}, "
        f"cost {plan['cost'].text(system)}",
        f"Within its limits: {plan['certainty']}. {plan['closest'].text(system)}",
        "",
        "Please answer:",
        *(f"{number}. {question.text}" for number, question in enumerate(questions(plan, towing=towing), 1)),
        "",
        "Emission hardware stays fitted and working. Ratings on the vehicle's label stay the limit.",
        f"Estimates for planning; weakest grade: {weakest.label}; figures {made}.",
    ]
    return "\n".join(line.replace("\u00a0", " ") for line in lines)


ASKED = {
    "height": "Height",
    "temperature": "Air",
    "labour_rate": "Labour rate taken",
    "budget": "Budget",
    "fitted": "Already fitted",
    "refused": "Not wanted",
}


def _understood(answer: Mapping[str, Any], name: str, system: str) -> str:
    known = answer["inputs"][name]
    default = " (a default)" if known["default"] else ""
    return f"{known['understood'].text(system)}{default}"


def _part(number: int, part: Mapping[str, Any], system: str) -> str:
    status = "" if part["emission_status"] == "neutral" else f" ({inside(STATUS[part['emission_status']])})"
    cost, labour = part["cost"].text(system), part["labour"].text(system)
    return f"{number}. {part['title']}: parts {cost}, labour {labour}{status}"


STATUS: Mapping[str, str] = {
    "neutral": "Touches no emission control",
    "exemption-needed": "Needs a certified exemption for the road",
    "closed-course-only": "Not on public roads",
}
