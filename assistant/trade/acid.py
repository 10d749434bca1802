"""The acid of a flooded or sealed lead battery: its density, what that says of the charge, and when it freezes.

SG is specific gravity, density relative to water. Sources: a motorcycle battery maker's technical manual (correction,
volts from density), a deep-cycle battery maker's article (charge), an army training course and a vehicle owner's
manual (freezing).
"""

from __future__ import annotations

from typing import Iterable

from assistant.trade.curve import along
from assistant.trade.intake import Intake, checked, temperature
from assistant.trade.result import Estimate

_SG_HINT = "acid reads 1.000 (water) to 1.400; read the float at eye level, with its point after the 1"
# How far under its own full density the acid is, against charge: the middle of three published tables, and all three.
_BELOW_FULL = (
    ((0.0, 100), (0.040, 75), (0.075, 50), (0.105, 25), (0.145, 0)),  # deep-cycle battery maker
    ((0.0, 100), (0.055, 75), (0.105, 50), (0.145, 25), (0.165, 0)),  # motorcycle battery maker
    ((0.0, 100), (0.030, 75), (0.060, 50), (0.090, 25), (0.150, 0)),  # a third table in wide use
)
_FREEZES = (
    (1.000, 0.0),
    (1.050, -2.8),
    (1.100, -7.5),
    (1.150, -15.0),
    (1.200, -27.0),
    (1.225, -37.2),
    (1.250, -52.2),
    (1.265, -59.4),
    (1.280, -67.8),
)  # C; the tables agree to 0.6 C where they overlap


def corrected_sg(sg: float, temperature_c: float | None = None) -> Estimate:
    """What the hydrometer would read at 25 C. A warm reading is too low, a cold one too high.

    Formula: SG + 0.0006 per degree C over 25 (0.001 per 3 F from 77 F). Valid: SG 1.0-1.4, -60 to 70 C. Error: other
    makers use 0.00072 per degree. Source: motorcycle battery maker's technical manual, 2000s; the deep-cycle battery
    maker's example agrees.
    """
    intake = Intake()
    value = intake.take("a specific gravity", sg, "", 1.0, 1.4, _SG_HINT)
    celsius = temperature(intake, temperature_c, 25.0, "temperature of the acid")
    exact = value + 0.001 / 3 * 1.8 * (celsius - 25.0)
    other = value + 0.0004 * 1.8 * (celsius - 26.7)
    return Estimate(
        exact,
        "SG",
        min(exact, other) - 0.002,
        max(exact, other) + 0.002,
        "the reading plus 0.0006 for each degree the acid is over 25 C",
        intake.all(),
        ("battery-maker-manual",),
    )


def volts_from_sg(sg: float, cells: int | None = None, k: float | None = None) -> Estimate:
    """Rested volts that belong to a density: cells x (SG + k), k = 0.84 (makers use up to 0.85).

    Valid: SG 1.0-1.4 at about 25 C, 1-6 cells. Error 0.01 V a cell. Source: motorcycle battery maker's technical manual, 2000s.
    """
    intake = Intake()
    density = intake.take("a specific gravity", sg, "", 1.0, 1.4, _SG_HINT)
    number = intake.take("number of cells", cells, "", 1, 6, "a 12 V battery has six, a 6 V one three", 6)
    constant = intake.take("constant k", k, "V", 0.83, 0.86, "makers use 0.84 to 0.85", 0.84)
    value = number * (density + constant)
    return Estimate(
        value,
        "V",
        value - 0.01 * number,
        value + 0.01 * number,
        "number of cells times the sum of density and 0.84",
        intake.all(),
        ("battery-maker-manual",),
    )


def charge_from_sg(sg: float, temperature_c: float | None = None, full_sg: float | None = None) -> Estimate:
    """How full a cell is, in percent, from its density against that of the same battery when full.

    Formula: the fall below the full density, after the correction to 25 C, looked up. Valid: SG 1.0-1.4, full 1.20-1.32
    (1.265 if not known). Error: tables differ by 0.02 in the middle, so a quarter of the charge. Source: deep-cycle
    battery maker's article, with the motorcycle battery maker's and a third table in wide use as the spread.
    """
    intake = Intake()
    reading = intake.take("a specific gravity", sg, "", 1.0, 1.4, _SG_HINT)
    celsius = temperature(intake, temperature_c, 25.0, "temperature of the acid")
    full = intake.take("density when full", full_sg, "", 1.2, 1.32, "makers fill batteries to 1.22 to 1.32", 1.265)
    fall = full - corrected_sg(reading, celsius).value
    values = [along(table, fall) for table in _BELOW_FULL]
    return Estimate(
        values[0],
        "%",
        min(values),
        max(values),
        "the fall below the density of the full battery, corrected to 25 C, looked up in the makers' tables",
        intake.all(),
        ("deep-cycle-battery-maker", "battery-maker-manual"),
    )


