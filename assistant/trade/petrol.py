"""What is in the tank: air it needs, what it loses with age, water in it, and its vapour in the air.

Sources: energy department table of fuel properties; a university note and an additive maker's article on water; 40 CFR
1065.710 (distillation of test petrol) and 1090.215 (vapour pressure); common practice for ageing.
"""

from __future__ import annotations

import math

from assistant.trade.constants import ETHANOL_DENSITY, PETROL_DENSITY, SEA_LEVEL_KPA, ZERO_C
from assistant.trade.curve import along, beyond
from assistant.trade.intake import Intake, temperature
from assistant.trade.result import Estimate

_PETROL_AFR, _ETHANOL_AFR = 14.7, 9.0
_CARBON, _HYDROGEN, _OXYGEN, _NITROGEN = 12.011, 1.008, 15.999, 28.16 / 2  # kg/kmol; air's nitrogen with its argon
_NITROGEN_PER_OXYGEN = 3.773  # by volume, in air
# Share of petrol boiled off against temperature, middle of the general test petrol: C at 0, 10, 50, 90 and 100 percent.
_DISTILLATION = ((0, 32.0), (10, 53.0), (50, 101.5), (90, 156.0), (100, 200.0))
# Percent a month at 20 C that leaves where the fuel stands. Common practice, no source.
_LOSS_PER_MONTH = {"sealed-can": (0.1, 0.3, 1.0), "tank": (1.0, 2.5, 5.0), "float-bowl": (15.0, 30.0, 60.0)}
_FLAMMABLE = (1.4, 7.6)  # percent by volume in air
_VAPOUR_KELVIN = 3350.0  # heat of evaporation over the gas constant; puts 1.4 % at the flash point of -43 C
_HELD_AT_15_6 = ((0, 0.0), (10, 0.447), (15, 0.90))  # percent water by volume against percent ethanol; makers and university averaged
_HELD_PER_KELVIN = 0.0053 / 10  # per percent ethanol


def blend_ratio(ethanol_pct: float | None = None) -> Estimate:
    """Kilograms of air to burn one of a petrol-ethanol blend. `ethanol_pct` by volume, as on the pump.

    Formula: 14.7 and 9.0, weighted by mass (densities 0.745 and 0.789). Valid 0-100 percent. Error 0.15 (petrols differ).
    Source: energy department table of fuel properties.
    """
    intake = Intake()
    share = intake.take("ethanol in the fuel", ethanol_pct, "%", 0.0, 100.0, "pumps say E5, E10 or E85", 10.0) / 100
    mass = share * ETHANOL_DENSITY / (share * ETHANOL_DENSITY + (1 - share) * PETROL_DENSITY)
    value = _PETROL_AFR * (1 - mass) + _ETHANOL_AFR * mass
    return Estimate(
        value,
        "kg/kg",
        value - 0.15,
        value + 0.15,
        "14.7 for petrol and 9.0 for ethanol, weighted by mass",
        intake.all(),
        ("fuel-properties-table",),
    )


def stoichiometric_ratio(carbon: float, hydrogen: float, oxygen: float = 0.0) -> Estimate:
    """Kilograms of air to burn one of a fuel C_c H_h O_o: (c + h/4 - o/2) x mass of O2 + 3.773 N2, over its own mass.

    Valid: c 0-30, h 0-80, o 0-10, something to burn. Error 0.3 percent (makeup of air). Source: chemistry.
    """
    intake = Intake()
    c = intake.take("carbon atoms", carbon, "", 0.0, 30.0, "petrol has 4 to 12")
    h = intake.take("hydrogen atoms", hydrogen, "", 0.0, 80.0, "petrol has about twice as many as carbon")
    o = intake.take("oxygen atoms", oxygen, "", 0.0, 10.0, "petrol has none, ethanol one")
    needed, mass = c + h / 4 - o / 2, c * _CARBON + h * _HYDROGEN + o * _OXYGEN
    if needed <= 0 or mass <= 0:
        raise ValueError("there is nothing in it that burns")
    value = needed * (2 * _OXYGEN + _NITROGEN_PER_OXYGEN * 2 * _NITROGEN) / mass
    return Estimate(
        value,
        "kg/kg",
        value * 0.997,
        value * 1.003,
        "oxygen needed for carbon and hydrogen, with the nitrogen that comes with it, over the fuel's mass",
        intake.all(),
    )


