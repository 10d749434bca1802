"""Which parts a machine may turn out to lack, and the question that would tell."""

from __future__ import annotations

from assistant.rulebook.book import Rulebook
from assistant.rulebook.evaluate import holds, index


def gates(book: Rulebook) -> dict[str, list[tuple[str, float]]]:
    """part -> machine facts that may show it lacking, with the share of machines on which they do."""
    result: dict[str, list[tuple[str, float]]] = {}
    applies = [r for r in book.rules.values() if r.kind == "applies" and r.id in book.conditions]
    for fact in book.facts.values():
        total = sum(fact.shares.values())
        chance: dict[str, float] = {}
        for value, share in fact.shares.items():
            from assistant.records import Known

            told = index([Known(fact.id, value)])
            lacks: set[str] = set()
            for rule in applies:
                if holds(book.conditions[rule.id], told):
                    lacks |= set(rule.lacks)
            for part in lacks:
                chance[part] = chance.get(part, 0.0) + share / total
        for part, share in chance.items():
            result.setdefault(part, []).append((fact.id, share))
    return result
