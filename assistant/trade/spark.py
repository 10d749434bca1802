"""What volts a gap needs, in the open air and in the cylinder, and what an open-air test gap stands for.

The reason why a spark in the open proves less than it seems: in the cylinder the gas is several times as dense, and the
same gap needs 2 to 4 times the volts. Sources: Paschen's law with the usual constants for air; American Institute of
Electrical Engineers table of sparking distances; a textbook on vehicle electrics for what plugs need.
"""

from __future__ import annotations

import math

from assistant.trade.constants import SEA_LEVEL_KPA, ZERO_C
from assistant.trade.curve import along, turned
from assistant.trade.intake import Intake
from assistant.trade.result import Estimate

_A, _B, _GAMMA = 112.50, 2737.50, 0.01  # 1/(kPa cm), V/(kPa cm); gamma is ours
_PLUG = 0.75  # a plug's edges help the spark; fitted to the textbook's 2-3 kV at 0.6 mm and 3-4 kV at 1 mm, both in the open
# kV peak against gap in mm, 25 C and sea level.
_POINTS = ((0.0, 0.0), (4.2, 5), (8.5, 10), (13.0, 15), (17.5, 20), (22.0, 25), (26.9, 30), (32.0, 35), (38.1, 40))
_BALLS = ((0.0, 0.0), (1.3, 5), (2.7, 10), (4.2, 15), (5.8, 20), (7.6, 25), (9.5, 30), (11.7, 35), (14.1, 40))
_TABLES = {"points": _POINTS, "balls": _BALLS}
_TABLE_ERROR = {"points": 0.15, "balls": 0.08}


def _paschen_kv(gap_mm: float, density: float) -> float:
    """kV of a uniform field at `density` times that of air at 20 C and sea level."""
    pd = SEA_LEVEL_KPA * density * gap_mm / 10
    bottom = math.log(_A * pd) - math.log(math.log(1 + 1 / _GAMMA))
    if bottom <= 0.05:
        raise ValueError("so small a gap in so thin a gas is outside what the law holds for")
    return _B * pd / bottom / 1000


def breakdown_kv(gap_mm: float, pressure_kpa: float | None = None, temperature_c: float | None = None) -> Estimate:
    """kV at which air between blunt electrodes breaks down (Paschen).

    Formula: B p d / (ln(A p d) - ln ln(1 + 1/gamma)), A 112.5, B 2737.5 per kPa and cm, gamma 0.01; the pressure counts as
    moved to 20 C, since density is what matters. Valid: 0.05-10 mm, 20-5000 kPa absolute, -60 to 700 C. Error 20 percent up
    to 3 mm at one atmosphere, 30 beyond. Source: Paschen's law with the usual constants for air.
    """
    intake = Intake()
    gap = intake.take("a gap", gap_mm, "mm", 0.05, 10.0, "the law is used for 0.05 to 10 mm")
    pressure = intake.take(
        "pressure of the gas", pressure_kpa, "kPa", 20.0, 5000.0, "give absolute kPa; the open air has 101", SEA_LEVEL_KPA
    )
    celsius = intake.take(
        "temperature of the gas", temperature_c, "C", -60.0, 700.0, "gas in a cylinder reaches 500 C before the spark", 20.0
    )
    density = pressure / SEA_LEVEL_KPA * (20 + ZERO_C) / (celsius + ZERO_C)
    value = _paschen_kv(gap, density)
    off = 0.2 if gap * density <= 3 else 0.3
    return Estimate(
        value,
        "kV",
        value * (1 - off),
        value * (1 + off),
        "Paschen's law: the product of gap and gas density, divided by its logarithm",
        intake.all(),
        ("breakdown-law",),
    )


def open_air_kv(gap_mm: float | None = None) -> Estimate:
    """kV a spark plug's gap needs in the open air: 0.75 of Paschen's law, as a plug has edges.

    Valid 0.1-3 mm, sea level. Error 25 percent. Source: Paschen's law; a textbook on vehicle electrics (0.6 mm 2-3 kV, 1
    mm 3-4 kV).
    """
    intake = Intake()
    gap = intake.take("a plug gap", gap_mm, "mm", 0.1, 3.0, "plug gaps are 0.4 to 1.5 mm", 0.8)
    value = _PLUG * _paschen_kv(gap, 1.0)
    return Estimate(
        value,
        "kV",
        0.75 * value,
        1.25 * value,
        "three quarters of Paschen's law at sea level",
        intake.all(),
        ("breakdown-law", "ignition-textbook"),
    )


