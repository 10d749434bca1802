"""What is held back now: the blocks of the caution rules that fired, and what would lift each."""

from __future__ import annotations

from typing import Iterable

from assistant.records import Block, Firing
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Not, Unknown, topics, walk


def blocks(book: Rulebook, firings: Iterable[Firing]) -> tuple[Block, ...]:
    """Every check and repair that a fired caution rule forbids, by id; one block for each, the first rule in id order."""
    result: dict[str, Block] = {}
    for firing in firings:
        rule = book.rules[firing.rule]
        if firing.kind != "caution" or rule.blocks is None:
            continue
        held = {*rule.blocks.checks, *rule.blocks.repairs}.union(*(book.carrying.get(h, ()) for h in rule.blocks.hazards))
        for what in sorted(held):
            result.setdefault(what, Block(what, rule.id, rule.says, rule.until))
    return tuple(result[what] for what in sorted(result))


def all_hazards(book: Rulebook, own: Iterable[str], access: str) -> set[str]:
    """The hazards of a step and of the opening it needs."""
    return book.all_hazards(own, access)


def lifting(book: Rulebook, block: Block, known: Iterable[str]) -> str | None:
    """The fact that lifts a block once it is told: one that the rule needs to be absent, not known yet, that can be asked."""
    condition = book.conditions.get(block.rule)
    if condition is None:
        return None
    told = set(known)
    waiting = {t for node in walk(condition) if isinstance(node, (Not, Unknown)) for t in topics(node)} - told
    return min((t for t in waiting if t in book.facts and book.facts[t].ask), default=None)
