"""The battery by its volts: how full it is, what passes at rest, under load and while cranking, its inner resistance.

A 12 V lead battery has six cells, a 6 V one three, a lithium iron one four. All volts are at the posts.
Sources: a motorcycle battery maker's technical manual (2000s) for the flooded table; figures handed down in the trade
where no public source exists (each function says which).
"""

from __future__ import annotations

from assistant.trade.curve import along, beyond, turned
from assistant.trade.intake import Intake, temperature
from assistant.trade.result import Estimate, prefer_manual

KINDS = ("flooded", "agm", "lithium-iron", "6-volt")

# Percent of charge against volts at rest, 12 V, 25 C.
_FLOODED = ((0, 11.80), (25, 11.90), (50, 12.10), (75, 12.40), (100, 12.60))  # battery maker's technical manual
_AGM = ((0, 11.80), (25, 12.00), (50, 12.35), (75, 12.65), (100, 12.85))  # handed down in the trade
_LITHIUM = (
    (0, 10.00),
    (10, 11.91),
    (20, 12.67),
    (30, 12.82),
    (40, 13.01),
    (50, 13.06),
    (60, 13.08),
    (70, 13.10),
    (80, 13.24),
    (90, 13.26),
    (100, 13.40),
)  # a published cell model, times four; the two ends are ours
_CURVES = {"flooded": _FLOODED, "agm": _AGM, "lithium-iron": _LITHIUM, "6-volt": tuple((s, v / 2) for s, v in _FLOODED)}
_CURVE_SOURCE = {
    "flooded": ("battery-maker-manual",),
    "agm": ("trade-memory",),
    "lithium-iron": ("derived",),
    "6-volt": ("battery-maker-manual", "derived"),
}
_BETWEEN_MAKERS = {"flooded": 0.15, "agm": 0.15, "lithium-iron": 0.06, "6-volt": 0.08}  # V
_VOLTS_PER_KELVIN = {"flooded": 0.0012, "agm": 0.0012, "lithium-iron": 0.0, "6-volt": 0.0006}  # 0.2 mV/K a cell, from memory

_CRANKING_POWER = ((-17.8, 40.0), (-1.1, 65.0), (26.7, 100.0))  # common practice: 40, 65 and 100 % at 0, 30 and 80 F
_LOAD_TEST = ((-18, 8.5), (-12, 8.7), (-7, 8.9), (-1, 9.1), (4, 9.3), (10, 9.4), (16, 9.5), (21, 9.6))  # handed down in the trade
_LITHIUM_CRANKING = ((-20, 8.5), (0, 9.6), (20, 10.4))  # common practice: stiffer when warm, sags more when cold
_ENOUGH_IN_MILD_WEATHER = 35.0  # percent of charge with which a sound battery still turns an engine at 20 C


def _kind(intake: Intake, kind: str | None) -> str:
    if kind == "none":
        raise ValueError("a machine without a battery has no battery volts to judge: look at what the alternator makes")
    return intake.choose("kind of battery", "agm" if kind == "gel" else kind, KINDS, "flooded")


def _volts(intake: Intake, name: str, volts: float | None, kind: str) -> float:
    most = 9.0 if kind == "6-volt" else 18.0
    if isinstance(volts, (int, float)) and not isinstance(volts, bool) and volts < 0:
        hint = "check which way round the probes were"
    else:
        hint = f"a battery of this kind holds 0 to {most:g} V; check the range of the meter and that it is not on AC"
    return intake.take(name, volts, "V", 0.0, most, hint)


def state_of_charge(volts: float, kind: str | None = None, temperature_c: float | None = None) -> Estimate:
    """How full a rested battery is, in percent.

    Formula: the maker's table of volts against charge, read backwards, after moving the volts to 25 C by 0.2 mV/K a
    cell (lead). Valid: rested 1-2 hours, key off; volts 0-18 (6 V: 0-9), -60 to 70 C. Error: makers differ by 0.15 V,
    so a lead battery is known to about a quarter; a lithium one cannot be told between 30 and 75 percent.
    Source: motorcycle battery maker's technical manual, 2000s (flooded, 6 V); trade figure (AGM); cell model (lithium).
    """
    intake = Intake()
    kind = _kind(intake, kind)
    volts = _volts(intake, "a battery voltage", volts, kind)
    celsius = temperature(intake, temperature_c, 25.0, "battery temperature")
    at_25 = volts + _VOLTS_PER_KELVIN[kind] * (25.0 - celsius)
    curve, off = turned(_CURVES[kind]), _BETWEEN_MAKERS[kind]
    note = ""
    if volts > _CURVES[kind][-1][1] + 0.3:
        note = "That is more than a rested battery holds: let the fresh charge settle for an hour and read again."
    elif kind == "lithium-iron" and 12.8 <= volts <= 13.2:
        note = "A lithium battery reads nearly the same from a third full to three quarters, so volts alone cannot say more."
    return Estimate(
        along(curve, at_25),
        "%",
        along(curve, at_25 - off),
        along(curve, at_25 + off),
        "volts at rest, moved to 25 C, looked up in the table of volts against charge for this kind of battery",
        intake.all(),
        _CURVE_SOURCE[kind],
        note,
    )