def cell_spread(readings: Iterable[float]) -> Estimate:
    """Difference between the best and the worst cell of a charged battery.

    Formula: highest less lowest density. Valid: 2-6 readings of 1.0-1.4. Error 0.005. Over 0.025 the army calls a fully
    charged battery unserviceable; over 0.050 everybody does (common practice). Source: army technical manual on lead-acid
    storage batteries, 1998.
    """
    values = [checked("a specific gravity", r, "", 1.0, 1.4, _SG_HINT) for r in readings]
    if not 2 <= len(values) <= 6:
        raise ValueError("give one density for each cell: two to six numbers")
    value = max(values) - min(values)
    note = (
        "One cell is far behind the rest."
        if value > 0.050
        else "More than a sound full battery shows." if value > 0.025 else "The cells agree."
    )
    return Estimate(value, "SG", max(0.0, value - 0.005), value + 0.005, "highest density less lowest", (), ("army-battery-manual",), note)


def freezing_point(sg: float) -> Estimate:
    """Temperature in C at which acid of this density (at 25 C) freezes.

    Formula: straight lines through a table, 0 C for water to -68 C at 1.280, held beyond. Valid: SG 1.0-1.4.
    Error 1 C up to 1.200, 6 C above. Source: army training course on batteries; vehicle owner's manual.
    """
    intake = Intake()
    density = intake.take("a specific gravity", sg, "", 1.0, 1.4, _SG_HINT)
    value, off = along(_FREEZES, density), 1.0 if density <= 1.2 else 6.0
    return Estimate(
        value,
        "C",
        value - off,
        min(0.0, value + off),
        "table of freezing points against density",
        intake.all(),
        ("army-battery-course", "vehicle-owners-manual"),
    )


def freezing_point_at_volts(volts: float, kind: str | None = None) -> Estimate:
    """Temperature in C at which a lead battery with these rested volts freezes.

    Formula: density = volts / cells - 0.84, then the freezing table. Valid: 0-18 V (6 V: 0-9); under 11 V the acid
    counts as water with a little acid. Error: 0.1 V is 0.017 of density, so up to 5 C. A lithium battery has no water to
    freeze (refused). Source: motorcycle battery maker's technical manual; army training course on batteries.
    """
    intake = Intake()
    kind = intake.choose("kind of battery", kind, ("flooded", "agm", "6-volt", "lithium-iron"), "flooded")
    if kind == "lithium-iron":
        raise ValueError("a lithium battery holds no acid that could freeze; do not charge it below 0 C all the same")
    cells = 3 if kind == "6-volt" else 6
    reading = intake.take(
        "a battery voltage", volts, "V", 0.0, 3.0 * cells, "check which way round the probes were and the range of the meter"
    )

    def density(v: float) -> float:
        return min(1.4, max(1.0, v / cells - 0.84))

    value = along(_FREEZES, density(reading))
    low, high = along(_FREEZES, density(reading + 0.1)), along(_FREEZES, density(reading - 0.1))
    return Estimate(
        value,
        "C",
        low - 1.0,
        min(0.0, high + 1.0),
        "density from the volts (volts of a cell less 0.84), then the table of freezing points",
        intake.all(),
        ("battery-maker-manual", "army-battery-course"),
        "A frozen battery must thaw before anybody charges or jumps it; a cracked one is done.",
    )


def freezing_margin(volts: float, temperature_c: float, kind: str | None = None) -> Estimate:
    """By how many degrees C the battery is warmer than its freezing point; negative means that it may be ice.

    Formula: temperature less `freezing_point_at_volts`. Valid, errors and source as there.
    """
    point = freezing_point_at_volts(volts, kind)
    intake = Intake()
    celsius = temperature(intake, temperature_c, name="temperature of the battery")
    value = celsius - point.value
    note = (
        "It may be frozen: do not charge or jump it before it has thawed."
        if celsius - point.high < 0
        else "No danger of freezing at this temperature."
    )
    return Estimate(
        value,
        "K",
        celsius - point.high,
        celsius - point.low,
        "temperature less the freezing point of the acid",
        (*point.inputs, *intake.all()),
        point.source,
        note,
    )
