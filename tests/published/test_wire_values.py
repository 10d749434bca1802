"""Wires, joints and fuses: gauge tables, cable standards, public limits."""

import math

import pytest

from assistant.trade import fuses, wiring

KM_OF_FEET = 304.8  # metres in 1000 ft

# gauge, mm, mm2, ohm/km at 20 C, ohm/1000 ft at 20 C (cable test maker), ohm/1000 ft at 75 C solid (code)
AWG = [
    (22, 0.6438, 0.3255, 52.96, 16.14, None), (20, 0.8118, 0.5176, 33.31, 10.15, None), (18, 1.0237, 0.8230, 20.95, 6.385, 7.77),
    (16, 1.2908, 1.309, 13.17, 4.016, 4.89), (14, 1.6277, 2.081, 8.285, 2.525, 3.07), (12, 2.0525, 3.309, 5.211, 1.588, 1.93),
    (10, 2.5882, 5.261, 3.277, None, 1.21), (8, 3.2636, 8.366, 2.061, None, 0.764), (6, 4.1154, 13.30, 1.296, None, None), (4, 5.1894, 21.15, 0.8152, None, None),
]  # fmt: skip


def ohms(metres: float, gauge: float, celsius: float) -> float:
    """Resistance of a long run, added up from 50 m pieces."""
    return metres / 50 * wiring.resistance(50, gauge, temperature_c=celsius, stranded=False).value / 1000


@pytest.mark.parametrize("gauge, diameter, area, per_km, per_1000_ft, hot", AWG)
def test_gauge_table(gauge: int, diameter: float, area: float, per_km: float, per_1000_ft: float | None, hot: float | None) -> None:
    """Diameter, section and resistance of each gauge, cold and hot."""
    # WIRE-22 to WIRE-04: American wire gauge formula ASTM B258-02 (derived columns); cable test maker's table; NFPA 70 chapter 9 table 8
    assert diameter == pytest.approx(wiring.awg_diameter_mm(gauge).value, rel=0.0005)
    assert area == pytest.approx(wiring.awg_area_mm2(gauge).value, rel=0.001)
    assert per_km == pytest.approx(ohms(1000, gauge, 20), rel=0.005)
    if per_1000_ft is not None:
        assert per_1000_ft == pytest.approx(ohms(KM_OF_FEET, gauge, 20), rel=0.005)
    if hot is not None:
        assert hot == pytest.approx(ohms(KM_OF_FEET, gauge, 75), rel=0.005)


@pytest.mark.parametrize("gauge, stranded", [(18, 7.95), (16, 4.99), (14, 3.14), (12, 1.98), (10, 1.24), (8, 0.778), (6, 0.491), (4, 0.308)])
def test_stranded_wire_lies_in_the_spread(gauge: int, stranded: float) -> None:
    """The code's stranded figures at 75 C are within 3 percent of ours and inside the spread."""
    # WIRE-18 to WIRE-04: NFPA 70 chapter 9 table 8, stranded uncoated
    found = wiring.resistance(50, gauge, temperature_c=75)
    value = stranded / KM_OF_FEET * 50 * 1000
    assert value == pytest.approx(found.value, rel=0.03)
    assert found.low <= value <= found.high


def test_ends_and_step_of_the_gauge_formula() -> None:
    """No. 36 is 0.0050 inch, No. 0000 is 0.4600 inch, and sizes differ by 1.1229322."""
    # American wire gauge formula, ASTM B258-02
    assert 0.0050 == pytest.approx(wiring.awg_diameter_mm(36).value / 25.4, abs=1e-9)
    assert 0.4600 == pytest.approx(wiring.awg_diameter_mm(-3).value / 25.4, rel=1e-4)
    assert 1.1229322 == pytest.approx(wiring.awg_diameter_mm(13).value / wiring.awg_diameter_mm(14).value, rel=1e-6)


@pytest.mark.parametrize(
    "mm2, class_2, class_5",
    [
        (0.5, 36.0, 39.0),
        (0.75, 24.5, 26.0),
        (1.0, 18.1, 19.5),
        (1.5, 12.1, 13.3),
        (2.5, 7.41, 7.98),
        (4, 4.61, 4.95),
        (6, 3.08, 3.30),
        (10, 1.83, 1.91),
        (16, 1.15, 1.21),
        (25, 0.727, 0.780),
    ],
)
def test_cable_standard_limits_lie_in_the_spread(mm2: float, class_2: float, class_5: float) -> None:
    """The greatest resistance the standard allows, stiff and flexible, is inside our spread for a stranded cable."""
    # WIRE-40, WIRE-41: IEC 60228, milliohm per metre at 20 C
    found = wiring.resistance(1, mm2=mm2)
    assert found.low <= class_2 <= class_5 <= found.high


