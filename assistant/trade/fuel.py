"""Fuel on its way: what runs through tap and hose by gravity, what the engine needs, what the float height does.

Kinds of fuel, their age, water and vapour are in `petrol`. Sources: textbook hydraulics (orifice, Hagen and Poiseuille,
Blasius), definitions; common practice where it is said.
"""

from __future__ import annotations

import math

from assistant.trade.constants import ETHANOL_DENSITY, GRAVITY, PETROL_DENSITY, SEA_LEVEL_DENSITY
from assistant.trade.intake import Intake
from assistant.trade.result import Estimate

_LAMINAR_UP_TO = 2000.0  # Reynolds number
_BLASIUS_UP_TO = 1.0e5
_HEAD_HINT = "the height of fuel above the end of the hose in mm, 0 to 1500"


def orifice_flow(bore_mm: float, head_mm: float, coefficient: float | None = None) -> Estimate:
    """Flow through a short narrow place (tap, jet, needle seat), ml/min: Cd x area x sqrt(2 g h).

    Valid: bore 0.1-20 mm, head 0-1500 mm, Cd 0.4-1 (0.62 sharp, 0.80 short tube). Error 15 percent of Cd. Source:
    textbook hydraulics.
    """
    intake = Intake()
    bore = intake.take("a bore", bore_mm, "mm", 0.1, 20.0, "fuel passages have 0.3 to 10 mm")
    head = intake.take("a head of fuel", head_mm, "mm", 0.0, 1500.0, _HEAD_HINT)
    cd = intake.take("flow coefficient", coefficient, "", 0.4, 1.0, "0.62 for a sharp hole, 0.8 for a short tube", 0.62)
    value = cd * math.pi / 4 * (bore / 1000) ** 2 * math.sqrt(2 * GRAVITY * head / 1000) * 6e7
    return Estimate(
        value,
        "ml/min",
        0.85 * value,
        1.15 * value,
        "area of the hole times the speed of falling from that height, times 0.62",
        intake.all(),
    )


def _pipe(
    intake: Intake, bore_mm: float | None, length_m: float | None, head_mm: float | None, viscosity_cst: float | None
) -> tuple[float, float, float, float]:
    bore = intake.take("a bore", bore_mm, "mm", 0.5, 25.0, "fuel hoses have 3 to 10 mm", 6.0) / 1000
    length = intake.take("length of the hose", length_m, "m", 0.01, 5.0, "fuel hoses are 0.05 to 2 m long; give metres", 0.5)
    head = intake.take("a head of fuel", head_mm, "mm", 0.0, 1500.0, _HEAD_HINT, 200.0) / 1000
    nu = intake.take("thickness of the fuel", viscosity_cst, "mm2/s", 0.2, 20.0, "petrol has 0.5 to 1", 0.6) * 1e-6
    return bore, length, head, nu


def laminar_flow(
    bore_mm: float | None = None, length_m: float | None = None, head_mm: float | None = None, viscosity_cst: float | None = None
) -> Estimate:
    """Smooth flow through a thin tube, ml/min: pi d^4 g h / (128 nu l) (Hagen and Poiseuille).

    Valid only while the Reynolds number stays under 2000, which a fuel hose exceeds by far: then refused. Also 0.5-25 mm,
    0.01-5 m, 0-1500 mm, 0.2-20 mm2/s. Error 15 percent (of the viscosity). Errors: ValueError that names `hose_flow` as
    the way. Source: textbook hydraulics.
    """
    intake = Intake()
    d, length, head, nu = _pipe(intake, bore_mm, length_m, head_mm, viscosity_cst)
    flow = math.pi * d**4 * GRAVITY * head / (128 * nu * length)
    reynolds = 4 * flow / (math.pi * d * nu)
    if reynolds > _LAMINAR_UP_TO:
        raise ValueError(
            f"the flow in so wide and short a hose is not smooth (Reynolds number {reynolds:.0f}): reckon it as a hose with turbulent flow"
        )
    value = flow * 6e7
    return Estimate(
        value,
        "ml/min",
        0.85 * value,
        1.15 * value,
        "fourth power of the bore times the head, divided by thickness and length",
        intake.all(),
    )


