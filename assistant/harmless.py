"""Text from people and files made harmless: nothing in it moves a terminal, colours it, renames its window, or turns the reading order round."""

from __future__ import annotations

import re
import sys
from contextlib import contextmanager
from typing import Any, Iterator, TextIO

# Whole escape sequences first (CSI; OSC, DCS, APC, PM and SOS up to their end, the next sequence or the end of the line;
# two-character ones), so that no tail of one is left as words. Every alternative takes what it met: no text is gone over twice.
_SEQUENCE = re.compile(r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?|(?:\x1b[\]PX^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c\n]*(?:\x07|\x1b\\|\x9c)?|\x1b[ -/]*[0-~]?")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]")
_SURROGATE = re.compile(r"[\ud800-\udfff]")


def stripped(text: str) -> str:
    """The text without escape sequences, control characters and direction marks. Line feeds and tabs stay."""
    if text.isascii() and text.isprintable():
        return text
    return _SURROGATE.sub("\ufffd", _CONTROL.sub("", _SEQUENCE.sub("", text)))


def one_line(text: str) -> str:
    """The same on one line: line ends and tabs become spaces."""
    if text.isascii() and text.isprintable():
        return text
    text = _SEQUENCE.sub("", text)
    for end in "\n\t\r\u2028\u2029":
        text = text.replace(end, " ")
    return _SURROGATE.sub("\ufffd", _CONTROL.sub("", text))


class Harmless:
    """A text stream that passes on only what is harmless; all else about it is that of the stream within."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write the harmless part. What the encoding of the stream cannot show becomes a question mark."""
        encoding = getattr(self._stream, "encoding", None) or "utf-8"
        self._stream.write(stripped(text).encode(encoding, "replace").decode(encoding))
        return len(text)

    def writelines(self, lines: Any) -> None:
        """Write several pieces."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def output(*names: str) -> Iterator[None]:
    """While it lasts, these streams of `sys` ('stdout', 'stderr') are harmless, whoever prints to them."""
    before = {name: getattr(sys, name) for name in names}
    for name, stream in before.items():
        if stream is not None:
            setattr(sys, name, Harmless(stream))
    try:
        yield
    finally:
        for name, stream in before.items():
            setattr(sys, name, stream)
