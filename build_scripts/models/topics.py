"""The subjects under which cautions and general figures are filed."""

from __future__ import annotations

from typing import Literal

Topic = Literal[
    "air-intake",
    "calibration",
    "combustion",
    "cooling",
    "cylinder-head",
    "driveline",
    "dynamometer",
    "electrical",
    "emissions",
    "exhaust",
    "fuel-system",
    "hot-parts",
    "hot-work",
    "law",
    "learning",
    "lifting",
    "towing",
    "transmission",
    "turbocharger",
    "ventilation",
]
