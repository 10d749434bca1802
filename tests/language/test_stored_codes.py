"""Stored fault codes in messages: to the value the files give them, and only where they are told.

The shape of a code (a letter P, C, B or U, a digit 0-3, three hexadecimal digits) is the open standard's; see reference in
assistant/trade/codes.py. P0335 as the crank sensor: open-engine-control-codes in knowledge/sources.yaml.
"""

from __future__ import annotations

import pytest

from assistant.language.read import Reader
from tests.real import BOOK

READER = Reader(BOOK)
CODED = [f for f in BOOK.facts.values() if f.codes]


def heard(message: str) -> list[tuple[str, bool]]:
    """Values of coded facts told in a message, and whether they are denied."""
    return [(str(s.value), s.denied) for s in READER.read(message).statements if s.via == "code"]


@pytest.mark.parametrize(("message", "value"), [
    ("it shows P0335", "crank-sensor"), ("code p 0350 came up", "ignition-coil"), ("reader says p-0562", "supply-voltage"),
    ("P0351 stored", "ignition-coil"), ("dealer read P1234", "other"), ("U0100 in the dash unit", "other"),
])
def test_a_code_that_is_told(message: str, value: str) -> None:
    """The longest beginning decides."""
    assert heard(message) == [(value, False)]


@pytest.mark.parametrize("message", ["what does P0335 mean?", "could it be P0335?", "if it shows P0335 buy a sensor", "my mate's bike had P0335"])
def test_a_code_that_is_not_told(message: str) -> None:
    """Questions, suppositions and other machines state nothing."""
    assert heard(message) == []


def test_no_code_any_more() -> None:
    """A negation holds for a code as for any word."""
    assert heard("no P0335 any more") == [("crank-sensor", True)]


def test_figures_of_a_code_measure_nothing() -> None:
    """The number in a code is no reading and no measure of the machine."""
    found = READER.read("battery fine, code P 0120 stored")
    assert not [r for r in found.readings if r.value is not None] and not [s for s in found.statements if isinstance(s.value, (int, float))]


def test_every_value_of_a_coded_fact_is_one_of_its_values() -> None:
    """Kept by the loader; here so that the table is not empty."""
    assert CODED
    for fact in CODED:
        assert set(fact.codes) <= set(fact.values or {})
