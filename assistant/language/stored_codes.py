"""Stored fault codes in a message ('it shows P0335') to facts. Which code stands for what is in the files, not here."""

from __future__ import annotations

from typing import Sequence

from assistant.language.clauses import Sentence
from assistant.language.lexicon import Compiled
from assistant.language.match import Match
from assistant.language.polarity import sense
from assistant.records import Span, Statement
from assistant.rulebook.book import Rulebook
from assistant.trade.codes import places_in

VIA = "code"
_SURE = 0.95


def spans(text: str) -> list[Span]:
    """Where codes stand: their figures measure nothing."""
    return [Span(start, end) for start, end, _ in places_in(text)]


def told(book: Rulebook, text: str, sentences: Sequence[Sentence]) -> list[Statement]:
    """What the codes of a message state; a code that is only asked about or supposed states nothing."""
    result = []
    coded = [fact for fact in book.facts.values() if fact.codes]
    for start, end, known in places_in(text):
        said = next((s for s in sentences if s.tokens[0].start <= start < s.tokens[-1].end), None)
        if said is None:
            continue
        inside = [i for i, t in enumerate(said.tokens) if start <= t.start < end]
        if not inside:
            continue
        for fact in coded:
            value = _value(fact.codes, known.code)
            if value is None:
                continue
            match = Match(Compiled("phrase", fact.id, value, VIA, (), ()), inside[0], inside[-1] + 1, frozenset(inside), 1.0)
            judged = sense(said, match, fact.about, ())
            if judged.stated:
                result.append(Statement(fact.id, value, judged.denied, round(_SURE * judged.confidence, 4), Span(start, end), text[start:end], judged.when, VIA))
    return result


def _value(codes: dict[str, list[str]], code: str) -> str | None:
    """The value under whose longest beginning the code falls."""
    fitting = [(len(begins), value) for value, many in codes.items() for begins in many if code.startswith(begins)]
    return max(fitting)[1] if fitting else None
