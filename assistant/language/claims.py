"""Which check or fact a number in a message belongs to: the words around it, its unit, and what was last asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Sequence

from assistant.language.answers import Pending
from assistant.language.clauses import Sentence
from assistant.language.match import Match
from assistant.language.quantities import Quantity, convert
from assistant.rulebook.book import Rulebook

_HOLDS, _BESIDE, _ELSEWHERE, _BEFORE = 4.0, 3.0, 2.2, 1.6  # a name that holds the number, is nearest to it, is not, stood in the sentence before
_WHILE, _WHILE_BEFORE = 1.6, 0.5  # conditions it was measured under, said in this sentence or the one before
_PLAINLY = 2.5  # a name that claims a number so strongly is meant
_ASKED, _AGAIN = 4.0, 0.9  # it was just asked for; the number before it was of the same thing
_UNIT_OF_CHECK, _UNIT_OF_FACT, _UNIT_NAMED = 0.6, 1.2, 0.8  # the unit fits, alone or beside a name
_FAR = 6  # words: a bare number farther off belongs to no name
_SHORT = 8  # words: a sentence as short as this may speak of the thing named in the one before
_LEAST, _LEAST_BARE, _LEAST_WHOLE = 0.55, 1.5, 2.0  # a number with a decimal point is seldom a count
_OWED = frozenset({"m"})  # units that measure many things besides: a name must stand by them


@dataclass(frozen=True, slots=True)
class Placed:
    """A quantity with the sentence it stands in and the tokens of it; `of_book`: it is what the manual asks for."""

    quantity: Quantity
    sentence: int
    tokens: tuple[int, ...]
    of_book: bool = False


def choose(book: Rulebook, sentences: Sequence[Sentence], placed: Sequence[Placed], index: int, named: Sequence[list[Match]],
           pending: Pending | None, last: str | None) -> tuple[str, float] | None:
    """The check or numeric fact that the number belongs to, with a sureness; None when nothing claims it."""
    item = placed[index]
    quantity = item.quantity
    mine = {id(m) for m in named[item.sentence] if _owner(book, m, item.sentence, placed) == index}
    words = sum(t.kind in ("word", "number") for t in sentences[item.sentence].tokens)
    scores: dict[str, float] = {}
    named_by: dict[str, float] = {}
    for place, topic in enumerate(book.measured):
        unit = unit_of(book, topic)
        if unit is None or not _fits(book, topic, quantity, unit) or item.of_book != _is_limit(book, topic):
            continue
        score = named_by[topic] = _named(book, topic, sentences, item, named, mine)
        if score == 0.0 and (item.of_book or quantity.kind == "bare" and not book.measured[topic].alone) and last != topic and (pending is None or pending.id != topic):
            continue  # what the manual says of something or other is no limit of ours, nor a number without unit or name a current
        score += _unit_alone(book, topic, quantity, words) if score == 0.0 else _UNIT_NAMED if quantity.kind == "measure" else 0.0
        score += _conditions(book, topic, item, named, mine)
        if pending is not None and pending.id == topic:
            score += _ASKED
        elif last == topic and len(placed) > 1:
            score += _AGAIN
        if score > 0:
            scores[topic] = score - 0.001 * place
    if pending is not None and pending.id not in scores and pending.kind in ("check", "question") and not item.of_book:
        unit = unit_of(book, pending.id)
        if unit is not None and _fits(book, pending.id, quantity, unit):
            scores[pending.id] = _ASKED
    if not scores:
        return None
    if pending is not None and pending.id in scores and not named_by.get(pending.id) and max(named_by.values(), default=0.0) + (_AGAIN if last else 0.0) >= _PLAINLY:
        scores[pending.id] -= _ASKED  # what the number belongs to is said in so many words, and it is not what was asked
    best = max(scores, key=lambda t: scores[t])
    bare = _LEAST_WHOLE if float(quantity.number).is_integer() else _LEAST_BARE
    if scores[best] < (bare if quantity.kind == "bare" else _LEAST):
        return None
    return best, 0.95 if scores[best] >= 2 else 0.75


def _is_limit(book: Rulebook, topic: str) -> bool:
    return topic in book.facts and book.facts[topic].about == "manual"


def _named(book: Rulebook, topic: str, sentences: Sequence[Sentence], item: Placed, named: Sequence[list[Match]], mine: set[int]) -> float:
    """How strongly a name of the topic claims the number."""
    best = 0.0
    for match in named[item.sentence]:
        if match.pattern.topic != topic or match.pattern.kind != "measured":
            continue
        holds = "#" in match.pattern.pattern
        if holds and not set(item.tokens) & match.used:
            continue
        distance = min(abs(t - item.tokens[0]) for t in match.used)
        if not holds and item.quantity.kind == "bare" and distance > _FAR:
            continue
        worth = _HOLDS if holds else _BESIDE if id(match) in mine else _ELSEWHERE
        best = max(best, worth - 0.05 * min(distance, 20))
    if not best and item.sentence and not (item.quantity.kind == "bare" and topic in book.facts):
        told = any(m.pattern.topic == topic and m.pattern.kind == "measured" and "#" not in m.pattern.pattern for m in named[item.sentence - 1])
        if told and (item.quantity.kind == "measure" or sum(t.kind in ("word", "number") for t in sentences[item.sentence].tokens) <= _SHORT):
            best = _BEFORE
    return best


def _unit_alone(book: Rulebook, topic: str, quantity: Quantity, words: int) -> float:
    """What the unit is worth with no name beside it: in a long sentence '12 volts' may be the kind of machine."""
    if quantity.kind != "measure" or quantity.unit in _OWED or not book.measured[topic].alone or topic in book.checks and words > _SHORT:
        return 0.0
    return _UNIT_OF_CHECK if topic in book.checks else _UNIT_OF_FACT


def _conditions(book: Rulebook, topic: str, item: Placed, named: Sequence[list[Match]], mine: set[int]) -> float:
    """Conditions said with the number: 'cranking', 'key off'."""
    total = 0.0
    many = 0.6 if len(book.measured[topic].while_) > 2 else 1.0
    for number, worth in ((item.sentence, _WHILE), (item.sentence - 1, _WHILE_BEFORE)):
        if number >= 0:
            said = {m.pattern.value for m in named[number] if m.pattern.kind == "while" and m.pattern.topic == topic
                    and (number != item.sentence or id(m) in mine)}
            total += worth * len(said) * many
    return total


def _owner(book: Rulebook, match: Match, sentence: int, placed: Sequence[Placed]) -> int | None:
    """Which number of its sentence a phrase belongs to: the nearest, and of two as near the one before it.

    A number in another unit is itself the condition: the revs in '14.3 at 4000 rpm' are no volts.
    """
    unit = unit_of(book, match.pattern.topic) if match.pattern.kind == "while" else None
    best: tuple[float, int] | None = None
    for index, item in enumerate(placed):
        if item.sentence != sentence or item.quantity.kind not in ("measure", "bare"):
            continue
        if unit is not None and item.quantity.unit is not None and convert(item.quantity.value, item.quantity.unit, unit) is None:
            continue
        if set(item.tokens) & match.used:
            return index
        distance = match.first - item.tokens[-1] if match.first > item.tokens[-1] else item.tokens[0] - match.last + 1.5
        if best is None or distance < best[0]:
            best = (distance, index)
    return best[1] if best else None


def unit_of(book: Rulebook, topic: str) -> str | None:
    """The unit a topic is counted in; None for one that is told in words."""
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
    if quantity.unit is None and quantity.high is not None and topic in book.facts and book.facts[topic].about == "machine":
        return False  # '140 to 150' is what was read at the others, not the size of the engine
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
