"""When little is left standing: which earlier test is the cheapest to doubt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Callable, Iterable

from assistant.planning.costs import to_open
from assistant.records import Known, Ranking
from assistant.rulebook.book import Rulebook


@dataclass(frozen=True, slots=True)
class Suspect:
    """A past test worth repeating: what it said, how often it is spoilt, and what would lead without it."""

    check: str
    outcome: str
    spoils: float  # of 100
    minutes: float
    leader: str
    probability: float  # of the leader without the test
    slip: str  # the slip that spoils it most often


def cheapest_to_doubt(book: Rulebook, known: Iterable[Known], ranking: Ranking, opened: frozenset[str],
                      without: Callable[[str], Ranking]) -> list[Suspect]:
    """Past checks in the order in which doubting them pays: chance of a slip times what it would change, per minute.

    `without(check)` gives the ranking as if that check had not been done.
    """
    now = {s.fault: s.probability for s in ranking.standings}
    rows: list[tuple[float, Suspect]] = []
    for fact in known:
        check = book.checks.get(fact.topic)
        if check is None or fact.denied or fact.by_rule is not None:
            continue
        other = without(fact.topic)
        if not other.standings:
            continue
        leader = max(other.standings, key=lambda s: (s.probability - now.get(s.fault, 0.0), s.fault))
        change = leader.probability - now.get(leader.fault, 0.0)
        clean = 1.0
        for slip in check.slips:
            clean *= 1 - slip.spoils / 100
        spoils = max(1 - clean, 0.01)
        minutes = check.minutes + to_open(book, check.access, opened)[0]
        worst = max(check.slips, key=lambda s: s.spoils).what if check.slips else ""
        rows.append((spoils * max(change, 0.0) / max(minutes, 0.5),
                     Suspect(fact.topic, fact.value, spoils * 100, minutes, leader.fault, leader.probability, worst)))
    rows.sort(key=lambda r: (-r[0], r[1].check))
    return [suspect for score, suspect in rows if score > 1e-6]
