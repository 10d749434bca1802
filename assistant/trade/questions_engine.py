"""Questions about ignition, compression, fuel and air. Data only; see `question` for what the fields mean."""

from __future__ import annotations

from assistant.trade.question import ANY_UNIT, UNIT_OF_NUMBER, UNIT_WANTED, Argument, Computation

_TEMP = Argument("temperature_c", "temperature", "C", 20.0, "air-temperature-c")
_HEIGHT = Argument("altitude_m", "height above the sea", "m", 0.0, "altitude-m")
_RATIO = Argument("compression_ratio", "compression ratio", "to 1", None, "compression-ratio")
_RATIO9 = Argument("compression_ratio", "compression ratio", "to 1", 9.0, "compression-ratio")
_CC = Argument("displacement_cc", "size of the engine", "cc", None, "displacement-cc")
_GAP = Argument("gap_mm", "plug gap", "mm", 0.8, "manual-plug-gap")
_AT_C = Argument("at_c", "temperature the manual means", "C", 20.0)

ENGINE: tuple[Computation, ...] = (
    # ignition
    Computation(
        "winding-today",
        "what should this winding read today?",
        "ignition.resistance_at",
        (Argument("nominal_ohm", "resistance by the manual", "ohm", None, "manual-coil-primary-ohms"), _TEMP, _AT_C),
        "ohm",
        "expected",
        "coil-primary-resistance",
    ),
    Computation("gap-volts-open", "what does this gap need in the open air?", "spark.open_air_kv", (_GAP,), "kV"),
    Computation("gap-volts-cylinder", "what does this gap need in the cylinder?", "spark.in_cylinder_kv", (_GAP, _RATIO9), "kV"),
    Computation("open-spark-proves", "what does a spark in the open air prove?", "spark.harder_than_open_air", (_GAP, _RATIO9), "times"),
    Computation(
        "test-gap",
        "what open-air gap stands for the cylinder?",
        "spark.matching_open_gap",
        (
            Argument("plug_gap_mm", "plug gap", "mm", 0.8, "manual-plug-gap"),
            _RATIO9,
            Argument("electrodes", "shape of the electrodes", "", "points", None, ("points", "balls")),
        ),
        "mm",
    ),
    Computation(
        "coil-current",
        "what current has the coil after this time?",
        "ignition.coil_current",
        (
            Argument("time_ms", "time the coil is closed", "ms", None),
            Argument("volts", "supply volts", "V", 12.0, "coil-supply-voltage"),
            Argument("resistance_ohm", "resistance of the primary", "ohm", 3.0, "coil-primary-resistance"),
            Argument("inductance_mh", "inductance of the primary", "mH", 8.0),
        ),
        "A",
    ),
    Computation(
        "degrees-as-time",
        "how long are these degrees?",
        "ignition.degrees_to_ms",
        (Argument("degrees", "degrees of the crank", "deg", None), Argument("rpm", "engine speed", "rpm", 300.0)),
        "ms",
    ),
    Computation(
        "degrees-as-travel",
        "how many mm before top dead centre is that?",
        "ignition.degrees_to_mm",
        (
            Argument("degrees", "degrees before top dead centre", "deg", None),
            Argument("stroke_mm", "stroke", "mm", None),
            Argument("rod_mm", "length of the rod", "mm", None, optional=True),
        ),
        "mm",
    ),
    # compression
    Computation(
        "compression-expected",
        "what should the compression be?",
        "compression.cranking_pressure",
        (_RATIO, _HEIGHT, _TEMP),
        "psi",
        "expected",
        "compression-dry",
    ),
    Computation(
        "compression-enough",
        "is this compression enough to start?",
        "compression.least_cranking_psi",
        (Argument("compression_ratio", "compression ratio", "to 1", None, "compression-ratio", optional=True), _HEIGHT, _TEMP),
        "psi",
        "least",
        "compression-dry",
        "manual-compression",
    ),
    Computation(
        "compression-highest",
        "how high can a true reading be?",
        "compression.most_cranking_psi",
        (_RATIO, _HEIGHT),
        "psi",
        "most",
        "compression-dry",
    ),
    Computation(
        "compression-throttle-shut", "what does it read with the throttle shut?", "compression.closed_throttle", (_RATIO, _HEIGHT), "psi"
    ),
    Computation(
        "compression-at-sea-level",
        "what would this reading be at sea level?",
        "compression.at_sea_level",
        (Argument("reading_psi", "compression reading", "psi", None, "compression-dry"), _HEIGHT),
        "psi",
    ),
    Computation(
        "cylinders-alike",
        "are the cylinders alike?",
        "compression.between_cylinders",
        (Argument("readings_psi", "readings", "psi", None, "compression-dry", many=True),),
        "%",
    ),
    Computation(
        "wet-against-dry",
        "what does the oil in the cylinder say?",
        "compression.wet_against_dry",
        (
            Argument("dry_psi", "dry reading", "psi", None, "compression-dry"),
            Argument("wet_psi", "wet reading", "psi", None, "compression-wet"),
        ),
        "psi",
    ),
    Computation(
        "leak-down-loss",
        "how much does it lose in a leak-down test?",
        "compression.leak_down_loss",
        (Argument("supply_psi", "supply pressure", "psi", None), Argument("held_psi", "pressure held", "psi", None)),
        "%",
    ),
    # fuel
    Computation(
        "fuel-needed",
        "how much fuel does it need?",
        "fuel.engine_needs",
        (_CC, Argument("rpm", "engine speed", "rpm", 8000.0)),
        "ml/min",
        "least",
        "fuel-flow-at-hose",
    ),
    Computation(
        "fuel-flow-enough",
        "is this flow enough?",
        "fuel.flow_margin",
        (
            Argument("flow_ml_min", "flow at the hose", "ml/min", None, "fuel-flow-at-hose"),
            _CC,
            Argument("rpm", "engine speed", "rpm", 8000.0),
        ),
        "times",
    ),
    Computation(
        "hose-flow",
        "what runs through this hose?",
        "fuel.hose_flow",
        (
            Argument("bore_mm", "bore of the hose", "mm", 6.0),
            Argument("length_m", "length of the hose", "m", 0.5),
            Argument("head_mm", "height of fuel above its end", "mm", 200.0),
        ),
        "ml/min",
    ),
    Computation(
        "float-effect",
        "what does the fuel level change?",
        "fuel.float_level_effect",
        (Argument("fuel_level_change_mm", "change of the fuel level", "mm", None),),
        "%",
    ),
    Computation(
        "blend-air",
        "how much air does this blend need?",
        "petrol.blend_ratio",
        (Argument("ethanol_pct", "ethanol in the fuel", "%", 10.0),),
        "kg/kg",
    ),
    Computation(
        "petrol-aged",
        "what has petrol of this age lost?",
        "petrol.light_ends_lost",
        (
            Argument("months", "age of the petrol", "months", None),
            Argument("where", "where it stood", "", "tank", None, ("sealed-can", "tank", "float-bowl")),
            _TEMP,
        ),
        "%",
    ),
    Computation(
        "water-held",
        "how much water can this tank take up?",
        "petrol.water_to_separate",
        (
            Argument("litres", "petrol in the tank", "L", 10.0),
            Argument("ethanol_pct", "ethanol in the fuel", "%", 10.0),
            Argument("temperature_c", "temperature of the fuel", "C", 15.6, "air-temperature-c"),
        ),
        "ml",
    ),
    Computation("vapour-over-petrol", "does the vapour burn at this temperature?", "petrol.vapour_over_petrol", (_TEMP,), "%"),
    Computation(
        "spill-and-spark",
        "how much air does a spill make dangerous?",
        "petrol.air_made_flammable",
        (Argument("petrol_ml", "petrol spilt", "ml", 5.0), _TEMP),
        "L",
    ),
    # air
    Computation(
        "air-density",
        "how dense is the air here?",
        "air.density_ratio",
        (_HEIGHT, Argument("temperature_c", "temperature", "C", None, "air-temperature-c", optional=True)),
        "share",
    ),
    Computation(
        "main-jet",
        "what main jet up here?",
        "air.main_jet",
        (
            Argument("size", "number of the jet now", "", None),
            _HEIGHT,
            Argument("temperature_c", "temperature", "C", None, "air-temperature-c", optional=True),
            Argument("numbered_by", "jets numbered by", "", "diameter", None, ("diameter", "flow")),
        ),
        "",
    ),
    # units
    Computation(
        "other-units",
        "how much is it in another unit?",
        "units.given_in",
        (
            Argument("value", "number with its unit", ANY_UNIT, None),
            Argument("value_unit", "unit of the number", UNIT_OF_NUMBER, "bar", optional=True),
            Argument("wanted", "unit it is wanted in", UNIT_WANTED, "psi", optional=True),
        ),
        "psi",
    ),
    Computation("idle-vacuum", "what vacuum should it idle with?", "air.idle_vacuum", (_HEIGHT,), "kPa", "expected"),
)
