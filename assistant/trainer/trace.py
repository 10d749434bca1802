"""Why a rule fired or stayed silent: its condition, part by part, each marked as it stood, with what was known instead."""

from __future__ import annotations

from typing import Iterable

from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within
from assistant.rulebook.evaluate import holds, index


def trace(book: Rulebook, rule_id: str, known: Iterable[Known]) -> list[str]:
    """Lines, outermost part first. 'yes' and 'no' say whether a part held."""
    told = index(known)
    rule = book.rules[rule_id]
    lines = [f"{rule_id}  ({rule.file}:{rule.line})"]
    if rule_id in book.conditions:
        lines += _part(book, book.conditions[rule_id], told, 1)
    made = [t for t in rule.then if not book.many(t) and any(not k.denied and k.by_rule is None for k in told.get(t, []))]
    if made:
        lines.append(f"  no   '{made[0]}' was said by somebody, and that beats what a rule concludes")
    return lines


def _part(book: Rulebook, condition: Condition, told: dict[str, list[Known]], depth: int) -> list[str]:
    mark = "yes" if holds(condition, told) else "no "
    indent = "  " * depth
    if isinstance(condition, (All, Any_)):
        name = "all of" if isinstance(condition, All) else "any of"
        return [f"{indent}{mark}  {name}", *(line for part in condition.parts for line in _part(book, part, told, depth + 1))]
    if isinstance(condition, Not):
        return [f"{indent}{mark}  not", *_part(book, condition.inner, told, depth + 1)]
    return [f"{indent}{mark}  {_words(condition)}{_instead(condition, told)}"]


def _words(condition: Condition) -> str:
    if isinstance(condition, Is):
        return f"{condition.topic}: {' or '.join(condition.values)}"
    if isinstance(condition, Within):
        names = (("at least", condition.at_least), ("above", condition.above), ("at most", condition.at_most), ("below", condition.below))
        return f"{condition.topic} {' and '.join(f'{n} {v:g}' for n, v in names if v is not None)}"
    if isinstance(condition, Denied):
        return f"denied {condition.topic}: {' or '.join(condition.values)}"
    assert isinstance(condition, Unknown)
    return f"unknown {condition.topic}"


def _instead(condition: Condition, told: dict[str, list[Known]]) -> str:
    """What was known of the topic, with the rule that concluded it."""
    facts = told.get(condition.topic, [])  # type: ignore[union-attr]
    if not facts:
        return "   (nothing is known of it)"
    return "   (" + "; ".join(_fact(f) for f in facts) + ")"


def _fact(fact: Known) -> str:
    number = f" {fact.number:g}" if fact.number is not None else ""
    return f"{'not ' if fact.denied else ''}{fact.value}{number}" + (f", by {fact.by_rule}" if fact.by_rule else "")
