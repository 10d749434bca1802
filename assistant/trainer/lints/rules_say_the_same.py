"""Two rules that say the same.

Either they wait for the same and weigh the same faults (or conclude, lack or hold back the same), so that one thing
counts twice; or they carry one and the same sentence, so that nobody can tell in an account which of them spoke.

Bad:
    rules:
      dead-lamp-once:
        kind: evidence
        says: A dead lamp and slow turning point at the joint.
        when: {all: [{lamp: dead}, {turning: slow}]}
        seen-in: {joint-bad: 50}
        otherwise: 5
        source: common-practice
      dead-lamp-twice:
        kind: evidence
        says: Slow turning with a dead lamp points at the joint.
        when: {turning: slow, lamp: dead}
        seen-in: {joint-bad: 45}
        otherwise: 5
        source: common-practice

Good:
    rules:
      dead-lamp-once:
        kind: evidence
        says: A dead lamp and slow turning point at the joint.
        when: {all: [{lamp: dead}, {turning: slow}]}
        seen-in: {joint-bad: 50}
        otherwise: 5
        source: common-practice
"""

from __future__ import annotations

from itertools import combinations
from typing import Iterator

from assistant.rulebook.book import WEIGHING
from assistant.rulebook.conditions import Is
from assistant.rulebook.models import Rule
from assistant.trainer.branching import Normal, normal
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "rules-say-the-same"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each pair, at the later rule."""
    alike: dict[Normal, list[Rule]] = {}
    spoken: dict[str, Rule] = {}
    for rule in view.book.rules.values():
        if rule.id in view.branches:
            alike.setdefault(normal(view.branches[rule.id]), []).append(rule)
        words = " ".join(rule.says.lower().split())
        first = spoken.setdefault(words, rule)
        if first is not rule:
            yield Finding(view.at("rules", rule.id, "says"), f"'{rule.id}' carries the same sentence as '{first.id}' at {first.file}:{first.line}.",
                          "say in one of them what sets it apart, or merge the two.")
    for group in alike.values():
        for first, second in combinations(group, 2):
            same = _shared(view, first, second)
            if same:
                yield Finding(view.at("rules", second.id), f"'{second.id}' and '{first.id}' at {first.file}:{first.line} wait for the same and both {same}.",
                              "merge the two rules, or give one of them a further condition.")


def _shared(view: View, first: Rule, second: Rule) -> str | None:
    """What both of two rules with one condition say."""
    if first.kind in WEIGHING and second.kind in WEIGHING:
        if all(isinstance(view.book.conditions[r.id], Is) for r in (first, second)):
            return None  # the loader complains of these
        faults = sorted(set(first.seen_in) & set(second.seen_in))
        return f"weigh '{faults[0]}'" if faults else None
    if first.kind != second.kind:
        return None
    if first.then and {k: str(v) for k, v in first.then.items()}.items() & {k: str(v) for k, v in second.then.items()}.items():
        topic = next(t for t in first.then if t in second.then)
        return f"conclude '{topic}'"
    parts = sorted(set(first.lacks) & set(second.lacks) | set(first.has) & set(second.has))
    if parts:
        return f"speak of the part '{parts[0]}'"
    if first.blocks and first.blocks == second.blocks:
        return "hold back the same steps"
    return None
