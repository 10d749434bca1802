"""Copper runs and joints: size, resistance, volts lost, how much may be lost, what a loss means.

Gauge is American wire gauge; sizes larger than 0 are written 0, -1, -2, -3. A `mm2` of a European cable is its section.
Sources: American wire gauge formula (ASTM B258-02), copper wire tables (National Bureau of Standards Handbook 100),
IEC 60228, 33 CFR 183.425 table 5, a boat builders' council, common practice for the drop limits.
"""

from __future__ import annotations

from assistant.trade.constants import COPPER_OHM_MM2_PER_M, COPPER_PER_KELVIN
from assistant.trade.intake import Intake, checked
from assistant.trade.result import Estimate, prefer_manual

# Volts that may be lost, 12 V: part of the circuit to (value, low, high, per 100 A?). Common practice.
DROP_LIMITS = {
    "cable": (0.2, 0.15, 0.3),
    "joint": (0.1, 0.05, 0.1),
    "switch": (0.3, 0.2, 0.5),
    "earth": (0.2, 0.2, 0.3),
    "starter-side": (0.3, 0.2, 0.5),
    "lamp-circuit": (0.5, 0.36, 0.6),
}
# Amps allowed by the insulation's temperature: 33 CFR 183.425, table 5.
_AMPACITY = {
    18: (10, 10, 15, 20, 20),
    16: (15, 15, 20, 25, 25),
    14: (20, 20, 25, 30, 35),
    12: (25, 25, 35, 40, 45),
    10: (40, 40, 50, 55, 60),
    8: (55, 65, 70, 70, 80),
    6: (80, 95, 100, 100, 120),
}
_INSULATION = (60, 75, 80, 90, 105)
_AMPS = "give amps from 0.001 to 1000; check that it is not in mA"


def awg_diameter_mm(gauge: float) -> Estimate:
    """Diameter of a solid wire: 0.127 mm x 92 ^ ((36 - gauge) / 39).

    Valid: gauge -3 (0000) to 40. Error 0.5 percent (drawing). Source: American wire gauge formula, ASTM B258-02.
    """
    intake = Intake()
    number = intake.take("a wire gauge", gauge, "", -3, 40, "gauges run from 40, thin as a hair, to -3 (0000)")
    value = 0.127 * 92 ** ((36 - number) / 39)
    return Estimate(
        value,
        "mm",
        value * 0.995,
        value * 1.005,
        "0.127 mm times 92 to the power of (36 - gauge) / 39",
        intake.all(),
        ("wire-gauge-standard",),
    )


def awg_area_mm2(gauge: float) -> Estimate:
    """Copper section of a gauge: a circle of its diameter. Valid and source as `awg_diameter_mm`; error 1 percent."""
    diameter = awg_diameter_mm(gauge)
    value = 3.141592653589793 / 4 * diameter.value**2
    return Estimate(value, "mm2", value * 0.99, value * 1.01, "a circle of the diameter of that gauge", diameter.inputs, diameter.source)


