"""Numbers to readings and numeric facts: each quantity is tied to what was measured."""

from __future__ import annotations

from typing import Sequence

from assistant.language.answers import Pending
from assistant.language.claims import Placed, choose
from assistant.language.clauses import Sentence
from assistant.language.match import Match
from assistant.language.quantities import Quantity, convert
from assistant.records import Reading, Statement
from assistant.rulebook.book import Rulebook

_TOGETHER = 5  # words: a number taken back stands so near the one that is meant
_RANGE = 0.25  # two ends closer than this share of the greater are a range, and its middle is read; else the later was read
_BOOK_AFTER = 4  # words after a number in which the book may still be named: '54 is the lowest it can be'


def place(quantities: list[Quantity], sentences: list[Sentence]) -> list[Placed]:
    """Find the sentence and tokens of each quantity; one that falls between sentences belongs to the earlier."""
    result = []
    for quantity in quantities:
        for number, sentence in enumerate(sentences):
            if sentence.tokens[-1].end <= quantity.span.start or sentence.tokens[0].start >= quantity.span.end:
                continue
            inside = tuple(i for i, t in enumerate(sentence.tokens) if t.start < quantity.span.end and quantity.span.start < t.end)
            if inside:
                result.append(Placed(quantity, number, inside, _of_book(sentence, inside)))
                break
    return result


def read(book: Rulebook, message: str, sentences: list[Sentence], placed: list[Placed], named: list[list[Match]],
         pending: Pending | None, wheres: dict[str, str]) -> tuple[list[Reading], list[Statement], set[int]]:
    """Readings and numeric statements, and which quantities (by index) were used."""
    readings: list[Reading] = []
    statements: list[Statement] = []
    used: set[int] = set()
    last: str | None = None
    for index, item in enumerate(placed):
        quantity, sentence = item.quantity, sentences[item.sentence]
        if quantity.kind in ("money", "other"):
            continue
        if _put_right(sentence, item, placed, index) or sentence.of_another(item.tokens[0]) or _elsewhere(sentence, item) or _rating(sentence, item):
            used.add(index)
            continue
        choice = choose(book, sentences, placed, index, named, pending, last)
        if choice is None:
            continue
        topic, fit = choice
        words = message[quantity.span.start: quantity.span.end].strip()
        used.add(index)
        if topic in book.facts:
            statements.append(_statement(book, topic, quantity, fit, words))
            continue
        last = topic
        if _bygone(sentence, item):
            continue
        scale = book.checks[topic].reading
        where = _where(sentence, item, wheres, placed, index) if scale and scale.by_cylinder else None
        unit = quantity.unit if quantity.unit else scale.unit if scale else None
        readings.append(Reading(topic, round(_number(quantity) * (quantity.factor if quantity.unit else 1.0), 6), unit, None, fit, quantity.span,
                                words, where))
    return readings, statements, used


def _statement(book: Rulebook, topic: str, quantity: Quantity, fit: float, words: str) -> Statement:
    value = convert(quantity.value, quantity.unit, book.facts[topic].unit or "") if quantity.unit else quantity.number
    value = quantity.number if value is None else value
    return Statement(topic, int(value) if float(value).is_integer() else value, confidence=fit, span=quantity.span, words=words)


def _number(quantity: Quantity) -> float:
    if quantity.high is None:
        return quantity.number
    if abs(quantity.high - quantity.number) <= _RANGE * abs(quantity.high):
        return (quantity.number + quantity.high) / 2
    return quantity.high


def _put_right(sentence: Sentence, item: Placed, placed: Sequence[Placed], index: int) -> bool:
    """Whether the number is taken back: the later in '12.9 not 11.9', the earlier in '11.9, sorry, 12.9'."""
    at = item.tokens[0]
    negated = any(e == at for _, e in sentence.marks.get("taking-back", ()))
    if negated and any(p.sentence == item.sentence and abs(p.tokens[0] - at) <= _TOGETHER for i, p in enumerate(placed) if i != index):
        return True
    if index + 1 == len(placed) or placed[index + 1].sentence != item.sentence:
        return False
    between = {i for i in range(item.tokens[-1] + 1, placed[index + 1].tokens[0]) if sentence.tokens[i].kind in ("word", "number")}
    return bool(between) and between <= {i for s, e in sentence.marks.get("putting-right", ()) for i in range(s, e)}


def _elsewhere(sentence: Sentence, item: Placed) -> bool:
    """Whether a thing that no check measures is named in the same clause: 'the tyres are at 36 psi'."""
    return bool(sentence.marked("measured-elsewhere", *sentence.bounds(item.tokens[0])))


def _rating(sentence: Sentence, item: Placed) -> bool:
    """Whether it is what a thing is made for, as said right beside its name: 'a 10 A fuse', 'fuse 10A', 'a 12 volt system'."""
    beside = {item.tokens[0], item.tokens[-1] + 1}
    if item.quantity.unit == "V" and item.quantity.value == int(item.quantity.value):
        return any(s == item.tokens[-1] + 1 for s, _ in sentence.marks.get("made-for-volts", ()))
    return item.quantity.unit == "A" and any(s in beside or e in beside for s, e in sentence.marks.get("rated-things", ()))


def _of_book(sentence: Sentence, tokens: tuple[int, ...]) -> bool:
    """Whether the manual asks for the number: it is named before it in the sentence, with nothing of one's own since, or right after it."""
    before = [(e, True) for _, e in sentence.marks.get("book-words", ()) if e <= tokens[0]]
    own = [(e, False) for _, e in sentence.marks.get("own", ()) if e <= tokens[0]]
    after = any(tokens[-1] < s <= tokens[-1] + _BOOK_AFTER and sentence.clause[s] == sentence.clause[tokens[-1]]
                for s, _ in sentence.marks.get("book-after", ()))
    return after or bool(before) and max(before + own)[1]


def _bygone(sentence: Sentence, item: Placed) -> bool:
    """Whether the number was read too long ago: by the words of its clause, or by what its sentence says before it."""
    first, last = sentence.bounds(item.tokens[0])
    if sentence.marked("present-markers", first, last):
        return False
    return bool(sentence.marked("long-ago", first, last) or sentence.marked("weeks-back", 0, item.tokens[0]))


def _where(sentence: Sentence, item: Placed, wheres: dict[str, str], placed: Sequence[Placed], index: int) -> str | None:
    """The cylinder said next to the number: after it ('120 on the left') or before it ('left 120'), as with the first number of its sentence."""
    at = item.tokens[-1]
    limit = min((p.tokens[0] for p in placed[index + 1:] if p.sentence == item.sentence), default=len(sentence.tokens))
    floor = max((p.tokens[-1] for p in placed[:index] if p.sentence == item.sentence), default=-1)
    first = min(p.tokens[0] for p in placed if p.sentence == item.sentence)
    said = {"after": range(at + 1, min(at + 6, limit)), "before": range(item.tokens[0] - 1, max(item.tokens[0] - 5, floor), -1)}
    ahead = any(sentence.tokens[i].text in wheres for i in range(max(first - 4, 0), first))
    for side in ("before", "after") if ahead else ("after", "before"):
        for i in said[side]:
            if sentence.tokens[i].text in wheres:
                return wheres[sentence.tokens[i].text]
    return None


__all__ = ["Placed", "place", "read"]
