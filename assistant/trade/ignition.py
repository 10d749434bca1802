"""Coils, pickups, gaps and timing: resistance moved to today's temperature, the rise of current, degrees to time and travel.

Sources: copper wire tables for the temperature; circuit theory for current and energy; common practice for tolerances.
What volts a gap needs is in `spark`.
"""

from __future__ import annotations

import math

from assistant.trade import geometry
from assistant.trade.constants import COPPER_PER_KELVIN
from assistant.trade.intake import Intake
from assistant.trade.result import Estimate

_TOLERANCE = 0.20  # of a winding, where the manual gives one figure; common practice
_LEADS_OHM = 0.2  # of an ordinary meter's leads


def _winding(intake: Intake, nominal_ohm: float | None, temperature_c: float | None) -> tuple[float, float]:
    nominal = intake.take("resistance by the manual", nominal_ohm, "ohm", 0.01, 1e6, "read it in the manual, in ohms; 1 kohm is 1000")
    celsius = intake.take(
        "temperature of the part", temperature_c, "C", -60.0, 200.0, "a winding that works is between -60 and 200 C", 20.0
    )
    return nominal, celsius


def resistance_at(nominal_ohm: float, temperature_c: float | None = None, at_c: float | None = None) -> Estimate:
    """What a copper winding should read at a temperature, from the manual's figure at 20 C (or `at_c`).

    Formula: R x (1 + 0.00393 (T - 20)) / (1 + 0.00393 (at - 20)). Valid -60 to 200 C, 0.01 ohm to 1 Mohm, copper only:
    a resistor in a cap hardly changes. Error 2 percent. Source: copper wire tables, 1966.
    """
    intake = Intake()
    nominal, celsius = _winding(intake, nominal_ohm, temperature_c)
    at = intake.take("temperature the manual means", at_c, "C", -20.0, 100.0, "manuals mean 20 or 25 C", 20.0)
    value = nominal * (1 + COPPER_PER_KELVIN * (celsius - 20)) / (1 + COPPER_PER_KELVIN * (at - 20))
    return Estimate(
        value,
        "ohm",
        value * 0.98,
        value * 1.02,
        "the manual's figure and 0.4 percent more for each degree over its temperature",
        intake.all(),
        ("copper-wire-tables",),
    )


def resistance_to_manual(reading_ohm: float, temperature_c: float | None = None, at_c: float | None = None) -> Estimate:
    """What a reading would have been at the manual's temperature: the inverse of `resistance_at`, same limits and source."""
    intake = Intake()
    reading, celsius = _winding(intake, reading_ohm, temperature_c)
    at = intake.take("temperature the manual means", at_c, "C", -20.0, 100.0, "manuals mean 20 or 25 C", 20.0)
    value = reading * (1 + COPPER_PER_KELVIN * (at - 20)) / (1 + COPPER_PER_KELVIN * (celsius - 20))
    return Estimate(
        value,
        "ohm",
        value * 0.98,
        value * 1.02,
        "the reading less 0.4 percent for each degree over the manual's temperature",
        intake.all(),
        ("copper-wire-tables",),
    )