@pytest.mark.parametrize("mm2, automotive", [(0.5, 37.1), (0.75, 24.7), (1.0, 18.5), (1.5, 12.7), (2.5, 7.60), (4, 4.71), (6, 3.14)])
def test_automotive_cable_lies_in_the_spread(mm2: float, automotive: float) -> None:
    """Automotive cable lies between the stiff and the flexible class, so inside our spread."""
    # WIRE-43: from memory
    found = wiring.resistance(1, mm2=mm2)
    assert found.low <= automotive <= found.high


@pytest.mark.parametrize("celsius, factor", [(5, 1.064), (10, 1.042), (25, 0.980), (40, 0.926), (60, 0.862), (100, 0.758)])
def test_readings_are_brought_to_20_c(celsius: float, factor: float) -> None:
    """The standard's temperature factors are met within 0.4 percent."""
    # WIRE-42: IEC 60228 temperature factors, reprint
    assert factor == pytest.approx(wiring.at_20_c(1000, celsius).value / 1000, rel=0.004)


def test_from_20_to_75_c_copper_gains_a_fifth() -> None:
    """The factor from 20 to 75 C is 1.2162, as two independent tables have it."""
    # WIRE-30: derived from the cable test maker's table and NFPA 70
    assert 1.2162 == pytest.approx(ohms(50, 16, 75) / ohms(50, 16, 20), rel=0.002)


@pytest.mark.parametrize(
    "gauge, row",
    [
        (18, (10, 10, 15, 20, 20)),
        (16, (15, 15, 20, 25, 25)),
        (14, (20, 20, 25, 30, 35)),
        (12, (25, 25, 35, 40, 45)),
        (10, (40, 40, 50, 55, 60)),
        (8, (55, 65, 70, 70, 80)),
        (6, (80, 95, 100, 100, 120)),
    ],
)
def test_amps_allowed(gauge: int, row: tuple[int, ...]) -> None:
    """Amps allowed by gauge and insulation are the regulation's."""
    # AMP-18 to AMP-06: 33 CFR 183.425, table 5
    assert row == tuple(wiring.current_allowed(gauge, insulation).value for insulation in (60, 75, 80, 90, 105))


def test_ten_amps_through_two_metres_of_flexible_cable() -> None:
    """10 A there and back through 2 m of 2.5 mm2 loses 0.319 V at the standard's limit, which is the top of our spread."""
    # DROP-10: derived with IEC 60228 class 5
    found = wiring.drop(10, 2, mm2=2.5, there_and_back=True)
    assert found.low < 0.319 == pytest.approx(found.high, rel=0.01)


def test_drop_limits() -> None:
    """Shares of nominal as recommended for boats; 0.2 V a cable, 0.1 a joint, 0.3 a switch."""
    # DROP-01: boat builders' council; DROP-07: common practice
    assert 0.36 == pytest.approx(wiring.drop_limit_share(True).value)
    assert 1.2 == pytest.approx(wiring.drop_limit_share(False).value)
    assert (0.2, 0.1, 0.3) == tuple(wiring.drop_limit(part).value for part in ("cable", "joint", "switch"))


@pytest.mark.parametrize("percent, least, most", [(110, 360000, math.inf), (135, 0.75, 600), (200, 0.15, 5), (350, 0.08, 0.5)])
def test_blade_fuse_limits(percent: float, least: float, most: float) -> None:
    """Least and most seconds of a blade fuse at its four test currents."""
    # FUSE-01 to FUSE-04: from memory
    found = fuses.melting_time(percent / 10, 10)
    assert least == pytest.approx(found.low, rel=1e-6)
    assert most == pytest.approx(found.high, rel=1e-6)


@pytest.mark.parametrize("kind, percent, most", [("slow-glass", 135, 3600), ("slow-glass", 200, 120), ("fast-glass", 135, 3600), ("fast-glass", 200, 120)])
def test_glass_fuse_limits(kind: str, percent: float, most: float) -> None:
    """A glass fuse opens within an hour at 135 percent and within two minutes at twice its rating."""
    # FUSE-10: slow glass fuse data sheet; FUSE-11: fast glass fuse data sheet; FUSE-12: UL 248-14 summary
    assert most == pytest.approx(fuses.melting_time(percent / 10, 10, kind).high, rel=1e-6)


def test_slow_glass_fuse_carries_110_percent_for_hours() -> None:
    """At 110 percent a slow glass fuse lasts four hours at least."""
    # FUSE-10: slow glass fuse data sheet
    assert 4 * 3600 == fuses.melting_time(11, 10, "slow-glass").low


@pytest.mark.parametrize(
    "colour, amps",
    [("grey", 2), ("violet", 3), ("pink", 4), ("tan", 5), ("brown", 7.5), ("red", 10), ("blue", 15), ("yellow", 20), ("clear", 25), ("green", 30)],
)
def test_fuse_colours(colour: str, amps: float) -> None:
    """Colours of standard and mini blade fuses."""
    # FUSE-20: a farm magazine's article, 2015; red and blue confirmed elsewhere
    assert amps == fuses.rating_of_colour(colour).value