def resistance(
    length_m: float, gauge: float | None = None, mm2: float | None = None, temperature_c: float | None = None, stranded: bool = True
) -> Estimate:
    """Resistance of a copper run in milliohms, one way.

    Formula: 0.017241 ohm mm2/m x length / section x (1 + 0.00393 (T - 20)); give the gauge or the section.
    Valid: 0-50 m, 0.05-120 mm2, -60 to 150 C. Error: solid 0.5 percent; a stranded cable may have up to 16 percent more
    (IEC 60228, class 5). Errors: ValueError with neither or both sizes. Source: copper wire tables, 1966; IEC 60228.
    """
    intake = Intake()
    length = intake.take("length of the wire", length_m, "m", 0.0, 50.0, "no wire on a machine is longer than 50 m; give metres")
    if (gauge is None) == (mm2 is None):
        raise ValueError("give the size of the wire once: as a gauge or in mm2")
    if gauge is not None:
        size = awg_area_mm2(gauge)
        section, sizes = size.value, size.inputs
    else:
        section, sizes = intake.take("section of the wire", mm2, "mm2", 0.05, 120.0, "wires on a machine have 0.3 to 35 mm2"), ()
    celsius = intake.take("temperature of the wire", temperature_c, "C", -60.0, 150.0, "copper in a loom is between -60 and 150 C", 20.0)
    value = 1000 * COPPER_OHM_MM2_PER_M * length / section * (1 + COPPER_PER_KELVIN * (celsius - 20))
    return Estimate(
        value,
        "milliohm",
        value * 0.995,
        value * (1.16 if stranded else 1.005),
        "0.0172 ohm for a metre of 1 mm2 of copper, times length, divided by section, 0.4 percent more per degree over 20 C",
        (*intake.all(), *sizes),
        ("copper-wire-tables", "wire-gauge-standard") if gauge is not None else ("copper-wire-tables", "cable-conductor-standard"),
    )


def drop(
    amps: float,
    length_m: float,
    gauge: float | None = None,
    mm2: float | None = None,
    temperature_c: float | None = None,
    there_and_back: bool = False,
) -> Estimate:
    """Volts lost in a copper run: current times its resistance, twice the length when it goes there and back.

    Valid: 0.001-1000 A, 0-25 m, and as `resistance`. Error as `resistance`. Source: Ohm's law; copper wire tables.
    """
    intake = Intake()
    current = intake.take("a current", amps, "A", 0.001, 1000.0, _AMPS)
    length = checked("length of the wire", length_m, "m", 0.0, 25.0, "no wire on a machine is longer than 25 m; give metres")
    run = resistance(length * (2 if there_and_back else 1), gauge, mm2, temperature_c)
    factor = current / 1000
    return Estimate(
        run.value * factor,
        "V",
        run.low * factor,
        run.high * factor,
        f"amps times the resistance of the run ({run.value:.3g} milliohm)",
        (*intake.all(), *run.inputs),
        run.source,
    )


def drop_limit(part: str | None = None, nominal_v: float | None = None, manual: float | None = None) -> Estimate:
    """Most volts that may be lost in one part of a circuit while its own current flows.

    `part`: cable, joint, switch, earth (engine to minus post, cranking), starter-side (plus post to starter), lamp-circuit.
    Formula: the usual figure for 12 V, in proportion for 6 or 24 V. Valid: 4-30 V. Error: people differ by half.
    Source: common practice.
    """
    intake = Intake()
    part = intake.choose("part of the circuit", part, DROP_LIMITS, "cable")
    nominal = intake.take("system voltage", nominal_v, "V", 4.0, 30.0, "machines have 6, 12 or, rarely, 24 V", 12.0)
    value, low, high = (v * (nominal / 12) for v in DROP_LIMITS[part])
    return prefer_manual(
        Estimate(
            value,
            "V",
            low,
            high,
            "the usual figure for such a part at 12 V, in proportion to the system voltage",
            intake.all(),
            ("common-practice",),
        ),
        manual,
    )


def drop_limit_share(critical: bool = True, nominal_v: float | None = None) -> Estimate:
    """Most volts a whole circuit may lose: 3 percent of nominal for what must work (ignition, pump), 10 percent for the rest.

    Valid: 4-30 V. Error: it is a convention. Source: a boat builders' council recommendation on voltage drop.
    """
    intake = Intake()
    nominal = intake.take("system voltage", nominal_v, "V", 4.0, 30.0, "machines have 6, 12 or, rarely, 24 V", 12.0)
    value = nominal * (0.03 if critical else 0.10)
    return Estimate(
        value, "V", value, value, f"{3 if critical else 10} percent of the system voltage", intake.all(), ("boat-wiring-recommendation",)
    )


