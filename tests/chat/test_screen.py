"""Answers laid out: they fit the width, keep the reading order, and say the same without colour or fancy characters."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import assistant.chat
from assistant.chat.picture import FAINT, MARKS, marks, picture
from assistant.chat.screen import Marks, View, compose, to_fragments, to_text
from assistant.chat.style import STYLES, style
from assistant.chat.text import width

LINES = [("heard", "no spark seen; it turns as it always does"), ("missed", '"my cousin says hello"'), ("note", "Noted: without a multimeter."),
         ("next", "Look for a spark at the plug (6 min, with a spark tester)."),
         ("caution", "WARNING: The ignition makes tens of thousands of volts. The shock is painful. Keep your hands off the lead."),
         ("step", "Fit the plug in its cap."), ("step", "Lay its metal body firmly on bare engine metal, away from the plug hole, and look from a distance."),
         ("note", "Most common slip: the body was not touching metal"),
         ("choice", "good: a fat blue spark that snaps"), ("choice", "none: no spark at all"), ("choice", "something else: say it in your own words"),
         ("why", "Because the answer decides what comes next.")]
POINTS = [("fouled spark plug", "about 5 in 10, likely", 0.5), ("ignition coil with a very long name that goes on", "about 2 in 10", 0.2), ("something else", "about 3 in 10", 0.3)]


@pytest.mark.parametrize("columns", [20, 30, 45, 59, 60, 80, 200])
def test_every_row_fits(columns):
    """No row is wider than the window."""
    rows = compose(LINES, POINTS, View(columns))
    assert max(width(line) for line in to_text(rows).splitlines()) <= columns


_TEXT = st.text(st.characters(), max_size=60)
_ROLE = st.sampled_from(["heard", "missed", "note", "next", "ask", "caution", "step", "choice", "why", "because", "sum", "block", "strange"])


@given(st.lists(st.tuples(_ROLE, _TEXT), max_size=12), st.integers(20, 100), st.sampled_from(["utf-8", "ascii", "cp437"]),
       st.lists(st.tuples(_TEXT, _TEXT, st.floats(0, 1)), max_size=4))
def test_any_answer_fits_any_window(lines, columns, encoding, points):
    """Whatever the texts, rows fit, can be written in the encoding, and hold no control character."""
    text = to_text(compose(lines, points, View(columns, encoding)))
    text.encode(encoding)
    for line in text.splitlines():
        assert width(line) <= columns or encoding != "utf-8"  # a near equivalent may be longer than its character
    assert "\x1b" not in text and "\x9b" not in text


@pytest.mark.parametrize("columns", [45, 80])
def test_reading_order(columns):
    """Heard, then where it points, then the step; cautions before the first step; choices and the reason last."""
    text = to_text(compose(LINES, POINTS, View(columns)))
    places = [text.index(part) for part in ("no spark seen", "Points to", "Look for a", "WARNING", "1. Fit", "2. Lay", "Most common", "[1] good", "[2] none", "Because")]
    assert places == sorted(places)


def test_screen_at_80_columns():
    """The whole layout, to the letter."""
    text = to_text(compose(LINES, POINTS, View(80), marks=Marks(2)))
    assert text == SCREEN_80


def test_screen_at_45_columns():
    """The same answer in a narrow window."""
    text = to_text(compose(LINES, POINTS, View(45), marks=Marks(2, True)))
    assert text == SCREEN_45


SCREEN_80 = '''\
Heard     no spark seen; it turns as it always does
Missed    "my cousin says hello"
Note      Noted: without a multimeter.

Points to ●●●●●○○○○○ fouled spark plug  about 5 in 10, likely
          ●●○○○○○○○○ ignition coil with a very long name that goes on
                     about 2 in 10
          ●●●○○○○○○○ something else     about 3 in 10

Next      Look for a spark at the plug (6 min, with a spark tester).
          !  WARNING: The ignition makes tens of thousands of volts. The shock
             is painful. Keep your hands off the lead.
          1. Fit the plug in its cap.
          2. Lay its metal body firmly on bare engine metal, away from the plug
             hole, and look from a distance.
Note      Most common slip: the body was not touching metal

          [1] good: a fat blue spark that snaps
          [2] none: no spark at all
           -  something else: say it in your own words

Why       Because the answer decides what comes next.'''

SCREEN_45 = '''\
Heard: no spark seen; it turns as it always
does
Missed: "my cousin says hello"
Note: Noted: without a multimeter.

Points to:
●●●●●○○○○○ fouled spark plug
           about 5 in 10, likely
●●○○○○○○○○ ignition coil with a very long
           name that goes on
           about 2 in 10
●●●○○○○○○○ something else  about 3 in 10

Next: Look for a spark at the plug (6 min,
with a spark tester).
!  WARNING: The ignition makes tens of
   thousands of volts. The shock is painful.
   Keep your hands off the lead.
1. Fit the plug in its cap.
2. Lay its metal body firmly on bare engine
   metal, away from the plug hole, and look
   from a distance.
Note: Most common slip: the body was not
touching metal

[a] good: a fat blue spark that snaps
[b] none: no spark at all
 -  something else: say it in your own words

Why: Because the answer decides what comes
next.'''


def test_ascii_only():
    """Where the encoding has no round marks, plain ones stand for them and the picture is the same."""
    text = to_text(compose(LINES, POINTS, View(80, "ascii")))
    assert text.isascii() and "ooooo....." in text


def test_letters_where_a_number_would_be_a_reading():
    """Choices of a check that measures are picked by letter; those past the pickable ones by no mark."""
    text = to_text(compose(LINES, [], View(80), marks=Marks(2, True)))
    assert "[a] good" in text and "[b] none" in text and " -  something else" in text


@pytest.mark.parametrize("probability, filled", [(0, 0), (0.04, 0), (0.05, 1), (0.449, 4), (0.45, 5), (0.999, 10), (1, 10), (-1, 0), (2, 10)])
def test_ten_marks(probability, filled):
    """Ten marks always, as many filled as there would be of ten machines."""
    assert marks(probability, "ascii") == "o" * filled + "." * (MARKS - filled)


def test_no_picture_when_it_points_nowhere():
    """A leader under one in ten is no direction."""
    assert picture([("a", "b", FAINT - 0.001), ("something else", "c", 0.9)], 80) == []
    assert picture([], 80) == []


def test_a_long_answer_goes_without_blank_rows():
    """Blank rows are left out where that makes an answer fit one screen."""
    long = [*LINES, *[("step", f"step {n}") for n in range(17)]]
    rows = to_text(compose(long, POINTS, View(80))).splitlines()
    assert "" not in rows and len(rows) <= 38


def test_every_style_used_is_defined_once():
    """All style names in rows and in class: texts are in STYLES, each written once, and prompt_toolkit takes them."""
    folder = Path(assistant.chat.__file__).parent
    source = (folder / "style.py").read_text()
    keys = re.findall(r'^    "([^"]+)":', source, re.M)
    assert len(keys) == len(set(keys)) and set(keys) == set(STYLES)
    used = set(re.findall(r"class:([a-z.-]+)", "".join(p.read_text() for p in folder.glob("*.py"))))
    used |= {name.removeprefix("class:") for name, _ in to_fragments(compose([*LINES, *[(r, "x") for r in ("ask", "because", "sum", "block")]], POINTS, View(80))) if name}
    assert used <= set(STYLES), used - set(STYLES)
    style()