def mixture_shift(from_ethanol_pct: float | None = None, to_ethanol_pct: float | None = None) -> Estimate:
    """By how many percent the mixture turns lean (+) when a machine set up for one blend is filled with another.

    Formula: air needed before over air needed after, less one, by volume of fuel. Valid 0-100 percent (5 and 10 if not given). Error 1. A
    carburettor cannot follow; injection with a lambda sensor can within about a tenth. Source: energy department table of
    fuel properties.
    """
    intake = Intake()
    old = intake.take("ethanol in the old fuel", from_ethanol_pct, "%", 0.0, 100.0, "pumps say E5, E10 or E85", 5.0)
    new = intake.take("ethanol in the new fuel", to_ethanol_pct, "%", 0.0, 100.0, "pumps say E5, E10 or E85", 10.0)

    def air_for_a_litre(percent: float) -> float:
        return blend_ratio(percent).value * (PETROL_DENSITY * (1 - percent / 100) + ETHANOL_DENSITY * percent / 100)

    value = 100 * (air_for_a_litre(old) / air_for_a_litre(new) - 1)
    return Estimate(
        value,
        "%",
        value - 1,
        value + 1,
        "air needed by a litre of the old fuel over that of the new, less one",
        intake.all(),
        ("fuel-properties-table",),
    )


def light_ends_lost(months: float, where: str | None = None, temperature_c: float | None = None) -> Estimate:
    """Percent of the petrol, its lightest part, that has gone by standing.

    Formula: 1 - exp(-k months), k 2.5 percent a month in a vented tank, 30 in a float bowl, 0.3 in a sealed can at 20 C,
    doubled for each 10 C. Valid: 0-60 months, -60 to 70 C. Error a factor of two. Source: common practice, nothing
    authoritative was found.
    """
    intake = Intake()
    place = intake.choose("where the petrol stood", where, _LOSS_PER_MONTH, "tank")
    time = intake.take("age of the petrol", months, "months", 0.0, 60.0, "give months, 0 to 60")
    celsius = temperature(intake, temperature_c)
    low, middle, high = (100 * (1 - math.exp(-k / 100 * time * 2 ** ((celsius - 20) / 10))) for k in _LOSS_PER_MONTH[place])
    note = (
        "Fresh enough."
        if middle < 5
        else "It will start badly in the cold." if middle < 20 else "It has lost what starts an engine: drain it and fill fresh."
    )
    return Estimate(
        middle, "%", low, high, "a steady share lost each month, doubled for each 10 C", intake.all(), ("common-practice",), note
    )


def ten_percent_point(lost_pct: float | None = None) -> Estimate:
    """Temperature at which a tenth of the petrol has boiled off, C, after its lightest part has gone.

    It rules the cold start.

    Formula: the distillation curve of ordinary petrol, read at lost + a tenth of what is left. Valid 0-90 percent lost.
    Error 6 C. Source: 40 CFR 1065.710, table 1, for the curve; the rest is read off it.
    """
    intake = Intake()
    lost = intake.take("share of the petrol lost", lost_pct, "%", 0.0, 90.0, "give 0 to 90", 0.0)
    value = along(_DISTILLATION, lost + 0.1 * (100 - lost))
    return Estimate(
        value,
        "C",
        value - 6,
        value + 6,
        "the boiling curve of petrol, read further along by what has gone",
        intake.all(),
        ("test-fuel-regulation", "derived"),
    )


