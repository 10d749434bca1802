"""Whether a matched phrase is meant: said, denied, doubted, of the past, only asked, only planned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Collection

from assistant.language.clauses import Sentence
from assistant.language.match import Match

_REACH = 5  # words back that a negation governs
_HEDGED = 0.6


@dataclass(frozen=True, slots=True)
class Sense:
    """How a match is meant. `stated` is False for questions, suppositions and plans: they are no facts."""

    stated: bool
    denied: bool
    confidence: float
    when: str


def sense(sentence: Sentence, match: Match, about: str, taken: Collection[int]) -> Sense:
    """Judge one match.

    `about` is the kind of fact (machine | history | work | sign | setting | check): work and history are of the past by
    nature. `taken` are the tokens that other accepted phrases use: a negation inside one of them is spent there.
    """
    first, last = sentence.bounds(match.first)
    last = max(last, match.last)
    denied = match.denied
    for start, end in sentence.marked("negators", first, match.first):
        if match.first - end < _REACH and not any(i in taken and i not in match.used for i in range(start, end)):
            denied = not denied
            break
    inside = set(range(match.first, match.last))
    stated = True
    asked = [s for s, e in sentence.marked("questions", first, last) if s <= match.first and s not in match.used]
    if asked:
        stated = False
    if sentence.question and last >= len(sentence.tokens) and (last - first) <= 6:
        stated = False
    if about in ("work", "check"):
        planned = [s for s, e in sentence.marked("future-markers", first, last) if s < match.first and not set(range(s, e)) <= match.used]
        if planned:
            stated = False
    hedged = [s for s, e in sentence.marked("hedges", first, last) if not set(range(s, e)) & match.used]
    confidence = _HEDGED if hedged else 1.0
    when = "now"
    if about in ("sign", "check", "setting"):
        past = [s for s, e in sentence.marked("past-markers", first, last) if not set(range(s, e)) & (match.used | inside)]
        present = sentence.marked("present-markers", first, last)
        if past and not present:
            when = "before"
    return Sense(stated, denied, confidence, when)
