"""Cranking compression: what it should be, what is too little, what the wet test and a leak-down say.

All psi are over the outside air (gauge). n is the exponent of the compression: 1.40 for air that loses nothing,
1.2 for an engine turned by its starter, which loses heat and gas. Sources: geometry and gas law for the form;
common practice for n and the limits; FAA advisory circular AC 43.13-1B for the differential test.
"""

from __future__ import annotations

from typing import Iterable

from assistant.trade import geometry
from assistant.trade.air import standard_pressure_kpa
from assistant.trade.constants import KPA_PER_PSI, SEA_LEVEL_KPA
from assistant.trade.intake import Intake, altitude, checked, temperature
from assistant.trade.result import Estimate, prefer_manual

_N, _N_LOW, _N_HIGH = 1.20, 1.12, 1.30  # common practice: sound engines on a gauge with a hose lie between
_PSI_HINT = "cranking compression lies between 0 and 400 psi; a number under 30 was probably in bar or kg/cm2"
# Where the air of a leak-down is heard, and what lets it through.
LEAK_PATHS = {
    "oil-filler": "past the rings into the crankcase",
    "intake": "past an intake valve, into the carburettor or airbox",
    "exhaust": "past an exhaust valve, into the pipe",
    "coolant": "through the head gasket into the coolant, as bubbles",
    "next-cylinder": "through the head gasket into the next cylinder",
    "plug-hole": "out at the plug or the hose: mend that first and measure again",
}


def effective_ratio(compression_ratio: float, intake_closes_deg: float | None = None, rod_ratio: float | None = None) -> Estimate:
    """Compression ratio from where the intake valve closes, degrees after bottom dead centre.

    Formula: slider-crank volume at 180 + that angle, over the clearance. Valid: ratio 2-20, 0-90 degrees, rod over crank
    radius 2.5-6. Unknown: 50 degrees (40-60), 3.6. Error: cam lash and slow closing, 3 degrees. Source: geometry.
    """
    intake = Intake()
    ratio = intake.take("compression ratio", compression_ratio, "to 1", 2.0, 20.0, "engines have 5 to 15 to 1")
    angle = intake.take(
        "intake closes after bottom dead centre", intake_closes_deg, "deg", 0.0, 90.0, "cams close it 30 to 75 degrees after", 50.0
    )
    rod = intake.take("rod over crank radius", rod_ratio, "", 2.5, 6.0, "it is 3 to 4.5, twice the rod over the stroke", 3.6)
    value = geometry.volume_over_clearance(180 + angle, ratio, rod)
    off = 3.0 if intake_closes_deg is not None else 10.0
    low, high = (geometry.volume_over_clearance(180 + min(90.0, max(0.0, angle + d)), ratio, rod) for d in (off, -off))
    return Estimate(value, "to 1", low, high, "volume at which the intake valve closes, over the volume at the top", intake.all())


def pressure_from_ratio(ratio: float, n: float, pressure_kpa: float = SEA_LEVEL_KPA) -> Estimate:
    """Gauge pressure in psi after a compression by `ratio`: p (ratio^n - 1).

    Valid: ratio 1-20, n 1.0-1.4, 40-110 kPa absolute. Error: that of n. Source: gas law.
    """
    intake = Intake()
    r = intake.take("compression ratio", ratio, "to 1", 1.0, 20.0, "engines have 5 to 15 to 1")
    exponent = intake.take("exponent", n, "", 1.0, 1.4, "it lies between 1 (slow) and 1.4 (no losses)")
    p = intake.take("air pressure", pressure_kpa, "kPa", 40.0, 110.0, "give absolute kPa; sea level has 101")
    value = p * (r**exponent - 1) / KPA_PER_PSI
    return Estimate(value, "psi", value, value, "air pressure times (ratio to the power n, less one)", intake.all())


def cranking_pressure(
    compression_ratio: float,
    intake_closes_deg: float | None = None,
    rod_ratio: float | None = None,
    altitude_m: float | None = None,
    temperature_c: float | None = None,
    n: float | None = None,
    manual: float | None = None,
) -> Estimate:
    """What the gauge should show on a sound engine, throttle wide open, in psi.

    Formula: p_air x (effective ratio ^ n - 1); n 1.2 (1.12 to 1.30) unless given; in the cold 0.2 percent less for each
    degree under 20 C, as thick oil turns it slowly. Valid: ratio 4-17, -500 to 6000 m, -60 to 70 C. Error: the spread,
    about a fifth down and a third up. A decompressor or a shut throttle reads far lower. Source: gas law and geometry;
    common practice for n and the cold.
    """
    intake = Intake()
    checked("compression ratio", compression_ratio, "to 1", 4.0, 17.0, "engines have 5 to 15 to 1; read it in the handbook")
    ratio = effective_ratio(compression_ratio, intake_closes_deg, rod_ratio)
    p = standard_pressure_kpa(altitude(intake, altitude_m))
    cold = _cold(temperature(intake, temperature_c))
    exponent = intake.take("exponent", n, "", 1.0, 1.4, "it lies between 1 (slow) and 1.4 (no losses)", _N)
    least, most = (exponent, exponent) if n is not None else (_N_LOW, _N_HIGH)

    def psi(r: float, e: float) -> float:
        return p * (r**e - 1) / KPA_PER_PSI * cold

    return prefer_manual(
        Estimate(
            psi(ratio.value, exponent),
            "psi",
            psi(ratio.low, least),
            psi(ratio.high, most),
            "outside air pressure times (the ratio from where the intake valve closes, to the power 1.2, less one)",
            (*ratio.inputs, *intake.all()),
            ("derived", "common-practice"),
        ),
        manual,
    )


