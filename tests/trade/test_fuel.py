"""Fuel flow, blends, age, water, vapour."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import fuel, petrol
from tests.trade import quick


@quick
@given(st.floats(0.5, 10), st.floats(1, 700), st.floats(1, 700))
def test_more_head_more_flow(bore: float, one: float, other: float) -> None:
    """Through holes and hoses; no head, no flow."""
    low, high = sorted((one, other))
    assert fuel.orifice_flow(bore, low).value <= fuel.orifice_flow(bore, high).value
    assert fuel.hose_flow(bore, 0.5, low).value <= fuel.hose_flow(bore, 0.5, high).value * (1 + 1e-9)
    assert 0 == fuel.hose_flow(bore, 0.5, 0).value == fuel.orifice_flow(bore, 0).value


@quick
@given(st.floats(0.6, 1.5), st.floats(0.3, 1.0), st.floats(5, 60))
def test_a_hose_never_beats_smooth_flow(bore: float, length: float, head: float) -> None:
    """Entry and exit only take away from what Hagen and Poiseuille allow."""
    try:
        smooth = fuel.laminar_flow(bore, length, head).value
    except ValueError:
        return  # not smooth: nothing to compare
    assert fuel.hose_flow(bore, length, head).value <= smooth * (1 + 1e-9)


def test_needs_go_with_size_and_revs() -> None:
    """A 250 at full cry burns about 100 ml/min, twice the size or revs twice that."""
    need = fuel.engine_needs(250).value
    assert 90 <= need <= 125
    assert 2 * need == pytest.approx(fuel.engine_needs(500).value)
    assert 2 * need == pytest.approx(fuel.engine_needs(250, 16000).value)
    with pytest.raises(ValueError, match="2 or 4"):
        fuel.engine_needs(250, strokes=3)


@pytest.mark.parametrize("flow, word", [(400, "Ample"), (120, "little to spare"), (40, "starves"), (2, "Too little")])
def test_what_a_flow_means_on_a_250(flow: float, word: str) -> None:
    """The same flow starves one engine and is ample for another."""
    assert word in fuel.flow_margin(flow, 250).note
    assert "Ample" in fuel.flow_margin(120, 50).note


@quick
@given(st.floats(-10, 10), st.floats(-10, 10))
def test_higher_fuel_is_richer(one: float, other: float) -> None:
    """The jet gives more as the fuel stands higher, and nothing changes at no change."""
    low, high = sorted((one, other))
    assert fuel.float_level_effect(low).value <= fuel.float_level_effect(high).value
    assert 0 == fuel.float_level_effect(0).value


def test_too_little_suction_lifts_nothing() -> None:
    """With 20 Pa nothing reaches a nozzle 4 mm up: slow cranking on a low float gives no fuel."""
    with pytest.raises(ValueError, match="lift any fuel"):
        fuel.float_level_effect(-2, 20)


@quick
@given(st.floats(0, 100), st.floats(0, 100))
def test_more_ethanol_needs_less_air(one: float, other: float) -> None:
    """From 14.7 down to 9.0; so a fixed carburettor runs leaner on it."""
    low, high = sorted((one, other))
    assert 9.0 - 1e-9 <= petrol.blend_ratio(high).value <= petrol.blend_ratio(low).value <= 14.7 + 1e-9
    assert petrol.mixture_shift(low, high).value >= -1e-9


def test_nothing_burns_in_water() -> None:
    """H2O needs no air."""
    with pytest.raises(ValueError, match="nothing in it that burns"):
        petrol.stoichiometric_ratio(0, 2, 1)


@quick
@given(st.sampled_from(["sealed-can", "tank", "float-bowl"]), st.floats(0, 48), st.floats(0, 48), st.floats(-10, 40))
def test_petrol_ages_one_way(where: str, one: float, other: float, celsius: float) -> None:
    """Older has lost more, warmer faster, a bowl faster than a tank."""
    young, old = sorted((one, other))
    assert petrol.light_ends_lost(young, where, celsius).value <= petrol.light_ends_lost(old, where, celsius).value
    assert petrol.light_ends_lost(old, where, celsius).value <= petrol.light_ends_lost(old, where, celsius + 5).value
    assert petrol.light_ends_lost(old, "tank").value <= petrol.light_ends_lost(old, "float-bowl").value


def test_a_winter_in_the_bowl_is_worse_than_in_the_tank() -> None:
    """Five months: the tank starts badly, the bowl has to be drained."""
    assert "badly" in petrol.light_ends_lost(5).note
    assert "drain" in petrol.light_ends_lost(5, "float-bowl").note
    assert petrol.ten_percent_point(petrol.light_ends_lost(5, "float-bowl").value).value > petrol.ten_percent_point(0).value + 30


@quick
@given(st.floats(1, 20), st.floats(-40, 40), st.floats(-40, 40))
def test_cold_fuel_holds_less_water(ethanol: float, one: float, other: float) -> None:
    """So clear fuel may separate overnight."""
    cold, warm = sorted((one, other))
    assert petrol.water_held(ethanol, cold).value <= petrol.water_held(ethanol, warm).value


def test_a_tank_of_e10_takes_up_an_eggcup_of_water() -> None:
    """10 L take 30 to 60 ml before they separate."""
    assert 30 <= petrol.water_to_separate(10).value <= 60
    assert "ml" == petrol.water_to_separate(10).unit


@quick
@given(st.floats(-45, 55), st.floats(-45, 55))
def test_warm_petrol_gives_more_vapour(one: float, other: float) -> None:
    """Vapour rises with temperature."""
    cold, warm = sorted((one, other))
    assert petrol.vapour_pressure(cold).value <= petrol.vapour_pressure(warm).value


@pytest.mark.parametrize("celsius", [-30, -10, 5, 20, 40])
def test_petrol_can_be_lit_in_any_weather(celsius: float) -> None:
    """From deep frost to high summer the answer is no spark test."""
    assert "no spark test here" in petrol.vapour_over_petrol(celsius).note


def test_a_teaspoon_is_enough() -> None:
    """5 ml make some 60 to 100 litres of air flammable."""
    found = petrol.air_made_flammable(5)
    assert 60 <= found.low and found.high <= 100


@pytest.mark.parametrize("call", [lambda: petrol.blend_ratio(120), lambda: petrol.water_held(85), lambda: petrol.light_ends_lost(-1), lambda: petrol.light_ends_lost(5, "shed"),
                                  lambda: fuel.orifice_flow(0, 100), lambda: fuel.hose_flow(6, 100, 200), lambda: fuel.engine_needs(5000), lambda: petrol.vapour_pressure(80)])  # fmt: skip
def test_nonsense_is_refused(call: object) -> None:
    """Each refusal is a sentence."""
    with pytest.raises(ValueError, match=" "):
        call()  # type: ignore[operator]
