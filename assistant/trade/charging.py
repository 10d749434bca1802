"""The charging side: the regulated window, what a permanent-magnet alternator makes, whether it makes enough.

Sources: common practice for the window and the balance; battery tutorial text and a standby battery maker for the
temperature coefficient; the rest follows from the definition of the machine.
"""

from __future__ import annotations

import math
from typing import Iterable, Mapping

from assistant.trade.intake import Intake, checked, temperature
from assistant.trade.result import Estimate, prefer_manual

KINDS = ("flooded", "agm", "lithium-iron", "6-volt")
_WINDOW = {"flooded": (13.5, 14.8), "agm": (13.5, 14.8), "lithium-iron": (13.5, 14.6), "6-volt": (6.8, 7.5)}  # V at 25 C, common practice
_CELLS = {"flooded": 6, "agm": 6, "lithium-iron": 0, "6-volt": 3}  # 0: no correction for temperature
_PER_CELL = -0.003  # V/K
# Watts of what draws on the alternator, common practice; the label on the part beats it.
LOADS = {
    "headlamp": 55.0,
    "led-headlamp": 20.0,
    "tail-and-dash": 10.0,
    "brake-lamp": 21.0,
    "ignition": 25.0,
    "injection-and-pump": 70.0,
    "fan": 60.0,
    "heated-grips": 35.0,
    "indicators": 42.0,
    "small-accessory": 10.0,
    "battery-topping-up": 25.0,
}


def _window(temperature_c: float | None, kind: str | None) -> tuple[float, float, Intake]:
    intake = Intake()
    if kind == "none":
        raise ValueError("without a battery there is no charging voltage to judge: look at the alternator's own volts")
    kind = intake.choose("kind of battery", "agm" if kind == "gel" else kind, KINDS, "flooded")
    celsius = temperature(intake, temperature_c, 25.0)
    low, high = _WINDOW[kind]
    move = _CELLS[kind] * _PER_CELL * (celsius - 25.0)
    # A regulator may follow the temperature or not: the cold lifts only the top, the heat lowers only the bottom.
    return low + min(0.0, move), high + max(0.0, move), intake


def regulated_window_low(temperature_c: float | None = None, kind: str | None = None, manual: float | None = None) -> Estimate:
    """Least volts at the battery at about 4000 rpm.

    Formula: 13.5 V (lithium 13.5, 6 V 6.8), 18 mV less per degree over 25 C, not more when colder, as many regulators do not
    follow the temperature. Valid -60 to 70 C. Error 0.2 V. Source: common practice; battery tutorial text for 3 mV/K a cell.
    """
    low, _, intake = _window(temperature_c, kind)
    return prefer_manual(
        Estimate(
            low,
            "V",
            low - 0.2,
            low + 0.2,
            "13.5 V for six lead cells, 18 mV less for each degree over 25 C",
            intake.all(),
            ("common-practice",),
        ),
        manual,
    )


def regulated_window_high(temperature_c: float | None = None, kind: str | None = None, manual: float | None = None) -> Estimate:
    """Most volts at the battery with the engine revving.

    Formula: 14.8 V (lithium 14.6, 6 V 7.5), 18 mV more per degree under 25 C for lead, not less when warmer.
    Valid -60 to 70 C. Error 0.2 V. Source: common practice; battery tutorial text for 3 mV/K a cell.
    """
    _, high, intake = _window(temperature_c, kind)
    return prefer_manual(
        Estimate(
            high,
            "V",
            high - 0.2,
            high + 0.2,
            "14.8 V for six lead cells, 18 mV more for each degree under 25 C",
            intake.all(),
            ("common-practice",),
        ),
        manual,
    )


def charge_voltage(
    temperature_c: float, base_v: float | None = None, cells: int | None = None, mv_per_kelvin: float | None = None
) -> Estimate:
    """Right charging voltage at a battery temperature: base + cells x coefficient x (T - 25 C).

    Base 14.4 V, six cells, -3 mV/K a cell unless given. Valid: -40 to 60 C, 1-6 cells, coefficient -6 to 0.
    Error: makers say -3 to -5 mV/K. Source: battery tutorial text (-3); a standby battery maker's manual (-5);
    a motorcycle battery maker's manual of 2014 (14.4 V).
    """
    intake = Intake()
    celsius = intake.take(
        "battery temperature", temperature_c, "C", -40.0, 60.0, "do not charge a battery colder than -40 or hotter than 60 C"
    )
    base = intake.take("voltage at 25 C", base_v, "V", 2.0, 16.0, "six cells take 13.2 to 15 V", 14.4)
    number = intake.take("number of cells", cells, "", 1, 6, "a 12 V battery has six", 6)
    coefficient = intake.take("coefficient", mv_per_kelvin, "mV/K", -6.0, 0.0, "makers say -3 to -5 mV per degree and cell", -3.0)
    move = number * (celsius - 25.0) / 1000
    ends = [base + move * c for c in (coefficient, -3.0, -5.0)]
    return Estimate(
        ends[0],
        "V",
        min(ends),
        max(ends),
        "volts at 25 C, less 3 mV for each cell and each degree above",
        intake.all(),
        ("battery-maker-manual-2014", "standby-battery-maker"),
    )


