"""The root finder, tables over speed, and constants that know where they come from."""

from __future__ import annotations

import math

import pytest
import scipy.optimize
from hypothesis import given
from hypothesis import strategies as st

from calc import constants
from calc.constants import Constant
from calc.provenance import Grade
from calc.solve import NoBalance, bracketed, interpolate


@given(st.floats(0.1, 5.0), st.floats(-3.0, 3.0))
def test_root_against_the_library(steepness: float, root: float) -> None:
    def f(x: float) -> float:
        return math.expm1(steepness * (x - root)) + (x - root) ** 3

    assert bracketed(f, -4.0, 5.0) == pytest.approx(root, abs=1e-8)
    assert bracketed(f, 5.0, -4.0) == pytest.approx(scipy.optimize.brentq(f, -4.0, 5.0, xtol=1e-12), abs=1e-8)


@given(st.floats(-0.9, 0.9))
def test_root_of_a_jump_is_the_jump(jump: float) -> None:
    assert bracketed(lambda x: 1.0 if x > jump else -1.0, -1.0, 1.0) == pytest.approx(jump, abs=1e-8)


def test_root_at_an_end_and_no_root() -> None:
    assert bracketed(lambda x: x, 0.0, 1.0) == 0.0
    assert bracketed(lambda x: x - 1.0, 0.0, 1.0) == 1.0
    with pytest.raises(NoBalance):
        bracketed(lambda x: x * x + 1.0, -1.0, 1.0)
    with pytest.raises(NoBalance):
        bracketed(lambda x: math.nan, -1.0, 1.0)


def test_tables_over_speed() -> None:
    table = ((1000.0, 0.8), (2000.0, 0.9), (3000.0, 0.7))
    for speed, value in ((500.0, 0.8), (1000.0, 0.8), (1500.0, 0.85), (2500.0, 0.8), (4000.0, 0.7)):
        assert interpolate(table, speed) == pytest.approx(value)
    assert interpolate(0.5, 1234.0) == 0.5
    assert interpolate(1, 1234.0) == 1.0


ALL = [value for value in vars(constants).values() if isinstance(value, Constant)]


@pytest.mark.parametrize("constant", ALL, ids=lambda constant: constant.name)
def test_constants_say_what_they_are(constant: Constant) -> None:
    assert constant.name
    assert constant.unit
    assert math.isfinite(constant)
    assert type(constant * 1.0) is float
    if constant.reference is None:
        assert constant.grade is Grade.STANDARD
    else:
        assert constant.grade.rank >= constant.reference.grade.rank


def test_there_are_constants() -> None:
    assert len(ALL) > 15