def hose_flow(
    bore_mm: float | None = None,
    length_m: float | None = None,
    head_mm: float | None = None,
    viscosity_cst: float | None = None,
    losses: float | None = None,
) -> Estimate:
    """Flow through a fuel hose by gravity, ml/min, smooth or turbulent as it comes.

    Formula: g h = (losses + f l / d) v^2 / 2 with losses 1.5 (entry 0.5, exit 1), f = 64/Re or 0.3164/Re^0.25 (Blasius),
    whichever is more, solved by halving. Valid: 0.5-25 mm, 0.01-5 m, head 0-1500 mm, losses 0-50. Error 15 percent for a
    clean hose; a kink, a filter or a tap takes more. Source: textbook hydraulics.
    """
    intake = Intake()
    d, length, head, nu = _pipe(intake, bore_mm, length_m, head_mm, viscosity_cst)
    extra = intake.take("losses of entry, exit and bends", losses, "", 0.0, 50.0, "1.5 for a plain hose", 1.5)

    def head_needed(speed: float) -> float:
        reynolds = speed * d / nu
        friction = max(64 / reynolds, 0.3164 / reynolds**0.25) if reynolds > _LAMINAR_UP_TO else 64 / reynolds
        return (extra + friction * length / d) * speed**2 / (2 * GRAVITY)

    low, high = 1e-9, math.sqrt(2 * GRAVITY * max(head, 1e-12)) * 10
    for _ in range(100):
        middle = (low + high) / 2
        if head_needed(middle) < head:
            low = middle
        else:
            high = middle
    value = 0.0 if head == 0 else low * math.pi / 4 * d**2 * 6e7
    return Estimate(
        value, "ml/min", 0.85 * value, 1.15 * value, "the speed at which entry, exit and friction of the hose use up the head", intake.all()
    )


def engine_needs(
    displacement_cc: float, rpm: float | None = None, filling: float | None = None, strokes: int = 4, air_per_fuel: float | None = None
) -> Estimate:
    """Petrol the engine burns wide open, ml/min.

    Formula: air breathed x density / (air per fuel x density of petrol). Unknown: 8000 rpm, filling 0.85, 13 to 1. Valid:
    20-2600 cc, 300-20 000 rpm. Error 20 percent; two-strokes waste a fifth more. Source: definition; common practice for
    the usual figures.
    """
    intake = Intake()
    cc = intake.take("size of the engine", displacement_cc, "cc", 20.0, 2600.0, "engines of machines have 20 to 2600 cc")
    speed = intake.take("an engine speed", rpm, "rpm", 300.0, 20000.0, "engines turn 300 to 20 000", 8000.0)
    fill = intake.take("filling of the cylinder", filling, "", 0.1, 1.3, "0.8 to 1 wide open", 0.85)
    ratio = intake.take("air per fuel", air_per_fuel, "", 8.0, 20.0, "12 to 15 parts of air to one of petrol", 13.0)
    if strokes not in (2, 4):
        raise ValueError(f"an engine has 2 or 4 strokes, not {strokes}")
    litres = cc / 1000 * speed / (strokes / 2) * fill
    value = 1000 * litres * SEA_LEVEL_DENSITY / ratio / (PETROL_DENSITY * 1000)
    return Estimate(
        value,
        "ml/min",
        0.8 * value,
        (1.2 if strokes == 4 else 1.4) * value,
        "air breathed, divided by the air per fuel and the density of petrol",
        intake.all(),
        ("derived", "common-practice"),
    )


