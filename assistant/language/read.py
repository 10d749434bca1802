"""A message to what was heard in it. The one entry of this package: `Reader(book).read(message, pending)`."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from assistant.language import measures, talk
from assistant.language.answers import Pending, pick
from assistant.language.clauses import Sentence, sentences
from assistant.language.lexicon import Lexicon, build
from assistant.language.match import Match, find
from assistant.language.names import Names
from assistant.language.polarity import Sense, sense
from assistant.language.quantities import quantities
from assistant.language.text import clean, tokenize
from assistant.records import Doubt, Heard, Intent, Reading, Span, Statement, Unheard
from assistant.rulebook.book import Rulebook

MAX_CHARACTERS = 20_000
_ALL = frozenset({"phrase", "measured", "while", "talk", "sum"})
_LEAST = 0.42
_CLOSE = 0.04


class Reader:
    """Compiled once for a rulebook; `read` is a pure function of the message and the question it may answer."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book

    @cached_property
    def lexicon(self) -> Lexicon:
        """The compiled phrases; made at the first message."""
        return build(self.book)

    @cached_property
    def names(self) -> Names:
        """What entries are called; made at the first message."""
        return Names(self.book)

    @cached_property
    def _wheres(self) -> dict[str, str]:
        """Words that tell cylinders apart, to one label each: the first word of their class."""
        result: dict[str, str] = {}
        for name in ("cylinder-left", "cylinder-right", "cylinder-front", "cylinder-rear", "left", "right", "front", "rear", "both"):
            for word in self.book.words.get(name, []):
                if " " not in word:
                    result.setdefault(word, name.removeprefix("cylinder-"))
        for word in ("left", "right", "front", "rear", "back", "both", "each", "inner", "outer"):
            result.setdefault(word, {"back": "rear", "each": "both"}.get(word, word))
        return result

    def read(self, message: str, pending: Pending | None = None) -> Heard:
        """Statements, readings, intents, doubts and what was not understood. Text past 20 000 characters is not read."""
        text = clean(message[:MAX_CHARACTERS])
        tokens = tokenize(text, self.lexicon.contractions)
        words = sum(t.kind in ("word", "number") for t in tokens)
        parts = sentences(self.lexicon, tokens)
        found = [_by_kind(find(self.lexicon, s.tokens, _ALL)) for s in parts]
        intents = talk.intents(self.lexicon, self.names, text, parts, [f["talk"] for f in found], words)
        asked = [i for i in (talk.sum_asked(self.lexicon, text, s, f["sum"]) for s, f in zip(parts, found)) if i is not None]
        intents = [i for i in intents if not any(a.span.start <= i.span.start < a.span.end for a in asked)] + asked
        asked += [Intent("aside", None, Span(s.tokens[0].start, s.tokens[-1].end)) for s, f in zip(parts, found)
                  if talk.aside(self.lexicon, s, f["talk"], intents)]
        named = [f["measured"] + f["while"] for f in found]
        loose = [q for q in quantities(text) if not any(a.span.start <= q.span.start < a.span.end for a in asked)]
        placed = measures.place(loose, parts)
        readings, numbers, used = measures.read(self.book, text, parts, placed, named, pending, self._wheres)
        statements: list[Statement] = list(numbers)
        doubts: list[Doubt] = []
        covered: list[tuple[int, int]] = [(s.span.start, s.span.end) for s in (*numbers, *readings)]
        for sentence, matches in zip(parts, found):
            if any(a.span.start <= sentence.tokens[0].start < a.span.end for a in asked):
                continue  # a question about a number states nothing, nor does what is only supposed
            said, told, unclear, spans = self._sentence(text, sentence, matches["phrase"])
            statements += said
            readings += told
            doubts += unclear
            covered += spans
        answer = self._answer(pending, parts, intents, words, bool(readings) or bool(numbers))
        if answer is not None:
            statements = [s for s in statements if s.fact != getattr(answer, "fact", None)]
            readings = [r for r in readings if r.check != getattr(answer, "check", None)]
            (statements if isinstance(answer, Statement) else readings).append(answer)  # type: ignore[arg-type]
            covered.append((answer.span.start, answer.span.end))
        covered += [(i.span.start, i.span.end) for i in intents]
        readings = _merge(readings)
        order = lambda s: (s.span.start, s.span.end)  # noqa: E731
        return Heard(tuple(sorted(_unique(statements), key=order)), tuple(sorted(readings, key=order)), tuple(intents),
                     tuple(doubts), tuple(self._missed(text, parts, covered)))

    def _about(self, topic: str) -> str:
        return self.book.facts[topic].about if topic in self.book.facts else "check"

    def _sentence(self, text: str, sentence: Sentence, found: list[Match]):
        """Accepted phrases of one sentence, and the doubts between two readings of the same words."""
        kept, rivals = _best(found)
        taken = set().union(*(m.used for m in kept)) if kept else set()
        statements: list[Statement] = []
        readings: list[Reading] = []
        doubts: list[Doubt] = []
        spans: list[tuple[int, int]] = []
        for match in kept:
            other_taken = set().union(*(m.used for m in kept if m is not match and m.pattern.topic != match.pattern.topic), set())
            judged = sense(sentence, match, self._about(match.pattern.topic), other_taken)
            span = Span(sentence.tokens[match.first].start, sentence.tokens[match.last - 1].end)
            spans.append((span.start, span.end))
            confidence = _confidence(match, judged)
            if not judged.stated or confidence < _LEAST:
                continue
            made = self._make(match, judged, confidence, span, text)
            if made is None:
                continue
            rival = rivals.get(match)
            if rival is not None and not judged.denied:
                second = self._make(rival, judged, confidence, span, text)
                if second is not None:
                    doubts.append(Doubt(span, text[span.start: span.end], (made, second)))
                    continue
            (statements if isinstance(made, Statement) else readings).append(made)  # type: ignore[arg-type]
        return statements, readings, doubts, spans

    def _make(self, match: Match, judged: Sense, confidence: float, span: Span, text: str) -> Statement | Reading | None:
        topic, value, words = match.pattern.topic, match.pattern.value, text[span.start: span.end]
        if topic in self.book.facts:
            return Statement(topic, value, judged.denied, confidence, span, words, judged.when, match.pattern.pattern)
        if judged.denied or judged.when == "before":
            return None  # a denied or bygone outcome says too little of how the check stands now
        return Reading(topic, None, None, value, confidence, span, words, None, (), match.pattern.pattern)

    def _answer(self, pending: Pending | None, parts: list[Sentence], intents: list, words: int, measured: bool):
        """The choice that a short message names, as a statement or a reading of what was asked."""
        if pending is None or not pending.choices or words > 14 or pending.kind not in ("question", "check"):
            return None
        tokens = [t for s in parts for t in s.tokens]
        if not tokens:
            return None
        kinds = {i.kind for i in intents}
        if kinds & {"dont-know", "skip", "why", "what-is", "how-to", "undo", "no-tool", "cannot-do", "help", "what-if", "why-not", "sure",
                    "after-that", "summary", "sheet"}:
            return None
        choice = pick(pending, tokens, kinds)
        if choice is None or measured and pending.kind == "check":
            return None
        value, sure = choice
        span = Span(tokens[0].start, tokens[-1].end)
        if pending.kind == "question":
            return Statement(pending.id, value, confidence=sure, span=span, words=_words(tokens), via="answer")
        return Reading(pending.id, None, None, value, sure, span, _words(tokens), via="answer")

    def _missed(self, text: str, parts: list[Sentence], covered: list[tuple[int, int]]) -> list[Unheard]:
        """Clauses with words of content of which nothing was understood."""
        result = []
        for sentence in parts:
            for number in sorted(set(sentence.clause)):
                tokens = [t for t, c in zip(sentence.tokens, sentence.clause) if c == number and t.kind in ("word", "number")]
                content = [t for t in tokens if t.text not in self.lexicon.small and len(t.text) > 2]
                if len(content) < 2:
                    continue
                start, end = tokens[0].start, tokens[-1].end
                if not any(s < end and start < e for s, e in covered):
                    result.append(Unheard(Span(start, end), text[start:end]))
        return result


