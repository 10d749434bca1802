"""When little is left standing: which earlier test is the cheapest to doubt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Callable, Iterable

from assistant.explain.slips import fit, past_tests, spoilt_share
from assistant.planning.costs import to_open
from assistant.records import Known, Ranking
from assistant.rulebook.book import Rulebook


@dataclass(frozen=True, slots=True)
class Suspect:
    """A past test worth repeating: what it said, how often it is spoilt, and what would lead without it."""

    check: str
    outcome: str
    spoils: float  # of 100, beforehand
    minutes: float
    leader: str
    probability: float  # of the leader without the test
    slip: str  # the slip that spoils it most often
    here: float = 0.0  # of 100, in the light of all else that is known


def cheapest_to_doubt(book: Rulebook, known: Iterable[Known], ranking: Ranking, opened: frozenset[str],
                      without: Callable[[str], Ranking]) -> list[Suspect]:
    """Past checks in the order in which doubting them pays: chance of a slip times what it would change, per minute.

    `without(check)` gives the ranking as if that check had not been done. The chance of a slip is the known rate
    of the check, moved by how well all the rest fits with and without it.
    """
    now = {s.fault: s.probability for s in ranking.standings}
    facts = list(known)
    outcomes = {f.topic: f.value for f in facts if not f.denied}
    rows: list[tuple[float, Suspect]] = []
    for check_id in past_tests(book, facts):
        check = book.checks[check_id]
        other = without(check_id)
        if not other.standings:
            continue
        leader = max(other.standings, key=lambda s: (s.probability - now.get(s.fault, 0.0), s.fault))
        change = leader.probability - now.get(leader.fault, 0.0)
        spoils = spoilt_share(check)
        here = spoils * fit(other) / (spoils * fit(other) + (1 - spoils) * fit(ranking))
        minutes = check.minutes + to_open(book, check.access, opened)[0]
        worst = max(check.slips, key=lambda s: s.spoils).what if check.slips else ""
        rows.append((here * max(change, 0.0) / max(minutes, 0.5),
                     Suspect(check_id, outcomes[check_id], spoils * 100, minutes, leader.fault, leader.probability, worst, here * 100)))
    rows.sort(key=lambda r: (-r[0], r[1].check))
    return [suspect for score, suspect in rows if score > 1e-6]
