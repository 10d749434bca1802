"""A short answer read with the words that its question lends it: 'go dim', asked of the lamps while the starter is pressed."""

from __future__ import annotations

from dataclasses import replace
from typing import Callable, Iterable

from assistant.records import Heard, Span, Statement

SLOT = "..."  # where the answer stands in what a question lends
_SURE = 0.9  # so much of a statement made in so many words
_ENDS = " \t\n.,;:!"
_NOBODYS = "qxq"  # a word of no language, to hear what the question says by itself


def lent(read: Callable[[str], Heard], fact: str, lends: Iterable[str], message: str) -> list[Statement]:
    """What a message says of a fact once it stands in the first wording under which it says anything of it.

    What the question says by itself, or with any word in it, does not count. The statements cover the whole message.
    """
    said = message.strip(_ENDS)
    if not said:
        return []
    for wording in lends:
        before, _, after = wording.partition(SLOT)
        whole = f"{before}{said}{after}"
        inside = Span(len(before), len(before) + len(said))
        found = [s for s in read(whole).statements if s.fact == fact and s.when == "now" and s.span.start < inside.end and inside.start < s.span.end]
        if found:
            alone = {(s.value, s.denied) for s in read(f"{before}{_NOBODYS}{after}").statements if s.fact == fact}
            found = [s for s in found if (s.value, s.denied) not in alone]
        if found:
            start = message.index(said)
            return [replace(s, confidence=round(s.confidence * _SURE, 4), span=Span(start, start + len(said)), words=said, via=f"answer: {s.via}") for s in found]
    return []


__all__ = ["SLOT", "lent"]
