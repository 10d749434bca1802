"""Questions about the battery, wires, fuses and charging. Data only; see `question` for what the fields mean."""

from __future__ import annotations

from assistant.trade.question import Argument, Computation

_KIND = Argument("kind", "kind of battery", "", "flooded", "battery-kind", ("flooded", "agm", "lithium-iron", "6-volt"))
_TEMP = Argument("temperature_c", "temperature", "C", 20.0, "air-temperature-c")
_TEMP25 = Argument("temperature_c", "temperature", "C", 25.0, "air-temperature-c")
_AH = Argument("capacity_ah", "capacity of the battery", "Ah", 10.0, "battery-ah")
_REST = Argument("volts", "volts at rest", "V", None, "battery-resting-voltage")

POWER: tuple[Computation, ...] = (
    # battery
    Computation("charge-from-volts", "how full is the battery at these volts?", "battery.state_of_charge", (_REST, _KIND, _TEMP25), "%"),
    Computation(
        "resting-volts-enough",
        "are these volts at rest enough?",
        "battery.resting_volts_good",
        (_KIND, _TEMP),
        "V",
        "least",
        "battery-resting-voltage",
        "manual-resting-volts",
    ),
    Computation(
        "cranking-volts-enough",
        "are these volts enough while cranking?",
        "battery.cranking_volts_limit",
        (_TEMP, _KIND),
        "V",
        "least",
        "battery-cranking-voltage",
        "manual-cranking-volts",
    ),
    Computation(
        "load-test-enough",
        "what must it hold in a load test?",
        "battery.load_test_limit",
        (_TEMP, _KIND),
        "V",
        "least",
        "battery-load-test",
    ),
    Computation(
        "load-test-amps",
        "how many amps for a load test?",
        "battery.load_test_amps",
        (
            Argument("cca", "cold-cranking amps", "A", None, "battery-cca", optional=True),
            Argument("capacity_ah", "capacity of the battery", "Ah", None, "battery-ah", optional=True),
        ),
        "A",
    ),
    Computation("cold-cranking-power", "how much does a battery give in the cold?", "battery.cranking_power_left", (_TEMP,), "%"),
    Computation(
        "battery-resistance",
        "what is the battery's inner resistance?",
        "battery.internal_resistance",
        (
            Argument("rest_volts", "volts at rest", "V", None, "battery-resting-voltage"),
            Argument("cranking_volts", "volts while cranking", "V", None, "battery-cranking-voltage"),
            Argument("cranking_amps", "amps of the starter", "A", 100.0, "starter-current"),
        ),
        "milliohm",
    ),
    Computation(
        "charge-from-acid",
        "how full is it by the density of its acid?",
        "acid.charge_from_sg",
        (
            Argument("sg", "density of the acid", "SG", None, "battery-specific-gravity"),
            _TEMP25,
            Argument("full_sg", "density when full", "SG", 1.265),
        ),
        "%",
    ),
    Computation(
        "acid-at-25",
        "what is this density at 25 C?",
        "acid.corrected_sg",
        (Argument("sg", "density of the acid", "SG", None, "battery-specific-gravity"), _TEMP25),
        "SG",
    ),
    Computation("battery-freezes-at", "at what temperature does it freeze?", "acid.freezing_point_at_volts", (_REST, _KIND), "C"),
    Computation(
        "days-until-flat",
        "how long will it last with this drain?",
        "drain.days_to_flat",
        (
            Argument("drain_ma", "drain with the key off", "mA", None, "resting-current-draw"),
            _AH,
            Argument("charge_pct", "how full it is", "%", 100.0),
            _KIND,
            _TEMP25,
        ),
        "days",
    ),
    Computation(
        "drain-allowed",
        "what drain can it stand for so many days?",
        "drain.greatest_drain_ma",
        (Argument("days", "days it stands", "days", 14.0), _AH, _KIND, _TEMP25),
        "mA",
        "most",
        "resting-current-draw",
        "manual-draw-ma",
    ),
    Computation("days-by-itself", "how long does it last with nothing connected?", "drain.self_discharge_days", (_KIND, _TEMP25), "days"),
    Computation(
        "hours-with-load", "how long does it feed this load?", "drain.hours_at_load", (Argument("amps", "amps drawn", "A", None), _AH), "h"
    ),
    Computation(
        "hours-to-charge",
        "how long does it take to charge?",
        "drain.hours_to_charge",
        (
            Argument("charger_amps", "amps of the charger", "A", 1.0),
            _AH,
            Argument("charge_pct", "how full it is", "%", 0.0),
            Argument("to_pct", "how full it shall be", "%", 100.0),
            _KIND,
        ),
        "h",
    ),
    # wiring and fuses
    Computation(
        "wire-drop",
        "how many volts does this wire lose?",
        "wiring.drop",
        (
            Argument("amps", "amps that flow", "A", None),
            Argument("length_m", "length of the wire", "m", None),
            Argument("mm2", "section of the wire", "mm2", None, optional=True),
            Argument("gauge", "gauge of the wire", "AWG", None, optional=True),
            _TEMP,
        ),
        "V",
    ),
    Computation(
        "joint-milliohms",
        "what does this drop mean?",
        "wiring.joint_resistance",
        (
            Argument("drop_v", "volts lost", "V", None, "ground-voltage-drop"),
            Argument("amps", "amps that flow", "A", 100.0, "starter-current"),
        ),
        "milliohm",
    ),
    Computation(
        "joint-loses",
        "what does this joint lose under load?",
        "wiring.drop_at",
        (Argument("milliohm", "resistance of the joint", "milliohm", None), Argument("amps", "amps that flow", "A", None)),
        "V",
    ),
    Computation(
        "drop-allowed",
        "how many volts may be lost there?",
        "wiring.drop_limit",
        (
            Argument(
                "part", "part of the circuit", "", "cable", None, ("cable", "joint", "switch", "earth", "starter-side", "lamp-circuit")
            ),
            Argument("nominal_v", "system voltage", "V", 12.0),
        ),
        "V",
        "most",
    ),
    Computation(
        "fuse-melts-after",
        "how soon does this fuse blow?",
        "fuses.melting_time",
        (
            Argument("amps", "amps that flow", "A", None),
            Argument("rating_a", "rating of the fuse", "A", None),
            Argument("kind", "kind of fuse", "", "blade", None, ("blade", "slow-glass", "fast-glass")),
        ),
        "s",
    ),
    # charging
    Computation(
        "charging-least",
        "what should it charge with, at least?",
        "charging.regulated_window_low",
        (_TEMP25, _KIND),
        "V",
        "least",
        "battery-running-voltage",
        "manual-charging-volts-low",
    ),
    Computation(
        "charging-most",
        "what should it charge with, at most?",
        "charging.regulated_window_high",
        (_TEMP25, _KIND),
        "V",
        "most",
        "battery-running-voltage",
        "manual-charging-volts-high",
    ),
    Computation(
        "alternator-volts",
        "what should the alternator make at these revs?",
        "charging.alternator_ac",
        (Argument("rpm", "engine speed", "rpm", 4000.0),),
        "V",
        "expected",
        "stator-ac-output",
    ),
    Computation(
        "direct-from-alternating",
        "what direct volts come from these alternating volts?",
        "charging.rectified",
        (Argument("ac_volts", "alternating volts", "V", None, "stator-ac-output"),),
        "V",
    ),
    Computation(
        "phases-alike",
        "are the three phases alike?",
        "charging.phase_balance",
        (Argument("volts", "volts of the three pairs", "V", None, many=True),),
        "%",
    ),
    Computation(
        "watts-to-spare",
        "does it make more than it uses?",
        "charging.power_balance",
        (
            Argument("rpm", "engine speed", "rpm", 1200.0),
            Argument("used_watts", "watts used", "W", 120.0),
            Argument("rated_watts", "rated output", "W", 200.0),
        ),
        "W",
    ),
)
