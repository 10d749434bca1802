"""In which order rules may be tried: a rule that needs something to be absent waits for all that could derive it."""

from __future__ import annotations

from functools import lru_cache

from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import All, Any_, Condition, Is, Not, Unknown

Feeds = dict[str, dict[str, bool]]  # rule -> the derive rules that can matter to it; True where their silence does


def loops(book: Rulebook) -> list[list[str]]:
    """Derive rules that feed one another round in a circle, each circle in the order they do; one for each knot of circles."""
    feeds = _feeds(book, _derives(book))
    after: dict[str, list[str]] = {rule: [] for rule in feeds}
    for rule in sorted(feeds):
        for maker in feeds[rule]:
            after[maker].append(rule)
    result, done = [], set[str]()
    for start in sorted(after):
        if start in done:
            continue
        loop = _shortest_way_back(start, after)
        if loop:
            result.append(loop)
            done |= {rule for rule in _reached(start, after) if start in _reached(rule, after)}
    return result


def _derives(book: Rulebook) -> list[str]:
    return sorted(r.id for r in book.rules.values() if r.kind == "derive" and r.id in book.conditions)


def _feeds(book: Rulebook, rules: list[str]) -> Feeds:
    """For each of the rules, the derive rules whose conclusion can make its condition true or false: same topic, a value it names."""
    makers: dict[str, list[tuple[str, str]]] = {}
    for maker in _derives(book):
        for topic, value in book.rules[maker].then.items():
            makers.setdefault(topic, []).append((maker, value))
    result: Feeds = {}
    for rule in rules:
        mine: dict[str, bool] = {}
        for topic, values, by_silence in _needs(book.conditions[rule]):
            for maker, value in makers.get(topic, ()):
                if values is None or value in values:
                    mine[maker] = mine.get(maker, False) or by_silence
        result[rule] = mine
    return result


def _needs(condition: Condition, negated: bool = False) -> list[tuple[str, tuple[str, ...] | None, bool]]:
    """(topic, values or None for any, whether their absence is what counts). Denials and numbers are never derived."""
    if isinstance(condition, Not):
        return _needs(condition.inner, not negated)
    if isinstance(condition, (All, Any_)):
        return [need for part in condition.parts for need in _needs(part, negated)]
    if isinstance(condition, Is):
        return [(condition.topic, condition.values, negated)]
    return [(condition.topic, None, not negated)] if isinstance(condition, Unknown) else []


def _shortest_way_back(start: str, after: dict[str, list[str]]) -> list[str]:
    trails, seen = [[start]], {start}
    while trails:
        onward = []
        for trail in trails:
            for rule in after[trail[-1]]:
                if rule == start:
                    return trail
                if rule not in seen:
                    seen.add(rule)
                    onward.append([*trail, rule])
        trails = onward
    return []


def _reached(start: str, after: dict[str, list[str]]) -> set[str]:
    seen: set[str] = set()
    waiting = [start]
    while waiting:
        for rule in after[waiting.pop()]:
            if rule not in seen:
                seen.add(rule)
                waiting.append(rule)
    return seen


def strata(book: Rulebook) -> dict[str, int]:
    """The stratum of every rule, 0 first. Only derive rules make facts; all other kinds come after every derive.

    Raises ValueError where rules feed themselves (see `loops`): there is no such order then.
    """
    derives = _derives(book)
    feeds = _feeds(book, derives)
    under_way: set[str] = set()

    @lru_cache(None)
    def of(rule: str) -> int:
        if rule in under_way:
            raise ValueError(f"rules feed themselves: {', '.join(sorted(under_way))}")
        under_way.add(rule)
        level = max((of(maker) + by_silence for maker, by_silence in feeds[rule].items()), default=0)
        under_way.discard(rule)
        return level

    level = {rule: of(rule) for rule in derives}
    last = max(level.values(), default=-1) + 1
    for rule in book.conditions:
        level.setdefault(rule, last)
    return level
