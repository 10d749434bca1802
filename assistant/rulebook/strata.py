"""In which order rules may be tried: a rule that needs something to be absent waits for all that could derive it."""

from __future__ import annotations

from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import negated_topics, topics


def cycle_of(book: Rulebook) -> list[str]:
    """Derive rules that feed one another round in a circle, in the order they do; empty when there are none."""
    derives = {r.id: r for r in book.rules.values() if r.kind == "derive" and r.id in book.conditions}
    makers: dict[str, list[str]] = {}
    for rule in derives.values():
        for topic in rule.then:
            makers.setdefault(topic, []).append(rule.id)
    feeds = {rule_id: sorted({m for t in topics(book.conditions[rule_id]) for m in makers.get(t, [])
                              if _can_feed(book, m, rule_id)}) for rule_id in derives}
    state: dict[str, int] = {}
    for start in sorted(derives):
        loop = _visit(start, feeds, state, [])
        if loop:
            return loop
    return []


def _can_feed(book: Rulebook, maker: str, user: str) -> bool:
    """Whether what one rule concludes can matter to another's condition: same topic and a value it names."""
    from assistant.rulebook.conditions import Is, walk

    made = book.rules[maker].then
    for node in walk(book.conditions[user]):
        topic = getattr(node, "topic", None)
        if topic in made and (not isinstance(node, Is) or str(made[topic]) in node.values):
            return True
    return False


def _visit(rule: str, feeds: dict[str, list[str]], state: dict[str, int], trail: list[str]) -> list[str]:
    if state.get(rule) == 2:
        return []
    if state.get(rule) == 1:
        return trail[trail.index(rule):]
    state[rule] = 1
    for maker in feeds[rule]:
        loop = _visit(maker, feeds, state, [*trail, rule])
        if loop:
            return loop
    state[rule] = 2
    return []


def strata(book: Rulebook) -> dict[str, int]:
    """The stratum of every rule, 0 first. Only derive rules make facts; all other kinds come after every derive.

    Assumes that `cycle_of` found nothing.
    """
    derives = [r.id for r in book.rules.values() if r.kind == "derive" and r.id in book.conditions]
    makers: dict[str, list[str]] = {}
    for rule_id in derives:
        for topic in book.rules[rule_id].then:
            makers.setdefault(topic, []).append(rule_id)
    level: dict[str, int] = {}

    def of(rule_id: str) -> int:
        if rule_id not in level:
            level[rule_id] = 0  # guards against values of one topic that feed one another harmlessly
            condition = book.conditions[rule_id]
            negated = negated_topics(condition)
            best = 0
            for topic in topics(condition):
                for maker in makers.get(topic, []):
                    if maker != rule_id:
                        best = max(best, of(maker) + (1 if topic in negated else 0))
            level[rule_id] = best
        return level[rule_id]

    for rule_id in sorted(derives):
        of(rule_id)
    last = max(level.values(), default=-1) + 1
    for rule_id in book.conditions:
        level.setdefault(rule_id, last)
    return level
