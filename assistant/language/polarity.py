"""Whether a matched phrase is meant: said, denied, doubted, of the past, of another machine, only asked, only supposed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Collection

from assistant.language.clauses import Sentence
from assistant.language.match import Match

_REACH = 5  # words back that a negation governs
_CONDITION = 3  # words: an 'if' holds at least so many before the next subject opens what follows from it
_QUESTION = 6  # words: the last clause before a question mark asks, if it is no longer than this
_HEDGED = 0.6


@dataclass(frozen=True, slots=True)
class Sense:
    """How a match is meant. `stated` is False for questions, suppositions, plans and other people's machines: no facts.

    `when` is now, before (it no longer holds) or once (it was so at some time, and may still be).
    """

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
    stated = not (_asked(sentence, match, first, last) or _supposed(sentence, match) or sentence.of_another(match.first, match.used, 1)
                  or about in ("work", "check") and _planned(sentence, match, first, last))
    return Sense(stated, denied(sentence, match, taken), _HEDGED if _hedged(sentence, match, first, last) else 1.0,
                 _when(sentence, match, about, first, last))


def denied(sentence: Sentence, match: Match, taken: Collection[int] = ()) -> bool:
    """Whether a match says the contrary of its phrase."""
    return (match.denied != _negated(sentence, match, taken)) != match.pattern.denies


def _negated(sentence: Sentence, match: Match, taken: Collection[int]) -> bool:
    """Whether a negation before the match governs it. 'no nothing' is one negation, as people speak."""
    if "negators" not in sentence.marks:
        return False
    first, _ = sentence.bounds(match.first)
    if any(s == match.first for s, _ in sentence.marked("negators", match.first, match.last)):
        return False
    if any(s == match.first for s, _ in sentence.marked("limiting-words", match.first, match.last)):
        return bool(sentence.marked("denying-words", match.first - 1, match.first))  # 'not only ticks', but not 'nothing, only ticks'
    idle = {i for s, e in sentence.marked("idle-negations", first, match.first) for i in range(s, e)}  # 'you would not believe ...'
    return any(match.first - end < _REACH and start not in idle and not any(i in taken and i not in match.used for i in range(start, end))
               for start, end in sentence.marked("negators", first, match.first))


def _asked(sentence: Sentence, match: Match, first: int, last: int) -> bool:
    if any(s <= match.first and s not in match.used for s, _ in sentence.marked("questions", first, last)):
        return True
    if not sentence.question:
        return False
    told = any(s == first for s, _ in sentence.marked("subjects", first, first + 1))  # 'it is smoking, what now?'
    if any(s - first <= (0 if told else 1) for s, _ in sentence.marked("question-heads", first, match.first + 1)):
        return True  # 'would it kick back if the timing was off?'
    return last == len(sentence.tokens) and last - first <= _QUESTION


def _supposed(sentence: Sentence, match: Match) -> bool:
    """Whether the match lies in the condition of an 'if'. What follows from the condition is told: 'if I choke it, it dies'."""
    for start, end in sentence.marks.get("suppositions", ()):
        if end > match.first or start in match.used:
            continue
        _, stop = sentence.bounds(start)
        after = [s for s, _ in sentence.marked("subjects", end + _CONDITION, stop)]
        if match.first < min(after, default=stop):
            return True
    return False


def _planned(sentence: Sentence, match: Match, first: int, last: int) -> bool:
    return (any(s < match.first and not set(range(s, e)) <= match.used for s, e in sentence.marked("future-markers", first, last))
            or bool(sentence.marked("future-after", match.last, last)))


def _hedged(sentence: Sentence, match: Match, first: int, last: int) -> bool:
    if any(not set(range(s, e)) & match.used for s, e in sentence.marked("hedges", first, last)):
        return True
    number = sentence.clause[match.first]
    return number + 1 in sentence.bare or number == 1 and 0 in sentence.bare  # 'empty, I think' and 'I think, empty'


def _when(sentence: Sentence, match: Match, about: str, first: int, last: int) -> str:
    likened = {i for s, e in sentence.marked("likenings", first, last) for i in range(s, e)}  # 'not as it used to'
    inside = match.covers | likened

    def said(name: str) -> bool:
        return any(not set(range(s, e)) & inside for s, e in sentence.marked(name, first, last))

    def past() -> bool:
        """'It has been starting fine' holds the words of a phrase and says besides that it was so until now."""
        return any(not set(range(s, e)) <= inside for s, e in sentence.marked("past-markers", first, last))

    if said("long-ago"):
        return "before" if about != "history" else "now"
    if about not in ("sign", "check", "setting") or sentence.marked("present-markers", *sentence.bounds(match.first)):
        return "now"
    return "before" if past() else "once" if said("once-markers") else "now"
