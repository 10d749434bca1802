"""Weights of evidence in decibans from natural frequencies (I. J. Good's unit: 10 log10 of a likelihood ratio)."""

from __future__ import annotations

import math
from typing import Iterable

from assistant.records import Firing, Weight
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


def weigh(book: Rulebook, firings: Iterable[Firing], hypotheses: Iterable[str]) -> tuple[Weight, ...]:
    """Every weight of every firing for the faults that exist on this machine, covered ones marked.

    A weight is covered when a rule that fired replaces its rule, or when another rule of the same aspect says
    something stronger about the same fault. Order: by rule id, then by fault.
    """
    possible = set(hypotheses)
    fired = [f for f in firings if f.kind in WEIGHING]
    replaced = _replaced(book, [f.rule for f in fired if not f.denial])
    plain = [
        (f.rule, fault, decibans(seen, book.rules[f.rule].otherwise or 50, f.confidence, f.denial))
        for f in fired for fault, seen in book.rules[f.rule].seen_in.items() if fault in possible
    ]
    strongest: dict[tuple[str, str], tuple[float, str]] = {}
    for rule, fault, value in plain:
        aspect = book.rules[rule].aspect
        if aspect and rule not in replaced:
            best = strongest.get((aspect, fault))
            if best is None or (abs(value), rule) > (abs(best[0]), best[1]):
                strongest[aspect, fault] = (value, rule)
    result = []
    for rule, fault, value in plain:
        aspect = book.rules[rule].aspect
        covered = replaced.get(rule)
        if covered is None and aspect and strongest[aspect, fault][1] != rule:
            covered = strongest[aspect, fault][1]
        result.append(Weight(rule, fault, value, covered))
    return tuple(sorted(result, key=lambda w: (w.rule, w.fault)))


def _replaced(book: Rulebook, fired: list[str]) -> dict[str, str]:
    """rule -> the fired rule that replaces it; what a replaced rule replaces stays replaced."""
    result: dict[str, str] = {}
    for rule in sorted(fired):
        for other in book.rules[rule].replaces:
            result.setdefault(other, rule)
    return result
