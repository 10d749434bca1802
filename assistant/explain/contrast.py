"""Two faults side by side: what sets them apart, and what is missing for the one behind.

Between two faults the difference of their weights does not move when the others move, so the rows and the prior add up to
the ratio of the two probabilities (I. J. Good's pairwise weight of evidence).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Iterable

from assistant.explain.lift import open_answers
from assistant.records import Firing, Known, Ranking
from assistant.rulebook.book import Rulebook

_EXPECTED = 60.0  # of 100 with the fault: a sign that most of them show is missed while nobody has told it
_TELLING = 3.0  # decibans: less is no sign worth naming


@dataclass(frozen=True, slots=True)
class Contrast:
    """What one rule says for the first fault less what it says for the second. Covered weights are not in it."""

    rule: str
    says: str
    difference: float  # decibans, above 0 speaks for the first
    first: float  # of 100 with the first fault
    second: float  # of 100 with the second


def contrast(book: Rulebook, ranking: Ranking, firings: Iterable[Firing], first: str, second: str) -> tuple[float, list[Contrast]]:
    """(decibans by which the prior favours the first, rules by how far they set the two apart, widest first)."""
    score: dict[str, float] = {}
    for weight in ranking.weights:
        if weight.counts and weight.fault in (first, second):
            score[weight.rule] = score.get(weight.rule, 0.0) + (weight.decibans if weight.fault == first else -weight.decibans)
    denied = {f.rule for f in firings if f.denial}
    share = lambda rule, fault: 100 - book.per_100(rule, fault) if rule in denied else book.per_100(rule, fault)  # noqa: E731
    prior = 10 * math.log10(ranking.priors[first] / ranking.priors[second])
    rows = [Contrast(rule, book.rules[rule].says, value, share(rule, first), share(rule, second))
            for rule, value in score.items() if abs(value) > 1e-9]
    rows.sort(key=lambda c: (-abs(c.difference), c.rule))
    return prior, rows


@dataclass(frozen=True, slots=True)
class Missing:
    """A sign that most machines with the fault show and that nobody has spoken of."""

    topic: str
    value: str
    seen: float
    otherwise: float
    direct: bool  # a direct test of this very fault


def missing(book: Rulebook, fault: str, known: Iterable[Known], absent_parts: frozenset[str]) -> list[Missing]:
    """What would be expected with the fault and is not known: direct tests first, then by decibans."""
    told = list(known)
    rows: dict[tuple[str, str], tuple[float, Missing]] = {}
    for topic, value in open_answers(book, told, absent_parts):
        rule = book.rules.get(book.single.get(topic, {}).get(value, ""))
        if rule is None or fault not in rule.seen_in:
            continue
        seen, otherwise = rule.seen_in[fault], rule.otherwise or 50.0
        gain = 10 * math.log10(seen / otherwise)
        direct = rule.kind == "show"
        if gain > _TELLING and (direct or seen >= _EXPECTED):
            rows[topic, value] = (gain, Missing(topic, value, seen, otherwise, direct))
    return [m for _, m in sorted(rows.values(), key=lambda r: (not r[1].direct, -r[0], r[1].topic, r[1].value))]
