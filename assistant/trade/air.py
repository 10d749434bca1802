"""The air by height and temperature, what it does to the main jet, how much an engine breathes, what its idle vacuum says.

Sources: standard atmosphere (ISO 2533, Doc 7488); the gas law; Bernoulli for the jet, no better source was found;
common practice for the idle vacuum.
"""

from __future__ import annotations

from assistant.trade.constants import AIR_GAS_CONSTANT, GRAVITY, LAPSE, SEA_LEVEL_DENSITY, SEA_LEVEL_KELVIN, SEA_LEVEL_KPA, ZERO_C
from assistant.trade.intake import Intake, altitude, temperature
from assistant.trade.result import Estimate

_EXPONENT = GRAVITY / (AIR_GAS_CONSTANT * LAPSE)  # 5.2559


def standard_pressure_kpa(altitude_m: float = 0.0) -> float:
    """Pressure of the standard atmosphere at a geopotential height, kPa; plain number for the other modules. -500 to 6000 m.

    Errors: ValueError outside. Source: standard atmosphere.
    """
    height = altitude(Intake(), altitude_m)
    return SEA_LEVEL_KPA * (1 - LAPSE * height / SEA_LEVEL_KELVIN) ** _EXPONENT


def pressure(altitude_m: float | None = None) -> Estimate:
    """Air pressure at a height, kPa absolute.

    Formula: 101.325 (1 - 0.0065 H / 288.15)^5.2559. Valid -500 to 6000 m. Error 3 percent (the weather). Source: standard
    atmosphere.
    """
    intake = Intake()
    value = standard_pressure_kpa(altitude(intake, altitude_m))
    return Estimate(
        value,
        "kPa",
        value * 0.97,
        value * 1.03,
        "pressure of the standard atmosphere at that height",
        intake.all(),
        ("standard-atmosphere",),
    )


def standard_temperature(altitude_m: float | None = None) -> Estimate:
    """Temperature of the standard atmosphere, C: 15 less 6.5 per 1000 m.

    Valid -500 to 6000 m. Error 20 C (the weather). Source: standard atmosphere.
    """
    intake = Intake()
    value = SEA_LEVEL_KELVIN - LAPSE * altitude(intake, altitude_m) - ZERO_C
    return Estimate(value, "C", value - 20, value + 20, "15 C less 6.5 for each 1000 m", intake.all(), ("standard-atmosphere",))


