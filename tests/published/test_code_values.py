"""Fault codes: bytes and groups from outside."""

import pytest

from assistant.trade import codes


@pytest.mark.parametrize(
    "code, number",
    [("B16A1", 0x96A1), ("P0335", 0x0335), ("P0143", 0x0143), ("P1234", 0x1234), ("P2135", 0x2135), ("C1234", 0x5234), ("U0100", 0xC100), ("U3FFF", 0xFFFF)],
)
def test_codes_and_bytes(code: str, number: int) -> None:
    """Each code is its two bytes, both ways."""
    # DTC-01: worked example of codes in two bytes; DTC-02, DTC-03: derived from SAE J2012
    assert number == codes.encode(code)
    assert code == codes.decode(number)


@pytest.mark.parametrize(
    "code, owner",
    [
        ("P0300", "public"),
        ("P1300", "maker"),
        ("P2300", "public"),
        ("P3300", "maker or reserved"),
        ("C0300", "public"),
        ("C2300", "maker"),
        ("C3300", "reserved"),
        ("B1300", "maker"),
        ("U3300", "maker or reserved"),
    ],
)
def test_who_defines_a_code(code: str, owner: str) -> None:
    """The second character says who defined it."""
    # groups of SAE J2012: a list of code groups
    assert owner == codes.describe(code).owner


@pytest.mark.parametrize(
    "code, word",
    [
        ("P0201", "injector"),
        ("P0300", "misfire"),
        ("P0335", "crank"),
        ("P0351", "coil A"),
        ("P0562", "voltage too low"),
        ("P0627", "pump"),
        ("P0633", "immobiliser"),
        ("P0685", "relay"),
    ],
)
def test_known_codes(code: str, word: str) -> None:
    """A code of the open list says what it concerns."""
    # open-source engine control program's list of generic codes
    assert word in (codes.describe(code).meaning or "")


@pytest.mark.parametrize("third, subject", [("2", "injector"), ("4", "emission"), ("5", "idle")])
def test_groups_of_public_codes(third: str, subject: str) -> None:
    """The third character names the group."""
    # range headings of the open-source list
    assert subject in (codes.describe(f"P0{third}99").subject or "")
