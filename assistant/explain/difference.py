"""Two rankings side by side: what moved, by which rules, in decibans that add up. For what-if, and for two machines."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Iterable, Mapping

from assistant.records import Firing, Ranking


@dataclass(frozen=True, slots=True)
class Change:
    """One fault before and after; None where it does not exist on the machine then."""

    fault: str
    before: float | None
    after: float | None

    @property
    def moved(self) -> float:
        """How far, as a share."""
        return (self.after or 0.0) - (self.before or 0.0)


@dataclass(frozen=True, slots=True)
class Difference:
    """What an answer would change. Rules by id, in their order."""

    changes: tuple[Change, ...]  # what moved most first
    unlisted: tuple[float, float]
    leaders: tuple[str | None, str | None]
    gained: tuple[str, ...]
    lost: tuple[str, ...]


def difference(before: Ranking, after: Ranking, fired_before: Iterable[Firing], fired_after: Iterable[Firing]) -> Difference:
    """From one ranking to another."""
    old = {s.fault: s.probability for s in before.standings}
    new = {s.fault: s.probability for s in after.standings}
    changes = [Change(fault, old.get(fault), new.get(fault)) for fault in {**old, **new}]
    changes.sort(key=lambda c: (-abs(c.moved), -(c.after or 0.0), c.fault))
    first, second = {f.rule for f in fired_before}, {f.rule for f in fired_after}
    return Difference(tuple(changes), (before.unlisted, after.unlisted), (_leader(before), _leader(after)),
                      tuple(sorted(second - first)), tuple(sorted(first - second)))


def _leader(ranking: Ranking) -> str | None:
    return ranking.standings[0].fault if ranking.standings else None


@dataclass(frozen=True, slots=True)
class Shift:
    """Why one fault stands higher in the second ranking: prior, rules, repairs and the common term, in decibans.

    `prior` + the rules + `tried` - `normal` = `total`, which is 10 log10 of the two probabilities' ratio.
    """

    fault: str
    prior: float
    rules: tuple[tuple[str, float, float], ...]  # rule, what it weighs first, what it weighs second; widest difference first
    tried: float
    normal: float
    total: float


def shift(first: Ranking, second: Ranking, fault: str, tried: Mapping[str, tuple[float, float]] | None = None) -> Shift | None:
    """None where the fault does not exist on both. `tried` gives what a failed repair weighs in the first and in the second."""
    one, two = first.of(fault), second.of(fault)
    if one is None or two is None:
        return None
    weights = [{w.rule: w.decibans for w in ranking.weights if w.counts and w.fault == fault} for ranking in (first, second)]
    rows = [(rule, weights[0].get(rule, 0.0), weights[1].get(rule, 0.0)) for rule in sorted({*weights[0], *weights[1]})]
    rows = [row for row in rows if abs(row[2] - row[1]) > 1e-9]
    rows.sort(key=lambda r: (-abs(r[2] - r[1]), r[0]))
    prior = 10 * math.log10(second.priors[fault] / first.priors[fault])
    before, after = (tried or {}).get(fault, (0.0, 0.0))
    total = 10 * math.log10(max(two.probability, 1e-300) / max(one.probability, 1e-300))
    return Shift(fault, prior, tuple(rows), after - before, prior + sum(b - a for _, a, b in rows) + after - before - total, total)