def resting_volts(charge_pct: float, kind: str | None = None) -> Estimate:
    """Volts at rest and 25 C that belong to a state of charge of 0-100 percent.

    Inverse of `state_of_charge`; same sources and error.
    """
    intake = Intake()
    kind = _kind(intake, kind)
    charge = intake.take("a state of charge", charge_pct, "%", 0.0, 100.0, "it lies between 0 and 100")
    value, off = along(_CURVES[kind], charge), _BETWEEN_MAKERS[kind]
    return Estimate(
        value,
        "V",
        value - off,
        value + off,
        "table of volts at rest against charge for this kind of battery",
        intake.all(),
        _CURVE_SOURCE[kind],
    )


def cranking_power_left(temperature_c: float | None = None) -> Estimate:
    """What a full lead battery still gives the starter in the cold, in percent of what it gives at 27 C.

    Formula: straight lines through 100, 65 and 40 percent at 27, -1 and -18 C. Valid -30 to 27 C (held outside at
    100 and 20). Error 10. Source: common practice; government
    handbooks print the same three figures.
    """
    intake = Intake()
    celsius = temperature(intake, temperature_c)
    value = min(100.0, max(20.0, beyond(_CRANKING_POWER, celsius)))
    return Estimate(
        value,
        "%",
        max(10.0, value - 10),
        min(100.0, value + 10),
        "straight lines through 100 % at 27 C, 65 % at -1 C and 40 % at -18 C",
        intake.all(),
        ("common-practice",),
    )


def resting_volts_good(kind: str | None = None, temperature_c: float | None = None, manual: float | None = None) -> Estimate:
    """Least volts at rest that pass as a first look; they do not clear a battery, only a load test can.

    Formula: the volts of a battery 35 percent full, which is 12.0 V for a flooded one at 20 C; in the cold it must be
    fuller in the measure in which it gives the starter less. Rounded to 0.1 V as a meter is read. A lithium battery's
    limit does not move: its volts hardly show its charge. Valid -60 to 70 C. Error 0.1-0.15 V. Source: common
    practice for 12.0 V; makers' tables and the usual figures of cranking power for the rest.
    """
    intake = Intake()
    kind = _kind(intake, kind)
    celsius = temperature(intake, temperature_c)
    need = _ENOUGH_IN_MILD_WEATHER
    if kind != "lithium-iron":
        need = min(95.0, max(need, need * cranking_power_left(20.0).value / cranking_power_left(celsius).value))
    value = round(along(_CURVES[kind], need), 1)
    spread = 0.1 if kind != "6-volt" else 0.05
    estimate = Estimate(
        value,
        "V",
        value - spread,
        value + spread,
        "the volts of a battery about a third full, and fuller in the cold, when it gives the starter less",
        intake.all(),
        ("common-practice", *_CURVE_SOURCE[kind]),
        f"That is about {need:.0f} percent full. It passes as a first look only.",
    )
    return prefer_manual(estimate, manual)


def cranking_volts_limit(temperature_c: float | None = None, kind: str | None = None, manual: float | None = None) -> Estimate:
    """Least volts at the posts while the starter turns the engine.

    Formula: 9.6 V at 21 C and above, less in the cold by the load-test table down to 8.5 V at -18 C; a 6 V battery
    half of it; a lithium one 10.4 V at 20 C, 9.6 at 0, 8.5 at -20. Valid -60 to 70 C, held at the ends. Error 0.3 V.
    Source: common practice; no public source was found.
    """
    intake = Intake()
    kind = _kind(intake, kind)
    celsius = temperature(intake, temperature_c)
    value = along(_LITHIUM_CRANKING if kind == "lithium-iron" else _LOAD_TEST, celsius) * (0.5 if kind == "6-volt" else 1.0)
    spread = {"6-volt": 0.15, "lithium-iron": 0.5}.get(kind, 0.3)
    estimate = Estimate(
        value,
        "V",
        value - spread,
        value + spread,
        "9.6 V for six lead cells at 21 C or warmer, less in the cold down to 8.5 V at -18 C",
        intake.all(),
        ("common-practice",),
    )
    return prefer_manual(estimate, manual)