def flow_margin(flow_ml_min: float, displacement_cc: float, rpm: float | None = None) -> Estimate:
    """Measured flow at the hose over what the engine burns wide open.

    Over 1.5 is ample, under 1 it starves at speed; it starts and idles with a twentieth. Valid: 0-20 000 ml/min and as
    `engine_needs`. Error 25 percent. Source: common practice for the bands.
    """
    intake = Intake()
    flow = intake.take("a flow", flow_ml_min, "ml/min", 0.0, 20000.0, "catch it in a jar for a minute")
    need = engine_needs(displacement_cc, rpm)
    value = flow / need.value
    note = (
        "Ample."
        if value >= 1.5
        else (
            "Enough, with little to spare."
            if value >= 1
            else "It starves at speed, though it may start and idle." if value >= 0.05 else "Too little even to idle for long."
        )
    )
    return Estimate(
        value,
        "times",
        value / 1.25,
        value * 1.25,
        f"the flow you measured over the {need.value:.0f} ml/min the engine burns wide open",
        (*intake.all(), *need.inputs),
        ("derived", "common-practice"),
        note,
    )


def float_level_effect(fuel_level_change_mm: float, suction_pa: float | None = None, lip_mm: float | None = None) -> Estimate:
    """Change in the fuel a jet gives, in percent, when the fuel stands higher (+) or lower (-) in the bowl.

    Formula: sqrt(suction - rho g (lip - change)) over sqrt(suction - rho g lip). Unknown: suction 500 Pa (cranking to
    idle), the nozzle's lip 4 mm above the fuel. Valid: change -20 to 20 mm, suction 20-10 000 Pa, lip 0-15 mm. Error: the
    suction, 250-1500 Pa if not given. Beware: a larger float *height* usually means a lower fuel level. Source:
    Bernoulli.
    """
    intake = Intake()
    change = intake.take(
        "change of the fuel level", fuel_level_change_mm, "mm", -20.0, 20.0, "bowls are shallow: give -20 to 20 mm, plus for higher fuel"
    )
    suction = intake.take("suction at the nozzle", suction_pa, "Pa", 20.0, 10000.0, "it is 100 to 5000 Pa", 500.0)
    lip = intake.take("lip of the nozzle above the fuel", lip_mm, "mm", 0.0, 15.0, "it stands 2 to 8 mm above the fuel", 4.0)
    weight = PETROL_DENSITY * 1000 * GRAVITY / 1000  # Pa per mm of petrol

    def percent(pull: float) -> float:
        before = pull - weight * lip
        if before <= 0:
            raise ValueError("so little suction does not lift any fuel to the nozzle: the level matters more than any jet")
        return 100 * (math.sqrt(max(0.0, before + weight * change) / before) - 1)

    values = [percent(suction)] if suction_pa is not None else [percent(p) for p in (suction, 250.0, 1500.0)]
    if suction_pa is not None and change:
        values += [0.8 * values[0], 1.2 * values[0]]
    return Estimate(
        values[0], "%", min(values), max(values), "root of the suction less the lift to the nozzle, before and after", intake.all()
    )


def mass_flow_g_min(flow_ml_min: float, ethanol_pct: float | None = None) -> Estimate:
    """Grams a minute of a flow in ml/min: density of the blend times the flow. Valid 0-20 000 ml/min, 0-100 percent ethanol.

    Error 3 percent (petrol is 0.72 to 0.78 kg/L). Source: energy department table of fuel properties.
    """
    intake = Intake()
    flow = intake.take("a flow", flow_ml_min, "ml/min", 0.0, 20000.0, "catch it in a jar for a minute")
    share = intake.take("ethanol in the fuel", ethanol_pct, "%", 0.0, 100.0, "pumps say E5, E10 or E85", 5.0) / 100
    value = flow * (PETROL_DENSITY * (1 - share) + ETHANOL_DENSITY * share)
    return Estimate(
        value, "g/min", 0.97 * value, 1.03 * value, "density of the fuel times the flow", intake.all(), ("fuel-properties-table",)
    )
