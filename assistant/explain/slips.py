"""How sure, when every past test is allowed its known rate of slips: an exact mixture over which of them were spoilt.

A spoilt test says nothing: its outcome came as often as in any other machine. Each pattern of spoilt tests has its share
beforehand (the slips of the checks, taken as independent), times how well what is left fits together; the two give its
share afterwards by Bayes. So a test that goes against all the others is suspected more than one that agrees with them.
No random numbers: patterns are gone through from the likeliest down, and what is left out is told. The frequencies of a
direct test reckon with slips to a degree already, so the spread errs on the wide side.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Callable, Iterable, Iterator, Mapping

from assistant.records import Known, Ranking
from assistant.rulebook.book import Rulebook
from assistant.rulebook.models import Check

_LEAST_SPOILT = 0.01  # nobody's test is surer than that
_MASS = 0.995  # patterns are gone through until this share of them, before the evidence, is covered
_AT_LEAST = 32  # but so many of them in any case, since the evidence may speak for a rare one


@dataclass(frozen=True, slots=True)
class Sureness:
    """A fault's probability when tests may have slipped.

    `mean` is its probability over all patterns, `low` to `high` holds it in nine patterns of ten (by share), `now` is what it
    is if none slipped. `spoilt` gives for each past test its chance of a slip beforehand and in the light of all the rest.
    """

    fault: str
    now: float
    mean: float
    low: float
    high: float
    spoilt: Mapping[str, tuple[float, float]]
    patterns: int
    left_out: float  # share of patterns, beforehand, that was not gone through


def spoilt_share(check: Check) -> float:
    """The chance that at least one of the slips of a check happened, the slips taken as independent."""
    clean = 1.0
    for slip in check.slips:
        clean *= 1 - slip.spoils / 100
    return max(1 - clean, _LEAST_SPOILT)


def past_tests(book: Rulebook, facts: Iterable[Known]) -> list[str]:
    """The checks whose outcome counts now, by name."""
    return sorted({f.topic for f in facts if f.topic in book.checks and not f.denied and f.by_rule is None})


def fit(ranking: Ranking) -> float:
    """How well the evidence fits the hypotheses together: the sum over all of prior times likelihood ratio.

    No evidence speaks of the unlisted, so its share shows the sum: its prior over its posterior.
    """
    unlisted = 1 - sum(ranking.priors.values())
    return unlisted / ranking.unlisted if ranking.unlisted > 0 else float("inf")


def sureness(book: Rulebook, facts: Iterable[Known], fault: str, without: Callable[[frozenset[str]], Ranking], most: int = 64) -> Sureness:
    """The spread of one fault. `without(checks)` is the ranking as if these checks had not been done; `most` bounds the patterns."""
    tests = past_tests(book, facts)
    before = {c: spoilt_share(book.checks[c]) for c in tests}
    rows: list[tuple[frozenset[str], float, float]] = []  # pattern, share times fit, probability of the fault
    covered = 0.0
    for pattern, share in patterns(before):
        if len(rows) >= most or covered >= _MASS and len(rows) >= _AT_LEAST:
            break
        ranking = without(pattern)
        standing = ranking.of(fault)
        rows.append((pattern, share * fit(ranking), standing.probability if standing is not None else 0.0))
        covered += share
    whole = sum(weight for _, weight, _ in rows)
    shares = [(probability, weight / whole) for _, weight, probability in rows]
    after = {c: sum(weight for pattern, weight, _ in rows if c in pattern) / whole for c in tests}
    return Sureness(fault, rows[0][2] if rows else 0.0, sum(p * w for p, w in shares), _quantile(shares, 0.05), _quantile(shares, 0.95),
                    {c: (before[c], after[c]) for c in tests}, len(rows), max(1 - covered, 0.0))


def patterns(spoilt: Mapping[str, float]) -> Iterator[tuple[frozenset[str], float]]:
    """Every pattern of spoilt tests with its share, which sum to 1: none spoilt first, then in falling share.

    Each pattern grows from a likelier one (the next test added, or put in place of the last), so a heap gives the order
    without listing all. It falls throughout as long as no test is spoilt more often than not.
    """
    names = sorted(spoilt, key=lambda c: (-spoilt[c] / (1 - spoilt[c]), c))
    odds = [spoilt[c] / (1 - spoilt[c]) for c in names]
    none = 1.0
    for name in names:
        none *= 1 - spoilt[name]
    yield frozenset(), none
    heap: list[tuple[float, tuple[int, ...]]] = []
    if names:
        heappush(heap, (-none * odds[0], (0,)))
    while heap:
        share, chosen = heappop(heap)
        yield frozenset(names[i] for i in chosen), -share
        last = chosen[-1]
        if last + 1 < len(names):
            heappush(heap, (share * odds[last + 1], (*chosen, last + 1)))
            heappush(heap, (share / odds[last] * odds[last + 1], (*chosen[:-1], last + 1)))


def _quantile(shares: list[tuple[float, float]], at: float) -> float:
    """The least value under or at which lies a share of at least `at`."""
    total = 0.0
    for value, share in sorted(shares):
        total += share
        if total >= at - 1e-12:
            return value
    return max((value for value, _ in shares), default=0.0)