def _cold(celsius: float) -> float:
    return 1 - 0.002 * min(75.0, max(0.0, 20.0 - celsius))


def least_cranking_psi(
    compression_ratio: float | None = None, altitude_m: float | None = None, temperature_c: float | None = None, manual: float | None = None
) -> Estimate:
    """Least compression, psi, at which an engine starts willingly here and now.

    Formula: 100 psi, or where the ratio is known 0.6 of what a sound engine shows at sea level but never under 85; in
    proportion to the air at this height; 0.2 percent less for each degree under 20 C. Valid: ratio 4-17, -500 to 6000 m.
    Error 12 percent. Source: common practice (100 psi, 90 is bad on nearly any engine); gas law for the height.
    """
    intake = Intake()
    height = altitude(intake, altitude_m)
    celsius = temperature(intake, temperature_c)
    if compression_ratio is None:
        base, inputs, formula = 100.0, (), "100 psi at sea level"
    else:
        expected = cranking_pressure(compression_ratio)
        base, inputs, formula = (
            max(85.0, 0.6 * expected.value),
            expected.inputs[:1],
            "six tenths of what a sound engine of this ratio shows, at least 85 psi",
        )
    value = base * standard_pressure_kpa(height) / SEA_LEVEL_KPA * _cold(celsius)
    return prefer_manual(
        Estimate(
            value,
            "psi",
            value * 0.88,
            value * 1.12,
            formula + ", less in the measure in which the air is thinner at this height",
            (*inputs, *intake.all()),
            ("common-practice", "standard-atmosphere"),
        ),
        manual,
    )


def most_cranking_psi(compression_ratio: float, altitude_m: float | None = None, temperature_c: float | None = None) -> Estimate:
    """No true reading can be higher than this: static ratio, n 1.4, no loss at all.

    Above it: oil or fuel in the chamber, or the gauge.

    Formula: p_air (CR^1.4 - 1). Valid: ratio 4-17, -500 to 6000 m. Error: real air gives up to 3 percent less. Source:
    gas law. The temperature does not enter; it is taken so that callers may pass it.
    """
    intake = Intake()
    ratio = intake.take("compression ratio", compression_ratio, "to 1", 4.0, 17.0, "engines have 5 to 15 to 1; read it in the handbook")
    p = standard_pressure_kpa(altitude(intake, altitude_m))
    value = p * (ratio**1.4 - 1) / KPA_PER_PSI
    return Estimate(
        value, "psi", 0.97 * value, value, "outside air pressure times (the full ratio to the power 1.4, less one)", intake.all()
    )


def at_sea_level(reading_psi: float, altitude_m: float | None = None) -> Estimate:
    """What a gauge reading taken at a height would be at sea level: in proportion to the air pressure.

    Valid: 0-400 psi, -500 to 6000 m. Error 3 percent (weather). Source: gas law; standard atmosphere.
    """
    intake = Intake()
    psi = intake.take("a compression reading", reading_psi, "psi", 0.0, 400.0, _PSI_HINT)
    value = psi * SEA_LEVEL_KPA / standard_pressure_kpa(altitude(intake, altitude_m))
    return Estimate(
        value,
        "psi",
        value * 0.97,
        value * 1.03,
        "the reading times sea-level pressure over the pressure here",
        intake.all(),
        ("standard-atmosphere",),
    )


def closed_throttle(compression_ratio: float, altitude_m: float | None = None, manifold_share: float | None = None) -> Estimate:
    """What the same sound engine shows with the throttle left shut, in psi: why the test is made wide open.

    Formula: p_air (share x effective ratio^1.2 - 1), share 0.7 of the outside pressure in the intake while cranking (0.5
    to 0.85 if not given). Valid: ratio 4-17. Error: the spread. Source: gas law; common practice for the share.
    """
    intake = Intake()
    checked("compression ratio", compression_ratio, "to 1", 4.0, 17.0, "engines have 5 to 15 to 1; read it in the handbook")
    ratio = effective_ratio(compression_ratio)
    p = standard_pressure_kpa(altitude(intake, altitude_m))
    share = intake.take(
        "pressure in the intake over that outside", manifold_share, "", 0.2, 1.0, "it is 0.5 to 0.85 with a shut throttle", 0.7
    )
    few, many = (share, share) if manifold_share is not None else (0.5, 0.85)

    def psi(s: float, e: float) -> float:
        return max(0.0, p * (s * ratio.value**e - 1) / KPA_PER_PSI)

    return Estimate(
        psi(share, _N),
        "psi",
        psi(few, _N_LOW),
        psi(many, _N_HIGH),
        "as wide open, with the intake at seven tenths of the outside pressure",
        (*ratio.inputs, *intake.all()),
        ("derived", "common-practice"),
    )


