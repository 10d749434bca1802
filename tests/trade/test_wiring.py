"""Wires, joints, fuses."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import fuses, wiring
from tests.trade import quick


@quick
@given(st.floats(0.1, 50), st.floats(0.2, 50), st.floats(-40, 100), st.floats(1.01, 3))
def test_resistance_follows_length_section_and_heat(length: float, mm2: float, celsius: float, factor: float) -> None:
    """Longer or hotter is more, thicker is less, in exact proportion for length and section."""
    base = wiring.resistance(length / factor, mm2=mm2, temperature_c=celsius).value
    assert factor * base == pytest.approx(wiring.resistance(length, mm2=mm2, temperature_c=celsius).value)
    assert base / factor == pytest.approx(wiring.resistance(length / factor, mm2=mm2 * factor, temperature_c=celsius).value) if mm2 * factor <= 120 else True
    assert base < wiring.resistance(length / factor, mm2=mm2, temperature_c=celsius + 1).value


@quick
@given(st.floats(-3, 39))
def test_three_gauges_halve_the_section(gauge: float) -> None:
    """A higher gauge is a thinner wire; ten sizes are about a tenth of the copper."""
    assert wiring.awg_area_mm2(gauge + 1).value < wiring.awg_area_mm2(gauge).value
    if gauge <= 30:
        assert 0.1 == pytest.approx(wiring.awg_area_mm2(gauge + 10).value / wiring.awg_area_mm2(gauge).value, rel=0.03)


@quick
@given(st.floats(1, 1e6), st.floats(-40, 100))
def test_bringing_to_20_c_undoes_the_heat(milliohm: float, celsius: float) -> None:
    """A reading at a temperature, brought to 20 C and back, is the reading."""
    at_20 = wiring.at_20_c(milliohm, celsius).value
    assert milliohm == pytest.approx(at_20 * (1 + 0.00393 * (celsius - 20)))


@quick
@given(st.floats(0.05, 5), st.floats(1, 300))
def test_a_drop_and_its_milliohms_are_inverse(volts: float, amps: float) -> None:
    """Milliohms from a drop give that drop again at the same current."""
    found = wiring.joint_resistance(volts, amps)
    assert volts == pytest.approx(wiring.drop_at(found.value, amps).value)


def test_a_joint_that_passes_a_meter_fails_a_starter() -> None:
    """50 milliohm lose 0.5 mV at a meter's current and 5 V at a starter's."""
    assert wiring.drop_at(50, 0.01).value < 0.001
    assert 5.0 == wiring.drop_at(50, 100).value


def test_the_heat_of_a_bad_joint_is_told() -> None:
    """0.5 V at 100 A is 50 watts."""
    assert "50 watts" in wiring.joint_resistance(0.5).note


def test_six_volts_allow_half() -> None:
    """Limits go with the system voltage."""
    assert 0.1 == pytest.approx(wiring.drop_limit("cable", 6).value)
    assert 0.4 == wiring.drop_limit("cable", manual=0.4).value


@pytest.mark.parametrize("sizes", [{}, {"gauge": 16, "mm2": 1.5}])
def test_a_wire_has_one_size(sizes: dict[str, float]) -> None:
    """Neither none nor two."""
    with pytest.raises(ValueError, match="once"):
        wiring.resistance(1, **sizes)


@pytest.mark.parametrize("call", [lambda: wiring.resistance(-1, mm2=1), lambda: wiring.drop(5, 100, mm2=1), lambda: wiring.drop(5000, 1, mm2=1), lambda: wiring.awg_diameter_mm(41),
                                  lambda: wiring.drop_limit("roof"), lambda: wiring.current_allowed(17), lambda: wiring.current_allowed(16, 70), lambda: wiring.joint_resistance(-1)])  # fmt: skip
def test_nonsense_is_refused(call: object) -> None:
    """Each refusal is a sentence."""
    with pytest.raises(ValueError, match=" "):
        call()  # type: ignore[operator]


@quick
@given(st.sampled_from(fuses.KINDS), st.floats(0.1, 30), st.floats(0.1, 30), st.floats(1, 30))
def test_more_current_opens_a_fuse_sooner(kind: str, one: float, other: float, rating: float) -> None:
    """Opening time never rises with current, and neither do its bounds."""
    low, high = sorted((one, other))
    less, more = fuses.melting_time(low * rating, rating, kind), fuses.melting_time(high * rating, rating, kind)
    assert less.value >= more.value and less.low >= more.low and less.high >= more.high


@pytest.mark.parametrize("kind", fuses.KINDS)
def test_a_fuse_need_not_open_at_its_rating(kind: str) -> None:
    """At its own rating a fuse may carry for ever."""
    assert math.inf == fuses.melting_time(10, 10, kind).value


def test_a_fuse_does_not_guard_against_a_small_overload() -> None:
    """At 135 percent a blade fuse may take minutes, and the note says so."""
    found = fuses.melting_time(13.5, 10)
    assert found.high >= 60
    assert "minutes" in found.note


def test_a_fuse_is_chosen_over_the_load() -> None:
    """A 55 W lamp on 12 V takes 7.5 A; the fuse carries the load with room."""
    assert 7.5 == fuses.fuse_for(55).value
    assert fuses.fuse_for(55, 6).value > fuses.fuse_for(55).value


def test_unknown_colours_are_refused() -> None:
    """The list of colours is given."""
    with pytest.raises(ValueError, match="yellow"):
        fuses.rating_of_colour("black")
