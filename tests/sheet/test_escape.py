"""Whatever stands in a story or a file, it is only ever text."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from assistant.sheet import escape

UNSAFE = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")
TEXTS = st.one_of(st.text(), st.text(st.sampled_from("<>&\"'`*_[]()#|\\!-+=.~$^:/@ \n\t\x1b1ab;m\x9b\u202e")))


class Collector(HTMLParser):
    """Tags, attributes and text of a piece of a page."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        """Remember the tag."""
        self.tags.append(tag)

    def handle_data(self, data):
        """Remember the text."""
        self.text += data


def parsed(text: str) -> Collector:
    """A piece of a page read again."""
    found = Collector()
    found.feed(text)
    found.close()
    return found


@given(TEXTS)
def test_a_page_shows_the_text_and_nothing_else(text):
    """Escaped and read again, the text is the same, without a single tag."""
    found = parsed(escape.html(text))
    assert found.tags == []
    assert found.text == escape.plain(text)


@given(TEXTS)
def test_only_line_ends_become_tags(text):
    """With line ends kept, the only tag there can be is the line break."""
    assert set(parsed(escape.html_lines(text)).tags) <= {"br"}


@given(TEXTS)
def test_nothing_is_left_that_a_terminal_would_obey(text):
    """No control character, no direction mark, no escape sequence and no tail of one, in any form."""
    for made in (escape.plain(text), escape.html(text), escape.html_lines(text), escape.markdown(text), "".join(escape.lines(text))):
        assert not UNSAFE.search(made)
        made.encode("utf-8")


def test_an_escape_sequence_goes_whole():
    """Colours, titles and single-byte forms leave no letters behind."""
    assert escape.plain("\x1b[31mred\x1b[0m \x1b]0;title\x07x\x9b1my\x1bcz") == "red xyz"


@given(TEXTS)
def test_markdown_has_no_mark_that_is_not_escaped(text):
    """Every character that could open a tag, a link, emphasis, code, a table cell or an entity has a backslash before it."""
    made = escape.markdown(text)
    left = re.sub(r"\\[!-/:-@\[-`{-~]", "", made)
    assert not re.search(r"[`*_\[\]<>|~&#^${}\\]", left)
    assert not re.match(r"(?:[-+=]|\d+[.)])(?:\s|$)", made)
    assert re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", made) == escape.plain(text)


def test_numbers_and_signs_stay_readable():
    """A reading is not full of backslashes."""
    assert escape.markdown("12.6 V") == "12.6 V"
    assert escape.markdown("-5.2 dB, +3") == "-5.2 dB, +3"
    assert escape.markdown("1. first") == "1\\. first"
    assert escape.markdown("- item") == "\\- item"
    assert escape.markdown("see http://a.b and www.c.d or e@f.g") == "see http:/\\/a.b and www\\.c.d or e\\@f.g"


def test_lines_are_kept_apart_and_spaces_folded():
    """Line ends of every kind count, tabs are spaces."""
    assert escape.lines("a\r\nb\rc\u2028d\te  f") == ["a", "b", "c", "d e f"]
    assert escape.plain("a\n\n b") == "a b"
