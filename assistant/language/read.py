"""A message to what was heard in it. The one entry of this package: `Reader(book).read(message, pending)`."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from assistant.language import measures, scenes, stored_codes, talk, weigh
from assistant.language.answers import Pending, pick
from assistant.language.clauses import Sentence, sentences
from assistant.language.kept import lexicon_of
from assistant.language.lent import lent
from assistant.language.lexicon import DEFAULT, Lexicon, languages
from assistant.language.match import Match, find, find_all
from assistant.language.names import Names
from assistant.language.quantities import quantities
from assistant.language.text import clean, tokenize
from assistant.records import SEEN, Doubt, Heard, Intent, Reading, Span, Statement, Unheard
from assistant.rulebook.book import Rulebook

MAX_CHARACTERS = 20_000
_ALL = frozenset({"phrase", "measured", "while", "talk", "sum", "part"})
# what is said to the assistant and is no answer to its question, whatever words it shares with one
_NO_ANSWER = {"dont-know", "skip", "why", "what-is", "how-to", "undo", "no-tool", "cannot-do", "help", "what-if", "why-not", "sure", "after-that",
              "summary", "sheet", "explain-more", "repeat"}
_LONG_ANSWER = 14  # words: a longer message tells, and does not answer by naming a choice
_OPENING = 200  # characters in which a message says that it puts the last answer right
_PLAINLY = 0.9  # so sure is an answer that names a choice by its number, its name or its line


class Reader:
    """Compiled once for a rulebook; `read` is a pure function of the message and the question it may answer."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self._lexicons: dict[str, Lexicon] = {}

    @property
    def lexicon(self) -> Lexicon:
        """The compiled phrases of the default language; made at the first message."""
        return self._of(DEFAULT)

    def _of(self, language: str) -> Lexicon:
        if language not in self._lexicons:
            self._lexicons[language] = lexicon_of(self.book, language)
        return self._lexicons[language]

    @cached_property
    def _languages(self) -> list[tuple[str, frozenset[str]]]:
        """The languages besides the default one, with the small words that tell them; cheap, so that none is compiled for nothing."""
        return [(code, weigh.function_words(self.book, code)) for code in languages(self.book) if code != DEFAULT]

    @cached_property
    def names(self) -> Names:
        """What entries are called; made at the first message."""
        return Names(self.book)

    @cached_property
    def _replies(self) -> frozenset[str]:
        """Single words of yes and no, which may stand before what a check showed."""
        return frozenset(word for name in ("replies-yes", "replies-no") for word in self.book.words.get(name, ()) if " " not in word)

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

    def read(self, message: str, pending: Pending | None = None, answered: Pending | None = None) -> Heard:
        """Statements, readings, intents, doubts and what was not understood. Text past 20 000 characters is not read.

        `pending` is the question that is open, `answered` the one that got the last answer, which may now be put right.
        """
        return self._anew(message, answered) or self._read(message, pending)

    def _anew(self, message: str, answered: Pending | None) -> Heard | None:
        """What was heard where a message puts right the answer to the question before ('no wait, it was clean'); None where it does not."""
        if answered is None or len(message) > MAX_CHARACTERS:
            return None
        text = clean(message)
        lexicon = self._language(text)
        first = sentences(lexicon, tokenize(text[:_OPENING], lexicon.contractions))[:1]
        opened = first[0].after("answering-anew") if first else 0
        if not 0 < opened < len(first[0].tokens):
            return None
        start = first[0].tokens[opened].start
        heard = self._read(" " * start + text[start:], answered)  # places stay what they are in the message
        topics = {*(s.fact for s in heard.statements), *(r.check for r in heard.readings)}
        return heard if answered.id in topics else None

    def _read(self, message: str, pending: Pending | None) -> Heard:
        text = clean(message[:MAX_CHARACTERS])
        lexicon = self._language(text)
        tokens = tokenize(text, lexicon.contractions)
        words = sum(t.kind in ("word", "number") for t in tokens)
        parts = sentences(lexicon, tokens)
        found = self._found(lexicon, parts)
        intents = talk.intents(lexicon, self.names, text, parts, [f["talk"] for f in found], words)
        asked = [i for i in (talk.sum_asked(lexicon, text, s, f["sum"]) for s, f in zip(parts, found)) if i is not None]
        intents = [i for i in intents if not any(a.span.start <= i.span.start < a.span.end for a in asked)] + asked
        silent = [a.span for a in asked] + [Span(s.tokens[0].start, s.tokens[-1].end) for s, f in zip(parts, found)
                                            if talk.aside(lexicon, s, f["talk"], intents)]
        asked_of = [i.span for i in intents if i.kind == "what-is"]
        figures = silent + stored_codes.spans(text)
        loose = [q for q in quantities(text) if not any(a.start <= q.span.start < a.end for a in figures)]
        readings, numbers, used = measures.read(self.book, text, parts, measures.place(loose, parts), [f["measured"] + f["while"] for f in found],
                                                pending, self._wheres)
        coded = [s for s in stored_codes.told(self.book, text, parts) if not any(a.start <= s.span.start < a.end for a in (*silent, *asked_of))]
        statements: list[Statement] = [*numbers, *coded]
        doubts: list[Doubt] = []
        covered: list[tuple[int, int]] = [(s.span.start, s.span.end) for s in (*numbers, *coded, *readings)]
        for sentence, matches in zip(parts, found):
            first, last = sentence.tokens[0].start, sentence.tokens[-1].end
            if any(first <= s.span.start < last for s in (*numbers, *readings)):  # the names and conditions of what was measured
                covered += [(sentence.tokens[m.first].start, sentence.tokens[m.last - 1].end) for m in matches["measured"] + matches["while"]]
            if any(a.start <= sentence.tokens[0].start < a.end for a in silent):
                continue  # a question about a number states nothing, nor does what is only supposed
            heard = weigh.sentence(self.book, text, sentence.told or sentence, matches["phrase"], [] if sentence.told else matches["part"])
            statements += heard.statements
            readings += heard.readings
            doubts += heard.doubts
            covered += heard.spans
        staged = scenes.told(self.book, lexicon, text, parts, [f["part"] for f in found], (*statements, *readings))
        statements = weigh.in_time(self.book, weigh.with_scenes(self.book, statements, staged))
        covered += [(s.span.start, s.span.end) for s in staged]
        answer = self._answer(lexicon, pending, parts, intents, words, bool(readings) or bool(numbers))
        plainly = isinstance(answer, Intent) or answer is not None and answer.confidence >= _PLAINLY
        if not plainly and answer is not None and (any(s.fact == pending.id and s.when == "now" for s in statements)
                                                   or any(r.check == pending.id and r.confidence >= SEEN for r in readings)):
            answer = None  # a phrase tells more surely than words shared with a choice
        told = [] if pending is None or plainly or asked or words > _LONG_ANSWER else self._lent(pending, parts, intents, [*statements, *readings], message)
        if told:
            statements = [s for s in statements if not any(s.span.start < t.span.end and t.span.start < s.span.end and self._is_sign(s.fact) for t in told)]
            statements += [t for t in told if isinstance(t, Statement)]
            readings = [r for r in readings if r.check != pending.id] + [t for t in told if isinstance(t, Reading)]
            covered += [(t.span.start, t.span.end) for t in told]
        elif isinstance(answer, Intent):
            intents.append(answer)
        elif answer is not None:
            statements = [s for s in statements if s.fact != getattr(answer, "fact", None)]
            readings = [r for r in readings if r.check != getattr(answer, "check", None)]
            (statements if isinstance(answer, Statement) else readings).append(answer)  # type: ignore[arg-type]
            covered.append((answer.span.start, answer.span.end))
        covered += [(i.span.start, i.span.end) for i in intents]
        order = lambda s: (s.span.start, s.span.end)  # noqa: E731
        return Heard(tuple(sorted(weigh.unique(statements), key=order)), tuple(sorted(weigh.merge(readings), key=order)), tuple(intents),
                     tuple(doubts), (*self._missed(lexicon, text, parts, covered), *_unread(message)))

    def _language(self, text: str) -> Lexicon:
        return self._of(weigh.language_of(text, self._languages, weigh.function_words(self.book, DEFAULT)) if self._languages else DEFAULT)

    def _found(self, lexicon: Lexicon, parts: list[Sentence]) -> list[dict[str, list[Match]]]:
        """The matches of each sentence by kind. What is told by a question and the person's own answer states; what is said to the assistant is said as written."""
        def sorted_out(sentence: Sentence, matches: list[Match]) -> dict[str, list[Match]]:
            return _by_kind(_but_names(matches, self.names.tools_in(sentence.tokens), sentence))

        found = [sorted_out(s, m) for s, m in zip(parts, find_all(lexicon, [s.tokens for s in parts], _ALL))]
        for sentence, by_kind in zip(parts, found):
            if sentence.told:
                by_kind["phrase"] = sorted_out(sentence.told, find(lexicon, sentence.told.tokens, frozenset({"phrase"})))["phrase"]
        return found

    def _answer(self, lexicon: Lexicon, pending: Pending | None, parts: list[Sentence], intents: list, words: int, measured: bool):
        """The choice that a short message names: a statement or a reading of what was asked, or yes or no to a proof."""
        if pending is None or not pending.choices or words > _LONG_ANSWER or pending.kind not in ("question", "check", "proof"):
            return None
        tokens = [t for s in parts for t in s.tokens]
        if not tokens:
            return None
        kinds = {i.kind for i in intents}
        if kinds & _NO_ANSWER:
            return None
        general = {c: [tuple(w.split()) for w in self.book.words.get(f"answer-{c}", ())] for c in pending.choices}
        choice = pick(pending, tokens, kinds, general, lexicon.small | self._replies)
        if choice is None or measured and pending.kind == "check":
            return None
        value, sure = choice
        if sure < _PLAINLY and any(s == 0 for s, _ in parts[0].marks.get("open-heads", ())) and (parts[-1].question or words == 1):
            return None  # 'what?' is no answer, whichever choice has the word in it
        span = Span(tokens[0].start, tokens[-1].end)
        said = " ".join(t.text for t in tokens)
        if pending.kind == "proof":  # nothing is called cured by a word that only sounds like it
            return Intent(value, None, span, said) if sure >= _PLAINLY and value not in kinds else None
        if pending.kind == "question":
            return Statement(pending.id, value, confidence=sure, span=span, words=said, via="answer")
        return Reading(pending.id, None, None, value, sure, span, said, via="answer")

    def _lent(self, pending: Pending, parts: list[Sentence], intents: list, heard: list[Statement | Reading], message: str) -> list[Statement | Reading]:
        """What a short answer says of what was asked, read with the words that the question lends it; nothing where it says it by itself, or asks."""
        asked = {"question": self.book.facts, "check": self.book.checks}.get(pending.kind, {}).get(pending.id)
        by_itself = any((h.fact if isinstance(h, Statement) else h.check) == pending.id for h in heard)
        if asked is None or not parts or by_itself or {i.kind for i in intents} & _NO_ANSWER or any(s.question for s in parts):
            return []
        return lent(lambda text: self._read(text, None), pending.id, asked.lends, message)

    def _is_sign(self, fact: str) -> bool:
        return self.book.facts[fact].about == "sign"

    def _missed(self, lexicon: Lexicon, text: str, parts: list[Sentence], covered: list[tuple[int, int]]) -> list[Unheard]:
        """Clauses with words of content of which nothing was understood."""
        result = []
        covered = sorted(covered)
        for sentence in parts:
            told = covered + [(sentence.tokens[s].start, sentence.tokens[e - 1].end) for s, e in sentence.marks.get("complaints", ())]
            clauses: dict[int, list] = {}
            for token, number in zip(sentence.tokens, sentence.clause):
                if token.kind in ("word", "number"):
                    clauses.setdefault(number, []).append(token)
            for _, tokens in sorted(clauses.items()):
                content = [t for t in tokens if t.text not in lexicon.small and len(t.text) > 2]
                if len(content) < 2:
                    continue
                start, end = tokens[0].start, tokens[-1].end
                if not any(s < end and start < e for s, e in told):
                    result.append(Unheard(Span(start, end), text[start:end]))
        return result


def _by_kind(matches: list[Match]) -> dict[str, list[Match]]:
    result: dict[str, list[Match]] = {kind: [] for kind in _ALL}
    for match in matches:
        result[match.pattern.kind].append(match)
    return result


def _but_names(matches: list[Match], tools: list[frozenset[int]], said: Sentence) -> list[Match]:
    """Without the phrases that take a piece of the name of a tool or a thing for something else: a new fuel pump is neither new fuel nor a new pump."""
    things = said.marks.get("things", ())
    return [m for m in matches if m.pattern.kind != "phrase" or not any(m.used & t and not t <= m.used for t in tools)
            and not any((first in m.used) != (end - 1 in m.used) for first, end in things)]


def _unread(message: str) -> tuple[Unheard, ...]:
    """What is past the limit, with its first words."""
    if len(message) <= MAX_CHARACTERS:
        return ()
    return (Unheard(Span(MAX_CHARACTERS, len(message)), clean(message[MAX_CHARACTERS:MAX_CHARACTERS + 60]).strip()),)


__all__ = ["Reader", "replace"]
