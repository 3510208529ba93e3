"""Reading YAML without a guess, and saying on which line something is wrong."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from build_scripts.loading import Document, read, read_text
from build_scripts.models.problem import DataErrors, Problem


def value_of(text: str) -> object:
    """What the loader makes of one value."""
    return read_text(f"a: {text}\n", "x.yaml").value["a"]


def problems_of(text: str) -> list[Problem]:
    """The problems of a text that must have some."""
    with pytest.raises(DataErrors) as caught:
        read_text(text, "x.yaml")
    return caught.value.problems


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("6", 6),
        ("-6", -6),
        ("6.30", 6.3),
        ("9e2", 900.0),
        ("1.2E-3", 0.0012),
        ("true", True),
        ("false", False),
        ("2026-11-24", datetime.date(2026, 11, 24)),
        ('"12"', "12"),
        ("null", None),
        ("", None),
        ("[1, 2.5]", [1, 2.5]),
    ],
)
def test_what_reads_in_one_way_only_is_read(text: str, value: object) -> None:
    found = value_of(text)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    "text",
    [
        *("no", "No", "on", "off", "yes", "y", "True", "FALSE", "12:30", "12:30.5", "0x10", "0b1", "0o17", "010"),
        *("1_000", ".5", "5.", ".inf", ".nan", "+.inf", "1,000", "2026-11-24T10:00:00", "2026-1-4", "=", "<<"),
    ],
)
def test_what_older_yaml_guesses_stays_text(text: str) -> None:
    assert value_of(text) == text


@pytest.mark.parametrize("key", ["no", "on", "y", "<<"])
def test_a_key_is_never_a_truth(key: str) -> None:
    assert read_text(f"{key}: 1\n", "x.yaml").value == {key: 1}


def test_a_repeated_key_names_both_lines() -> None:
    (problem,) = problems_of("a: 1\nb:\n  c: 1\n  d: 2\n  c: 3\n")
    assert (problem.line, problem.field) == (5, "b.c")
    assert "line 3" in str(problem)
    assert "line 5" in str(problem)


def test_a_decimal_comma_is_called_by_its_name() -> None:
    """Between braces a comma ends the value, so that the digits behind it look like a key."""
    (problem,) = problems_of("a: {value: 6,3, unit: L}\n")
    assert "a point, not a comma" in str(problem)


def test_every_problem_of_a_file_is_found_at_once() -> None:
    found = problems_of("a: 1\na: 2\nb: 2026-02-30\n1: x\nc: &name 3\nd: *name\ne: !tag 4\nf: 1e400\n")
    assert [problem.line for problem in found] == [2, 3, 4, 5, 6, 7, 8]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a: 1\nb: [1, 2\nc: 3\n", 3),
        ("a: 1\n\tb: 2\n", 2),
        ("a: b: c\n", 1),
        ("a: 1\n---\nb: 2\n", 2),
        ('a: "open\n', 2),
        ("- 1\n- 2\n", 1),
        ("", 1),
        ("just words\n", 1),
        ("a: *missing\n", 1),
        ("a: 1\nb: x\x07y\n", 2),
        ("a: " + "9" * 5000, 1),
    ],
)
def test_a_fault_of_syntax_is_a_line_and_no_traceback(text: str, line: int) -> None:
    (problem,) = problems_of(text)
    assert (problem.file, problem.line) == ("x.yaml", line)
    assert "\n" not in str(problem)


def test_bytes_that_are_no_text_are_a_line_too(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_bytes(b"a: 1\nb: \xff\xfe\n")
    with pytest.raises(DataErrors) as caught:
        read(tmp_path / "x.yaml", tmp_path)
    assert str(caught.value).startswith("x.yaml:2: ")


def test_lines_of_keys_and_values() -> None:
    document = read_text(
        "# one\na:\n  b:\n    c: {d: 1,\n        e: 2}\n    f:\n      - 1\n      - 2\ng: >-\n  x\n  y\n", "x.yaml"
    )
    places: dict[tuple[str | int, ...], int] = {
        ("a",): 2,
        ("a", "b"): 3,
        ("a", "b", "c"): 4,
        ("a", "b", "c", "d"): 4,
        ("a", "b", "c", "e"): 5,
        ("a", "b", "f", 1): 8,
        ("g",): 9,
    }
    assert {path: document.line(path) for path in places} == places


def test_a_missing_value_has_the_line_of_the_key_above() -> None:
    document = read_text("a: 1\nb:\n  c: 2\n", "x.yaml")
    assert document.line(("b", "missing", "deeper")) == 2
    assert document.line(("missing",)) == 1
    assert Document("x.yaml", {}).line(("a",)) == 1


def test_errors_are_sorted_and_joined_by_line() -> None:
    error = DataErrors(
        [Problem("b", 2, "", "x", "y"), Problem("a", 9, "f", "x", "y", "z"), Problem("a", 1, "", "x", "y")]
    )
    assert str(error).splitlines() == [
        "a:1: found x; allowed: y.",
        "a:9: f: found x; allowed: y. Did you mean z?",
        "b:2: found x; allowed: y.",
    ]
