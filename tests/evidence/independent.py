"""The posterior reckoned another way: exact fractions, straight from what DEVELOPERS.md says the numbers in the files mean.

Shares no code with assistant/evidence but the records. What it takes from the engine is only which rules fired, on what.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Iterable, Mapping

from assistant.records import Firing, Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.evaluate import holds, index

UNLISTED = "unlisted"
_WEIGHING = ("evidence", "show", "rule-out", "disturbed")


def exact(number: float) -> Fraction:
    """A decimal as it is written in the files."""
    return Fraction(str(float(number)))


def likelihood(seen: float, otherwise: float, confidence: float, denial: bool) -> Fraction:
    """How much likelier the sign is with the fault than with others, for a sign that is believed with this confidence."""
    with_fault, without = exact(seen), exact(otherwise)
    if denial:
        with_fault, without = 100 - with_fault, 100 - without
    sure = exact(confidence)
    return (sure * with_fault + (1 - sure) * without) / without


def present(book: Rulebook, firings: Iterable[Firing]) -> set[str]:
    """The faults that exist on this machine: none of their parts is lacking."""
    fired = [book.rules[f.rule] for f in firings if f.kind == "applies"]
    lacking = {part for rule in fired for part in rule.lacks} - {part for rule in fired for part in rule.has}
    return {fault.id for fault in book.faults.values() if not lacking & set(fault.parts)}


def counted(book: Rulebook, firings: Iterable[Firing]) -> dict[tuple[str, str], Fraction]:
    """(rule, fault) -> likelihood ratio, for every weight that counts: not replaced, and the strongest of its aspect."""
    firings = [f for f in firings if f.kind in _WEIGHING]
    replaced = {other for f in firings if not f.denial for other in book.rules[f.rule].replaces}
    ratios = {(f.rule, fault): likelihood(seen, book.rules[f.rule].otherwise, f.confidence, f.denial)
              for f in firings if f.rule not in replaced for fault, seen in book.rules[f.rule].seen_in.items()}
    best: dict[tuple[str, str], tuple[Fraction, str]] = {}
    for (rule, fault), ratio in ratios.items():
        aspect = book.rules[rule].aspect
        if aspect:
            strength = max(ratio, 1 / ratio)
            best[aspect, fault] = max(best.get((aspect, fault), (Fraction(0), "")), (strength, rule))
    return {(rule, fault): ratio for (rule, fault), ratio in ratios.items()
            if not book.rules[rule].aspect or best[book.rules[rule].aspect, fault][1] == rule}


def common(book: Rulebook, facts: Iterable[Known], faults: Iterable[str]) -> dict[str, Fraction]:
    """Per 1000 no-starts, by the last line whose condition holds."""
    told = index(facts)
    result = {}
    for fault in faults:
        lines = [line for line, (_, where) in zip(book.faults[fault].per_1000, book.priors[fault]) if where is None or holds(where, told)]
        if lines:
            result[fault] = exact(lines[-1].usually)
    return result


def posterior(book: Rulebook, facts: Iterable[Known], firings: Iterable[Firing], tried: Mapping[str, float] | None = None) -> dict[str, Fraction]:
    """Every hypothesis of this machine with its share, exactly; they sum to 1."""
    firings = list(firings)
    mass = common(book, facts, present(book, firings))
    for (_, fault), ratio in counted(book, firings).items():
        if fault in mass:
            mass[fault] *= ratio
    for fault, cures in (tried or {}).items():
        if fault in mass:
            mass[fault] *= 1 - exact(cures) / 100
    mass[UNLISTED] = exact(book.setting("unlisted-per-1000", 30.0))
    whole = sum(mass.values())
    return {fault: value / whole for fault, value in mass.items()}
