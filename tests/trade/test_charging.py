"""Charging: the window, the alternator, the balance."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import charging
from tests.trade import quick

KIND = st.sampled_from(charging.KINDS)


@quick
@given(KIND, st.floats(-50, 60), st.floats(-50, 60))
def test_the_window_falls_with_warmth(kind: str, one: float, other: float) -> None:
    """Neither end rises as it gets warmer, and the low end is always under the high one."""
    cold, warm = sorted((one, other))
    assert charging.regulated_window_low(cold, kind).value >= charging.regulated_window_low(warm, kind).value
    assert charging.regulated_window_high(cold, kind).value >= charging.regulated_window_high(warm, kind).value
    assert charging.regulated_window_low(warm, kind).value < charging.regulated_window_high(warm, kind).value


def test_fifteen_volts_pass_in_frost_and_not_in_summer() -> None:
    """15.1 V is right at -10 C and too much at 30 C."""
    assert charging.regulated_window_high(-10).value > 15.1 > charging.regulated_window_high(30).value


def test_lithium_does_not_follow_the_temperature() -> None:
    """Its window stays put, and its top is lower than that of lead."""
    assert charging.regulated_window_high(-20, "lithium-iron").value == charging.regulated_window_high(40, "lithium-iron").value == 14.6


def test_the_manual_beats_the_window() -> None:
    """A manual's 14.0 V is taken."""
    assert 14.0 == charging.regulated_window_low(10, manual=14.0).value


def test_no_battery_no_window() -> None:
    """Without a battery there is nothing to regulate for."""
    with pytest.raises(ValueError, match="without a battery"):
        charging.regulated_window_low(20, "none")


@quick
@given(st.floats(0, 20000), st.floats(0, 20000))
def test_the_alternator_makes_more_at_higher_revs(one: float, other: float) -> None:
    """Volts and watts never fall as the revs rise."""
    low, high = sorted((one, other))
    assert charging.alternator_ac(low).value <= charging.alternator_ac(high).value
    assert charging.watts_in(low).value <= charging.watts_in(high).value


@quick
@given(st.floats(50, 800), st.floats(3000, 8000), st.floats(500, 1800))
def test_rated_output_at_rated_speed_and_nothing_below_cut_in(watts: float, rpm: float, cut_in: float) -> None:
    """The curve goes through what the handbook says, and starts at the cut-in speed."""
    assert watts == pytest.approx(charging.watts_in(rpm, watts, rpm, cut_in).value)
    assert 0 == charging.watts_in(cut_in, watts, rpm, cut_in).value


def test_a_reading_needs_its_revs() -> None:
    """Volts without revs say nothing."""
    with pytest.raises(ValueError, match="give both"):
        charging.alternator_ac(4000, 40)


def test_diodes_take_their_share() -> None:
    """Two diodes of 0.7 V cost 1.4 V, and never make it negative."""
    assert charging.rectified(20, 3).value - 1.4 == pytest.approx(charging.rectified(20, 3, 0.7).value)
    assert 0 == charging.rectified(0.5, 3, 1.0).value
    with pytest.raises(ValueError, match="count the stator wires"):
        charging.rectified(20, 2)


def test_phases_are_compared() -> None:
    """Like phases agree; one at half is called weak; two readings or all zero are refused."""
    assert "agree" in charging.phase_balance([60, 61, 59]).note
    assert "weak" in charging.phase_balance([60, 60, 30]).note
    with pytest.raises(ValueError, match="all three"):
        charging.phase_balance([60, 60])
    with pytest.raises(ValueError, match="not on AC"):
        charging.phase_balance([0, 0, 0])


def test_idle_does_not_pay_for_the_headlamp_and_the_road_does() -> None:
    """With usual figures a machine loses or breaks even at idle and charges at 4000 rpm."""
    assert charging.power_balance(1100, 150).value < 0 < charging.power_balance(4000, 150).value
    assert "runs the battery down" in charging.power_balance(800).note
    assert "charges" in charging.power_balance(5000).note


def test_loads_add_up() -> None:
    """Names and watts may be mixed; unknown names are refused."""
    assert 65.0 == charging.watts_used(["headlamp", 10.0]).value
    assert 30.0 == charging.watts_used({"grips": 30.0}).value
    with pytest.raises(ValueError, match="give its watts"):
        charging.watts_used(["toaster"])
