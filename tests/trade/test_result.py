"""Estimates, comparisons and what beats them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import battery, compression
from assistant.trade.intake import Intake, checked
from assistant.trade.result import Estimate, Input, compare, prefer_manual
from tests.trade import quick

LIMIT = Estimate(9.6, "V", 9.3, 9.9, "a rule of thumb")


def test_a_reading_far_from_the_limit_is_sure() -> None:
    """11 V against 9.6 V is above, and not borderline."""
    found = compare(11.0, LIMIT, 0.2)
    assert ("above", False) == (found.side, found.borderline)
    assert found.sureness > 0.99


def test_a_reading_near_the_limit_is_borderline() -> None:
    """9.5 V against 9.6 V is below, but hardly: it weighs less."""
    found = compare(9.5, LIMIT, 0.2)
    assert ("below", True) == (found.side, found.borderline)
    assert 0.5 <= found.sureness < 0.84


def test_a_reading_on_the_limit_says_nothing() -> None:
    """On the limit itself the chance is even."""
    assert 0.5 == compare(9.6, LIMIT, 0.2).sureness


@quick
@given(st.floats(5, 15), st.floats(5, 15), st.floats(0.01, 1))
def test_farther_from_the_limit_is_surer(one: float, other: float, scatter: float) -> None:
    """Sureness never falls as a reading moves away from the limit on one side."""
    near, far = sorted((abs(one - 9.6), abs(other - 9.6)))
    assert compare(9.6 + near, LIMIT, scatter).sureness <= compare(9.6 + far, LIMIT, scatter).sureness


@quick
@given(st.floats(5, 15), st.floats(0, 1), st.floats(0, 1))
def test_more_scatter_is_less_sure(reading: float, one: float, other: float) -> None:
    """A worse meter never makes a reading surer."""
    small, large = sorted((one, other))
    assert compare(reading, LIMIT, large).sureness <= compare(reading, LIMIT, small).sureness + 1e-12


def test_the_manual_wins_and_the_answer_says_so() -> None:
    """The manual's figure replaces the rule of thumb, which is still named."""
    found = battery.cranking_volts_limit(20, manual=10.2)
    assert 10.2 == found.value
    assert ("your-manual",) == found.source
    assert "9.58 V" in found.formula and "service manual" in found.formula
    assert prefer_manual(LIMIT, None) is LIMIT


def test_the_manual_must_be_a_number() -> None:
    """A slip of typing is refused in plain words."""
    with pytest.raises(ValueError, match="manual is not a number"):
        prefer_manual(LIMIT, math.nan)


def test_what_was_assumed_is_told() -> None:
    """Given and assumed inputs are kept apart, each in words."""
    found = compression.cranking_pressure(9.5, altitude_m=1200)
    assert {"compression ratio", "height above the sea"} == {i.name for i in found.given}
    assert "temperature" in {i.name for i in found.assumed}
    assert "temperature 20 C (assumed)" in {i.text() for i in found.assumed}


def test_a_spread_that_does_not_hold_the_value_is_our_mistake() -> None:
    """It is caught where it is made."""
    with pytest.raises(AssertionError):
        Estimate(1.0, "V", 2.0, 3.0, "")


def test_an_estimate_is_a_float_and_scales() -> None:
    """float() gives the value, and another unit takes the spread along."""
    assert 9.6 == float(LIMIT)
    assert Estimate(9600, "mV", 9300, 9900, "a rule of thumb") == LIMIT.times(1000, "mV")


@pytest.mark.parametrize("value", [math.nan, math.inf, True, "12", None])
def test_what_is_no_number_is_refused(value: object) -> None:
    """Neither words nor endless numbers get in."""
    with pytest.raises(ValueError):
        checked("a battery voltage", value, "V", 0, 18, "measure again")  # type: ignore[arg-type]


def test_missing_and_wrong_words() -> None:
    """What is needed is asked for, and a wrong word gets the list of right ones."""
    intake = Intake()
    with pytest.raises(ValueError, match="stroke is needed for this: read the handbook"):
        intake.take("stroke", None, "mm", 0, 100, "read the handbook")
    with pytest.raises(ValueError, match="one of red, blue"):
        intake.choose("colour", "green", ("red", "blue"), "red")
    assert (Input("colour", "red", "", True),) == (intake.choose("colour", None, ("red", "blue"), "red") and intake.all())
