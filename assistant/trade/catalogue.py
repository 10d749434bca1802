"""The questions the computations answer, for whoever offers them to a person. Data, and one way to ask.

`function` is 'module.function' in this package, as in the `computed-by` of a limit. An argument's `topic` is the id of
the fact or check whose value or reading can give it. `sense` says how a reading is held against the result: least (it
should reach it), most (it should not pass it), expected (it should be near), value (nothing to compare).
"""

from __future__ import annotations

import importlib
import math
from dataclasses import dataclass
from typing import Any, Mapping

from assistant.trade.result import Estimate, prefer_manual


@dataclass(frozen=True, slots=True)
class Argument:
    """One input. `default` is what the function assumes; without one it must be given, unless it is `optional`."""

    name: str
    plain: str
    unit: str = ""
    default: float | str | None = None
    topic: str | None = None
    choices: tuple[str, ...] = ()
    many: bool = False  # takes a list of numbers
    optional: bool = False

    @property
    def needed(self) -> bool:
        """Whether there is no answer without it."""
        return self.default is None and not self.optional


@dataclass(frozen=True, slots=True)
class Computation:
    """One question with its function. `reading` is the check whose reading is held against the result; `manual` the fact that beats it."""

    id: str
    question: str
    function: str
    arguments: tuple[Argument, ...]
    unit: str
    sense: str = "value"
    reading: str | None = None
    manual: str | None = None

    @property
    def missing_without(self) -> tuple[Argument, ...]:
        """The arguments somebody must give."""
        return tuple(a for a in self.arguments if a.needed)


_KIND = Argument("kind", "kind of battery", "", "flooded", "battery-kind", ("flooded", "agm", "lithium-iron", "6-volt"))
_TEMP = Argument("temperature_c", "temperature", "C", 20.0, "air-temperature-c")
_TEMP25 = Argument("temperature_c", "temperature", "C", 25.0, "air-temperature-c")
_HEIGHT = Argument("altitude_m", "height above the sea", "m", 0.0, "altitude-m")
_RATIO = Argument("compression_ratio", "compression ratio", "to 1", None, "compression-ratio")
_RATIO9 = Argument("compression_ratio", "compression ratio", "to 1", 9.0, "compression-ratio")
_AH = Argument("capacity_ah", "capacity of the battery", "Ah", 10.0, "battery-ah")
_REST = Argument("volts", "volts at rest", "V", None, "battery-resting-voltage")
_CC = Argument("displacement_cc", "size of the engine", "cc", None, "displacement-cc")
_GAP = Argument("gap_mm", "plug gap", "mm", 0.8, "manual-plug-gap")
_AT_C = Argument("at_c", "temperature the manual means", "C", 20.0)

