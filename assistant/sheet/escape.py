"""Text from stories and files made harmless: nothing of it is read as markup, obeyed by a terminal, or shown out of order."""

from __future__ import annotations

import re
from html import escape

from assistant.harmless import stripped


def lines(text: str) -> list[str]:
    """The text in lines, without anything a terminal or a page would obey."""
    for end in ("\r\n", "\r", "\u2028", "\u2029"):
        text = text.replace(end, "\n")
    text = stripped(text.replace("\t", " "))
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
