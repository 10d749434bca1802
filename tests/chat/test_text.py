"""Text for a terminal: nothing a terminal obeys gets through, and lines fit by the columns they take."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.chat.text import for_encoding, safe, shorten, width, wrap

SAMPLES = {
    "\x1b[31mred\x1b[0m": "red",
    "\x1b]0;title\x07after": "after",
    "\x1b]8;;http://x\x1b\\link\x1b]8;;\x1b\\": "link",
    "\x9b31mred": "red",
    "\x1bPdcs\x1b\\x": "x",
    "a\x1b": "a",
    "a\x07\x08b": "ab",
    "abc\u202edef": "abcdef",
    "two\nlines\tand": "two lines and",
    "\ud800half": "\ufffdhalf",
    "12.4 V \u00bd caf\u00e9": "12.4 V \u00bd caf\u00e9",
    "\x1b(0lqk": "lqk",
    "z\u200bero": "zero",
}


@pytest.mark.parametrize("raw", SAMPLES)
def test_samples(raw):
    """Whole escape sequences go, words stay."""
    assert safe(raw) == SAMPLES[raw]


@given(st.text(st.characters() | st.sampled_from("\x1b\x9b\x9d\x07\\[];0m\n\u202e"), max_size=60))
def test_no_text_keeps_a_control_character(text):
    """After `safe` there is no control, format or surrogate character of any kind that moves a terminal."""
    out = safe(text)
    assert not any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in out)
    assert not set(out) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f")
    assert safe(out) == out


@given(st.text(st.characters(codec="utf-8"), max_size=120).map(safe), st.integers(2, 50))
def test_wrapped_lines_fit_and_lose_nothing(text, columns):
    """No line is wider than asked, and the words are all there in order."""
    lines = wrap(text, columns)
    assert all(width(line) <= columns for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


@given(st.text(st.characters(codec="utf-8"), max_size=60).map(safe), st.integers(0, 40))
def test_shortened_fits(text, columns):
    """A shortened text fits, and a fitting one is not touched."""
    assert width(shorten(text, columns)) <= max(columns, 0) or width(text) <= columns
    if width(text) <= columns:
        assert shorten(text, columns) == text


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "cp437", "utf-8", "no-such-encoding"])
def test_any_encoding_can_show_it(encoding):
    """What comes out can be written in the encoding; near equivalents are used where there are some."""
    out = for_encoding("0.5 Ω – 12 °C ● ½", encoding)
    out.encode("ascii" if encoding == "no-such-encoding" else encoding)
    if encoding == "ascii":
        assert out.startswith("0.5 ohm - 12  deg C")