COMPUTATIONS: tuple[Computation, ...] = (
    # battery
    Computation("charge-from-volts", "how full is the battery at these volts?", "battery.state_of_charge", (_REST, _KIND, _TEMP25), "%"),
    Computation("resting-volts-enough", "are these volts at rest enough?", "battery.resting_volts_good", (_KIND, _TEMP), "V", "least",
                "battery-resting-voltage", "manual-resting-volts"),
    Computation("cranking-volts-enough", "are these volts enough while cranking?", "battery.cranking_volts_limit", (_TEMP, _KIND), "V", "least",
                "battery-cranking-voltage", "manual-cranking-volts"),
    Computation("load-test-enough", "what must it hold in a load test?", "battery.load_test_limit", (_TEMP, _KIND), "V", "least", "battery-load-test"),
    Computation("load-test-amps", "how many amps for a load test?", "battery.load_test_amps",
                (Argument("cca", "cold-cranking amps", "A", None, "battery-cca", optional=True), _AH), "A"),
    Computation("cold-cranking-power", "how much does a battery give in the cold?", "battery.cranking_power_left", (_TEMP,), "%"),
    Computation("battery-resistance", "what is the battery's inner resistance?", "battery.internal_resistance",
                (Argument("rest_volts", "volts at rest", "V", None, "battery-resting-voltage"),
                 Argument("cranking_volts", "volts while cranking", "V", None, "battery-cranking-voltage"),
                 Argument("cranking_amps", "amps of the starter", "A", 100.0, "starter-current")), "milliohm"),
    Computation("charge-from-acid", "how full is it by the density of its acid?", "acid.charge_from_sg",
                (Argument("sg", "density of the acid", "SG", None, "battery-specific-gravity"), _TEMP25,
                 Argument("full_sg", "density when full", "SG", 1.265)), "%"),
    Computation("acid-at-25", "what is this density at 25 C?", "acid.corrected_sg",
                (Argument("sg", "density of the acid", "SG", None, "battery-specific-gravity"), _TEMP25), "SG"),
    Computation("battery-freezes-at", "at what temperature does it freeze?", "acid.freezing_point_at_volts", (_REST, _KIND), "C"),
    Computation("days-until-flat", "how long will it last with this drain?", "drain.days_to_flat",
                (Argument("drain_ma", "drain with the key off", "mA", None, "resting-current-draw"), _AH,
                 Argument("charge_pct", "how full it is", "%", 100.0), _KIND, _TEMP25), "days"),
    Computation("drain-allowed", "what drain can it stand for so many days?", "drain.greatest_drain_ma",
                (Argument("days", "days it stands", "days", 14.0), _AH, _KIND, _TEMP25), "mA", "most", "resting-current-draw", "manual-draw-ma"),
    Computation("days-by-itself", "how long does it last with nothing connected?", "drain.self_discharge_days", (_KIND, _TEMP25), "days"),
    Computation("hours-with-load", "how long does it feed this load?", "drain.hours_at_load", (Argument("amps", "amps drawn", "A", None), _AH), "h"),
    Computation("hours-to-charge", "how long does it take to charge?", "drain.hours_to_charge",
                (Argument("charger_amps", "amps of the charger", "A", 1.0), _AH, Argument("charge_pct", "how full it is", "%", 0.0),
                 Argument("to_pct", "how full it shall be", "%", 100.0), _KIND), "h"),
    # wiring and fuses
    Computation("wire-drop", "how many volts does this wire lose?", "wiring.drop",
                (Argument("amps", "amps that flow", "A", None), Argument("length_m", "length of the wire", "m", None),
                 Argument("mm2", "section of the wire", "mm2", None, optional=True), Argument("gauge", "gauge of the wire", "", None, optional=True), _TEMP), "V"),
    Computation("joint-milliohms", "what does this drop mean?", "wiring.joint_resistance",
                (Argument("drop_v", "volts lost", "V", None, "ground-voltage-drop"), Argument("amps", "amps that flow", "A", 100.0, "starter-current")), "milliohm"),
    Computation("joint-loses", "what does this joint lose under load?", "wiring.drop_at",
                (Argument("milliohm", "resistance of the joint", "milliohm", None), Argument("amps", "amps that flow", "A", None)), "V"),
    Computation("drop-allowed", "how many volts may be lost there?", "wiring.drop_limit",
                (Argument("part", "part of the circuit", "", "cable", None, ("cable", "joint", "switch", "earth", "starter-side", "lamp-circuit")),
                 Argument("nominal_v", "system voltage", "V", 12.0)), "V", "most"),
    Computation("fuse-melts-after", "how soon does this fuse blow?", "fuses.melting_time",
                (Argument("amps", "amps that flow", "A", None), Argument("rating_a", "rating of the fuse", "A", None),
                 Argument("kind", "kind of fuse", "", "blade", None, ("blade", "slow-glass", "fast-glass"))), "s"),
    # charging
    Computation("charging-least", "what should it charge with, at least?", "charging.regulated_window_low", (_TEMP25, _KIND), "V", "least",
                "battery-running-voltage", "manual-charging-volts-low"),
    Computation("charging-most", "what should it charge with, at most?", "charging.regulated_window_high", (_TEMP25, _KIND), "V", "most",
                "battery-running-voltage", "manual-charging-volts-high"),
    Computation("alternator-volts", "what should the alternator make at these revs?", "charging.alternator_ac",
                (Argument("rpm", "engine speed", "rpm", 4000.0),), "V", "expected", "stator-ac-output"),
    Computation("direct-from-alternating", "what direct volts come from these alternating volts?", "charging.rectified",
                (Argument("ac_volts", "alternating volts", "V", None, "stator-ac-output"),), "V"),
    Computation("phases-alike", "are the three phases alike?", "charging.phase_balance", (Argument("volts", "volts of the three pairs", "V", None, many=True),), "%"),
    Computation("watts-to-spare", "does it make more than it uses?", "charging.power_balance",
                (Argument("rpm", "engine speed", "rpm", 1200.0), Argument("used_watts", "watts used", "W", 120.0),
                 Argument("rated_watts", "rated output", "W", 200.0)), "W"),
    # ignition
    Computation("winding-today", "what should this winding read today?", "ignition.resistance_at",
                (Argument("nominal_ohm", "resistance by the manual", "ohm", None, "manual-coil-primary-ohms"), _TEMP, _AT_C), "ohm", "expected", "coil-primary-resistance"),
    Computation("gap-volts-open", "what does this gap need in the open air?", "spark.open_air_kv", (_GAP,), "kV"),
    Computation("gap-volts-cylinder", "what does this gap need in the cylinder?", "spark.in_cylinder_kv", (_GAP, _RATIO9), "kV"),
    Computation("open-spark-proves", "what does a spark in the open air prove?", "spark.harder_than_open_air", (_GAP, _RATIO9), "times"),
    Computation("test-gap", "what open-air gap stands for the cylinder?", "spark.matching_open_gap",
                (Argument("plug_gap_mm", "plug gap", "mm", 0.8, "manual-plug-gap"), _RATIO9,
                 Argument("electrodes", "shape of the electrodes", "", "points", None, ("points", "balls"))), "mm"),
    Computation("coil-current", "what current has the coil after this time?", "ignition.coil_current",
                (Argument("time_ms", "time the coil is closed", "ms", None), Argument("volts", "supply volts", "V", 12.0, "coil-supply-voltage"),
                 Argument("resistance_ohm", "resistance of the primary", "ohm", 3.0, "coil-primary-resistance"), Argument("inductance_mh", "inductance of the primary", "mH", 8.0)), "A"),
    Computation("degrees-as-time", "how long are these degrees?", "ignition.degrees_to_ms",
                (Argument("degrees", "degrees of the crank", "deg", None), Argument("rpm", "engine speed", "rpm", 300.0)), "ms"),
    Computation("degrees-as-travel", "how many mm before top dead centre is that?", "ignition.degrees_to_mm",
                (Argument("degrees", "degrees before top dead centre", "deg", None), Argument("stroke_mm", "stroke", "mm", None),
                 Argument("rod_mm", "length of the rod", "mm", None, optional=True)), "mm"),
    # compression
    Computation("compression-expected", "what should the compression be?", "compression.cranking_pressure", (_RATIO, _HEIGHT, _TEMP), "psi", "expected", "compression-dry"),
    Computation("compression-enough", "is this compression enough to start?", "compression.least_cranking_psi",
                (Argument("compression_ratio", "compression ratio", "to 1", None, "compression-ratio", optional=True), _HEIGHT, _TEMP), "psi", "least",
                "compression-dry", "manual-compression"),
    Computation("compression-highest", "how high can a true reading be?", "compression.most_cranking_psi", (_RATIO, _HEIGHT), "psi", "most", "compression-dry"),
    Computation("compression-throttle-shut", "what does it read with the throttle shut?", "compression.closed_throttle", (_RATIO, _HEIGHT), "psi"),
    Computation("compression-at-sea-level", "what would this reading be at sea level?", "compression.at_sea_level",
                (Argument("reading_psi", "compression reading", "psi", None, "compression-dry"), _HEIGHT), "psi"),
    Computation("cylinders-alike", "are the cylinders alike?", "compression.between_cylinders", (Argument("readings_psi", "readings", "psi", None, "compression-dry", many=True),), "%"),
    Computation("wet-against-dry", "what does the oil in the cylinder say?", "compression.wet_against_dry",
                (Argument("dry_psi", "dry reading", "psi", None, "compression-dry"), Argument("wet_psi", "wet reading", "psi", None, "compression-wet")), "psi"),
    Computation("leak-down-loss", "how much does it lose in a leak-down test?", "compression.leak_down_loss",
                (Argument("supply_psi", "supply pressure", "psi", None), Argument("held_psi", "pressure held", "psi", None)), "%"),
    # fuel
    Computation("fuel-needed", "how much fuel does it need?", "fuel.engine_needs", (_CC, Argument("rpm", "engine speed", "rpm", 8000.0)), "mL/min", "least", "fuel-flow-at-hose"),
    Computation("fuel-flow-enough", "is this flow enough?", "fuel.flow_margin",
                (Argument("flow_ml_min", "flow at the hose", "mL/min", None, "fuel-flow-at-hose"), _CC, Argument("rpm", "engine speed", "rpm", 8000.0)), "times"),
    Computation("hose-flow", "what runs through this hose?", "fuel.hose_flow",
                (Argument("bore_mm", "bore of the hose", "mm", 6.0), Argument("length_m", "length of the hose", "m", 0.5),
                 Argument("head_mm", "height of fuel above its end", "mm", 200.0)), "mL/min"),
    Computation("float-effect", "what does the fuel level change?", "fuel.float_level_effect",
                (Argument("fuel_level_change_mm", "change of the fuel level", "mm", None),), "%"),
    Computation("blend-air", "how much air does this blend need?", "petrol.blend_ratio", (Argument("ethanol_pct", "ethanol in the fuel", "%", 10.0),), "kg/kg"),
    Computation("petrol-aged", "what has petrol of this age lost?", "petrol.light_ends_lost",
                (Argument("months", "age of the petrol", "months", None),
                 Argument("where", "where it stood", "", "tank", None, ("sealed-can", "tank", "float-bowl")), _TEMP), "%"),
    Computation("water-held", "how much water can this tank take up?", "petrol.water_to_separate",
                (Argument("litres", "petrol in the tank", "L", 10.0), Argument("ethanol_pct", "ethanol in the fuel", "%", 10.0),
                 Argument("temperature_c", "temperature of the fuel", "C", 15.6, "air-temperature-c")), "mL"),
    Computation("vapour-over-petrol", "does the vapour burn at this temperature?", "petrol.vapour_over_petrol", (_TEMP,), "%"),
    Computation("spill-and-spark", "how much air does a spill make dangerous?", "petrol.air_made_flammable", (Argument("petrol_ml", "petrol spilt", "mL", 5.0), _TEMP), "L"),
    # air
    Computation("air-density", "how dense is the air here?", "air.density_ratio",
                (_HEIGHT, Argument("temperature_c", "temperature", "C", None, "air-temperature-c", optional=True)), "share"),
    Computation("main-jet", "what main jet up here?", "air.main_jet",
                (Argument("size", "number of the jet now", "", None), _HEIGHT, Argument("temperature_c", "temperature", "C", None, "air-temperature-c", optional=True),
                 Argument("numbered_by", "jets numbered by", "", "diameter", None, ("diameter", "flow"))), ""),
    Computation("idle-vacuum", "what vacuum should it idle with?", "air.idle_vacuum", (_HEIGHT,), "kPa", "expected"),
)
_BY_ID = {c.id: c for c in COMPUTATIONS}