def joint_resistance(drop_v: float, amps: float | None = None) -> Estimate:
    """What a measured drop means, in milliohms: volts lost / amps, and the heat it makes in the note.

    Valid: drop 0-30 V, 0.001-1000 A; unknown amps count as 100 A (a starter), with a spread of 60 to 160. Error: 0.02 V of
    the meter. Source: Ohm's law.
    """
    intake = Intake()
    lost = intake.take(
        "a voltage drop", drop_v, "V", 0.0, 30.0, "a drop is between 0 and the battery's volts; swap the probes if it shows a minus"
    )
    current = intake.take("a current", amps, "A", 0.001, 1000.0, _AMPS, 100.0)
    most, least = (current, current) if amps is not None else (160.0, 60.0)
    return Estimate(
        1000 * lost / current,
        "milliohm",
        1000 * max(0.0, lost - 0.02) / most,
        1000 * (lost + 0.02) / least,
        "volts lost divided by the amps that flow",
        intake.all(),
        ("derived",),
        f"That joint turns {lost * current:.0f} watts into heat while the current flows.",
    )


def drop_at(milliohm: float, amps: float) -> Estimate:
    """Volts that a bad joint loses once its real current flows: amps x milliohms / 1000.

    It shows why 12 V on a meter, which draws no current, says nothing about a corroded joint. Valid: 0-1e6 milliohm,
    0.001-1000 A. Error: none but the inputs. Source: Ohm's law.
    """
    intake = Intake()
    ohms = intake.take("a resistance", milliohm, "milliohm", 0.0, 1e6, "give milliohms; 1 ohm is 1000")
    current = intake.take("a current", amps, "A", 0.001, 1000.0, _AMPS)
    value = ohms * current / 1000
    return Estimate(value, "V", value, value, "amps times milliohms, divided by a thousand", intake.all(), ("derived",))


def current_allowed(gauge: int, insulation_c: int = 60) -> Estimate:
    """Most amps of a stranded wire, and so the largest fuse that protects it.

    Formula: table for boats under 50 V, 30 C air. Valid: gauges 18 to 6 (even), insulation 60, 75, 80, 90 or 105 C. In
    the heat of an engine take 0.85 of it (the low value). Errors: ValueError for sizes not in the table. Source: 33 CFR
    183.425, table 5.
    """
    if gauge not in _AMPACITY:
        raise ValueError(f"the table has no gauge {gauge}: it has {', '.join(map(str, _AMPACITY))}")
    if insulation_c not in _INSULATION:
        raise ValueError(f"the table has no insulation for {insulation_c} C: it has {', '.join(map(str, _INSULATION))}")
    intake = Intake()
    intake.take("a wire gauge", gauge, "", 6, 18, "")
    intake.take("insulation good for", insulation_c, "C", 60, 105, "")
    value = float(_AMPACITY[gauge][_INSULATION.index(insulation_c)])
    return Estimate(
        value, "A", 0.85 * value, value, "table of amps allowed by gauge and insulation", intake.all(), ("boat-wiring-regulation",)
    )


def at_20_c(milliohm: float, temperature_c: float) -> Estimate:
    """A copper resistance measured at some temperature, brought to 20 C: R / (1 + 0.00393 (T - 20)).

    Valid: 0-1e9 milliohm, -60 to 150 C. Error 0.4 percent against the factors of IEC 60228. Source: copper wire tables;
    IEC 60228.
    """
    intake = Intake()
    reading = intake.take("a resistance", milliohm, "milliohm", 0.0, 1e9, "a resistance is never below 0")
    celsius = intake.take("temperature of the wire", temperature_c, "C", -60.0, 150.0, "copper in a loom is between -60 and 150 C")
    value = reading / (1 + COPPER_PER_KELVIN * (celsius - 20))
    return Estimate(
        value,
        "milliohm",
        value * 0.996,
        value * 1.004,
        "the reading less 0.4 percent for each degree over 20 C",
        intake.all(),
        ("copper-wire-tables", "cable-conductor-standard"),
    )