def alternator_ac(rpm: float | None = None, volts: float | None = None, at_rpm: float | None = None) -> Estimate:
    """Alternating volts between two unplugged stator wires at some engine speed.

    Formula: in proportion to the speed. With a reading `volts` at `at_rpm` it starts from that; without one from 14 V per
    1000 rpm, which machines scatter widely about (10 to 20). Valid: 0-20 000 rpm. Error 5 percent with a reading of
    one's own. Source: induction; common practice for the 14 V.
    """
    intake = Intake()
    speed = intake.take("an engine speed", rpm, "rpm", 0.0, 20000.0, "engines turn 0 to 20 000", 4000.0)
    if (volts is None) != (at_rpm is None):
        raise ValueError("give both: the volts you read, and the revs at which you read them")
    if volts is None or at_rpm is None:
        return Estimate(
            0.014 * speed, "V", 0.010 * speed, 0.020 * speed, "about 14 V for each 1000 rpm, unplugged", intake.all(), ("common-practice",)
        )
    known = intake.take("alternating volts", volts, "V", 0.0, 300.0, "unplugged stators make 0 to 300 V AC")
    at = intake.take("the speed of that reading", at_rpm, "rpm", 100.0, 20000.0, "the engine must turn")
    value = known * speed / at
    return Estimate(value, "V", value * 0.95, value * 1.05, "the volts you read, in proportion to the speed", intake.all(), ("derived",))


def rectified(ac_volts: float, phases: int = 3, diode_v: float = 0.0) -> Estimate:
    """Average direct volts behind a bridge of diodes, from rms volts between two wires.

    Formula: three phases 3 sqrt(2)/pi = 1.3505 times, one phase 2 sqrt(2)/pi = 0.9003 times; less two diodes.
    Valid: 0-500 V, 1 or 3 phases, diode 0-1.2 V. Error 2 percent: the wave is no perfect sine, and a shop meter averages.
    Source: derivation.
    """
    intake = Intake()
    volts = intake.take("alternating volts", ac_volts, "V", 0.0, 500.0, "unplugged stators make 0 to 300 V AC")
    if phases not in (1, 3):
        raise ValueError(f"an alternator on a machine has 1 or 3 phases, not {phases}: count the stator wires, two or three")
    loss = intake.take("volts of one diode", diode_v, "V", 0.0, 1.2, "a silicon diode takes 0.6 to 1 V")
    factor = 3 * math.sqrt(2) / math.pi if phases == 3 else 2 * math.sqrt(2) / math.pi
    value = max(0.0, factor * volts - 2 * loss)
    return Estimate(
        value, "V", value * 0.98, value * 1.02, f"{factor:.4f} times the alternating volts between two wires, less two diodes", intake.all()
    )


def phase_to_line(phase_volts: float) -> Estimate:
    """Rms volts between two wires of a star winding from the volts of one phase: sqrt(3) times.

    Valid 0-300 V. Error: none. Source: derivation.
    """
    intake = Intake()
    value = math.sqrt(3) * intake.take("volts of one phase", phase_volts, "V", 0.0, 300.0, "unplugged stators make 0 to 300 V AC")
    return Estimate(value, "V", value, value, "1.732 times the volts of one phase", intake.all())


def frequency(rpm: float, pole_pairs: int) -> Estimate:
    """Hertz of an alternator: pole pairs x rpm / 60. Valid: 0-20 000 rpm, 1-24 pairs. Error: none. Source: definition."""
    intake = Intake()
    speed = intake.take("an engine speed", rpm, "rpm", 0.0, 20000.0, "engines turn 0 to 20 000")
    pairs = intake.take("pole pairs", pole_pairs, "", 1, 24, "half the number of magnets in the flywheel")
    value = pairs * speed / 60
    return Estimate(value, "Hz", value, value, "pole pairs times rpm, divided by sixty", intake.all())


