"""Why a fault stands where it stands: rules in the order they fired, down to somebody's words, in decibans that add up by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Iterable, Sequence

from assistant.explain.grounds import GIVEN, Ground, grounds, own_ranges
from assistant.records import Firing, Known, Ranking, Weight
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Within

MOST_FOR, MOST_AGAINST = 3, 2  # what a short account shows
SILENT = 0.05  # decibans: less rounds to nothing


@dataclass(frozen=True, slots=True)
class Reason:
    """One rule that spoke of a fault: its sentence, what it weighs, and whose words stand under it."""

    rule: str
    kind: str
    says: str
    because: str
    decibans: float
    covered_by: str | None
    covered_how: str  # '' | replaced | same aspect
    seen: float  # of 100 with the fault; the complement for a denial
    otherwise: float  # of 100 of the others
    denial: bool
    confidence: float
    turn: int  # of the fact that completed it; -1 where all was given at the start
    grounds: tuple[Ground, ...]
    ranges: tuple[Within, ...]  # limits that the rule itself sets
    file: str
    line: int
    source: tuple[str, ...]
    emphasis: float = 1.0  # times its plain weight, since it was told unasked

    @property
    def counts(self) -> bool:
        """Whether it is part of the sum."""
        return self.covered_by is None


@dataclass(frozen=True, slots=True)
class Account:
    """Prior plus counted reasons is the score; the scores of all hypotheses, normalised, are the probabilities."""

    fault: str
    probability: float
    standing: str
    prior: float
    prior_decibans: float
    reasons: tuple[Reason, ...]  # in the order in which the rules fired, the covered ones among them
    tried_decibans: float  # a repair that did not help
    score: float
    normal: float  # decibans taken off every hypothesis so that the probabilities sum to 1

    @property
    def counted(self) -> tuple[Reason, ...]:
        """The reasons that are part of the sum."""
        return tuple(r for r in self.reasons if r.counts)

    @property
    def covered(self) -> tuple[Reason, ...]:
        """The reasons that another one speaks for."""
        return tuple(r for r in self.reasons if not r.counts)

    @property
    def adds_up(self) -> bool:
        """The posterior, in decibans of share, is prior plus reasons less the normal."""
        total = self.prior_decibans + sum(r.decibans for r in self.counted) + self.tried_decibans
        return math.isclose(total, self.score, abs_tol=1e-9) and math.isclose(
            10 * math.log10(max(self.probability, 1e-300)), self.score - self.normal, abs_tol=1e-6)

    def short(self) -> tuple[tuple[Reason, ...], tuple[Reason, ...], float]:
        """(the heaviest reasons for it, the heaviest against it, decibans of all the other counted ones together)."""
        heavy = sorted(self.counted, key=lambda r: (-abs(r.decibans), r.rule))
        speaks_for = tuple(r for r in heavy if r.decibans > SILENT)[:MOST_FOR]
        against = tuple(r for r in heavy if r.decibans < -SILENT)[:MOST_AGAINST]
        shown = {id(r) for r in (*speaks_for, *against)}
        return speaks_for, against, sum(r.decibans for r in self.counted if id(r) not in shown)


def account(book: Rulebook, ranking: Ranking, firings: Iterable[Firing], fault: str, known: Sequence[Known] = (),
            tried: float = 0.0) -> Account | None:
    """The account of one fault; None where it does not exist on this machine.

    `known` are the facts told and derived, for the limits under the readings. `tried` is the weight, in decibans, of a
    repair of this fault that did not help.
    """
    standing = ranking.of(fault)
    if standing is None:
        return None
    firings = list(firings)
    speaking = {f.rule: f for f in firings}
    reasons = [_reason(book, w, speaking[w.rule], firings, known) for w in ranking.weights if w.fault == fault and w.rule in speaking]
    reasons.sort(key=lambda r: (r.turn, not r.counts, -abs(r.decibans), r.rule))
    prior = 10 * math.log10(ranking.priors[fault])
    score = prior + sum(r.decibans for r in reasons if r.counts) + tried
    # From the one hypothesis that no rule speaks of, not from this fault's own share: so that the sum is a check, not an echo.
    normal = 10 * math.log10(max(1 - math.fsum(ranking.priors.values()), 1e-300) / max(ranking.unlisted, 1e-300))
    return Account(fault, standing.probability, standing.standing, ranking.priors[fault], prior, tuple(reasons), tried, score, normal)


def tried_decibans(book: Rulebook, fault: str, failed: Iterable[str]) -> float:
    """What a repair that did not help weighs against its fault: 10 log10 of how often it fails on the right fault."""
    return 10 * math.log10(1 - book.faults[fault].repair.cures / 100) if fault in book.faults and fault in set(failed) else 0.0


def _reason(book: Rulebook, weight: Weight, firing: Firing, firings: list[Firing], known: Sequence[Known]) -> Reason:
    rule = book.rules[weight.rule]
    seen, otherwise = book.per_100(rule.id, weight.fault), rule.otherwise or 50.0
    if firing.denial:
        seen, otherwise = 100 - seen, 100 - otherwise
    how = ""
    if weight.covered_by:
        how = "replaced" if rule.id in book.rules[weight.covered_by].replaces else "same aspect"
    turn = max((f.turn for f in firing.facts if f.words != GIVEN), default=-1)
    return Reason(rule.id, rule.kind, rule.says, rule.because, weight.decibans, weight.covered_by, how, seen, otherwise, firing.denial,
                  firing.confidence, turn, grounds(book, known, firings, firing.facts), own_ranges(book, rule.id), rule.file, rule.line,
                  tuple(rule.source), weight.emphasis)