def water_held(ethanol_pct: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Water a blend holds before it drops out, percent by volume. Falls in the cold: clear fuel may separate overnight.

    Formula: 0.45 for E10 at 15.6 C (0.40 and 0.50 by two sources), 0.90 for E15, nothing for plain petrol; 0.005 less per
    degree of cold for E10. Valid: 0-20 percent ethanol, -40 to 40 C. Error a quarter. Source: a university note; an
    additive maker's article.
    """
    intake = Intake()
    ethanol = intake.take("ethanol in the fuel", ethanol_pct, "%", 0.0, 20.0, "the figures hold up to E20", 10.0)
    celsius = intake.take("temperature of the fuel", temperature_c, "C", -40.0, 40.0, "the figures hold from -40 to 40 C", 15.6)
    value = max(0.0, beyond(_HELD_AT_15_6, ethanol) + _HELD_PER_KELVIN * ethanol * (celsius - 15.6))
    return Estimate(
        value,
        "%",
        0.75 * value,
        1.25 * value,
        "what E10 and E15 were found to hold, less in the cold",
        intake.all(),
        ("university-ethanol-note", "additive-maker-article"),
    )


def water_to_separate(litres: float | None = None, ethanol_pct: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Millilitres of water that so much blend takes up before it separates.

    Valid 0.01-50 L and as `water_held`; error and source too.
    """
    intake = Intake()
    volume = intake.take("petrol in the tank", litres, "L", 0.01, 50.0, "tanks hold 1 to 35 litres", 10.0)
    held = water_held(ethanol_pct, temperature_c)
    found = held.times(10 * volume, "ml")
    return Estimate(
        found.value,
        "ml",
        found.low,
        found.high,
        "litres times the share the blend can hold",
        (*intake.all(), *held.inputs),
        held.source,
        "Beyond that, water and ethanol drop to the bottom, where the tap is.",
    )


def vapour_pressure(temperature_c: float | None = None, reid_psi: float | None = None) -> Estimate:
    """Vapour pressure of petrol, kPa: the pump's Reid figure (at 37.8 C) moved by exp(-3350 (1/T - 1/311)).

    Valid -50 to 60 C, Reid 5-16 psi (9 summer, up to 15 winter). Error 15 percent. Source: 40 CFR 1090.215 for the Reid
    figure; the law of Clausius and Clapeyron.
    """
    intake = Intake()
    celsius = intake.take("temperature", temperature_c, "C", -50.0, 60.0, "the figures hold from -50 to 60 C", 20.0)
    reid = intake.take("Reid vapour pressure", reid_psi, "psi", 5.0, 16.0, "pump petrol has 7 to 15 psi", 9.0)
    value = 6.894757 * reid * math.exp(-_VAPOUR_KELVIN * (1 / (celsius + ZERO_C) - 1 / (37.8 + ZERO_C)))
    return Estimate(
        value,
        "kPa",
        0.85 * value,
        1.15 * value,
        "the pump's Reid figure, moved to this temperature",
        intake.all(),
        ("fuel-volatility-regulation", "derived"),
    )


def vapour_over_petrol(temperature_c: float | None = None, reid_psi: float | None = None) -> Estimate:
    """Percent of vapour in the air right over open petrol.

    It burns between 1.4 and 7.6 percent; farther off it thins out through that range.

    Formula: vapour pressure / 101.3 kPa, at most 100. Valid, error as `vapour_pressure`. Source: energy department table
    for the limits.
    """
    pressure = vapour_pressure(temperature_c, reid_psi)
    found = pressure.times(100 / SEA_LEVEL_KPA, "%")
    value, low, high = (min(100.0, v) for v in (found.value, found.low, found.high))
    if value < _FLAMMABLE[0]:
        note = "So cold that it hardly gives off enough to burn; a spark can still warm it."
    elif value <= _FLAMMABLE[1]:
        note = "It burns right over the petrol: no spark test here."
    else:
        note = "Too rich right over the petrol, and it burns a little way off, along the floor: no spark test here."
    return Estimate(
        value,
        "%",
        low,
        high,
        "vapour pressure over air pressure",
        pressure.inputs,
        ("fuel-properties-table", "fuel-volatility-regulation"),
        note,
    )


def air_made_flammable(petrol_ml: float | None = None, temperature_c: float | None = None) -> Estimate:
    """Litres of air that so much petrol, once evaporated, makes just flammable: why a spilt teaspoon forbids a spark test.

    Formula: vapour volume (mass / 75 g per mol x gas volume) over 1.4 percent. Valid 0-20 000 mL, -60 to 70 C. Error:
    65-100 g per mol. It lies low and does not spread evenly, so no room is large enough to be safe. Source: energy
    department table of fuel properties.
    """
    intake = Intake()
    volume = intake.take("petrol spilt", petrol_ml, "ml", 0.0, 20000.0, "a teaspoon is 5 mL", 5.0)
    celsius = temperature(intake, temperature_c)
    mole_litres = 8.314 * (celsius + ZERO_C) / SEA_LEVEL_KPA

    def litres(grams_per_mol: float) -> float:
        return volume * PETROL_DENSITY / grams_per_mol * mole_litres / (_FLAMMABLE[0] / 100)

    return Estimate(
        litres(75.0),
        "L",
        litres(100.0),
        litres(65.0),
        "volume of the vapour divided by the 1.4 percent at which it begins to burn",
        intake.all(),
        ("fuel-properties-table", "derived"),
    )
