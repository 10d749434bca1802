"""A rule that concludes the opposite of what made it fire: another value of a topic that has one value at a time.

Bad:
    rules:
      dim-lamp-is-dark:
        kind: derive
        says: A dim lamp is as good as dark.
        when: {lamp: dim}
        then: {lamp: dead}
        source: common-practice

Good:
    rules:
      dim-lamp-turns-slowly:
        kind: derive
        says: With a dim lamp the starter has no more than a slow turn to give.
        when: {lamp: dim}
        then: {turning: slow}
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.rulebook.conditions import All, Any_, Condition, Is
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "rule-denies-its-condition"
LEVEL = "error"


def check(view: View) -> Iterator[Finding]:
    """One finding for each such rule."""
    for rule in view.book.rules.values():
        condition = view.book.conditions.get(rule.id)
        if rule.kind != "derive" or condition is None:
            continue
        for topic, value in rule.then.items():
            needed = None if view.book.many(topic) else _needed(condition, topic)
            if needed is not None and value not in needed:
                yield Finding(view.at("rules", rule.id, "then", topic),
                              f"'{rule.id}' fires while '{topic}' is {' or '.join(sorted(needed))}, and concludes that it is {value}.",
                              "conclude something of another topic, or make it a rule that weighs faults.")


def _needed(condition: Condition, topic: str) -> frozenset[str] | None:
    """The values the topic must have for the condition to hold; None where it may have any."""
    if isinstance(condition, Is):
        return frozenset(condition.values) if condition.topic == topic else None
    if isinstance(condition, All):
        sets = [s for s in (_needed(part, topic) for part in condition.parts) if s is not None]
        return frozenset.intersection(*sets) if sets else None
    if isinstance(condition, Any_):
        sets = [_needed(part, topic) for part in condition.parts]
        return None if any(s is None for s in sets) or not sets else frozenset().union(*(s for s in sets if s is not None))
    return None
