"""A short answer read with the words that its question lends it: 'go dim', asked of the lamps while the starter is pressed."""

from __future__ import annotations

from dataclasses import replace
from typing import Callable, Iterable

from assistant.records import SEEN, Heard, Reading, Span, Statement

SLOT = "..."  # where the answer stands in what a question lends
_SURE = 0.9  # so much of a statement made in so many words
_ENDS = " \t\n.,;:!"
_NOBODYS = "qxq"  # a word of no language, to hear what the question says by itself


def lent(read: Callable[[str], Heard], topic: str, lends: Iterable[str], message: str) -> list[Statement | Reading]:
    """What a message says of a fact or a check once it stands in the first wording under which it says anything of it.

    What the question says by itself, or with any word in it, does not count. The statements cover the whole message.
    """
    said = message.strip(_ENDS)
    if not said:
        return []
    for wording in lends:
        before, _, after = wording.partition(SLOT)
        whole = f"{before}{said}{after}"
        inside = Span(len(before), len(before) + len(said))
        found = [s for s in _of(read(whole), topic) if s.span.start < inside.end and inside.start < s.span.end]
        if found:
            alone = set(map(_says, _of(read(f"{before}{_NOBODYS}{after}"), topic)))
            found = [s for s in found if _says(s) not in alone]
        if found:
            start = message.index(said)
            return [replace(s, confidence=round(s.confidence * _SURE, 4), span=Span(start, start + len(said)), words=said, via=f"answer: {s.via}") for s in found]
    return []


def _of(heard: Heard, topic: str) -> list[Statement | Reading]:
    return [*(s for s in heard.statements if s.fact == topic and s.when == "now"), *(r for r in heard.readings if r.check == topic and r.confidence >= SEEN)]


def _says(item: Statement | Reading) -> tuple:
    return (item.value, item.denied) if isinstance(item, Statement) else (item.value, item.outcome)


__all__ = ["SLOT", "lent"]