def in_cylinder_kv(gap_mm: float | None = None, compression_ratio: float | None = None, filling: float | None = None) -> Estimate:
    """kV the same gap needs in the cylinder at the moment of the spark.

    Formula: as in the open air, with the density of the gas raised by compression ratio x filling. Filling is about a half on a
    nearly closed throttle (0.35 to 1 if not given). Valid: 0.1-2 mm, ratio 4-17. Error 25 percent besides the filling; a
    lean mixture or worn plug needs more, up to 20-30 kV. Source: Paschen's law; a textbook on vehicle electrics (8 kV at
    0.6 mm and 8:1, 8-10 kV at 1 mm).
    """
    intake = Intake()
    gap = intake.take("a plug gap", gap_mm, "mm", 0.1, 2.0, "plug gaps are 0.4 to 1.5 mm", 0.8)
    ratio = intake.take("compression ratio", compression_ratio, "to 1", 4.0, 17.0, "engines have 5 to 15 to 1", 9.0)
    fill = intake.take("filling of the cylinder", filling, "", 0.2, 1.2, "0.5 on a shut throttle, 0.9 wide open", 0.5)
    value = _PLUG * _paschen_kv(gap, ratio * fill)
    few, many = (fill, fill) if filling is not None else (0.35, 1.0)
    return Estimate(
        value,
        "kV",
        0.75 * _PLUG * _paschen_kv(gap, ratio * few),
        1.25 * _PLUG * _paschen_kv(gap, ratio * many),
        "as in the open air, with the gas denser by compression ratio times filling",
        intake.all(),
        ("breakdown-law", "ignition-textbook"),
    )


def harder_than_open_air(gap_mm: float | None = None, compression_ratio: float | None = None) -> Estimate:
    """How many times the volts of the open air a plug needs in the cylinder; usually 2 to 4.

    Valid, errors and source as `in_cylinder_kv`.
    """
    inside, outside = in_cylinder_kv(gap_mm, compression_ratio), open_air_kv(gap_mm)
    return Estimate(
        inside.value / outside.value,
        "times",
        inside.low / outside.value,
        inside.high / outside.value,
        "volts needed in the cylinder divided by volts needed in the open air",
        inside.inputs,
        inside.source,
        "So a plug that sparks in the open may still fail in the cylinder.",
    )


def open_gap_kv(gap_mm: float, electrodes: str | None = None) -> Estimate:
    """kV that a spark across an open-air test gap proves the ignition can make.

    `electrodes`: points (needle tips, a cut wire) or balls (25 mm); points need far less. Formula: table, straight lines.
    Valid 0-38 mm (points), 0-14 mm (balls), near sea level. Error 15 or 8 percent. Source: American Institute of Electrical
    Engineers table of sparking distances.
    """
    intake = Intake()
    shape = intake.choose("shape of the electrodes", electrodes, _TABLES, "points")
    gap = intake.take(
        "a test gap", gap_mm, "mm", 0.0, _TABLES[shape][-1][0], "open-air test gaps are 3 to 15 mm; a wider one can break the coil down"
    )
    value, off = along(_TABLES[shape], gap), _TABLE_ERROR[shape]
    return Estimate(
        value,
        "kV",
        value * (1 - off),
        value * (1 + off),
        "table of sparking distances for such electrodes",
        intake.all(),
        ("spark-gap-table",),
    )


def open_gap_for(kilovolt: float, electrodes: str | None = None) -> Estimate:
    """Open-air gap in mm that so many kV just jump; the inverse of `open_gap_kv`, 0-40 kV, same error and source."""
    intake = Intake()
    shape = intake.choose("shape of the electrodes", electrodes, _TABLES, "points")
    volts = intake.take("a voltage", kilovolt, "kV", 0.0, 40.0, "ignitions make up to about 40 kV")
    value, off = along(turned(_TABLES[shape]), volts), _TABLE_ERROR[shape]
    return Estimate(
        value,
        "mm",
        value * (1 - off),
        value * (1 + off),
        "table of sparking distances for such electrodes, read backwards",
        intake.all(),
        ("spark-gap-table",),
    )


def matching_open_gap(plug_gap_mm: float | None = None, compression_ratio: float | None = None, electrodes: str | None = None) -> Estimate:
    """Open-air test gap in mm that asks as much of the ignition as this plug does in the cylinder.

    Formula: the volts of `in_cylinder_kv`, then the table of sparking distances. Valid as both. Error: a third either way.
    Never open a test gap wider than the tester's maker says. Source: as both.
    """
    need = in_cylinder_kv(plug_gap_mm, compression_ratio)
    gap = open_gap_for(need.value, electrodes)
    low, high = open_gap_for(need.low, electrodes).low, open_gap_for(min(40.0, need.high), electrodes).high
    return Estimate(
        gap.value,
        "mm",
        low,
        high,
        f"the {need.value:.0f} kV the plug needs in the cylinder, then the table of sparking distances in the open",
        (*need.inputs, gap.inputs[0]),
        (*need.source, "spark-gap-table"),
    )


def air_density_factor(pressure_mmhg: float, temperature_c: float) -> Estimate:
    """By what a sparking voltage changes with the weather: (p / 760) x 293 / (273 + T).

    Valid: 200-900 mmHg, -60 to 100 C. Error 1 percent. Source: a page on sphere gaps (weak); the gas law.
    """
    intake = Intake()
    pressure = intake.take("air pressure", pressure_mmhg, "mmHg", 200.0, 900.0, "the air has 350 to 800 mmHg where people live")
    celsius = intake.take("temperature", temperature_c, "C", -60.0, 100.0, "give -60 to 100 C")
    value = pressure / 760 * 293 / (273 + celsius)
    return Estimate(
        value,
        "times",
        value * 0.99,
        value * 1.01,
        "pressure over 760, times 293 over absolute temperature",
        intake.all(),
        ("weak-page", "derived"),
    )
