"""How soon a fuse melts, and which colour stands for which rating.

Sources: data sheets of glass fuses (two makers' sheets and the UL 248-14 summary); for blade fuses figures handed
down in the trade; a farm magazine's article for the colours.
"""

from __future__ import annotations

import math

from assistant.trade.curve import along
from assistant.trade.intake import Intake
from assistant.trade.result import Estimate

KINDS = ("blade", "slow-glass", "fast-glass")
COLOURS = {2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown", 10: "red", 15: "blue", 20: "yellow", 25: "clear", 30: "green"}
# Times current over seconds, least and most. None: no such limit was printed. Blade: from memory of the trade.
_BLADE_LEAST = ((1.10, 360000.0), (1.35, 0.75), (2.00, 0.15), (3.50, 0.08))
_BLADE_MOST = ((1.35, 600.0), (2.00, 5.0), (3.50, 0.5))
_GLASS_MOST = {"slow-glass": ((1.35, 3600.0), (2.00, 120.0)), "fast-glass": ((1.35, 3600.0), (2.00, 120.0))}
_CARRIES = {"blade": 1.10, "slow-glass": 1.10, "fast-glass": 1.00}  # need not open up to here
_SOURCE = {
    "blade": ("trade-memory",),
    "slow-glass": ("slow-glass-fuse-data",),
    "fast-glass": ("fast-glass-fuse-data", "fuse-standard-summary"),
}


def _at(curve: tuple[tuple[float, float], ...], ratio: float) -> float:
    """Log-log between rows; past the last row the heat it takes is constant, so time falls with the square of current."""
    last, seconds = curve[-1]
    if ratio > last:
        return seconds * (last / ratio) ** 2
    return math.exp(along([(math.log(r), math.log(s)) for r, s in curve], math.log(ratio)))


def melting_time(amps: float, rating_a: float, kind: str | None = None) -> Estimate:
    """Seconds until a fuse opens at a steady current.

    Formula: limits at 110, 135, 200 and 350 percent of the rating, straight lines between on logarithmic scales, and
    beyond the last with the inverse square of the current. For blades the value lies midway (in logarithm) between least
    and most; for glass fuses only the most is printed, and it is the value. Up to 110 percent a fuse need never open: infinite.
    Valid: 0.1-2000 A, ratings 0.05-100 A. Error: as the spread, often a hundredfold. Source: glass fuses makers' data
    sheets and UL 248-14; blades a figure handed down in the trade.
    """
    intake = Intake()
    kind = intake.choose("kind of fuse", kind, KINDS, "blade")
    current = intake.take("a current", amps, "A", 0.0, 2000.0, "give amps; a dead short on a small battery is some hundred")
    rating = intake.take("rating of the fuse", rating_a, "A", 0.05, 100.0, "read the number on it")
    ratio = current / rating
    formula = "the limits of such fuses at 110, 135, 200 and 350 percent of their rating, and straight lines between"
    if ratio <= _CARRIES[kind]:
        return Estimate(
            math.inf,
            "s",
            360000.0 if kind == "blade" else 14400.0,
            math.inf,
            formula,
            intake.all(),
            _SOURCE[kind],
            "It need never open at this current.",
        )
    if kind == "blade":
        least = _at(_BLADE_LEAST, ratio)
        most = _at(_BLADE_MOST, ratio) if ratio >= 1.35 else math.inf
        # Under 135 percent no longest time is laid down; the middle runs from the least of 110 to the middle of 135.
        value = (
            math.sqrt(least * most)
            if math.isfinite(most)
            else math.exp(
                along([(math.log(1.10), math.log(360000.0)), (math.log(1.35), math.log(math.sqrt(0.75 * 600.0)))], math.log(ratio))
            )
        )
        value = max(value, least)
    else:
        least = 0.0
        most = _at(_GLASS_MOST[kind], ratio) if ratio >= 1.35 else math.inf
        value = most
    note = "A small overload may be carried for minutes: a fuse guards the wire against a short, not the part." if ratio < 2 else ""
    return Estimate(value, "s", least, most, formula, intake.all(), _SOURCE[kind], note)


def rating_of_colour(colour: str) -> Estimate:
    """Amps of a standard or mini blade fuse by its colour.

    Formula: table. Valid: the ten common colours; large blades use the same colours for other ratings, so read the number
    too. Errors: ValueError for another colour. Source: a farm magazine's article on blade fuses, 2015.
    """
    ratings = {name: amps for amps, name in COLOURS.items()}
    word = str(colour).strip().lower()
    if word not in ratings:
        raise ValueError(f"no common blade fuse is '{colour}': they are {', '.join(ratings)}")
    value = float(ratings[word])
    return Estimate(
        value,
        "A",
        value,
        value,
        "table of colours",
        (),
        ("farm-magazine-fuses",),
        "Read the number on it too: large blades use the same colours for other ratings.",
    )


def fuse_for(watts: float, volts: float | None = None) -> Estimate:
    """Rating that suits a load: watts / volts x 1.5, up to the next rating made. Never more than the wire can carry.

    Valid: 1-1000 W, 4-30 V. Error: one rating up or down. Source: common practice.
    """
    intake = Intake()
    load = intake.take("a load", watts, "W", 1.0, 1000.0, "add up the watts on the lamps and parts of that circuit")
    system = intake.take("system voltage", volts, "V", 4.0, 30.0, "machines have 6 or 12 V", 12.0)
    wanted = 1.5 * load / system
    made = (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40, 60, 80, 100, 150, 200, 250, 300, 400)
    index = next(i for i, rating in enumerate(made) if rating >= wanted)
    return Estimate(
        float(made[index]),
        "A",
        min(float(made[index]), wanted / 1.5),
        float(made[min(index + 1, len(made) - 1)]),
        "watts divided by volts, half as much again, up to the next rating made",
        intake.all(),
        ("common-practice",),
        "The rating printed beside the fuse or in the handbook beats this.",
    )
