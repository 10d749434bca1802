"""Stored fault codes: the open standard's structure decoded, and what a known generic code concerns.

A code is a letter, a digit 0-3 and three hexadecimal digits (P0335); on the wire it is two bytes, the letter in the
top two bits (P 00, C 01, B 10, U 11), the digit in the next two. Sources: SAE J2012, equal to ISO 15031-6, for the
structure; a list after it for the groups; a worked example for the bytes; an open-source list for the meanings (see `code_table`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.trade.code_table import OWNERS, ROWS, SUBJECTS, SYSTEMS

_LETTERS = "PCBU"
_SHAPE = re.compile(r"\s*([A-Za-z])\s*-?\s*([0-9A-Fa-f]{4})\s*")
_IN_TEXT = re.compile(r"(?<![A-Za-z0-9])([Pp][\s-]?|[CBUcbu])([0-3][0-9A-Fa-f]{3})(?![A-Za-z0-9])")


@dataclass(frozen=True, slots=True)
class FaultCode:
    """One code and what is known of it. `meaning` is None where no public meaning is in our list."""

    code: str
    number: int  # the two bytes
    system: str  # in plain words
    owner: str  # public | maker | reserved | maker or reserved
    subject: str | None  # what its group is about, for public powertrain codes
    meaning: str | None
    need: str | None  # id of a need, where known
    parts: tuple[str, ...] = ()  # ids of parts it concerns
    source: tuple[str, ...] = ("code-standard", "code-group-list", "code-byte-example", "open-engine-control-codes")

    def text(self) -> str:
        """One plain sentence on what the code says and what to do with it."""
        if self.meaning:
            return f"{self.code}: {self.meaning}. It names a circuit: look at its plug and wire before you buy a part."
        if self.owner == "public":
            about = f" It is about {self.subject}." if self.subject else ""
            return f"{self.code}: a public code that is not in our list.{about} Look it up in the handbook or a public list."
        return f"{self.code}: a code of this machine's own maker, about {self.system}. Only the manual says what it means."


def encode(code: str) -> int:
    """The two bytes of a code as a number 0-65535.

    Errors: ValueError for a wrong letter, digit or length. Source: worked example (B16A1 is 0x96A1).
    """
    match = _SHAPE.fullmatch(code) if isinstance(code, str) else None
    if match is None:
        raise ValueError(f"'{code}' is not a fault code: a letter and four figures, such as P0335")
    letter, digits = match.group(1).upper(), match.group(2).upper()
    if letter not in _LETTERS:
        raise ValueError(f"a fault code begins with P, C, B or U, not {letter}")
    if digits[0] not in "0123":
        raise ValueError(f"the figure after the letter is 0 to 3, not {digits[0]}: read the code again")
    return _LETTERS.index(letter) << 14 | int(digits[0]) << 12 | int(digits[1:], 16)


def decode(number: int) -> str:
    """The code that two bytes stand for. Valid 0-65535. Errors: ValueError outside. Source: as `encode`."""
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= 0xFFFF:
        raise ValueError(f"'{number}' is not two bytes: a whole number from 0 to 65535")
    return f"{_LETTERS[number >> 14]}{number >> 12 & 3}{number & 0xFFF:03X}"


def describe(code: str | int) -> FaultCode:
    """Everything known of a code, given as text or as its two bytes. Errors: ValueError as `encode` and `decode`."""
    number = code if isinstance(code, int) else encode(code)
    text = decode(number)
    letter, digit, third = text[0], int(text[1]), text[2]
    row = ROWS.get(text)
    subject = SUBJECTS.get(third) if letter == "P" and digit == 0 else None
    meaning, need, parts = row if row else (None, None, ())
    return FaultCode(text, number, SYSTEMS[letter], OWNERS[letter][digit], subject, meaning, need, parts)


def places_in(message: str) -> tuple[tuple[int, int, FaultCode], ...]:
    """All codes written in a message ('it shows p0335 and P 0563') with where they stand (start, end), in order.

    Only after P may a gap stand: 'c 1998' is a year. Errors: ValueError for what is no text."""
    if not isinstance(message, str):
        raise ValueError(f"'{message}' is no text to look for codes in")
    return tuple((match.start(), match.end(), describe(match.group(1)[0] + match.group(2))) for match in _IN_TEXT.finditer(message))


def codes_in(message: str) -> tuple[FaultCode, ...]:
    """All codes written in a message, each once, in order. Never fails."""
    return tuple({known.code: known for _, _, known in places_in(message)}.values())
