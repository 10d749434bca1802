"""Units: from what people write to what the files use, and the traps of pressure gauges.

The conversions are pint's, which is imported only when one is asked for. Source: factors that are exact by definition.
"""

from __future__ import annotations

import difflib
import math
from functools import lru_cache
from typing import Any

from assistant.trade.constants import KPA_PER_BAR, KPA_PER_KGF_CM2, KPA_PER_PSI, SEA_LEVEL_KPA
from assistant.trade.intake import Intake, checked
from assistant.trade.result import Estimate, Input

# Our name -> pint's. C, F and the like mean other things to pint, so nothing passes through unlisted.
_NAMES = {
    "V": "volt",
    "mV": "millivolt",
    "kV": "kilovolt",
    "A": "ampere",
    "mA": "milliampere",
    "ohm": "ohm",
    "kohm": "kiloohm",
    "milliohm": "milliohm",
    "Mohm": "megaohm",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "Ah": "ampere_hour",
    "mAh": "milliampere_hour",
    "psi": "psi",
    "bar": "bar",
    "kPa": "kilopascal",
    "Pa": "pascal",
    "MPa": "megapascal",
    "atm": "standard_atmosphere",
    "kg/cm2": "kilogram_force / centimeter ** 2",
    "kgf/cm2": "kilogram_force / centimeter ** 2",
    "inHg": "inch_Hg",
    "mmHg": "millimeter_Hg",
    "mbar": "millibar",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "km": "kilometer",
    "in": "inch",
    "thou": "thou",
    "ft": "foot",
    "mile": "mile",
    "mm2": "millimeter ** 2",
    "C": "degree_Celsius",
    "F": "degree_Fahrenheit",
    "K": "kelvin",
    "s": "second",
    "ms": "millisecond",
    "min": "minute",
    "h": "hour",
    "days": "day",
    "months": "month",
    "ml": "milliliter",
    "mL": "milliliter",
    "L": "liter",
    "cc": "centimeter ** 3",
    "gal": "gallon",
    "tsp": "teaspoon",
    "ml/min": "milliliter / minute",
    "mL/min": "milliliter / minute",
    "L/min": "liter / minute",
    "L/h": "liter / hour",
    "g": "gram",
    "kg": "kilogram",
    "lb": "pound",
    "kg/m3": "kilogram / meter ** 3",
    "g/min": "gram / minute",
    "Nm": "newton * meter",
    "ft-lb": "foot * force_pound",
    "mJ": "millijoule",
    "J": "joule",
    "mH": "millihenry",
    "uF": "microfarad",
    "%": "percent",
    "share": "dimensionless",
    "": "dimensionless",
    "SG": "dimensionless",
}
# These turn into nothing but themselves: pint would count a turn as 6.28, which nobody at a machine means.
_ALONE = {"rpm", "Hz", "deg", "turns", "to 1", "times", "mm2/s", "kg/kg", "mV/K"}
PRESSURES = {"psi": KPA_PER_PSI, "bar": KPA_PER_BAR, "kPa": 1.0, "kg/cm2": KPA_PER_KGF_CM2}  # kPa of one


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint  # late: most conversations convert nothing

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def known_units() -> tuple[str, ...]:
    """The spellings that `convert` takes."""
    return (*_NAMES, *sorted(_ALONE))


