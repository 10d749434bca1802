"""Frequencies that must add up: over the values of one topic, no fault may pass 100 of 100 machines."""

from __future__ import annotations

from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Is
from assistant.rulebook.models import Rule
from assistant.rulebook.source import Path_, Source

_SLACK = 1e-9


def check(book: Rulebook, places: dict[tuple[str, str], tuple[Source, Path_]]) -> None:
    """Complain where two rules claim one value, and where a fault's numbers over a topic's values pass 100."""
    by_topic: dict[str, dict[str, str]] = {}
    for rule_id in book.weighing:
        condition = book.conditions.get(rule_id)
        if not isinstance(condition, Is):
            continue
        for value in condition.values:
            if value not in book.values(condition.topic):  # complained of elsewhere
                continue
            other = by_topic.setdefault(condition.topic, {}).setdefault(value, rule_id)
            if other != rule_id:
                source, path = places["rules", rule_id]
                first = book.rules[other]
                source.complain(path, "value-has-two-rules",
                                f"'{condition.topic}: {value}' is already weighed by '{other}' at {first.file}:{first.line}.",
                                "merge the two rules, or give this one a further condition.")
    for topic, rules in by_topic.items():
        if not book.many(topic):
            _sums(book, topic, sorted({r for r in rules.values() if book.rules[r].otherwise}), places)


def _sums(book: Rulebook, topic: str, rules: list[str], places: dict) -> None:
    faults = sorted({fault for rule in rules for fault in book.rules[rule].seen_in})
    rows: list[tuple[str | None, float]] = [(None, sum(book.rules[r].otherwise for r in rules))]
    rows += [(fault, sum(book.per_100(r, fault) for r in rules)) for fault in faults]
    for fault, total in rows:
        if total <= 100 + _SLACK or fault is not None and fault not in book.faults:  # a fault that is none is complained of elsewhere
            continue
        number = {r: book.rules[r].otherwise if fault is None else book.per_100(r, fault) for r in rules}
        worst = max(rules, key=lambda r: number[r])
        source, path = places["rules", worst]
        parts = [f"'{r}' {number[r]:g} ({_place(book.rules[r], source.file)})" for r in rules]
        place = (*path, "seen-in", fault) if fault and (*path, "seen-in", fault) in source.marks else path
        who = "machines with other faults" if fault is None else f"machines with '{fault}'"
        source.complain(place, "frequencies-over-100",
                        f"Of 100 {who}, these lines place {total:g} under '{topic}': {', '.join(parts)}.",
                        "lower one of them until they make 100 or less"
                        + ("." if fault is None else "; a fault that a rule does not list counts with its 'otherwise'."))


def _place(rule: Rule, here: str) -> str:
    return f"line {rule.line}" if rule.file == here else f"{rule.file}:{rule.line}"
