"""Two rules that cannot both be right.

Where the one fires, the other always does too, and they conclude different values of one fact, call one part lacking
and present, or show a fault and rule it out. A more special rule that overrides a general one belongs under `not` in
the general one.

Bad:
    rules:
      quick-turning-means-a-bright-lamp:
        kind: derive
        says: A battery that turns the engine quickly lights the lamp.
        when: {turning: quick}
        then: {lamp: bright}
        source: common-practice
      quick-turning-means-a-dead-lamp:
        kind: derive
        says: All the current goes to the starter, so the lamp is dead.
        when: {turning: quick}
        then: {lamp: dead}
        source: common-practice

Good:
    rules:
      quick-turning-means-a-bright-lamp:
        kind: derive
        says: A battery that turns the engine quickly lights the lamp.
        when: {turning: quick}
        then: {lamp: bright}
        source: common-practice
"""

from __future__ import annotations

from itertools import combinations
from typing import Iterator

from assistant.rulebook.models import Rule
from assistant.trainer.branching import implies
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "rules-contradict"
LEVEL = "error"


def check(view: View) -> Iterator[Finding]:
    """One finding for each pair, at the later rule."""
    for first, second in _pairs(view):
        clash = _clash(view, first, second)
        if clash and (_under(view, first, second) or _under(view, second, first)):
            yield Finding(view.at("rules", second.id), f"{clash} Whenever one fires, so does the other: '{first.id}' at {first.file}:{first.line}.",
                          "give one of them a further condition, or take the wrong one out.")
    for rule in view.book.rules.values():
        both = sorted(set(rule.lacks) & set(rule.has))
        if both:
            yield Finding(view.at("rules", rule.id), f"'{rule.id}' calls the part '{both[0]}' lacking and present.", "keep it in one of the two lists.")


def _pairs(view: View) -> Iterator[tuple[Rule, Rule]]:
    """Rules that speak of one thing, so that they could contradict each other."""
    groups: dict[tuple[str, str], list[Rule]] = {}
    for rule in view.book.rules.values():
        if rule.id in view.branches:
            for topic in rule.then:
                groups.setdefault(("then", topic), []).append(rule)
            for part in (*rule.lacks, *rule.has):
                groups.setdefault(("part", part), []).append(rule)
            if rule.kind in ("show", "rule-out"):
                for fault in rule.seen_in:
                    groups.setdefault(("fault", fault), []).append(rule)
    seen = set()
    for group in groups.values():
        for first, second in combinations(group, 2):
            if first.id != second.id and (first.id, second.id) not in seen:
                seen.add((first.id, second.id))
                yield first, second


def _clash(view: View, first: Rule, second: Rule) -> str | None:
    for topic in first.then:
        if topic in second.then and str(first.then[topic]) != str(second.then[topic]) and not view.book.many(topic):
            return f"'{second.id}' concludes '{topic}: {second.then[topic]}', and another rule concludes '{topic}: {first.then[topic]}'."
    if {first.kind, second.kind} == {"show", "rule-out"}:
        shared = sorted(set(first.seen_in) & set(second.seen_in))
        if shared:
            return f"'{second.id}' {'shows' if second.kind == 'show' else 'rules out'} '{shared[0]}', and another rule {'shows' if first.kind == 'show' else 'rules out'} it."
    if first.kind == second.kind == "applies" and _same(view, first, second):
        parts = sorted(set(first.lacks) & set(second.has) | set(first.has) & set(second.lacks))
        if parts:
            return f"'{second.id}' calls the part '{parts[0]}' {'present' if parts[0] in second.has else 'lacking'}, and another rule calls it {'lacking' if parts[0] in second.has else 'present'}."
    return None


def _same(view: View, first: Rule, second: Rule) -> bool:
    """`has` of a special rule beats `lacks` of a general one by design; a clash needs one and the same condition."""
    return _under(view, first, second) and _under(view, second, first)


def _under(view: View, strong: Rule, weak: Rule) -> bool:
    """Whether the weak rule fires whenever the strong one does."""
    return all(any(implies(a, b) for b in view.branches[weak.id]) for a in view.branches[strong.id])
