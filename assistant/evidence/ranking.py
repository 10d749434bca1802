"""Priors and weights to shares of belief. One of the hypotheses is always: something not in the files."""

from __future__ import annotations

import math
from typing import Iterable, Mapping

from assistant.records import Firing, Known, Ranking, Standing, Weight
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.evaluate import holds, index

UNLISTED = "unlisted"


def lacking(book: Rulebook, firings: Iterable[Firing]) -> frozenset[str]:
    """Parts that this machine does not have, by the rules of kind applies; `has` beats `lacks`."""
    lacks: set[str] = set()
    has: set[str] = set()
    for firing in firings:
        if firing.kind == "applies":
            lacks.update(book.rules[firing.rule].lacks)
            has.update(book.rules[firing.rule].has)
    return frozenset(lacks - has)


def priors(book: Rulebook, facts: Iterable[Known], absent_parts: frozenset[str]) -> dict[str, float]:
    """How common each fault is on this machine, per 1000 no-starts; faults whose parts are lacking are absent."""
    told = index(facts)
    result: dict[str, float] = {}
    for fault_id in sorted(book.faults):
        if absent_parts.isdisjoint(book.faults[fault_id].parts):
            for per_1000, where in book.priors[fault_id]:
                if where is None or holds(where, told):
                    result[fault_id] = per_1000
    return result


def rank(book: Rulebook, common: Mapping[str, float], weights: tuple[Weight, ...], firings: Iterable[Firing],
         tried: Mapping[str, float] | None = None) -> Ranking:
    """The posterior of every fault on this machine and of the unlisted.

    `common` is per 1000 (from `priors`). `tried` maps a fault whose repair did not help to the chance in 100 that
    the repair would have cured it. Probabilities with `unlisted` sum to 1. Odds are prior plus the counted
    weights, in decibans; normalised with the largest subtracted first, so that no exponent overflows.
    """
    unlisted = book.setting("unlisted-per-1000", 30.0)
    total = sum(common.values()) + unlisted
    score = {fault: 10 * math.log10(value / total) for fault, value in common.items()}
    for weight in weights:
        if weight.counts and weight.fault in score:
            score[weight.fault] += weight.decibans
    for fault, cures in (tried or {}).items():
        if fault in score:
            score[fault] += 10 * math.log10(1 - cures / 100)
    score[UNLISTED] = 10 * math.log10(unlisted / total)
    top = max(score.values())
    mass = {fault: 10 ** ((value - top) / 10) for fault, value in score.items()}
    whole = math.fsum(mass.values())
    share = {fault: value / whole for fault, value in mass.items()}
    fired = list(firings)
    about: dict[str, list[Weight]] = {}
    for weight in weights:
        about.setdefault(weight.fault, []).append(weight)
    standings = [_standing(book, fault, share[fault], common[fault] / total, tuple(about.get(fault, ())), fired, tried or {})
                 for fault in common]
    standings.sort(key=lambda s: (-s.probability, s.fault))
    return Ranking(tuple(standings), share[UNLISTED], weights, {f: v / total for f, v in common.items()})


def _standing(book: Rulebook, fault: str, probability: float, prior: float, weights: tuple[Weight, ...],
              fired: list[Firing], tried: Mapping[str, float]) -> Standing:
    mine = {w.rule for w in weights if w.fault == fault}
    speaking = {w.rule for w in weights if w.fault == fault and _speaks(book, w)}
    kinds = {f.kind for f in fired if f.rule in speaking and not f.denial}
    direct = any(w.fault == fault and w.rule in speaking and _is_direct(book, w) for w in weights)
    if fault in tried:
        word = "repaired"
    elif ("show" in kinds or direct) and probability >= book.setting("shown-least", 0.5):
        word = "shown"
    elif "rule-out" in kinds and probability < book.setting("ruled-out-most", 0.02):
        word = "ruled-out"
    elif probability >= book.setting("likely-least", 0.4):
        word = "likely"
    else:
        word = "suspected"
    return Standing(fault, probability, word, prior, tuple(sorted(mine)))


def _speaks(book: Rulebook, weight: Weight) -> bool:
    """Whether a rule bears on the standing: also one that adds nothing to the sum beside a stronger sign of its aspect."""
    return weight.covered_by is None or weight.rule not in book.rules[weight.covered_by].replaces


def _is_direct(book: Rulebook, weight: Weight) -> bool:
    """Whether a weight comes from the outcome of a check that is the direct test for the fault, and speaks clearly for it."""
    if weight.decibans < book.setting("direct-decibans-least", 8):
        return False
    condition = book.conditions.get(weight.rule)
    return condition is not None and any(weight.fault in book.checks[t].settles for t in topics(condition) if t in book.checks)