def density(altitude_m: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Density of dry air, kg/m3.

    Formula: p / (287.05 T), p of the standard atmosphere at the height, T the temperature given or the standard one.
    Valid -500 to 6000 m, -60 to 70 C. Error 3 percent (weather); damp air is up to 2 percent lighter. Source: standard
    atmosphere; gas law.
    """
    intake = Intake()
    height = altitude(intake, altitude_m)
    standard = SEA_LEVEL_KELVIN - LAPSE * height - ZERO_C
    celsius = temperature(intake, temperature_c, standard)
    value = 1000 * standard_pressure_kpa(height) / (AIR_GAS_CONSTANT * (celsius + ZERO_C))
    return Estimate(
        value,
        "kg/m3",
        value * 0.95,
        value * 1.03,
        "pressure divided by the gas constant of air and the absolute temperature",
        intake.all(),
        ("standard-atmosphere",),
    )


def density_ratio(altitude_m: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Density as a share of that at sea level and 15 C. Valid, errors and source as `density`."""
    found = density(altitude_m, temperature_c)
    return found.times(1 / SEA_LEVEL_DENSITY, "share")


def power_left(altitude_m: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Percent of its sea-level power an engine without a blower makes: 100 x density ratio.

    Valid, errors and source as `density`.
    """
    ratio = density_ratio(altitude_m, temperature_c)
    return ratio.times(100, "%")


def main_jet(
    size: float,
    altitude_m: float | None = None,
    temperature_c: float | None = None,
    from_altitude_m: float | None = None,
    from_temperature_c: float | None = None,
    numbered_by: str | None = None,
) -> Estimate:
    """Jet number that gives the old mixture at another height or temperature.

    Formula: the jet's area goes with the square root of air density, so a number by diameter with its fourth root, a
    number by flow with its square root. `numbered_by`: diameter (hundredths of a mm) or flow (cc/min). Valid: sizes
    20-700. Error: the rule is a lower bound, riders change two to three times as much; the spread runs from no change to
    three times. Source: Bernoulli; no handbook was seen.
    """
    intake = Intake()
    number = intake.take("a jet number", size, "", 20.0, 700.0, "the number is stamped on the jet, 20 to 700")
    way = intake.choose("jets numbered by", numbered_by, ("diameter", "flow"), "diameter")
    there, here = density(altitude_m, temperature_c), density(from_altitude_m, from_temperature_c)
    ratio = there.value / here.value
    value = number * ratio ** (0.25 if way == "diameter" else 0.5)
    strong = number * ratio ** (0.75 if way == "diameter" else 1.5)
    return Estimate(
        value,
        "",
        min(number, value, strong),
        max(number, value, strong),
        "the number times the fourth root of the density ratio (by diameter) or its square root (by flow)",
        (*intake.all(), *there.inputs, *here.inputs),
        ("derived",),
        "Smaller when higher or hotter. Check against the plug and step one size at a time.",
    )


def breathing(displacement_cc: float, rpm: float, filling: float | None = None, strokes: int = 4) -> Estimate:
    """Litres of air a minute: cc x rpm / 2 x filling (two-stroke: each turn).

    Valid: 20-2600 cc, 1-20 000 rpm, filling 0.1-1.3 (0.85 if not given), 2 or 4 strokes. Error 10 percent. Source: definition.
    """
    intake = Intake()
    cc = intake.take("size of the engine", displacement_cc, "cc", 20.0, 2600.0, "engines of machines have 20 to 2600 cc")
    speed = intake.take("an engine speed", rpm, "rpm", 1.0, 20000.0, "the engine must turn")
    fill = intake.take("filling of the cylinder", filling, "", 0.1, 1.3, "0.8 to 1 wide open", 0.85)
    if strokes not in (2, 4):
        raise ValueError(f"an engine has 2 or 4 strokes, not {strokes}")
    value = cc / 1000 * speed / (strokes / 2) * fill
    return Estimate(value, "L/min", value * 0.9, value * 1.1, "size times revs, halved for a four-stroke, times the filling", intake.all())


def idle_vacuum(altitude_m: float | None = None) -> Estimate:
    """Depression in the intake of a sound warm engine at idle, kPa under the outside air, one throttle per cylinder, damped
    gauge.

    Formula: 30 kPa at sea level, in proportion to the air pressure. Valid -500 to 6000 m. Error 10 kPa, for it differs
    between machines; alike between cylinders matters more. Source: common practice.
    """
    intake = Intake()
    share = standard_pressure_kpa(altitude(intake, altitude_m)) / SEA_LEVEL_KPA
    return Estimate(
        30 * share,
        "kPa",
        20 * share,
        40 * share,
        "about 30 kPa at sea level, in proportion to the outside air",
        intake.all(),
        ("common-practice",),
    )


def idle_vacuum_says(reading_kpa: float, altitude_m: float | None = None) -> str:
    """What a steady vacuum at idle says, in one sentence. Bands of `idle_vacuum`; 0-100 kPa. Source: common practice."""
    intake = Intake()
    kpa = intake.take("a vacuum", reading_kpa, "kPa", 0.0, 101.0, "a vacuum lies between 0 and 101 kPa; 1 inch of mercury is 3.4 kPa")
    usual = idle_vacuum(altitude_m)
    if kpa < usual.low / 2:
        return "Hardly any vacuum: the throttle is open, air leaks in after it, or the engine does not seal."
    if kpa < usual.low:
        return "Low: air leaking in, late timing, tight valves or a throttle held open too far."
    if kpa <= usual.high:
        return "As it should be; compare the cylinders with each other."
    return "High: the engine pulls hard against a throttle that is nearly shut, or the air filter or choke holds the air back."