def _by_kind(matches: list[Match]) -> dict[str, list[Match]]:
    result: dict[str, list[Match]] = {kind: [] for kind in _ALL}
    for match in matches:
        result[match.pattern.kind].append(match)
    return result


def _words(tokens: list) -> str:
    return " ".join(t.text for t in tokens)


def _confidence(match: Match, judged: Sense) -> float:
    content = len(match.used)
    base = 0.97 if content > 1 else 0.9
    return round(base * match.fit * judged.confidence, 4)


def _best(found: list[Match]) -> tuple[list[Match], dict[Match, Match]]:
    """For each topic the longest, best fitting matches that do not share words; and close rivals of another value."""
    by_topic: dict[str, list[Match]] = {}
    for match in found:
        by_topic.setdefault(match.pattern.topic, []).append(match)
    kept: list[Match] = []
    rivals: dict[Match, Match] = {}
    for matches in by_topic.values():
        torn = _torn(matches)
        matches.sort(key=lambda m: (-len(m.used), m.used in torn, -m.fit, m.first, m.pattern.value, m.pattern.pattern))
        mine: list[Match] = []
        for match in matches:
            clash = [m for m in mine if m.first < match.last and match.first < m.last and m.used & match.used]
            if not clash:
                mine.append(match)
                continue
            top = clash[0]
            if (top.pattern.value != match.pattern.value and len(top.used) == len(match.used) and top.used == match.used
                    and top.fit - match.fit < _CLOSE and top.fit >= 0.97 and match.fit >= 0.97):
                rivals.setdefault(top, match)
        kept += mine
    return sorted(kept, key=lambda m: (m.first, m.last, m.pattern.topic)), rivals


def _torn(matches: list[Match]) -> set[frozenset[int]]:
    """Sets of words that stand equally well for two values: other words that are clear come before them."""
    seen: dict[frozenset[int], set[str]] = {}
    for match in matches:
        if match.fit >= 0.97:
            seen.setdefault(match.used, set()).add(match.pattern.value)
    return {used for used, values in seen.items() if len(values) > 1}


def _unique(statements: list[Statement]) -> list[Statement]:
    """One statement for each (fact, value, polarity, time): the surest, then the first."""
    best: dict[tuple, Statement] = {}
    for statement in statements:
        key = (statement.fact, statement.value, statement.denied, statement.when)
        if key not in best or statement.confidence > best[key].confidence:
            best[key] = statement
    return list(best.values())


def _merge(readings: list[Reading]) -> list[Reading]:
    """A word and a number for one check in one message are one reading; equal words are said once."""
    result: list[Reading] = []
    for reading in readings:
        numbers = [r for r in readings if r.check == reading.check and r.value is not None]
        if reading.value is None and numbers:
            continue
        if any(r.check == reading.check and r.outcome == reading.outcome and r.value == reading.value and r.where == reading.where
               for r in result):
            continue
        result.append(reading)
    return result


__all__ = ["Reader", "replace"]
