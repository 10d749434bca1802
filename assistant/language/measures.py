"""Numbers to readings and numeric facts: each quantity is tied to what was measured."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.language.answers import Pending
from assistant.language.clauses import Sentence
from assistant.language.match import Match
from assistant.language.quantities import Quantity, convert
from assistant.records import Reading, Span, Statement
from assistant.rulebook.book import Rulebook


@dataclass(frozen=True, slots=True)
class Placed:
    """A quantity with the sentence it stands in and the tokens of it."""

    quantity: Quantity
    sentence: int
    tokens: tuple[int, ...]


def place(quantities: list[Quantity], sentences: list[Sentence]) -> list[Placed]:
    """Find the sentence and tokens of each quantity; one that falls between sentences belongs to the earlier."""
    result = []
    for quantity in quantities:
        for number, sentence in enumerate(sentences):
            inside = tuple(i for i, t in enumerate(sentence.tokens) if t.start < quantity.span.end and quantity.span.start < t.end)
            if inside:
                result.append(Placed(quantity, number, inside))
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
        quantity = item.quantity
        if quantity.kind in ("money", "other"):
            continue
        if _put_right(sentences[item.sentence], item, placed, index):
            used.add(index)
            continue
        choice = _choose(book, sentences, placed, index, named, pending, last)
        if choice is None:
            continue
        topic, fit = choice
        words = message[quantity.span.start: quantity.span.end].strip()
        used.add(index)
        if topic in book.facts:
            fact = book.facts[topic]
            value = convert(quantity.value, quantity.unit, fact.unit or "") if quantity.unit else quantity.number
            number = int(value) if value is not None and float(value).is_integer() else value
            statements.append(Statement(topic, number if number is not None else quantity.number, confidence=fit,
                                        span=quantity.span, words=words))
            continue
        last = topic
        where = _where(sentences[item.sentence], item, wheres, placed, index)
        unit = quantity.unit if quantity.unit else (book.checks[topic].reading.unit if book.checks[topic].reading else None)
        value = quantity.number * (quantity.factor if quantity.unit else 1.0)
        if quantity.high is not None and book.checks[topic].reading and abs(quantity.high - quantity.number) <= 0.25 * abs(quantity.high):
            value = (quantity.number + quantity.high) / 2 * (quantity.factor if quantity.unit else 1.0)
        elif quantity.high is not None:
            value = quantity.high * (quantity.factor if quantity.unit else 1.0)
        readings.append(Reading(topic, round(value, 6), unit, None, fit, quantity.span, words, where))
    return readings, statements, used


def _put_right(sentence: Sentence, item: Placed, placed: list[Placed], index: int) -> bool:
    """Whether the number is the one taken back in '11.9 not 12.9': a 'not' before it and another number beside it."""
    at = item.tokens[0]
    before = [t.text for t in sentence.tokens[max(0, at - 2): at]]
    others = [p for i, p in enumerate(placed) if i != index and p.sentence == item.sentence and abs(p.tokens[0] - at) <= 5]
    return "not" in before and bool(others) and "even" not in before and "over" not in before


def _owner(match: Match, sentence: int, placed: list[Placed]) -> int | None:
    """Which number of its sentence a phrase belongs to: the nearest, and of two as near the one before it."""
    best: tuple[float, int] | None = None
    for index, item in enumerate(placed):
        if item.sentence != sentence or item.quantity.kind not in ("measure", "bare"):
            continue
        if set(item.tokens) & match.used:
            return index
        distance = match.first - item.tokens[-1] if match.first > item.tokens[-1] else item.tokens[0] - match.last + 1.5
        if best is None or distance < best[0]:
            best = (distance, index)
    return best[1] if best else None


def _choose(book: Rulebook, sentences: list[Sentence], placed: list[Placed], index: int, named: list[list[Match]], pending: Pending | None,
            last: str | None) -> tuple[str, float] | None:
    """The check or numeric fact that the number belongs to, with a sureness; None when nothing claims it."""
    item, count = placed[index], len(placed)
    quantity = item.quantity
    scores: dict[str, float] = {}
    mine = {id(m) for m in named[item.sentence] if _owner(m, item.sentence, placed) == index}
    for topic, entry in book.measured.items():
        unit = _unit_of(book, topic)
        if unit is None or not _fits(book, topic, quantity, unit):
            continue
        score = 0.0
        if quantity.kind == "measure":
            score += 0.6 if topic in book.checks else 1.2
        for matches, worth in ((named[item.sentence], 3.0), (named[item.sentence - 1] if item.sentence else [], 1.3)):
            own = [m for m in matches if m.pattern.topic == topic]
            if worth < 2 and quantity.kind == "bare" and topic in book.facts:
                own = []
            for match in own:
                if match.pattern.kind == "measured" and "#" in match.pattern.pattern and not set(item.tokens) & match.used:
                    continue
                near = 1.0
                if worth > 2:
                    distance = min(abs(t - item.tokens[0]) for t in match.used)
                    if quantity.kind == "bare" and distance > 6 and "#" not in match.pattern.pattern:
                        continue
                    near = 1.0 if id(match) in mine else 0.75
                    near -= 0.01 * min(distance, 20)
                if match.pattern.kind == "measured":
                    score = max(score, worth * near + (0.8 if quantity.kind == "measure" else 0.0))
        for matches, worth in ((named[item.sentence], 1.6), (named[item.sentence - 1] if item.sentence else [], 0.5)):
            seen = {m.pattern.value for m in matches if m.pattern.kind == "while" and m.pattern.topic == topic
                    and (worth < 1 or id(m) in mine)}
            score += worth * len(seen) * (0.6 if len(entry.while_) > 2 else 1.0)
        if pending is not None and pending.id == topic:
            score += 4.0
        elif last == topic and count > 1:
            score += 0.9
        if score > 0:
            scores[topic] = score - 0.001 * list(book.measured).index(topic)
    if pending is not None and pending.id not in scores and pending.kind in ("check", "question"):
        unit = _unit_of(book, pending.id)
        if unit is not None and _fits(book, pending.id, quantity, unit):
            scores[pending.id] = 4.0
    if not scores:
        return None
    best = max(scores, key=lambda t: scores[t])
    bare = 2.0 if float(quantity.number).is_integer() else 1.5  # a number with a decimal point is seldom a count
    if quantity.kind == "bare" and scores[best] < bare or scores[best] < 0.55:
        return None
    return best, 0.95 if scores[best] >= 2 else 0.75


def _unit_of(book: Rulebook, topic: str) -> str | None:
    if topic in book.checks:
        scale = book.checks[topic].reading
        return scale.unit if scale else None
    fact = book.facts.get(topic)
    return fact.unit if fact else None


def _fits(book: Rulebook, topic: str, quantity: Quantity, unit: str) -> bool:
    """Whether the unit converts; a number without unit must also lie in the plausible range."""
    low, high = _range(book, topic)
    if quantity.kind == "year":
        return low >= 1800 and low <= quantity.number <= high
    if quantity.unit is None:
        whole = topic not in book.facts or float(quantity.number).is_integer() or high < 100
        return low <= quantity.number <= high and whole
    value = convert(quantity.value, quantity.unit, unit)
    if value is None:
        return False
    return topic in book.checks or low <= value <= high


def _range(book: Rulebook, topic: str) -> tuple[float, float]:
    if topic in book.checks and book.checks[topic].reading:
        return book.checks[topic].reading.range  # type: ignore[union-attr]
    fact = book.facts.get(topic)
    return fact.range if fact and fact.range else (float("-inf"), float("inf"))


def _where(sentence: Sentence, item: Placed, wheres: dict[str, str], placed: list[Placed], index: int) -> str | None:
    """The cylinder said next to the number: after it ('120 on the left') or before it ('left 120')."""
    at = item.tokens[-1]
    limit = min((p.tokens[0] for p in placed[index + 1:] if p.sentence == item.sentence), default=len(sentence.tokens))
    floor = max((p.tokens[-1] for p in placed[:index] if p.sentence == item.sentence), default=-1)
    for i in range(at + 1, min(at + 6, limit)):
        if sentence.tokens[i].text in wheres:
            return wheres[sentence.tokens[i].text]
    for i in range(item.tokens[0] - 1, max(item.tokens[0] - 5, floor), -1):
        if sentence.tokens[i].text in wheres:
            return wheres[sentence.tokens[i].text]
    return None


__all__ = ["Placed", "Span", "place", "read"]