def resistance_least(nominal_ohm: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Least resistance of a good winding: 0.8 of the manual's figure, moved to the temperature.

    Valid as `resistance_at`. Error 5 percent of it. Errors: ValueError without the manual's figure, for windings differ
    too much between machines. Source: common practice for the tolerance; copper wire tables.
    """
    return _bound(nominal_ohm, temperature_c, 1 - _TOLERANCE, 0.0)


def resistance_most(nominal_ohm: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Most resistance of a good winding: 1.2 of the manual's figure, moved to the temperature, and 0.2 ohm for the meter's
    leads.

    Valid, errors and source as `resistance_least`.
    """
    return _bound(nominal_ohm, temperature_c, 1 + _TOLERANCE, _LEADS_OHM)


def _bound(nominal_ohm: float | None, temperature_c: float | None, factor: float, leads: float) -> Estimate:
    intake = Intake()
    nominal, celsius = _winding(intake, nominal_ohm, temperature_c)
    value = resistance_at(nominal, celsius).value * factor + leads
    return Estimate(
        value,
        "ohm",
        value * 0.95,
        value * 1.05,
        f"{factor:g} times the manual's figure, 0.4 percent more for each degree over 20 C"
        + (", and 0.2 ohm for the leads of the meter" if leads else ""),
        intake.all(),
        ("your-manual", "copper-wire-tables", "common-practice"),
    )


def gap_least(nominal_mm: float | None = None) -> Estimate:
    """Smallest gap, of a plug or of points, that still counts as right: the manual's less an eighth, at least 0.05 mm less.

    Valid 0.1-2 mm. Error 0.02 mm. Errors: ValueError without the manual's figure. Source: common practice.
    """
    return _gap(nominal_mm, -1)


def gap_most(nominal_mm: float | None = None) -> Estimate:
    """Widest gap that still counts as right: the manual's and an eighth, at least 0.05 mm more. As `gap_least`."""
    return _gap(nominal_mm, 1)


def _gap(nominal_mm: float | None, sign: int) -> Estimate:
    intake = Intake()
    nominal = intake.take("gap by the manual", nominal_mm, "mm", 0.1, 2.0, "gaps are 0.1 to 2 mm; 0.028 inch is 0.7 mm")
    value = nominal + sign * max(0.05, nominal / 8)
    return Estimate(
        value,
        "mm",
        value - 0.02,
        value + 0.02,
        "the manual's gap, an eighth of it either way, at least 0.05 mm",
        intake.all(),
        ("your-manual", "common-practice"),
    )


def coil_current(
    time_ms: float, volts: float | None = None, resistance_ohm: float | None = None, inductance_mh: float | None = None
) -> Estimate:
    """Amps in the primary after the points or the box have closed for so long.

    Formula: V / R x (1 - exp(-t R / L)). Unknown: 12 V, 3 ohm, 8 mH (a points coil). Valid: 0-1000 ms, 1-20 V, 0.1-20 ohm,
    0.1-50 mH. Error 10 percent where figures are assumed. Source: circuit theory.
    """
    intake, ms, supply, ohm, mh = _primary(time_ms, volts, resistance_ohm, inductance_mh)
    value = supply / ohm * (1 - math.exp(-ms * ohm / mh))
    return Estimate(
        value,
        "A",
        value * 0.9,
        value * 1.1,
        "supply volts over ohms, reached gradually; two thirds of it after inductance over ohms",
        intake.all(),
    )


def coil_energy(
    time_ms: float, volts: float | None = None, resistance_ohm: float | None = None, inductance_mh: float | None = None
) -> Estimate:
    """Energy stored in the primary, in mJ: half of inductance times current squared.

    Valid, error and source as `coil_current`.
    """
    current = coil_current(time_ms, volts, resistance_ohm, inductance_mh)
    mh = next(float(i.value) for i in current.inputs if i.unit == "mH")
    value = 0.5 * mh * current.value**2
    return Estimate(value, "mJ", value * 0.8, value * 1.2, "half the inductance times the square of the current", current.inputs)


def time_constant(resistance_ohm: float | None = None, inductance_mh: float | None = None) -> Estimate:
    """Milliseconds to 63 percent of the full current: inductance / resistance. Valid, error and source as `coil_current`."""
    intake, _, _, ohm, mh = _primary(1.0, None, resistance_ohm, inductance_mh)
    return Estimate(mh / ohm, "ms", 0.9 * mh / ohm, 1.1 * mh / ohm, "inductance divided by resistance", intake.all()[2:])


def _primary(time_ms: float, volts: float | None, ohms: float | None, mh: float | None) -> tuple[Intake, float, float, float, float]:
    intake = Intake()
    return (
        intake,
        intake.take("closed time", time_ms, "ms", 0.0, 1000.0, "give milliseconds"),
        intake.take("supply voltage", volts, "V", 1.0, 20.0, "a primary is fed with 6 or 12 V", 12.0),
        intake.take("resistance of the primary", ohms, "ohm", 0.1, 20.0, "primaries have 0.2 to 6 ohm", 3.0),
        intake.take("inductance of the primary", mh, "mH", 0.1, 50.0, "primaries have 1 to 12 mH", 8.0),
    )


def capacitor_energy(microfarad: float, volts: float) -> Estimate:
    """Energy in the capacitor of a discharge ignition, in mJ: half of capacity times volts squared.

    Valid: 0.01-10 uF, 0-600 V. Error 10 percent of the capacity. It hurts and can throw you off balance. Source: definition.
    """
    intake = Intake()
    uf = intake.take("a capacity", microfarad, "uF", 0.01, 10.0, "discharge ignitions have 0.3 to 2 uF")
    v = intake.take("a voltage", volts, "V", 0.0, 600.0, "discharge ignitions charge to 150 to 450 V")
    value = 0.5 * uf * v**2 / 1000
    return Estimate(value, "mJ", value * 0.9, value * 1.1, "half the capacity times the square of the volts", intake.all())


def degrees_to_ms(degrees: float, rpm: float | None = None) -> Estimate:
    """Milliseconds that the crank takes for an angle, dwell or advance: degrees / (6 rpm) x 1000.

    Valid: 0-720 degrees of the crank, 1-20 000 rpm (300, a cranking engine, if not given). Error: as the revs. Source:
    definition.
    """
    intake = Intake()
    angle = intake.take("an angle of the crank", degrees, "deg", 0.0, 720.0, "give 0 to 720 degrees of the crank")
    speed = _revs(intake, rpm)
    value = 1000 * angle / (6 * speed)
    return Estimate(value, "ms", value, value, "degrees divided by six times the rpm, in thousandths of a second", intake.all())


def ms_to_degrees(ms: float, rpm: float | None = None) -> Estimate:
    """Degrees of the crank in so many milliseconds: 6 x rpm x ms / 1000. Inverse of `degrees_to_ms`."""
    intake = Intake()
    time = intake.take("a time", ms, "ms", 0.0, 1e6, "give milliseconds")
    speed = _revs(intake, rpm)
    value = 6 * speed * time / 1000
    return Estimate(value, "deg", value, value, "six times rpm times seconds", intake.all())


def _revs(intake: Intake, rpm: float | None) -> float:
    return intake.take("an engine speed", rpm, "rpm", 1.0, 20000.0, "the engine must turn; a starter turns it at 200 to 500", 300.0)


def _crank(intake: Intake, stroke_mm: float, rod_mm: float | None) -> tuple[float, float]:
    stroke = intake.take("stroke", stroke_mm, "mm", 20.0, 150.0, "engines of machines have 30 to 120 mm")
    rod = intake.take("length of the rod", rod_mm, "mm", 20.0, 400.0, "from pin to pin, usually near twice the stroke", 1.8 * stroke)
    return stroke, rod


def degrees_to_mm(degrees: float, stroke_mm: float, rod_mm: float | None = None) -> Estimate:
    """Millimetres of piston travel from top dead centre that belong to an angle before (or after) it.

    Formula: slider-crank. Valid: 0-180 degrees, stroke 20-150 mm, rod longer than half the stroke (1.8 strokes if not
    given). Error: a rod of 1.6 to 2.2 strokes changes it by 4 percent. Source: geometry.
    """
    intake = Intake()
    angle = intake.take("an angle of the crank", degrees, "deg", 0.0, 180.0, "give the degrees before top dead centre, 0 to 180")
    stroke, rod = _crank(intake, stroke_mm, rod_mm)
    value = geometry.travel(angle, stroke, rod)
    ends = (
        [value]
        if rod_mm is not None
        else [value, geometry.travel(angle, stroke, 1.6 * stroke), geometry.travel(angle, stroke, 2.2 * stroke)]
    )
    return Estimate(value, "mm", min(ends), max(ends), "crank radius, rod length and angle (slider and crank)", intake.all())


def mm_to_degrees(travel_mm: float, stroke_mm: float, rod_mm: float | None = None) -> Estimate:
    """Degrees before top dead centre that belong to a piston travel; the inverse of `degrees_to_mm`, same limits."""
    intake = Intake()
    stroke, rod = _crank(intake, stroke_mm, rod_mm)
    travel = intake.take("a piston travel", travel_mm, "mm", 0.0, stroke, "the piston cannot move more than its stroke")
    value = geometry.angle_at(travel, stroke, rod)
    ends = (
        [value]
        if rod_mm is not None
        else [value, geometry.angle_at(travel, stroke, 1.6 * stroke), geometry.angle_at(travel, stroke, 2.2 * stroke)]
    )
    return Estimate(value, "deg", min(ends), max(ends), "crank radius, rod length and travel (slider and crank)", intake.all())
