"""How long a charge lasts and how long it takes to put back: drains, self-discharge, heavy loads, charging time.

Sources: a motorcycle battery maker's technical manual (self-discharge), a battery monitor maker's guide (exponent),
common practice (charging time).
"""

from __future__ import annotations

import math

from assistant.trade.curve import beyond
from assistant.trade.intake import Intake
from assistant.trade.result import Estimate

KINDS = ("flooded", "agm", "lithium-iron", "6-volt")
# Days from full to flat with nothing connected, at 0, 25 and 40 C: lead with antimony (flooded), lead with calcium (sealed).
_IDLE_DAYS = {
    "flooded": ((0.0, 550.0), (25.0, 200.0), (40.0, 100.0)),
    "6-volt": ((0.0, 550.0), (25.0, 200.0), (40.0, 100.0)),
    "agm": ((0.0, 950.0), (25.0, 600.0), (40.0, 300.0)),
    "lithium-iron": ((0.0, 1500.0), (25.0, 1000.0), (40.0, 600.0)),  # handed down in the trade: about 3 % a month
}
_SOURCE = {
    "flooded": ("battery-maker-manual",),
    "6-volt": ("battery-maker-manual",),
    "agm": ("battery-maker-manual",),
    "lithium-iron": ("trade-memory",),
}
_CHARGE_FACTOR = {"flooded": (1.1, 1.25, 1.6), "6-volt": (1.1, 1.25, 1.6), "agm": (1.1, 1.2, 1.5), "lithium-iron": (1.0, 1.05, 1.2)}
_AH_HINT = "read the number before Ah on the label, 1 to 100"


def _battery(intake: Intake, kind: str | None) -> str:
    if kind == "none":
        raise ValueError("a machine without a battery has nothing that could go flat")
    return intake.choose("kind of battery", "agm" if kind == "gel" else kind, KINDS, "flooded")


def self_discharge_days(kind: str | None = None, temperature_c: float | None = None) -> Estimate:
    """Days from full to flat with nothing connected.

    Formula: table at 0, 25 and 40 C, straight lines of the logarithm between and a little beyond. Valid -20 to 60 C.
    Error a factor of 1.5 (the maker's own rule of doubling for each 10 C does not fit its own table).
    Source: motorcycle battery maker's technical manual, 2000s; trade figure for lithium.
    """
    intake = Intake()
    kind = _battery(intake, kind)
    celsius = intake.take("temperature", temperature_c, "C", -20.0, 60.0, "the table holds from -20 to 60 C", 25.0)
    days = math.exp(beyond([(t, math.log(d)) for t, d in _IDLE_DAYS[kind]], celsius))
    return Estimate(
        days, "days", days / 1.5, days * 1.5, "the maker's table of days from full to flat against temperature", intake.all(), _SOURCE[kind]
    )


def days_to_flat(
    drain_ma: float,
    capacity_ah: float | None = None,
    charge_pct: float | None = None,
    kind: str | None = None,
    temperature_c: float | None = None,
    self_discharge: bool = True,
) -> Estimate:
    """Days until a standing battery is flat, from the current that leaves it with the key off.

    Formula: charge in the battery / (drain x 24 h + what it loses by itself in a day). Valid: drain 0-20 000 mA,
    1-100 Ah, charge 1-100 percent. Error: the true capacity of a used battery is 0.6 to 1.0 of its label. The starter
    gives up long before: at about half. Source: definition; motorcycle battery maker's technical manual for what it
    loses by itself. `self_discharge=False` leaves that out.
    """
    intake = Intake()
    kind = _battery(intake, kind)
    drain = intake.take(
        "a drain", drain_ma, "mA", 0.0, 20000.0, "it is a current out of the battery; a minus sign only means swapped probes"
    )
    capacity = intake.take("capacity of the battery", capacity_ah, "Ah", 1.0, 100.0, _AH_HINT, 10.0)
    charge = intake.take("state of charge", charge_pct, "%", 1.0, 100.0, "it lies between 1 and 100", 100.0)
    per_day = 24 * drain / 1000
    idle = self_discharge_days(kind, temperature_c)
    if self_discharge:
        per_day += capacity / idle.value
    if per_day == 0:
        raise ValueError("without any drain it does not go flat: give the current in mA")
    days = capacity * charge / 100 / per_day
    return Estimate(
        days,
        "days",
        0.6 * days,
        1.1 * days,
        "the charge in it divided by what leaves it each day",
        (*intake.all(), *(idle.inputs[1:] if self_discharge else ())),
        ("derived", *(_SOURCE[kind] if self_discharge else ())),
        (
            f"The starter usually gives up at about half: after some {days / 2:.0f} days."
            if days >= 2
            else "The starter usually gives up well before, at about half."
        ),
    )


def greatest_drain_ma(
    days: float | None = None, capacity_ah: float | None = None, kind: str | None = None, temperature_c: float | None = None
) -> Estimate:
    """Greatest drain in mA with which a full battery still has half its charge after so many days.

    Formula: (half the capacity - self-discharge) / hours. Valid: 1-400 days, 1-100 Ah. Error as `days_to_flat`.
    Errors: ValueError where it would lose half by itself. Source: definition; motorcycle battery maker's technical manual.
    """
    intake = Intake()
    kind = _battery(intake, kind)
    span = intake.take("number of days", days, "days", 1.0, 400.0, "give 1 to 400", 14.0)
    capacity = intake.take("capacity of the battery", capacity_ah, "Ah", 1.0, 100.0, _AH_HINT, 10.0)
    idle = self_discharge_days(kind, temperature_c)
    left = capacity / 2 - capacity * span / idle.value
    if left <= 0:
        raise ValueError("this kind of battery loses half its charge by itself in that time: use a maintenance charger")
    value = 1000 * left / (24 * span)
    return Estimate(
        value,
        "mA",
        0.6 * value,
        1.1 * value,
        "half the charge, less what it loses by itself, divided by the hours",
        (*intake.all(), *idle.inputs[1:]),
        ("derived", *_SOURCE[kind]),
    )


