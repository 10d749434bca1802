"""Why a fault stands where it stands, and why another does not: decibans that add up by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Iterable

from assistant.records import Firing, Known, Ranking, Weight
from assistant.rulebook.book import Rulebook


@dataclass(frozen=True, slots=True)
class Reason:
    """One rule that spoke of a fault: its sentence, what it weighs, and whose words stand under it."""

    rule: str
    kind: str
    says: str
    because: str
    decibans: float
    counts: bool
    covered_by: str | None
    covered_how: str  # '' | replaced | same aspect
    seen: float  # of 100 with the fault
    otherwise: float  # of 100 of the others
    denial: bool
    confidence: float
    facts: tuple[Known, ...]
    file: str
    line: int
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Account:
    """Prior plus counted reasons is the score; scores of all hypotheses, normalised, are the probabilities."""

    fault: str
    probability: float
    prior: float
    prior_decibans: float
    reasons: tuple[Reason, ...]  # counted first, heaviest first; then the covered ones
    tried_decibans: float  # a repair that did not help
    score: float
    normal: float  # decibans taken off every hypothesis so that probabilities sum to 1

    @property
    def adds_up(self) -> bool:
        """The posterior, in decibans of share, is prior plus reasons less the normal."""
        total = self.prior_decibans + sum(r.decibans for r in self.reasons if r.counts) + self.tried_decibans
        return math.isclose(total, self.score, abs_tol=1e-9) and math.isclose(
            10 * math.log10(max(self.probability, 1e-300)), self.score - self.normal, abs_tol=1e-6)


def account(book: Rulebook, ranking: Ranking, firings: Iterable[Firing], fault: str, tried: float = 0.0) -> Account | None:
    """The account of one fault; None when it does not exist on this machine. `tried` is the weight of a repair that failed."""
    standing = ranking.of(fault)
    if standing is None:
        return None
    by_rule = {(f.rule): f for f in firings}
    reasons = [_reason(book, w, by_rule[w.rule]) for w in ranking.weights if w.fault == fault and w.rule in by_rule]
    reasons.sort(key=lambda r: (not r.counts, -abs(r.decibans), r.rule))
    prior = 10 * math.log10(ranking.priors[fault])
    score = prior + sum(r.decibans for r in reasons if r.counts) + tried
    normal = score - 10 * math.log10(max(standing.probability, 1e-300))
    return Account(fault, standing.probability, ranking.priors[fault], prior, tuple(reasons), tried, score, normal)


def _reason(book: Rulebook, weight: Weight, firing: Firing) -> Reason:
    rule = book.rules[weight.rule]
    seen, otherwise = book.per_100(rule.id, weight.fault), rule.otherwise or 50.0
    if firing.denial:
        seen, otherwise = 100 - seen, 100 - otherwise
    how = ""
    if weight.covered_by:
        how = "replaced" if rule.id in book.rules[weight.covered_by].replaces else "same aspect"
    return Reason(rule.id, rule.kind, rule.says, rule.because, weight.decibans, weight.counts, weight.covered_by, how, seen, otherwise,
                  firing.denial, firing.confidence, firing.facts, rule.file, rule.line, tuple(rule.source))


def roots(known: Iterable[Known], firings: Iterable[Firing], fact: Known) -> list[Known]:
    """The told facts under a derived one, so that every conclusion ends at somebody's words."""
    if fact.by_rule is None:
        return [fact]
    under = next((f for f in firings if f.rule == fact.by_rule), None)
    if under is None:
        return [fact]
    result: list[Known] = []
    for parent in under.facts:
        result += roots(known, firings, parent) if parent.key() != fact.key() else []
    return result


@dataclass(frozen=True, slots=True)
class Contrast:
    """Two faults side by side: each rule's weight for the one less its weight for the other."""

    rule: str
    says: str
    difference: float  # above 0 speaks for the first


def contrast(book: Rulebook, ranking: Ranking, first: str, second: str) -> tuple[float, list[Contrast]]:
    """(decibans by which the prior favours the first, rules by how much they separate the two, widest first)."""
    score: dict[str, float] = {}
    for weight in ranking.weights:
        if weight.counts and weight.fault in (first, second):
            sign = 1 if weight.fault == first else -1
            score[weight.rule] = score.get(weight.rule, 0.0) + sign * weight.decibans
    prior = 10 * math.log10(ranking.priors[first] / ranking.priors[second])
    rows = [Contrast(rule, book.rules[rule].says, value) for rule, value in score.items() if abs(value) > 1e-9]
    rows.sort(key=lambda c: (-abs(c.difference), c.rule))
    return prior, rows


def would_lift(book: Rulebook, ranking: Ranking, fault: str, known: Iterable[Known], passed: Iterable[str] = ()) -> list[tuple[str, str, float]]:
    """Single answers not yet given that speak most for a fault against the leader: (topic, value, decibans), best first."""
    told = {k.topic for k in known if not k.denied} | set(passed)
    leader = next((s.fault for s in ranking.standings if s.fault != fault), None)
    rows = []
    for topic, rules in book.single.items():
        if topic in told:
            continue
        for value, rule in rules.items():
            seen = book.per_100(rule, fault)
            other = book.per_100(rule, leader) if leader else (book.rules[rule].otherwise or 50.0)
            gain = 10 * math.log10(seen / other)
            if gain > 3:
                rows.append((topic, value, gain))
    rows.sort(key=lambda r: (-r[2], r[0], r[1]))
    return rows
