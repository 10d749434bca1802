"""Compression and air."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import air, compression, geometry
from assistant.trade.result import compare
from tests.trade import quick

RATIO = st.floats(5, 14)
HEIGHT = st.floats(-400, 5500)


@quick
@given(RATIO, RATIO, HEIGHT, HEIGHT, st.floats(-30, 40), st.floats(-30, 40))
def test_expected_pressure_moves_the_right_way(r1: float, r2: float, h1: float, h2: float, t1: float, t2: float) -> None:
    """Up with the ratio, down with height, and not up with cold."""
    (low_r, high_r), (low_h, high_h), (cold, warm) = sorted((r1, r2)), sorted((h1, h2)), sorted((t1, t2))
    expected = compression.cranking_pressure
    assert expected(low_r).value <= expected(high_r).value
    assert expected(low_r, altitude_m=low_h).value >= expected(low_r, altitude_m=high_h).value
    assert expected(low_r, temperature_c=cold).value <= expected(low_r, temperature_c=warm).value


@quick
@given(RATIO, st.floats(0, 80), st.floats(0, 80))
def test_later_closing_makes_less_pressure(ratio: float, one: float, other: float) -> None:
    """And never more than the full ratio makes."""
    early, late = sorted((one, other))
    assert compression.effective_ratio(ratio, late).value <= compression.effective_ratio(ratio, early).value <= ratio + 1e-9
    assert compression.cranking_pressure(ratio, late).value <= compression.cranking_pressure(ratio, early).value


@quick
@given(RATIO, HEIGHT)
def test_least_lies_under_expected_and_expected_under_the_ceiling(ratio: float, height: float) -> None:
    """What is enough is less than what is sound on engines of 7:1 and more; nothing true passes the ceiling."""
    expected = compression.cranking_pressure(ratio, altitude_m=height)
    assert expected.high <= compression.most_cranking_psi(ratio, height).value
    if ratio >= 7:
        assert compression.least_cranking_psi(ratio, height).value < expected.value


@quick
@given(HEIGHT, HEIGHT)
def test_the_limit_falls_with_height(one: float, other: float) -> None:
    """Gauge limits scale with the outside air exactly."""
    low, high = sorted((one, other))
    ratio = air.standard_pressure_kpa(high) / air.standard_pressure_kpa(low)
    assert ratio == pytest.approx(compression.least_cranking_psi(altitude_m=high).value / compression.least_cranking_psi(altitude_m=low).value)


def test_the_same_reading_on_two_mountains() -> None:
    """88 psi is low by the sea and enough at 2500 m."""
    assert "below" == compare(88, compression.least_cranking_psi(altitude_m=0), 6).side
    assert "above" == compare(88, compression.least_cranking_psi(altitude_m=2500), 6).side


def test_the_same_reading_on_two_engines() -> None:
    """115 psi starts an 8:1 engine and is poor on a 12:1 one."""
    assert "above" == compare(115, compression.least_cranking_psi(8), 6).side
    assert "below" == compare(115, compression.least_cranking_psi(12), 6).side


def test_a_borderline_reading_is_said_to_be() -> None:
    """98 psi against 100 is a coin toss."""
    assert compare(98, compression.least_cranking_psi(), 6).borderline


def test_the_manual_beats_the_formula() -> None:
    """Whatever the height."""
    assert 128 == compression.least_cranking_psi(9, 3000, manual=128).value


@quick
@given(RATIO)
def test_a_shut_throttle_reads_lower(ratio: float) -> None:
    """That is why the test is made wide open."""
    assert compression.closed_throttle(ratio).value < compression.cranking_pressure(ratio).value


@quick
@given(st.floats(20, 300), HEIGHT)
def test_a_reading_is_brought_to_sea_level(psi: float, height: float) -> None:
    """Held against the limits, it makes no difference whether reading or limit is moved."""
    moved = compression.at_sea_level(psi, height).value
    assert (moved >= 100.0) == (psi >= compression.least_cranking_psi(altitude_m=height).value) or abs(moved - 100) < 1e-6


@quick
@given(st.floats(0, 390))
def test_wet_rise(dry: float) -> None:
    """At least 10 psi and an eighth more than dry."""
    limit = compression.wet_rise_psi(dry).value
    assert limit >= dry + 10 and limit >= dry * 1.125 - 1e-9


def test_wet_against_dry_points_at_rings_or_valves() -> None:
    """A clear rise means rings, none means valves or gasket."""
    assert "rings" in compression.wet_against_dry(80, 120).note
    assert "valve" in compression.wet_against_dry(80, 84).note
    with pytest.raises(ValueError, match="dry reading is needed"):
        compression.wet_rise_psi()


def test_cylinders_are_compared() -> None:
    """20 psi apart or under 75 percent is too much."""
    assert "agree" in compression.between_cylinders([150, 145, 152, 148]).note
    assert "differ" in compression.between_cylinders([150, 100]).note
    for wrong in ([120], [0, 0], [120, 900]):
        with pytest.raises(ValueError):
            compression.between_cylinders(wrong)


@quick
@given(st.floats(10, 200), st.floats(0, 1))
def test_leak_down_lies_between_nothing_and_all(supply: float, share: float) -> None:
    """Percent lost is 100 less percent held."""
    assert 100 * (1 - share) == pytest.approx(compression.leak_down_loss(supply, supply * share).value, abs=1e-6)


def test_a_cylinder_cannot_hold_more_than_it_gets() -> None:
    """Swapped numbers are noticed."""
    with pytest.raises(ValueError, match="swap the two numbers"):
        compression.leak_down_loss(70, 80)


def test_where_the_air_comes_out() -> None:
    """Every place has its way, and others are refused."""
    assert "rings" in compression.leak_path("oil-filler")
    assert "exhaust valve" in compression.leak_path("exhaust")
    with pytest.raises(ValueError, match="coolant"):
        compression.leak_path("saddle")


@pytest.mark.parametrize("call", [lambda: compression.cranking_pressure(25), lambda: compression.cranking_pressure(0.9), lambda: compression.least_cranking_psi(30), lambda: compression.effective_ratio(9, 120),
                                  lambda: compression.cranking_pressure(9, altitude_m=9000), lambda: compression.least_cranking_psi(temperature_c=200), lambda: geometry.volume_over_clearance(0, 1, 4)])  # fmt: skip
def test_outside_the_limits_of_validity_it_is_refused(call: object) -> None:
    """Each refusal is a sentence."""
    with pytest.raises(ValueError, match=" "):
        call()  # type: ignore[operator]


def test_volume_at_the_ends() -> None:
    """1 at the top, the ratio at the bottom."""
    assert 1 == pytest.approx(geometry.volume_over_clearance(0, 9.5, 4))
    assert 9.5 == pytest.approx(geometry.volume_over_clearance(180, 9.5, 4))


@quick
@given(HEIGHT, HEIGHT, st.floats(-40, 50), st.floats(-40, 50))
def test_air_is_thinner_when_higher_or_hotter(h1: float, h2: float, t1: float, t2: float) -> None:
    """Density falls with both, and a jet never grows by going up."""
    (low, high), (cold, warm) = sorted((h1, h2)), sorted((t1, t2))
    assert air.density(low, cold).value >= air.density(high, cold).value >= air.density(high, warm).value
    assert air.main_jet(120, high, 15, low, 15).value <= 120 + 1e-9


def test_power_goes_with_density() -> None:
    """At 2000 m about four fifths are left."""
    assert 82 == pytest.approx(air.power_left(2000).value, abs=0.5)


def test_two_strokes_breathe_each_turn() -> None:
    """Twice the air of a four-stroke of that size; other strokes do not exist."""
    assert 2 == pytest.approx(air.breathing(125, 6000, strokes=2).value / air.breathing(125, 6000).value)
    with pytest.raises(ValueError, match="2 or 4"):
        air.breathing(125, 6000, strokes=3)


@pytest.mark.parametrize("kpa, word", [(5, "Hardly"), (15, "Low"), (30, "should be"), (60, "High")])
def test_what_an_idle_vacuum_says(kpa: float, word: str) -> None:
    """From no vacuum at all to too much."""
    assert word in air.idle_vacuum_says(kpa)


def test_vacuum_is_less_on_a_mountain() -> None:
    """18 kPa is low by the sea and right at 2500 m."""
    assert "Low" in air.idle_vacuum_says(18)
    assert "should be" in air.idle_vacuum_says(18, 2500)