def phase_balance(volts: Iterable[float]) -> Estimate:
    """How far the weakest phase is under the average of all, in percent.

    Formula: (average - lowest) / average x 100. Valid: three readings of 0-300 V at one engine speed. Error 2 percent
    (the speed wanders). Up to 10 percent is good. Source: common practice.
    """
    readings = [checked("alternating volts", v, "V", 0.0, 300.0, "unplugged stators make 0 to 300 V AC") for v in volts]
    if len(readings) != 3:
        raise ValueError("measure all three pairs: 1 to 2, 2 to 3 and 1 to 3")
    mean = sum(readings) / 3
    if mean == 0:
        raise ValueError("all three readings are 0: the meter is not on AC volts, or the engine does not turn")
    value = 100 * (mean - min(readings)) / mean
    note = "The phases agree." if value <= 10 else "One phase is weak or broken: look at its wire, its plug, then the winding."
    return Estimate(
        value, "%", max(0.0, value - 2), value + 2, "average less lowest, divided by the average", (), ("common-practice",), note
    )


def watts_in(
    rpm: float | None = None, rated_watts: float | None = None, rated_rpm: float | None = None, cut_in_rpm: float | None = None
) -> Estimate:
    """Watts an alternator with permanent magnets can give into the battery at some speed.

    Formula: rated x sqrt(1 - (cut-in / rpm)^2), scaled to the rated speed: its own winding holds the current back as the
    speed rises. Nothing below the cut-in speed. Valid: 0-20 000 rpm, 5-1000 W. Error: cut-in is 800 to 1150 rpm, and 15
    percent. Source: circuit theory of such a machine; common practice for the usual figures (200 W at 5000 rpm, cut-in
    1000).
    """
    intake = Intake()
    speed = intake.take("an engine speed", rpm, "rpm", 0.0, 20000.0, "engines turn 0 to 20 000", 1200.0)
    rated = intake.take("rated output", rated_watts, "W", 5.0, 1000.0, "the handbook gives 30 to 600 W", 200.0)
    at = intake.take("speed of the rated output", rated_rpm, "rpm", 2000.0, 10000.0, "the handbook gives it at 3000 to 8000 rpm", 5000.0)
    start = intake.take(
        "speed at which it begins to charge", cut_in_rpm, "rpm", 300.0, 1900.0, "it begins between 600 and 1500 rpm", 1000.0
    )

    def share(cut_in: float) -> float:
        return math.sqrt(max(0.0, 1 - (cut_in / speed) ** 2) / (1 - (cut_in / at) ** 2)) if speed > cut_in else 0.0

    early, late = (start, start) if cut_in_rpm is not None else (800.0, 1150.0)
    return Estimate(
        rated * share(start),
        "W",
        0.85 * rated * share(late),
        1.15 * rated * share(early),
        "rated watts times the root of one less the square of cut-in speed over speed",
        intake.all(),
        ("derived", "common-practice"),
    )


def watts_used(loads: Iterable[str | float] | Mapping[str, float]) -> Estimate:
    """Watts drawn by what is switched on: names out of LOADS, or watts, or a mapping of names to watts.

    Formula: their sum. Valid: 0-500 W each. Errors: ValueError for an unknown name or a number outside. Error 20 percent for names.
    Source: common practice; the label on the part beats it.
    """
    items = loads.values() if isinstance(loads, Mapping) else loads
    total = scatter = 0.0
    for item in items:
        if isinstance(item, str):
            if item not in LOADS:
                raise ValueError(f"no usual figure for '{item}': give its watts, or one of {', '.join(LOADS)}")
            total += LOADS[item]
            scatter += 0.2 * LOADS[item]
        else:
            total += checked("a load", item, "W", 0.0, 500.0, "parts of a machine draw 0 to 500 W")
    return Estimate(total, "W", total - scatter, total + scatter, "the sum of what is switched on", (), ("common-practice",))


def power_balance(
    rpm: float | None = None, used_watts: float | None = None, rated_watts: float | None = None, rated_rpm: float | None = None
) -> Estimate:
    """Watts left over for the battery at some engine speed; negative means that it runs down.

    Formula: `watts_in` less the watts used (120 W when not given: headlamp, tail, ignition, some charge).
    Valid, errors and source as there.
    """
    made = watts_in(rpm, rated_watts, rated_rpm)
    intake = Intake()
    used = intake.take("watts used", used_watts, "W", 0.0, 1000.0, "add up what is switched on", 120.0)
    value, low, high = made.value - used, made.low - used * 1.1, made.high - used * 0.9
    note = (
        "It charges at this speed."
        if low > 0
        else "It runs the battery down at this speed." if high < 0 else "It is about even at this speed."
    )
    return Estimate(value, "W", low, high, "watts made less watts used", (*made.inputs, *intake.all()), made.source, note)
