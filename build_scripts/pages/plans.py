"""The planner's answers for one build, and the addresses that lead to them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from build_scripts.pages import markup
from calc.plan.answer import plan
from calc.plan.page import known_version
from calc.plan.question import understand
from calc.plan.records import Catalogue
from calc.plan.vehicle import Vehicle

PLAN = "plan/index.md"
COMPARE = "plan/compare.md"
ADDRESS_EDITION = "1"
"""The edition of the format of addresses; the page's script reads it from the page."""


class Planner:
    """The planner over the catalogue as the build exports it, as JSON; answers are made once."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.known = Catalogue.read(text)
        self.made = known_version(text)
        self._answers: dict[tuple[tuple[str, str], ...], dict[str, Any]] = {}

    @property
    def usable(self) -> bool:
        """Whether there is anything to plan with."""
        return bool(self.known.platforms and self.known.uses and self.known.modifications)

    def answer(self, given: Mapping[str, str], *, brief: bool = False) -> dict[str, Any]:
        """The answer to a question as the planner's own tree. Raises calc.reading.BadInput."""
        key = (*sorted(given.items()), ("", str(brief)))
        if key not in self._answers:
            self._answers[key] = plan(self.known, given, "us", brief=brief)
        return self._answers[key]

    def vehicle(self, platform: str) -> Vehicle:
        """A platform as sold, in a use that pulls where there is one, so that the limits of heat count too."""
        use = next((use.id for use in self.known.uses.values() if use.load), self.first_use())
        return Vehicle(self.known, understand(self.known, {"platform": platform, "use": use}).question)

    def address(self, sheet_uri: str, given: Mapping[str, str]) -> str:
        """The address, from a page, of the plan for a question."""
        kept = {"v": ADDRESS_EDITION, "c": self.made, **given, "units": "us"}
        return f"{markup.link(sheet_uri, PLAN)}#plan?{urlencode(kept)}"

    def first_use(self) -> str:
        """The use that is taken where none is given."""
        return next((name for name in self.known.uses if "mixed" in name), next(iter(self.known.uses)))
