"""Whether a condition holds over a set of facts: for priors and proofs, and as a second opinion on the engine."""

from __future__ import annotations

from typing import Iterable, Mapping

from assistant.records import Known
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within

Index = Mapping[str, list[Known]]


def index(facts: Iterable[Known]) -> dict[str, list[Known]]:
    """Facts by topic."""
    result: dict[str, list[Known]] = {}
    for fact in facts:
        result.setdefault(fact.topic, []).append(fact)
    return result


def holds(condition: Condition, facts: Index) -> bool:
    """Evaluate by plain recursion: no rule order, no engine."""
    if isinstance(condition, Not):
        return not holds(condition.inner, facts)
    if isinstance(condition, All):
        return all(holds(part, facts) for part in condition.parts)
    if isinstance(condition, Any_):
        return any(holds(part, facts) for part in condition.parts)
    told = facts.get(condition.topic, [])
    if isinstance(condition, Is):
        return any(not f.denied and f.value in condition.values for f in told)
    if isinstance(condition, Within):
        return any(not f.denied and f.number is not None and condition.holds(f.number) for f in told)
    if isinstance(condition, Denied):
        return any(f.denied and f.value in condition.values for f in told)
    assert isinstance(condition, Unknown)
    return not any(not f.denied for f in told)
