"""Fault codes."""

import pytest

from assistant.trade import codes
from assistant.trade.code_table import ROWS


def test_every_pair_of_bytes_is_one_code_and_back() -> None:
    """All 65 536 values survive the round trip."""
    assert all(codes.encode(codes.decode(number)) == number for number in range(0x10000))


@pytest.mark.parametrize("text", ["p0335", " P0335 ", "P 0335", "p-0335"])
def test_codes_are_read_as_people_write_them(text: str) -> None:
    """Case, a gap or a dash make no difference."""
    assert "P0335" == codes.describe(text).code


@pytest.mark.parametrize(
    "wrong, sentence",
    [
        ("X0335", "begins with P, C, B or U"),
        ("P4335", "is 0 to 3"),
        ("P033", "letter and four figures"),
        ("", "letter and four figures"),
        ("P0G35", "letter and four figures"),
    ],
)
def test_what_is_no_code_is_refused(wrong: str, sentence: str) -> None:
    """With the reason."""
    with pytest.raises(ValueError, match=sentence):
        codes.encode(wrong)


@pytest.mark.parametrize("wrong", [-1, 65536, True, 1.5])
def test_what_is_not_two_bytes_is_refused(wrong: object) -> None:
    """Only whole numbers of two bytes."""
    with pytest.raises(ValueError, match="two bytes"):
        codes.decode(wrong)  # type: ignore[arg-type]


def test_a_known_code_says_circuit_first() -> None:
    """It is tied to parts, and warns that a code names a circuit."""
    found = codes.describe("P0335")
    assert ("pickup",) == found.parts
    assert "before you buy" in found.text()


def test_unknown_codes_say_where_to_look() -> None:
    """A public one in a list, a maker's in the manual."""
    assert "not in our list" in codes.describe("P0999").text()
    assert "Only the manual" in codes.describe("P1300").text()


def test_all_rows_are_codes() -> None:
    """Every key of the table is a public powertrain code in capitals."""
    for code in ROWS:
        assert code == codes.decode(codes.encode(code))
        assert "public" == codes.describe(code).owner


def test_codes_are_found_in_a_message() -> None:
    """Each once, in order; years and part numbers are left alone."""
    found = codes.codes_in("it shows p0335 and P 0563, then P0335 again; it is a c 1998 machine, part AP0300X")
    assert ["P0335", "P0563"] == [c.code for c in found]