def load_test_limit(temperature_c: float | None = None, kind: str | None = None, manual: float | None = None) -> Estimate:
    """Least volts after 15 seconds of load at half the cold-cranking amps.

    Formula: table against the temperature of the battery, 9.6 V at 21 C and above to 8.5 V at -18 C, straight lines
    between; 6 V half of it. Valid for lead, full or nearly; a lithium battery needs its own tester (refused).
    Error 0.2 V. Source: a figure handed down in the trade.
    """
    intake = Intake()
    kind = _kind(intake, kind)
    if kind == "lithium-iron":
        raise ValueError("this load test is made for lead batteries: use a tester meant for lithium")
    celsius = temperature(intake, temperature_c)
    half = 0.5 if kind == "6-volt" else 1.0
    value = along(_LOAD_TEST, celsius) * half
    estimate = Estimate(
        value,
        "V",
        value - 0.2 * half,
        value + 0.2 * half,
        "table of least volts after fifteen seconds against temperature, 9.6 V at 21 C or warmer",
        intake.all(),
        ("trade-memory",),
    )
    return prefer_manual(estimate, manual)


def load_test_amps(cca: float | None = None, capacity_ah: float | None = None) -> Estimate:
    """The load for a load test: half the cold-cranking amps, or three times the Ah where the label has no such figure.

    Valid: cca 20-1000 A, capacity 1-100 Ah. Errors: ValueError
    when neither is given. Error 10 percent, of the load that is usual. Source: a figure handed down in the trade.
    """
    intake = Intake()
    if cca is None and capacity_ah is None:
        raise ValueError("read the label: the number beside CCA, or the one before Ah, is needed for this")
    if cca is not None:
        value = intake.take("a cold-cranking figure", cca, "A", 20.0, 1000.0, "read the number beside CCA or EN on the label") / 2
        formula = "half the cold-cranking amps"
    else:
        value = 3 * intake.take("capacity of the battery", capacity_ah, "Ah", 1.0, 100.0, "read the number before Ah on the label")
        formula = "three times the Ah figure"
    return Estimate(
        value, "A", value * 0.9, value * 1.1, formula, intake.all(), ("trade-memory",), "Hold it for fifteen seconds, no longer."
    )


def internal_resistance(rest_volts: float, cranking_volts: float, cranking_amps: float | None = None) -> Estimate:
    """Resistance inside the battery, in milliohms, from the dip while cranking.

    Formula: (volts at rest - volts while cranking) / amps. Valid: 0-18 V, the second lower than the first, amps 5-600.
    Unknown amps count as 100 A, with a spread of 60 to 160. Error: two readings to 0.05 V each. Source: Ohm's law.
    """
    intake = Intake()
    rest = _volts(intake, "a battery voltage at rest", rest_volts, "flooded")
    under = _volts(intake, "a battery voltage while cranking", cranking_volts, "flooded")
    amps = intake.take("a starter current", cranking_amps, "A", 5.0, 600.0, "small starters draw 30 to 300 A", 100.0)
    if under >= rest:
        raise ValueError(
            f"the volts did not fall while cranking ({rest:g} to {under:g} V): no current flowed, or the two readings were swapped"
        )
    drop = rest - under
    most, least = (amps, amps) if cranking_amps is not None else (160.0, 60.0)
    return Estimate(
        1000 * drop / amps,
        "milliohm",
        1000 * max(0.0, drop - 0.07) / most,
        1000 * (drop + 0.07) / least,
        "the fall in volts divided by the amps of the starter",
        intake.all(),
        ("derived",),
    )


def healthy_resistance(cca: float, temperature_c: float | None = None) -> Estimate:
    """Inner resistance, in milliohms, that a good 12 V lead battery of this label should have.

    Formula: the rating lets it fall from 12.6 to 7.2 V at -18 C, so 5.4 V / CCA there; less when warmer, by the table of
    cranking power. Valid: cca 20-1000 A. Error: makers are generous, 0.7 to 1.5 times. Source: the industry
    council's definition of cranking amps; common practice for the temperature.
    """
    intake = Intake()
    amps = intake.take("a cold-cranking figure", cca, "A", 20.0, 1000.0, "read the number beside CCA or EN on the label")
    celsius = temperature(intake, temperature_c)
    value = 1000 * 5.4 / amps * 40.0 / cranking_power_left(celsius).value
    return Estimate(
        value,
        "milliohm",
        0.7 * value,
        1.5 * value,
        "5.4 V divided by the cold-cranking amps at -18 C, less when warmer",
        intake.all(),
        ("battery-council-definition", "common-practice"),
    )
