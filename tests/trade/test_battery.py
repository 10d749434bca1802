"""Battery, acid and drain: how they move, where they end, what they refuse."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import acid, battery, drain
from assistant.trade.result import compare
from tests.trade import quick

KIND = st.sampled_from(battery.KINDS)
CELSIUS = st.floats(-40, 60)


def ordered(a: float, b: float) -> tuple[float, float]:
    return (a, b) if a <= b else (b, a)


@quick
@given(KIND, st.floats(0, 9), st.floats(0, 9))
def test_more_volts_never_mean_less_charge(kind: str, one: float, other: float) -> None:
    """State of charge rises with volts at rest, whatever the kind."""
    scale = 1 if kind == "6-volt" else 2
    low, high = ordered(one, other)
    assert battery.state_of_charge(scale * low, kind).value <= battery.state_of_charge(scale * high, kind).value


@quick
@given(KIND, st.floats(0, 100))
def test_charge_and_volts_are_inverse(kind: str, charge: float) -> None:
    """Volts of a charge lead back to that charge."""
    volts = battery.resting_volts(charge, kind).value
    assert charge == pytest.approx(battery.state_of_charge(volts, kind).value, abs=1e-6)


@quick
@given(KIND, CELSIUS, CELSIUS)
def test_limits_move_one_way_with_temperature(kind: str, one: float, other: float) -> None:
    """Colder asks more volts at rest, and allows fewer while cranking and under load."""
    cold, warm = ordered(one, other)
    assert battery.resting_volts_good(kind, cold).value >= battery.resting_volts_good(kind, warm).value
    assert battery.cranking_volts_limit(cold, kind).value <= battery.cranking_volts_limit(warm, kind).value
    if kind != "lithium-iron":
        assert battery.load_test_limit(cold, kind).value <= battery.load_test_limit(warm, kind).value


def test_the_first_look_passes_at_twelve_volts() -> None:
    """With nothing known, 12.0 V passes as a first look."""
    assert 12.0 == battery.resting_volts_good().value


def test_the_same_reading_means_different_things_on_two_batteries() -> None:
    """12.3 V passes on a flooded battery and not on a lithium one; at -10 C not on a sealed one either."""
    assert battery.resting_volts_good("flooded", 15).value < 12.3
    assert battery.resting_volts_good("lithium-iron", 15).value > 12.3
    assert battery.resting_volts_good("agm", 20).value < 12.3 < battery.resting_volts_good("agm", -10).value


def test_is_11_9_enough_at_minus_5() -> None:
    """At rest it is not, and it is borderline for nobody; while cranking it is ample."""
    assert "below" == compare(11.9, battery.resting_volts_good("flooded", -5), 0.1).side
    assert compare(11.9, battery.cranking_volts_limit(-5), 0.2).side == "above"


def test_a_battery_may_not_be_negative() -> None:
    """The sentence tells the rider what to check."""
    with pytest.raises(ValueError, match="^a battery voltage of -5 V cannot be: check which way round the probes were$"):
        battery.state_of_charge(-5)


def test_no_battery_no_limit() -> None:
    """A machine without a battery has no battery volts to judge."""
    for refuse in (battery.resting_volts_good, drain.self_discharge_days):
        with pytest.raises(ValueError, match="without a battery"):
            refuse("none")


def test_gel_counts_as_sealed() -> None:
    """Gel and AGM share a table."""
    assert battery.state_of_charge(12.4, "agm") == battery.state_of_charge(12.4, "gel")


def test_a_freshly_charged_battery_is_asked_to_rest() -> None:
    """13.4 V at rest on lead is surface charge."""
    assert "settle" in battery.state_of_charge(13.4).note


def test_a_lithium_battery_is_not_put_on_a_lead_tester() -> None:
    """Nor is there acid in it that could freeze."""
    with pytest.raises(ValueError, match="meant for lithium"):
        battery.load_test_limit(20, "lithium-iron")
    with pytest.raises(ValueError, match="no acid"):
        acid.freezing_point_at_volts(12.8, "lithium-iron")


@quick
@given(st.floats(11, 13), st.floats(0.1, 6), st.floats(10, 300))
def test_inner_resistance_rises_with_the_dip(rest: float, dip: float, amps: float) -> None:
    """A deeper dip at the same amps is a greater resistance, and the spread holds it."""
    found = battery.internal_resistance(rest, rest - dip, amps)
    assert 1000 * dip / amps == pytest.approx(found.value)
    assert found.low <= found.value <= found.high


def test_volts_that_do_not_fall_say_that_no_current_flowed() -> None:
    """Equal readings are refused with the likely reason."""
    with pytest.raises(ValueError, match="no current flowed"):
        battery.internal_resistance(12.5, 12.5)


def test_a_label_says_what_resistance_is_healthy() -> None:
    """More cold-cranking amps, less resistance; colder, more."""
    assert battery.healthy_resistance(300).value < battery.healthy_resistance(100).value
    assert battery.healthy_resistance(100, -10).value > battery.healthy_resistance(100, 20).value


@quick
@given(st.floats(1.0, 1.4), st.floats(1.0, 1.4))
def test_weaker_acid_freezes_sooner(one: float, other: float) -> None:
    """Lower density, higher freezing point."""
    low, high = ordered(one, other)
    assert acid.freezing_point(low).value >= acid.freezing_point(high).value


@quick
@given(st.floats(10, 13.2), st.floats(10, 13.2))
def test_an_emptier_battery_freezes_sooner(one: float, other: float) -> None:
    """Fewer volts, higher freezing point."""
    low, high = ordered(one, other)
    assert acid.freezing_point_at_volts(low).value >= acid.freezing_point_at_volts(high).value


def test_a_flat_battery_may_be_ice_where_a_full_one_is_not() -> None:
    """At -15 C 11.7 V may be frozen, 12.6 V not."""
    assert "thaw" in acid.freezing_margin(11.5, -20).note
    assert "No danger" in acid.freezing_margin(12.6, -20).note


@quick
@given(st.floats(1.05, 1.35), CELSIUS, CELSIUS)
def test_correction_rises_with_temperature(sg: float, one: float, other: float) -> None:
    """A warmer acid gets more added; at 25 C nothing."""
    cold, warm = ordered(one, other)
    assert acid.corrected_sg(sg, cold).value <= acid.corrected_sg(sg, warm).value
    assert sg == pytest.approx(acid.corrected_sg(sg, 25).value)


@quick
@given(st.floats(1.05, 1.30), st.floats(1.05, 1.30))
def test_denser_acid_never_means_less_charge(one: float, other: float) -> None:
    """Charge rises with density."""
    low, high = ordered(one, other)
    assert acid.charge_from_sg(low).value <= acid.charge_from_sg(high).value


@pytest.mark.parametrize("sg", [0.9, 1.5, 12.6])
def test_impossible_densities_are_refused(sg: float) -> None:
    """Density lies between water and strong acid."""
    for refuse in (acid.corrected_sg, acid.freezing_point, acid.volts_from_sg, acid.charge_from_sg):
        with pytest.raises(ValueError, match="specific gravity"):
            refuse(sg)


@pytest.mark.parametrize("readings", [[1.2], [1.2] * 7, [1.2, 2.0]])
def test_a_spread_needs_one_density_for_each_cell(readings: list[float]) -> None:
    """One number, seven numbers or nonsense are refused."""
    with pytest.raises(ValueError):
        acid.cell_spread(readings)


@quick
@given(KIND, st.floats(1, 500), st.floats(1, 500), st.floats(2, 40))
def test_a_greater_drain_empties_it_sooner(kind: str, one: float, other: float, capacity: float) -> None:
    """Days fall as the drain rises, and self-discharge never makes it last longer."""
    low, high = ordered(one, other)
    assert drain.days_to_flat(low, capacity, kind=kind).value >= drain.days_to_flat(high, capacity, kind=kind).value
    assert drain.days_to_flat(low, capacity, kind=kind).value <= drain.days_to_flat(low, capacity, kind=kind, self_discharge=False).value


def test_how_long_with_a_40_ma_drain() -> None:
    """A 10 Ah battery is flat after about ten days, and the starter gives up after five."""
    found = drain.days_to_flat(40)
    assert 9 <= found.value <= 11
    assert "about half: after some 5 days" in found.note
    assert "capacity of the battery" in {i.name for i in found.assumed}


@quick
@given(st.floats(1, 60), st.floats(5, 40))
def test_the_allowed_drain_leaves_half(days: float, capacity: float) -> None:
    """With the allowed drain half the charge is gone after just so many days."""
    allowed = drain.greatest_drain_ma(days, capacity, "agm", 20).value
    assert days == pytest.approx(drain.days_to_flat(allowed, capacity, 50, "agm", 20).value, rel=1e-6)


def test_a_winter_of_self_discharge_leaves_no_room_for_a_drain() -> None:
    """A flooded battery loses half by itself in 120 warm days."""
    with pytest.raises(ValueError, match="maintenance charger"):
        drain.greatest_drain_ma(120, 10, "flooded", 25)


def test_no_drain_never_ends() -> None:
    """Nothing that leaves means no day to name."""
    with pytest.raises(ValueError, match="give the current"):
        drain.days_to_flat(0, self_discharge=False)


@quick
@given(KIND, st.floats(-20, 60), st.floats(-20, 60))
def test_warmth_empties_a_standing_battery(kind: str, one: float, other: float) -> None:
    """Self-discharge is faster when warmer."""
    cold, warm = ordered(one, other)
    assert drain.self_discharge_days(kind, cold).value >= drain.self_discharge_days(kind, warm).value


@quick
@given(st.floats(0.1, 50), st.floats(0.1, 50), st.floats(1.0, 1.4))
def test_the_exponent_is_found_again(one: float, factor: float, n: float) -> None:
    """Two discharges made with an exponent give that exponent back."""
    other = one * (1 + factor)
    t1, t2 = (drain.hours_at_load(i, 100, 20, n).value for i in (one, min(other, 500)))
    assert n == pytest.approx(drain.peukert_exponent(t1, one, t2, min(other, 500)).value, abs=1e-6)


def test_two_discharges_must_differ() -> None:
    """The same current twice says nothing."""
    with pytest.raises(ValueError, match="another one"):
        drain.peukert_exponent(20, 5, 19, 5)


@quick
@given(KIND, st.floats(0.1, 10), st.floats(0, 100), st.floats(0, 100))
def test_charging_takes_longer_from_emptier(kind: str, amps: float, one: float, other: float) -> None:
    """The emptier, the longer; and it never takes less than the plain division."""
    low, high = ordered(one, other)
    assert drain.hours_to_charge(amps, 10, low, kind=kind).value >= drain.hours_to_charge(amps, 10, high, kind=kind).value
    assert drain.hours_to_charge(amps, 10, low, kind=kind).low >= 10 * (100 - low) / 100 / amps - 1e-9


def test_a_strong_charger_on_a_small_battery_is_warned_about() -> None:
    """8 A into 10 Ah is too much for lead."""
    assert "too strong" in drain.hours_to_charge(8, 10).note
    assert "kind current" in drain.hours_to_charge(1, 10).note
    with pytest.raises(ValueError, match="already"):
        drain.hours_to_charge(1, 10, 90, 50)


def test_a_lamp_left_on_overnight_takes_it_all() -> None:
    """5 A for ten hours empties 10 Ah; half an hour takes a quarter."""
    assert 100 == drain.charge_taken(5, 10).value
    assert 25 == pytest.approx(drain.charge_taken(5, 0.5).value)