def hours_at_load(
    amps: float, capacity_ah: float | None = None, rated_hours: float | None = None, exponent: float | None = None
) -> Estimate:
    """Hours a full battery feeds a steady load, such as lamps left on.

    Formula: H x (C / (I x H)) ^ n, C the capacity at the H-hour rate (10 h on most motorcycle labels), n = 1.25 for lead.
    A capacity given at 1 A is the case H = C. Valid: 0.01-500 A, n 1.0-1.6. Error: n is known to 0.1, and a used
    battery has 0.6 of its label. Source: the usual law; a battery monitor maker's guide for the exponent.
    """
    intake = Intake()
    current = intake.take("a load", amps, "A", 0.01, 500.0, "give the current in amps, 0.01 to 500")
    capacity = intake.take("capacity of the battery", capacity_ah, "Ah", 1.0, 400.0, _AH_HINT, 10.0)
    hours = intake.take("hours of the rating", rated_hours, "h", 1.0, 400.0, "labels use 10 or 20 hours", 10.0)
    n = intake.take("exponent", exponent, "", 1.0, 1.6, "lead batteries have 1.1 to 1.4", 1.25)
    ratio = capacity / (current * hours)
    value = hours * ratio**n
    others = [hours * ratio**p for p in (max(1.0, n - 0.1), n + 0.1)]
    return Estimate(
        value,
        "h",
        0.6 * min(value, *others),
        max(value, *others),
        "rated hours times the ratio of rated to actual current, raised to the exponent",
        intake.all(),
        ("charge-meter-guide",),
    )


def peukert_exponent(hours_1: float, amps_1: float, hours_2: float, amps_2: float) -> Estimate:
    """The exponent of a battery from two discharges: (log t2 - log t1) / (log I1 - log I2).

    Valid: positive hours, two different currents. Error 0.1 with hand-timed discharges. Errors: ValueError when the
    currents are the same. Source: the usual law.
    """
    intake = Intake()
    t1 = intake.take("first duration", hours_1, "h", 1e-3, 1e4, "give hours above 0")
    i1 = intake.take("first current", amps_1, "A", 1e-3, 1e4, "give amps above 0")
    t2 = intake.take("second duration", hours_2, "h", 1e-3, 1e4, "give hours above 0")
    i2 = intake.take("second current", amps_2, "A", 1e-3, 1e4, "give amps above 0")
    if i1 == i2:
        raise ValueError("both discharges were made with the same current: the second must be with another one")
    value = (math.log(t2) - math.log(t1)) / (math.log(i1) - math.log(i2))
    return Estimate(
        value, "", value - 0.1, value + 0.1, "difference of the logarithms of time divided by that of current", intake.all(), ("derived",)
    )


def hours_to_charge(
    charger_amps: float | None = None,
    capacity_ah: float | None = None,
    charge_pct: float | None = None,
    to_pct: float | None = None,
    kind: str | None = None,
) -> Estimate:
    """Hours on the charger.

    Formula: missing Ah / amps x 1.25 (flooded), 1.2 (sealed) or 1.05 (lithium): some of the current makes heat and gas,
    and the last fifth goes in slowly. Valid: 0.1-50 A, 1-100 Ah. Error: 1.1 to 1.6 times the plain division for lead.
    Source: common practice.
    """
    intake = Intake()
    kind = _battery(intake, kind)
    amps = intake.take("a charging current", charger_amps, "A", 0.1, 50.0, "read the number of amps on the charger", 1.0)
    capacity = intake.take("capacity of the battery", capacity_ah, "Ah", 1.0, 100.0, _AH_HINT, 10.0)
    start = intake.take("state of charge", charge_pct, "%", 0.0, 100.0, "it lies between 0 and 100", 0.0)
    end = intake.take("wanted charge", to_pct, "%", 0.0, 100.0, "it lies between 0 and 100", 100.0)
    if end < start:
        raise ValueError(f"it is at {start:g} percent already, more than the {end:g} wanted")
    plain = capacity * (end - start) / 100 / amps
    low, middle, high = (f * plain for f in _CHARGE_FACTOR[kind])
    fast = amps > capacity / (1 if kind == "lithium-iron" else 3)
    return Estimate(
        middle,
        "h",
        low,
        high,
        "missing Ah divided by the amps, and a quarter more for what is lost",
        intake.all(),
        ("common-practice",),
        (
            "That charger is too strong for so small a battery: about a tenth of its Ah is kind to it."
            if fast
            else "About a tenth of the Ah is a kind current."
        ),
    )


def charge_taken(amps: float, hours: float, capacity_ah: float | None = None) -> Estimate:
    """Percent of the charge that a load has taken: amps x hours / Ah x 100, at most 100.

    For a lamp left on for a while. Valid: 0.001-500 A, 0-10 000 h, 1-100 Ah. Error: a used battery has 0.6 of its label.
    Source: definition.
    """
    intake = Intake()
    current = intake.take("a load", amps, "A", 0.001, 500.0, "give the current in amps")
    time = intake.take("duration", hours, "h", 0.0, 10000.0, "give the hours")
    capacity = intake.take("capacity of the battery", capacity_ah, "Ah", 1.0, 100.0, _AH_HINT, 10.0)
    value = 100 * current * time / capacity
    return Estimate(
        min(100.0, value),
        "%",
        min(100.0, 0.9 * value),
        min(100.0, value / 0.6),
        "amps times hours, divided by the Ah",
        intake.all(),
        ("derived",),
    )
