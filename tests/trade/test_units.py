"""Units and the traps of gauges."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade import compression, units
from tests.trade import quick

FAMILIES = [
    ("psi", "bar", "kPa", "kg/cm2", "atm", "inHg", "mmHg", "MPa"), ("V", "mV", "kV"), ("A", "mA"), ("ohm", "kohm", "milliohm", "Mohm"), ("C", "F", "K"),
    ("mm", "in", "thou", "cm", "m", "ft"), ("ml", "L", "cc", "gal", "tsp"), ("ml/min", "L/min", "L/h"), ("s", "ms", "min", "h", "days"),
]  # fmt: skip
PAIR = st.sampled_from(FAMILIES).flatmap(lambda family: st.tuples(st.sampled_from(family), st.sampled_from(family)))


@quick
@given(st.floats(-1000, 1000), PAIR)
def test_units_round_trip(value: float, pair: tuple[str, str]) -> None:
    """There and back is the same number."""
    there = units.convert(value, pair[0], pair[1])
    assert value == pytest.approx(units.convert(there, pair[1], pair[0]), rel=1e-9, abs=1e-9)


@quick
@given(st.floats(-100, 1000), st.floats(-100, 1000), PAIR)
def test_units_keep_the_order(one: float, other: float, pair: tuple[str, str]) -> None:
    """What is more in one unit is not less in another."""
    low, high = sorted((one, other))
    assert units.convert(low, *pair) <= units.convert(high, *pair)


def test_temperatures_are_points_on_a_scale() -> None:
    """20 C is 68 F and 293.15 K."""
    assert 68 == pytest.approx(units.convert(20, "C", "F"))
    assert 293.15 == pytest.approx(units.convert(20, "C", "K"))


@pytest.mark.parametrize("pair", [("psi", "V"), ("rpm", "Hz"), ("mm", "psi"), ("deg", "C")])
def test_what_does_not_measure_the_same_is_refused(pair: tuple[str, str]) -> None:
    """In plain words."""
    with pytest.raises(ValueError, match="do not measure the same thing"):
        units.convert(1, *pair)


def test_an_unknown_unit_gets_the_nearest() -> None:
    """A slip of the shift key is seen."""
    with pytest.raises(ValueError, match="did you mean psi"):
        units.convert(1, "PSI", "bar")
    with pytest.raises(ValueError, match="not a unit"):
        units.convert(1, "furlongs per fortnight", "m")
    with pytest.raises(ValueError, match="not a number"):
        units.convert(float("nan"), "psi", "bar")


def test_every_spelling_is_understood() -> None:
    """Each known unit converts to itself."""
    for unit in units.known_units():
        assert 3.0 == units.convert(3.0, unit, unit)


def test_an_estimate_changes_unit_with_its_spread() -> None:
    """150 psi expected is about 10 bar, low and high too."""
    psi = compression.cranking_pressure(9)
    bar = units.express(psi, "bar")
    assert psi.value / 14.503774 == pytest.approx(bar.value)
    assert bar.low < bar.value < bar.high and "bar" == bar.unit


@quick
@given(st.floats(0, 4000), st.floats(60, 104))
def test_gauge_and_absolute_are_inverse(kpa: float, outside: float) -> None:
    """A gauge reads over the outside air."""
    assert kpa == pytest.approx(units.absolute_to_gauge(units.gauge_to_absolute(kpa, outside).value, outside).value, abs=1e-9)


def test_emptier_than_a_vacuum_is_refused() -> None:
    """Less than nothing is a wrong unit."""
    with pytest.raises(ValueError, match="vacuum"):
        units.gauge_to_absolute(-150)


@pytest.mark.parametrize("number, expected", [(10, ["bar", "kg/cm2"]), (150, ["psi"]), (1050, ["kPa"]), (0.5, [])])
def test_a_bare_compression_number_betrays_its_unit(number: float, expected: list[str]) -> None:
    """10 can only be bar or kg/cm2, 150 psi, 1050 kPa."""
    assert expected == [unit for unit, _ in units.likely_pressure_units(number)]


def test_the_unit_library_is_imported_late() -> None:
    """Importing every module of the package does not import it."""
    program = (
        "import sys, pkgutil, importlib, assistant.trade as t\n"
        "[importlib.import_module('assistant.trade.' + m.name) for m in pkgutil.iter_modules(t.__path__)]\n"
        "sys.exit('pint' in sys.modules)"
    )
    assert 0 == subprocess.run([sys.executable, "-c", program], check=False).returncode
