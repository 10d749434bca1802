"""Coils, gaps, sparks, timing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import ignition, spark
from tests.trade import quick


@quick
@given(st.floats(0.1, 50000), st.floats(-40, 150))
def test_resistance_there_and_back(ohm: float, celsius: float) -> None:
    """Moved to a temperature and back to the manual's, it is the manual's figure."""
    hot = ignition.resistance_at(ohm, celsius).value
    assert ohm == pytest.approx(ignition.resistance_to_manual(hot, celsius).value)


@quick
@given(st.floats(0.5, 50000), st.floats(-40, 60), st.floats(-40, 60))
def test_bounds_hold_the_winding_and_rise_with_heat(ohm: float, one: float, other: float) -> None:
    """Least and most lie on both sides of what it should read, and both rise with temperature."""
    cold, warm = sorted((one, other))
    assert ignition.resistance_least(ohm, cold).value < ignition.resistance_at(ohm, cold).value < ignition.resistance_most(ohm, cold).value
    assert ignition.resistance_least(ohm, cold).value <= ignition.resistance_least(ohm, warm).value
    assert ignition.resistance_most(ohm, cold).value <= ignition.resistance_most(ohm, warm).value


def test_without_the_manual_there_is_no_bound() -> None:
    """Windings differ too much between machines to guess one."""
    for refuse in (ignition.resistance_least, ignition.resistance_most):
        with pytest.raises(ValueError, match="resistance by the manual is needed"):
            refuse(temperature_c=20)
    with pytest.raises(ValueError, match="gap by the manual is needed"):
        ignition.gap_least()


def test_low_primaries_allow_for_the_leads() -> None:
    """0.5 ohm by the manual may read 0.8 on an ordinary meter."""
    assert 0.8 == pytest.approx(ignition.resistance_most(0.5, 20).value)


@quick
@given(st.floats(0.2, 1.9))
def test_gap_bounds_hold_the_gap(nominal: float) -> None:
    """The manual's gap is right, a little either way too, half of it is not."""
    assert ignition.gap_least(nominal).value < nominal < ignition.gap_most(nominal).value
    assert ignition.gap_least(nominal).value > nominal / 2


@quick
@given(st.floats(0, 50), st.floats(0, 50), st.floats(6, 15))
def test_coil_current_rises_to_volts_over_ohms(one: float, other: float, volts: float) -> None:
    """It rises with time and never passes its end value."""
    low, high = sorted((one, other))
    assert ignition.coil_current(low, volts).value <= ignition.coil_current(high, volts).value <= volts / 3.0


@quick
@given(st.floats(1, 720), st.floats(50, 15000))
def test_degrees_and_milliseconds_are_inverse(degrees: float, rpm: float) -> None:
    """There and back."""
    assert degrees == pytest.approx(ignition.ms_to_degrees(ignition.degrees_to_ms(degrees, rpm).value, rpm).value)


@quick
@given(st.floats(0.5, 179), st.floats(30, 110), st.floats(1.5, 2.4))
def test_degrees_and_travel_are_inverse(degrees: float, stroke: float, rods: float) -> None:
    """There and back, and the travel lies between 0 and the stroke."""
    travel = ignition.degrees_to_mm(degrees, stroke, rods * stroke).value
    assert 0 < travel <= stroke
    assert degrees == pytest.approx(ignition.mm_to_degrees(travel, stroke, rods * stroke).value, abs=1e-3)


@pytest.mark.parametrize("call", [lambda: ignition.degrees_to_mm(20, 60, 25), lambda: ignition.mm_to_degrees(70, 60), lambda: ignition.degrees_to_ms(20, 0), lambda: ignition.coil_current(-1),
                                  lambda: ignition.gap_most(28), lambda: spark.breakdown_kv(50), lambda: spark.breakdown_kv(0.05, 20, 600), lambda: spark.open_gap_kv(50), lambda: spark.open_gap_kv(5, "combs")])  # fmt: skip
def test_nonsense_is_refused(call: object) -> None:
    """Each refusal is a sentence."""
    with pytest.raises(ValueError, match=" "):
        call()  # type: ignore[operator]


@quick
@given(st.floats(0.4, 3), st.floats(0.4, 3), st.floats(100, 2000), st.floats(100, 2000))
def test_wider_or_denser_needs_more_volts(gap_one: float, gap_other: float, kpa_one: float, kpa_other: float) -> None:
    """Breakdown rises with gap and with pressure, and falls with heat at one pressure."""
    narrow, wide = sorted((gap_one, gap_other))
    thin, dense = sorted((kpa_one, kpa_other))
    assert spark.breakdown_kv(narrow, thin).value <= spark.breakdown_kv(wide, thin).value <= spark.breakdown_kv(wide, dense).value
    assert spark.breakdown_kv(wide, dense, 300).value < spark.breakdown_kv(wide, dense, 20).value


@quick
@given(st.floats(0.4, 1.5), st.floats(6, 14))
def test_the_cylinder_always_asks_more_than_the_open_air(gap: float, ratio: float) -> None:
    """And a higher ratio more still."""
    assert spark.in_cylinder_kv(gap, ratio).value > spark.open_air_kv(gap).value
    assert spark.in_cylinder_kv(gap, ratio + 1).value > spark.in_cylinder_kv(gap, ratio).value


@quick
@given(st.sampled_from(["points", "balls"]), st.floats(0.5, 39))
def test_test_gap_and_volts_are_inverse(shape: str, kilovolt: float) -> None:
    """There and back through the table."""
    assert kilovolt == pytest.approx(spark.open_gap_kv(spark.open_gap_for(kilovolt, shape).value, shape).value)


@quick
@given(st.floats(0.5, 14))
def test_points_spark_farther_than_balls(gap: float) -> None:
    """The same gap proves less between points than between balls."""
    assert spark.open_gap_kv(gap, "points").value < spark.open_gap_kv(gap, "balls").value


def test_an_open_gap_of_six_or_seven_mm_stands_for_an_ordinary_plug() -> None:
    """A 0.6 mm plug at 8:1 asks what 5 to 9 mm between points ask in the open."""
    assert 5 <= spark.matching_open_gap(0.6, 8).value <= 9


def test_what_a_discharge_ignition_stores_is_told() -> None:
    """1 uF at 400 V is 80 mJ."""
    assert 80 == pytest.approx(ignition.capacitor_energy(1, 400).value)
