"""Weights of evidence in decibans from natural frequencies (I. J. Good's unit: 10 log10 of a likelihood ratio)."""

from __future__ import annotations

import math
from typing import Iterable, Sequence

from assistant.records import Firing, Known, Weight
from assistant.rulebook.book import WEIGHING, Rulebook


def decibans(seen: float, otherwise: float, confidence: float = 1.0, denial: bool = False) -> float:
    """10 log10 of how much likelier the sign is with the fault than without.

    `seen` and `otherwise` are per 100, inside (0, 100). A denial takes the complement of both. Confidence c mixes
    the frequency with `otherwise`: what is only half believed is worth less. Raises ValueError out of range.
    """
    if not (0 < seen < 100 and 0 < otherwise < 100 and 0 <= confidence <= 1):
        raise ValueError("frequencies lie between 0 and 100, confidence between 0 and 1")
    if denial:
        seen, otherwise = 100 - seen, 100 - otherwise
    return 10 * math.log10((confidence * seen + (1 - confidence) * otherwise) / otherwise)


def emphasis(book: Rulebook, facts: Sequence[Known]) -> float:
    """How many times its plain weight a firing counts: the mean over its facts of what telling them unasked is worth.

    What people bring up of their own accord is what struck them as out of the ordinary; the settings `unasked-sign`,
    `unasked-history`, ... say how much more that tells than the same words as an answer. 1 where they are not set.
    """
    if not facts:
        return 1.0
    worth = [book.setting(f"unasked-{book.facts[f.topic].about}", 1.0) if f.unasked and f.topic in book.facts else 1.0 for f in facts]
    return math.fsum(worth) / len(worth)


def weigh(book: Rulebook, firings: Iterable[Firing], hypotheses: Iterable[str]) -> tuple[Weight, ...]:
    """Every weight of every firing for the faults that exist on this machine, covered ones marked.

    A weight is covered when a rule that fired replaces its rule, or when another rule of the same aspect says
    something stronger about the same fault. Order: by rule id, then by fault.
    """
    possible = set(hypotheses)
    fired = [f for f in firings if f.kind in WEIGHING]
    replaced = _replaced(book, [f.rule for f in fired if not f.denial])
    times = {id(f): emphasis(book, f.facts) for f in fired}
    plain = [
        (f.rule, fault, times[id(f)] * decibans(seen, book.rules[f.rule].otherwise or 50, f.confidence, f.denial), times[id(f)])
        for f in fired for fault, seen in book.rules[f.rule].seen_in.items() if fault in possible
    ]
    strongest: dict[tuple[str, str], tuple[float, str]] = {}
    for rule, fault, value, _ in plain:
        aspect = book.rules[rule].aspect
        if aspect and rule not in replaced:
            best = strongest.get((aspect, fault))
            if best is None or (abs(value), rule) > (abs(best[0]), best[1]):
                strongest[aspect, fault] = (value, rule)
    result = []
    for rule, fault, value, told in plain:
        aspect = book.rules[rule].aspect
        covered = replaced.get(rule)
        if covered is None and aspect and strongest[aspect, fault][1] != rule:
            covered = strongest[aspect, fault][1]
        result.append(Weight(rule, fault, value, covered, told))
    return tuple(sorted(result, key=lambda w: (w.rule, w.fault)))


def _replaced(book: Rulebook, fired: list[str]) -> dict[str, str]:
    """rule -> the fired rule that replaces it; what a replaced rule replaces stays replaced."""
    result: dict[str, str] = {}
    for rule in sorted(fired):
        for other in book.rules[rule].replaces:
            result.setdefault(other, rule)
    return result