def convert(value: float, unit: str, wanted: str) -> float:
    """A number in another unit. Temperatures are points on the scale (20 C is 68 F), not differences.

    Errors: ValueError for an unknown spelling (with the nearest ones), for units that do not measure the same thing, or
    for a value that is not a number. Exact to 1e-12. Source: pint's definitions.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise ValueError(f"'{value}' is not a number that can be converted")
    if unit == wanted and unit in _ALONE:
        return float(value)
    if (unit in _ALONE or wanted in _ALONE) and {unit, wanted} <= _ALONE | set(_NAMES):
        raise ValueError(f"{unit} and {wanted} do not measure the same thing")
    one, other = _name(unit), _name(wanted)
    if one == other:
        return float(value)
    import pint

    registry = _registry()
    try:
        return float(registry.Quantity(float(value), registry.Unit(one)).to(registry.Unit(other)).magnitude)
    except pint.DimensionalityError:
        raise ValueError(f"{unit} and {wanted} do not measure the same thing") from None


def _name(unit: str) -> str:
    if unit in _NAMES:
        return _NAMES[unit]
    spelt = {name.lower(): name for name in known_units() if name}
    near = [spelt[word] for word in difflib.get_close_matches(str(unit).lower(), list(spelt), n=3, cutoff=0.5)]
    raise ValueError(f"'{unit}' is not a unit we know" + (f": did you mean {' or '.join(near)}" if near else ""))


def express(estimate: Estimate, wanted: str) -> Estimate:
    """An estimate in another unit, spread and all. Errors: as `convert`."""
    ends = [v if math.isinf(v) else convert(v, estimate.unit, wanted) for v in (estimate.value, estimate.low, estimate.high)]
    return Estimate(ends[0], wanted, min(ends), max(ends), estimate.formula, estimate.inputs, estimate.source, estimate.note)


def given_in(value: float, value_unit: str | None = None, wanted: str | None = None) -> Estimate:
    """The same amount in another unit: bar to psi unless said otherwise.

    Valid -1e9 to 1e9. Errors: as `convert`. Error none but rounding. Source: factors exact by definition.
    """
    known = checked("the number", value, "", -1e9, 1e9, "check the number")
    unit, other = value_unit or "bar", wanted or "psi"
    result = convert(known, unit, other)
    inputs = (Input("the number", known, unit), Input("its unit", unit, "", value_unit is None), Input("the unit wanted", other, "", wanted is None))
    scale = "a change of scale" if unit == other or {unit, other} & {"C", "F"} else f"1 {unit} is {convert(1.0, unit, other):.5g} {other}"
    return Estimate(result, other, result, result, scale, inputs, ("unit-factors",))


def gauge_to_absolute(kpa: float, outside_kpa: float | None = None) -> Estimate:
    """Absolute kPa of a gauge reading: the reading and the outside air.

    Valid -101-5000, outside 40-110. Error 3 kPa (weather). Source: definition.
    """
    intake = Intake()
    outside = intake.take("air pressure", outside_kpa, "kPa", 40.0, 110.0, "give absolute kPa; sea level has 101", SEA_LEVEL_KPA)
    gauge = intake.take("a gauge reading", kpa, "kPa", -outside, 5000.0, "nothing is emptier than a vacuum: check the unit")
    return Estimate(
        gauge + outside,
        "kPa",
        max(0.0, gauge + outside - 3),
        gauge + outside + 3,
        "gauge reading and outside air pressure",
        intake.all(),
        ("unit-factors",),
    )


def absolute_to_gauge(kpa: float, outside_kpa: float | None = None) -> Estimate:
    """Gauge kPa of an absolute pressure: less the outside air. Valid 0-5000. Error 3 kPa. Source: definition."""
    intake = Intake()
    outside = intake.take("air pressure", outside_kpa, "kPa", 40.0, 110.0, "give absolute kPa; sea level has 101", SEA_LEVEL_KPA)
    absolute = intake.take("an absolute pressure", kpa, "kPa", 0.0, 5000.0, "nothing is emptier than a vacuum: check the unit")
    value = absolute - outside
    return Estimate(value, "kPa", value - 3, value + 3, "absolute pressure less outside air pressure", intake.all(), ("unit-factors",))


def likely_pressure_units(number: float, low_psi: float = 60.0, high_psi: float = 260.0) -> tuple[tuple[str, float], ...]:
    """Units in which a bare compression number makes sense, likeliest first, each with what it is in psi.

    '10' can only have been bar or kg/cm2 (145 or 142 psi), '150' psi, '1050' kPa. Bar and kg/cm2 differ by 2 percent,
    less than the gauge errs. Empty when no unit fits. Valid 0-10 000. Source: factors exact by definition; common
    practice for the range.
    """
    value = checked("a compression reading", number, "", 0.0, 10000.0, "type the number on the gauge")
    least = checked("the lowest likely pressure", low_psi, "psi", 0.0, 1000.0, "give psi")
    most = checked("the highest likely pressure", high_psi, "psi", 0.0, 1000.0, "give psi")
    fits = [(unit, value * kpa / KPA_PER_PSI) for unit, kpa in PRESSURES.items()]
    return tuple((unit, psi) for unit, psi in fits if least <= psi <= most)
