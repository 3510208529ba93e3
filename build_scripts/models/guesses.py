"""Texts that look like a number or a truth, and why they are not read as one."""

from __future__ import annotations

import re

_GUESSES = (
    (r"(?i:y|yes|on)", "older YAML reads it as true"),
    (r"(?i:n|no|off)", "older YAML reads it as false"),
    (r"[-+]?[0-9]+(?::[0-5]?[0-9])+(?:\.[0-9]*)?", "older YAML reads it as a count of sixtieths"),
    (r"[-+]?0[xXbBoO][0-9a-fA-F_]+", "older YAML reads it as a number in another base"),
    (r"[-+]?0[0-9]+", "older YAML reads it as an octal number"),
    (r"[-+]?[0-9][0-9_]*_[0-9_]*(?:\.[0-9_]*)?", "older YAML drops the underscores"),
    (r"[-+]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?", "write it without the comma between thousands"),
    (r"[-+]?[0-9]+,[0-9]+", "write the decimal sign as a point"),
    (r"[-+]?(?:\.[0-9]+|[0-9]+\.)", "write a digit on both sides of the decimal point"),
    (r"(?i:[-+]?\.?inf|\.?nan)", "that is no number that can be measured"),
    (r"[-+]?[0-9]+(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?", "quotes make it a text: write it without them"),
    (r"[-+]?[0-9.]+\s*[^\s0-9.][^\s]*", "write the unit under `unit`, the number alone here"),
)


def refused_guess(text: str) -> str:
    """Why a text that looks like a number or a truth is not read as one; empty when it does not look so."""
    for pattern, reason in _GUESSES:
        if re.fullmatch(pattern, text.strip()):
            return reason
    return ""
