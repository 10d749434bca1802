"""Text from stories and files made harmless: nothing of it is read as markup, obeyed by a terminal, or shown out of order."""

from __future__ import annotations

import re
from html import escape

# whole escape sequences first, so that no tail of one is left as words; then every other control and direction mark
_SEQUENCE = re.compile(r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?|(?:\x1b[\]PX^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c|$)|\x1b[ -/]*[0-~]?", re.DOTALL)
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]")
_SURROGATE = re.compile(r"[\ud800-\udfff]")


def lines(text: str) -> list[str]:
    """The text in lines, without anything a terminal or a page would obey."""
    text = _SEQUENCE.sub("", text.replace("\r\n", "\n").replace("\r", "\n").replace("\u2028", "\n").replace("\u2029", "\n"))
    text = _SURROGATE.sub("\ufffd", _CONTROL.sub("", text.replace("\t", " ")))
    return [" ".join(line.split()) for line in text.split("\n")]


def plain(text: str) -> str:
    """The text on one line, without anything a terminal or a page would obey."""
    return " ".join(" ".join(lines(text)).split())


def html(text: str) -> str:
    """One line of text for a page; quotes too, so that it may stand in an attribute."""
    return escape(plain(text), quote=True)


def html_lines(text: str) -> str:
    """Text for a page that keeps its line ends."""
    return "<br>".join(escape(line, quote=True) for line in lines(text))


def markdown(text: str) -> str:
    """One line of text in which Markdown finds nothing to do: every mark it knows is escaped where it could mean something."""
    text = plain(text)
    return "".join(_mark(text, i) for i in range(len(text)))


_ALWAYS = frozenset("\\`*_{}[]<>|~&#^$")
_WORDLIKE = re.compile(r"[^\W_]")


def _mark(text: str, index: int) -> str:
    """One character, escaped where Markdown might take it for a mark."""
    character, onward = text[index], text[index + 1: index + 2]
    begins = index == 0 and character in "+-=:" and not _WORDLIKE.match(onward)  # a list, a rule, a heading's underline
    numbers = character in ".)" and text[:index].isdigit() and onward in ("", " ")  # "1." would begin a list
    address = character == "@" or character == "/" and text[index - 1: index] == "/" or text[index - 3: index + 1].lower() == "www."
    return "\\" + character if character in _ALWAYS or begins or numbers or address or character == "!" and onward == "[" else character
