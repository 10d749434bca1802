"""Numbers in the wild: units as people type them, what they belong to, and numbers that are no readings."""

import pytest

from assistant.language.answers import Pending
from tests.language.test_properties import READER


def readings(text: str, pending: Pending | None = None) -> list[tuple]:
    """(check, value, unit, where) of every reading with a number."""
    return [(r.check, r.value, r.unit, r.where) for r in READER.read(text, pending).readings if r.value is not None]


@pytest.mark.parametrize(("text", "wanted"), [
    ("battery 12.4v", [("battery-resting-voltage", 12.4, "V", None)]),
    ("battery 12,4 V", [("battery-resting-voltage", 12.4, "V", None)]),
    ("battery reads 12v4", [("battery-resting-voltage", 12.4, "V", None)]),
    ("battery 12.6, drops to 8 on the button", [("battery-resting-voltage", 12.6, "V", None), ("battery-cranking-voltage", 8.0, "V", None)]),
    ("plug gap 0.65mm", [("plug-gap", 0.65, "mm", None)]),
    ("compression 110 lbs", [("compression-dry", 110.0, "psi", None)]),
    ("7.5 bar compression", [("compression-dry", 7.5, "bar", None)]),
    ("8 kg/cm2 compression", [("compression-dry", 8.0, "kg/cm2", None)]),
    ("coil primary .8 ohms, secondary 14k ohm", [("coil-primary-resistance", 0.8, "ohm", None), ("coil-secondary-resistance", 14000.0, "ohm", None)]),
    ("compression 120 on the left, 60 on the right", [("compression-dry", 120.0, "psi", "left"), ("compression-dry", 60.0, "psi", "right")]),
    ("both 115 psi", [("compression-dry", 115.0, "psi", "both")]),
    ("checked the battery. it's 12.6", [("battery-resting-voltage", 12.6, "V", None)]),
    ("checked the battery. 12.1", [("battery-resting-voltage", 12.1, "V", None)]),
    ("battery 11.9 not 12.9", [("battery-resting-voltage", 11.9, "V", None)]),
    ("battery 11-ish volts", [("battery-resting-voltage", 11.0, "V", None)]),
    ("not even 9 volts cranking", [("battery-cranking-voltage", 9.0, "V", None)])])
def test_what_is_read(text, wanted):
    """The number, its unit, what was measured, and which cylinder."""
    assert readings(text) == wanted


@pytest.mark.parametrize("text", [
    "it cost me 400 quid", "took me 3 hours", "32,000 km on the clock", "I tried 12 times", "it is a 2004 model", "at 4k revs it cuts out",
    "tried the meter on the car and it says 12.6 volts", "the manual says the coil should be 0.4 ohms", "my 125 scooter", "10 metres from the garage",
    "last month it was boiling the battery at 15.6 volts", "checked the compression by thumb, then rode 11 more miles", "spark plug gap was set and it ran 9 odd minutes"])
def test_what_is_no_reading(text):
    """Prices, times, distances, years, sizes, revs, other machines, the book's numbers and bygone ones are not readings."""
    assert readings(text) == []


def test_a_number_goes_where_it_is_named_and_else_to_what_was_asked():
    """The open question takes a bare number, but not one that is plainly of something else."""
    open_ = Pending("check", "relay-contact-drop", ("good", "high"), ())
    assert readings("0.3", open_) == [("relay-contact-drop", 0.3, "V", None)]
    assert readings("the battery reads 12.7 V", open_) == [("battery-resting-voltage", 12.7, "V", None)]


@pytest.mark.parametrize(("text", "limits"), [
    ("the manual says 13.0 V for the charging", {("manual-charging-volts-low", 13)}), ("the book wants .4 ohm on the ignition coil primary", {("manual-coil-primary-ohms", 0.4)}),
    ("it blinks red, which the manual says means under 3 V", set())])
def test_a_number_of_the_manual_goes_to_the_limit_that_is_named(text, limits):
    """What the manual says of something or other is no limit of ours, and never a reading."""
    assert readings(text) == []
    assert {(s.fact, s.value) for s in READER.read(text).statements if s.fact.startswith("manual-")} == limits


def test_the_machine_is_known_by_its_numbers():
    """Year and size are heard in the ways people name their machine."""
    found = {(s.fact, s.value) for s in READER.read("My '83 650 will not start").statements}
    assert {("year", 1983), ("displacement-cc", 650)} <= found


@pytest.mark.parametrize("message", ["battery 11.8, no wait, 12.8", "BATTERY 11.8 NO SORRY 12.8", "battery at 11.8 volts sorry 12.8 volts", "battery 12.8 not 11.8",
                                      "the battery reads 11.8, I mean 12.8"])
def test_of_a_number_put_right_the_right_one_counts(message):
    """The number that was meant is kept, and no other."""
    assert [r.value for r in READER.read(message).readings] == [12.8]


@pytest.mark.parametrize("text", ["compression " + "9" * 400 + " psi", "compression " + "9" * 20 + " bar"])
def test_an_endless_number_is_no_reading(text):
    """More than anything measures is heard as no number, and never as infinite."""
    assert all(r.value is None for r in READER.read(text).readings)
