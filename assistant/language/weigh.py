"""Phrases found to statements: which of several stand, how sure they are, and which was only so before."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Sequence

from assistant.language.clauses import Sentence
from assistant.language.lexicon import DEFAULT
from assistant.language.match import Match
from assistant.language.polarity import Sense, denied, sense
from assistant.language.text import plain
from assistant.records import SEEN, Doubt, Reading, Span, Statement
from assistant.rulebook.book import ANOTHER, Rulebook

_SEEN_NOW = ("sign", "setting")  # kinds of fact that may be other at the end of a story than at its beginning
_LOOKED_AT = 4000  # characters of a message by which its language is told
_LEAST = 0.42  # below it a phrase is not taken as heard
_CLOSE = 0.04  # two values that fit as nearly alike are a doubt
_SURE, _DOUBTED = 0.8, 0.7
_BELIEF = 0.55  # an owner's conclusion says so much of what a look would say
_ONE_WORD, _SEVERAL = 0.9, 0.97
_INFLECTED = 0.95  # at least so well fits a word that is listed, or is a form of one


@dataclass
class SentenceHeard:
    """What one sentence gives."""

    statements: list[Statement] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    spans: list[tuple[int, int]] = field(default_factory=list)


def sentence(book: Rulebook, text: str, said: Sentence, found: list[Match], parts: list[Match]) -> SentenceHeard:
    """Accepted phrases of one sentence, and the doubts between two readings of the same words.

    `parts` are pieces of scenes: they state nothing here, but a negation that is one of their words is spent in them.
    """
    result = SentenceHeard()
    kept, rivals = _best(book, said, found, {m for m in found if denied(said, m)})
    trials = [m for m in kept if m.pattern.topic in book.checks]
    signs = [m for m in kept if _about(book, m.pattern.topic) in (*_SEEN_NOW, "history")]
    others = [(m, max(m.used), m.pattern.topic) for m in (*kept, *parts)]
    for match in kept:
        about = _about(book, match.pattern.topic)
        if about in ("work", "check", "sign") and any(
                match.used < m.used and match.pattern.topic not in book.checks[m.pattern.topic].same_as for m in trials):
            continue  # 'swapped the box, no change' is a trial and no work; 'spark with the other plug' is not the plain spark test
        if about in _SEEN_NOW and any(match.used < m.used and not _beside(book, match, m) for m in signs):
            continue  # 'the green light stays dark' is not said of all lights
        if match.skipped and any(match.used < m.used and not (m in signs and match in signs and _beside(book, match, m)) for m in kept):
            continue  # 'no hum from the fuel pump' does not say that there is no fuel pump
        judged = sense(said, match, about, _spent(match, others, about in ("sign", "check")))
        span = Span(said.tokens[match.first].start, said.tokens[match.last - 1].end)
        result.spans.append((span.start, span.end))
        confidence = _confidence(match, judged)
        if not judged.stated or confidence < _LEAST:
            continue
        made = _make(book, match, judged, confidence, span, text)
        if made is None:
            continue
        rival = rivals.get(match)
        second = _make(book, rival, judged, confidence, span, text) if rival is not None and not judged.denied else None
        if second is not None:
            result.doubts.append(Doubt(span, text[span.start: span.end], (made, second)))
        else:
            (result.statements if isinstance(made, Statement) else result.readings).append(made)  # type: ignore[arg-type]
    return result


def _spent(match: Match, others: list[tuple[Match, int, str]], changing: bool) -> set[int]:
    """The words that the phrases of other topics have used up. The last word of one may also open this one: '... when it was not | filled up'.

    What is `changing` (a sign, a check) is denied along with a phrase that shares words with it: 'not even a relay click'
    speaks of the starter's sound and of the relay. 'No voltage at the pump' does not say that there is no pump.
    """
    topic, first = match.pattern.topic, match.first
    taken: set[int] = set()
    for other, last, its in others:
        if its == topic or other.used & match.used and (changing or other.pattern.kind == "part"):
            continue
        taken |= other.used - {last} if 0 < first - last <= 2 and len(other.used) > 1 else other.used
    return taken


def _beside(book: Rulebook, one: Match, other: Match) -> bool:
    """Whether the same words may tell of both facts: 'press it and it just clicks' tells the sound, and that nothing turns."""
    a, b = one.pattern.topic, other.pattern.topic
    return a == b or b in book.facts[a].beside or a in book.facts[b].beside


def _about(book: Rulebook, topic: str) -> str:
    return book.facts[topic].about if topic in book.facts else "check"


def _make(book: Rulebook, match: Match, judged: Sense, confidence: float, span: Span, text: str) -> Statement | Reading | None:
    topic, value, words = match.pattern.topic, match.pattern.value, text[span.start: span.end]
    if value == ANOTHER:
        return None
    if topic in book.facts:
        if judged.denied and (match.pattern.any_order or book.facts[topic].about == "history"):
            return None  # what parts in any order deny is anyone's guess, and few deny how a trouble began
        if match.denied and book.facts[topic].about == "machine":
            return None  # 'the fuel pump does not prime': what is turned round is what it does, not that there is one
        return Statement(topic, value, judged.denied, confidence, span, words, judged.when, match.pattern.pattern)
    if judged.denied or judged.when == "before":
        return None  # a denied or bygone outcome says too little of how the check stands now
    return Reading(topic, None, None, value, confidence, span, words, None, (), match.pattern.pattern)


def _confidence(match: Match, judged: Sense) -> float:
    if len(match.used) == 1 and match.fit < _INFLECTED:
        return 0.0  # a slip of the finger in a single word is too little to go by
    base = _SEVERAL if len(match.used) > 1 else _ONE_WORD
    return round(base * match.fit * judged.confidence * (_BELIEF if match.pattern.belief else 1.0), 4)


def _best(book: Rulebook, said: Sentence, found: list[Match], denying: set[Match]) -> tuple[list[Match], dict[Match, Match]]:
    """For each topic the longest, best fitting matches that do not share words; and close rivals of another value.

    What says something outranks what only denies: 'will not turn over' is heard as no cranking, not as a denial of cranking.
    Of work a list may be told after one verb: 'new plugs, coil and leads'.
    """
    by_topic: dict[str, list[Match]] = {}
    for match in found:
        by_topic.setdefault(match.pattern.topic, []).append(match)
    kept: list[Match] = []
    rivals: dict[Match, Match] = {}
    for topic, matches in by_topic.items():
        torn = _torn(matches)
        listed = _about(book, topic) == "work"
        matches.sort(key=lambda m: (m in denying and not m.pattern.denies, -m.told, m.pattern.value != ANOTHER, m.used in torn, -m.fit,
                                    m.first, m.pattern.belief, m.pattern.value, m.pattern.pattern))
        mine: list[Match] = []
        for match in matches:
            clash = [m for m in mine if m.first < match.last and match.first < m.last and (m.used & match.used or match.pattern.any_order)
                     and not (listed and m.pattern.value != match.pattern.value and ANOTHER not in (m.pattern.value, match.pattern.value)
                              and _both_told(said, m, match))]
            if not clash:
                mine.append(match)
                continue
            top = clash[0]
            if (top.pattern.value != match.pattern.value and top.used == match.used and top.fit - match.fit < _CLOSE and top.fit >= 0.97
                    and match.fit >= 0.97):
                rivals.setdefault(top, match)
        kept += mine
    return sorted(kept, key=lambda m: (m.first, m.last, m.pattern.topic)), rivals


def _both_told(said: Sentence, one: Match, other: Match) -> bool:
    """Whether two pieces of work are two members of a list: 'changed plug and coil', 'coil, cap and plug all new', but not 'plug' and 'plug cap'."""
    if one.last != other.last or one.first == other.first:
        return one.last != other.last
    first = max(one.first, other.first)
    return len({*said.clause[max(first - 2, 0):first + 1]}) > 1  # a comma or a joining word stands before it


def _torn(matches: list[Match]) -> set[frozenset[int]]:
    """Sets of words that stand equally well for two values: other words that are clear come before them."""
    seen: dict[frozenset[int], set[str]] = {}
    for match in matches:
        if match.fit >= 0.97:
            seen.setdefault(match.used, set()).add(match.pattern.value)
    return {used for used, values in seen.items() if len(values) > 1}


def with_scenes(book: Rulebook, statements: list[Statement], staged: list[Statement]) -> list[Statement]:
    """Scenes join what was said outright, and never speak against it. Of work, and of work in vain, several pieces may be told."""
    said = {(s.fact, s.value) for s in statements}
    known = {s.fact for s in statements if not s.denied and s.when != "before"}
    return statements + [s for s in staged if (s.fact, s.value) not in said and (s.fact not in known or _about(book, s.fact) == "work")]


def in_time(book: Rulebook, statements: list[Statement]) -> list[Statement]:
    """Settle what no longer holds at the end of the message.

    What was 'once' so, and of what may change (a sign, where it stands) every earlier value, gives way to another value told
    later on. Of two values that exclude one another a doubted one gives way to a sure one, and a denial to what affirms the same.
    """
    ordered = sorted(statements, key=lambda s: (s.span.start, s.span.end))
    result = []
    for index, statement in enumerate(ordered):
        if statement.when == "now" and not statement.denied and statement.confidence >= _SURE and _changes(book, statement.fact):
            later = any(o.fact == statement.fact and o.when == "now" and not o.denied and o.value != statement.value and o.confidence >= _SURE
                        and o.span.start >= statement.span.end for o in ordered[index + 1:])
            statement = replace(statement, when="before" if later else "now")
        elif statement.when == "once":
            later = any(o.fact == statement.fact and o.when == "now" and (o.value != statement.value or o.denied != statement.denied)
                        for o in ordered[index + 1:]) and not book.many(statement.fact)
            statement = replace(statement, when="before" if later else "now")
        result.append(statement)
    told = {(s.fact, s.value) for s in result if not s.denied and s.when == "now"}
    sure = {s.fact: s.value for s in result if not s.denied and s.when == "now" and s.confidence >= _SURE and not book.many(s.fact)}
    return [s for s in result if (not s.denied or (s.fact, s.value) not in told)
            and not (s.confidence < _DOUBTED and sure.get(s.fact, s.value) != s.value)]


def _changes(book: Rulebook, fact: str) -> bool:
    """Whether a fact has one value at a time and may take another in the course of a story."""
    return not book.many(fact) and book.facts[fact].about in (*_SEEN_NOW, "history") and bool(book.facts[fact].values)


def unique(statements: list[Statement]) -> list[Statement]:
    """One statement for each (fact, value, polarity, time): the surest, then the first."""
    best: dict[tuple, Statement] = {}
    for statement in statements:
        key = (statement.fact, statement.value, statement.denied, statement.when)
        if key not in best or statement.confidence > best[key].confidence:
            best[key] = statement
    return list(best.values())


def merge(readings: list[Reading]) -> list[Reading]:
    """A word and a number for one check in one message are one reading; of several words the last stands; equal ones are said once."""
    result: list[Reading] = []
    last = {r.check: r.outcome for r in sorted(readings, key=lambda r: r.span.start) if r.value is None and r.confidence >= SEEN}
    for reading in readings:
        if reading.value is None and last.get(reading.check, reading.outcome) != reading.outcome:
            continue
        if reading.value is None and any(r.check == reading.check and r.value is not None for r in readings):
            continue
        if not any(r.check == reading.check and r.outcome == reading.outcome and r.value == reading.value and r.where == reading.where for r in result):
            result.append(reading)
    return result


def language_of(text: str, others: Sequence[tuple[str, frozenset[str]]], default: frozenset[str]) -> str:
    """The language whose own small words the message uses most; the default one when in doubt."""
    words = [plain(w.strip(".,;:!?¿¡()\"'").lower()) for w in text[:_LOOKED_AT].split()]
    best, found = 0, DEFAULT
    for code, function in others:
        lead = sum((w in function) - (w in default) for w in words)
        if lead > best:
            best, found = lead, code
    return found


@lru_cache(maxsize=32)
def _function_words(members: tuple[str, ...]) -> frozenset[str]:
    return frozenset(plain(m.lower()) for m in members if " " not in m)


def function_words(book: Rulebook, language: str) -> frozenset[str]:
    """The small words, negations and joints of a language, and the single words of its talk: what tells it from another."""
    spoken = book.spoken.get(language)
    if spoken is None:
        return frozenset()
    members = [w for name in ("small-words", "negators", "clause-breaks", "telling-words") for w in spoken.words.get(name, [])]
    return _function_words(tuple(members))