def between_cylinders(readings_psi: Iterable[float]) -> Estimate:
    """Lowest cylinder as a percent of the highest.

    Formula: lowest / highest x 100. Valid: 2-8 readings of 0-400 psi, the highest above 0. Error 5 (gauge and hand, twice
    6 psi). Under 75, or more than 20 psi apart, one is at fault. Source: common practice.
    """
    values = [checked("a compression reading", r, "psi", 0.0, 400.0, _PSI_HINT) for r in readings_psi]
    if not 2 <= len(values) <= 8:
        raise ValueError("give one reading for each cylinder, two or more")
    low, high = min(values), max(values)
    if high == 0:
        raise ValueError("all cylinders read 0: test the gauge and its seal first")
    value = 100 * low / high
    note = "They differ too much: look at the low one." if value < 75 or high - low > 20 else "They agree well enough."
    return Estimate(
        value, "%", max(0.0, value - 5), min(100.0, value + 5), "lowest reading divided by the highest", (), ("common-practice",), note
    )


def wet_rise_psi(dry_psi: float | None = None) -> Estimate:
    """Reading with oil in the cylinder, psi, from which we say that it rises: dry and an eighth more, at least 10 psi more.

    Valid 0-400 psi. Error 8 psi (two readings). Source: common practice.
    """
    intake = Intake()
    dry = intake.take("the dry reading", dry_psi, "psi", 0.0, 400.0, _PSI_HINT)
    value = dry + max(10.0, dry / 8)
    return Estimate(
        value,
        "psi",
        max(dry, value - 8),
        value + 8,
        "the dry reading and an eighth of it, at least 10 psi",
        intake.all(),
        ("common-practice",),
    )


def wet_against_dry(dry_psi: float, wet_psi: float) -> Estimate:
    """By how many psi the oil raised the reading, and what that says.

    Formula: wet less dry. Valid 0-400 psi dry, 0-500 wet. Error 12 psi (two readings). Source: common practice.
    """
    intake = Intake()
    dry = intake.take("the dry reading", dry_psi, "psi", 0.0, 400.0, _PSI_HINT)
    wet = intake.take("the wet reading", wet_psi, "psi", 0.0, 500.0, _PSI_HINT)
    value, limit = wet - dry, wet_rise_psi(dry).value
    note = (
        "It rises: the oil sealed the rings or the cylinder wall, so look there."
        if wet >= limit
        else "It hardly rises: a valve, the head gasket or the piston itself, not the rings."
    )
    return Estimate(value, "psi", value - 12, value + 12, "wet reading less dry reading", intake.all(), ("common-practice",), note)


def leak_down_loss(supply_psi: float, held_psi: float) -> Estimate:
    """Percent lost in a leak-down test: (supply - held) / supply x 100.

    Valid: supply 10-200 psi, held 0 to supply. Error 3, and gauges differ in their orifice, so percentages of two makes do not
    compare. Under 10 is good, over 20 is bad on a road engine (common practice); over 25 makes an aircraft cylinder suspect.
    Source: FAA advisory circular AC 43.13-1B, chapter 8.
    """
    intake = Intake()
    supply = intake.take("supply pressure", supply_psi, "psi", 10.0, 200.0, "the test is made with 20 to 100 psi")
    held = intake.take(
        "pressure held", held_psi, "psi", 0.0, supply, "the cylinder cannot hold more than is supplied; swap the two numbers"
    )
    value = 100 * (supply - held) / supply
    note = "Good." if value < 10 else "Usable." if value <= 20 else "Too much. Listen where it comes out."
    return Estimate(
        value,
        "%",
        max(0.0, value - 3),
        min(100.0, value + 3),
        "supply less held, divided by supply",
        intake.all(),
        ("aviation-circular", "common-practice"),
        note,
    )


def leak_path(heard_at: str) -> str:
    """Which way the air leaves, from where it is heard: a key of LEAK_PATHS.

    Errors: ValueError listing the places. Source: common practice.
    """
    if heard_at not in LEAK_PATHS:
        raise ValueError(f"'{heard_at}' is not a place to listen at: {', '.join(LEAK_PATHS)}")
    return LEAK_PATHS[heard_at]