def find(computation_id: str) -> Computation:
    """The computation of that id. Errors: ValueError when there is none."""
    if computation_id not in _BY_ID:
        raise ValueError(f"no computation is called '{computation_id}'")
    return _BY_ID[computation_id]


def answer(computation: Computation, given: Mapping[str, Any], manual: float | None = None) -> Estimate:
    """Ask a computation with what is known; what is missing is assumed where it can be, and marked so.

    `manual` is the service manual's own figure in the computation's unit, and wins. Errors: ValueError with a
    sentence for the person when something needed is missing or cannot be, or when a name is not one of its arguments.
    """
    names = {a.name: a for a in computation.arguments}
    strange = [name for name in given if name not in names]
    if strange:
        raise ValueError(f"this has nothing to do with {', '.join(strange)}")
    missing = [a.plain for a in computation.missing_without if given.get(a.name) is None]
    if missing:
        raise ValueError(f"to answer that I need the {' and the '.join(missing)}")
    arguments = {name: value for name, value in given.items() if value is not None}
    return prefer_manual(_function(computation.function)(**arguments), manual)


def _function(path: str) -> Any:
    module, _, name = path.partition(".")
    return getattr(importlib.import_module(f"assistant.trade.{module}"), name)


def is_answerable(computation: Computation, topics: Mapping[str, Any]) -> bool:
    """Whether the known topics give everything that must be given (finite numbers or words)."""
    return all(a.topic in topics and (not isinstance(topics[a.topic], float) or math.isfinite(topics[a.topic])) for a in computation.missing_without)
