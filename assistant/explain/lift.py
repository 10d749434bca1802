"""Which single answer would put one fault above another: every candidate that could do it is weighed anew, the whole way.

Before that, a bound on what an answer can shift between the two leaves out the candidates that cannot do it. The bound is
never too low, so leaving out is exact; the weighing itself is the caller's, the same as for an answer really given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Callable, Iterable, Iterator

from assistant.evidence.weights import decibans
from assistant.records import Firing, Known, Ranking
from assistant.rulebook.book import WEIGHING, Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.evaluate import Index, holds, index

Weigh = Callable[[str, str], Ranking]


@dataclass(frozen=True, slots=True)
class Lift:
    """A single answer nobody has given yet, with the ranking as it would then be."""

    topic: str
    value: str
    minutes: float  # to find out, without the way in
    fault: float  # probability of the fault then
    rival: float  # and of the one it is held against
    leader: str  # what would lead then

    @property
    def over(self) -> bool:
        """Whether the fault would stand above its rival."""
        return self.fault > self.rival


def lifts(book: Rulebook, ranking: Ranking, firings: Iterable[Firing], fault: str, rival: str, known: Iterable[Known],
          absent_parts: frozenset[str], passed: Iterable[str], supposing: Weigh, every: bool = True) -> list[Lift]:
    """The single answers that would put the fault above its rival, best first; where none does, the one that comes nearest.

    Best is what leaves the fault the likeliest. Without `every`, the search ends once nothing left can beat the best found:
    of a pair, the one cannot have more than its share of the two.
    `supposing(topic, value)` is the ranking if that were answered. What a machine is made of is no answer of this kind,
    nor are figures of the manual, nor what was passed over as not known.
    """
    told = list(known)
    shift = _Bound(book, ranking, list(firings), told, fault, rival)
    able = [(shift.of(topic, value), topic, value) for topic, value in open_answers(book, told, absent_parts, frozenset(passed))]
    able.sort(key=lambda a: (-a[0], a[1], a[2]))
    now = _gap(ranking, fault, rival)
    found: list[Lift] = []
    nearest: tuple[float, Lift] | None = None
    for bound, topic, value in able:
        if bound <= 1e-9 or now + bound < 0 and (found or nearest is not None and now + bound <= nearest[0]):
            break
        if found and not every and 1 / (1 + 10 ** (-(now + bound) / 10)) <= max(f.fault for f in found):
            break
        then = supposing(topic, value)
        mine, other = then.of(fault), then.of(rival)
        if mine is None:
            continue
        lift = Lift(topic, value, _minutes(book, topic), mine.probability, other.probability if other is not None else 0.0,
                    then.standings[0].fault)
        gap = _gap(then, fault, rival)
        if lift.over:
            found.append(lift)
        elif gap > (nearest[0] if nearest is not None else now + 1e-9):
            nearest = (gap, lift)
    found.sort(key=lambda x: (-x.fault, x.minutes, x.topic, x.value))
    return found or ([nearest[1]] if nearest is not None else [])


def open_answers(book: Rulebook, known: Iterable[Known], absent_parts: frozenset[str], passed: frozenset[str] = frozenset()) -> Iterator[tuple[str, str]]:
    """Every (topic, value) that could still be told on this machine, in the order of their names."""
    told = index(known)
    for topic in sorted({*book.facts, *book.checks} - passed):
        fact = book.facts.get(topic)
        if fact is not None and (fact.about in ("machine", "manual") or not fact.values):
            continue
        parts = fact.parts if fact is not None else book.checks[topic].parts
        if not absent_parts.isdisjoint(parts) or topic in book.ask_when and not holds(book.ask_when[topic], told):
            continue
        said = told.get(topic, [])
        if any(not k.denied for k in said) and not book.many(topic):
            continue
        yield from ((topic, value) for value in book.values(topic) if not any(k.value == value for k in said))


def _gap(ranking: Ranking, fault: str, rival: str) -> float:
    """Decibans by which the fault stands above its rival; below 0 while it stands under it."""
    mine, other = ranking.of(fault), ranking.of(rival)
    if mine is None or other is None:
        return math.inf if other is None else -math.inf
    return 10 * math.log10(max(mine.probability, 1e-300) / max(other.probability, 1e-300))


def _minutes(book: Rulebook, topic: str) -> float:
    return book.checks[topic].minutes if topic in book.checks else book.facts[topic].minutes


class _Bound:
    """The most that an answer can shift a fault against its rival, in decibans. Never too low."""

    def __init__(self, book: Rulebook, ranking: Ranking, firings: list[Firing], known: list[Known], fault: str, rival: str) -> None:
        self.book, self.pair, self.known = book, (fault, rival), known
        self.firing = {f.rule: f for f in firings}
        self.counted: dict[str, float] = {}  # what each rule says now for the one less for the other
        for weight in ranking.weights:
            if weight.counts and weight.fault in self.pair:
                self.counted[weight.rule] = self.counted.get(weight.rule, 0.0) + (weight.decibans if weight.fault == fault else -weight.decibans)
        self.now = index(known)
        self.steers = {t for name in self.pair for _, where in book.priors[name] if where is not None for t in topics(where)}
        self.parts = {part for name in self.pair for part in book.faults[name].parts}

    def of(self, topic: str, value: str) -> float:
        """The bound for one answer."""
        book = self.book
        direct = book.rules_on.get(topic, ())
        then = index([*self.known, Known(topic, value)])
        onward = self._onward(direct, then)
        steered = self._steered(then) if self.steers.isdisjoint(onward) else math.inf
        may = {r for t in onward for r in book.rules_on.get(t, ())}  # fires or not: left open
        may |= {r for r in direct if r in self.firing or holds(book.conditions[r], then)}
        may |= {r for r in self.firing if self.firing[r].denial and r in direct}
        open_ = may if onward else may - set(self.firing)  # without derived topics, what fires now and may fire then stays as it is
        if any(not self.parts.isdisjoint({*book.rules[r].lacks, *book.rules[r].has}) for r in open_):
            return math.inf
        touched = set(may)
        for rule_id in may:  # what it replaces, and what shares its aspect, may be silenced or come back
            rule = book.rules[rule_id]
            touched |= {r for r in self.firing if r in rule.replaces or rule.aspect and book.rules[r].aspect == rule.aspect}
        return steered + sum(self._most(rule_id) for rule_id in touched if book.rules[rule_id].kind in WEIGHING)

    def _steered(self, then: Index) -> float:
        """What the answer does to how common the two are to begin with."""
        return self._prior(then) - self._prior(self.now)

    def _prior(self, told: Index) -> float:
        common = {name: [per_1000 for per_1000, where in self.book.priors[name] if where is None or holds(where, told)] for name in self.pair}
        return 10 * math.log10(common[self.pair[0]][-1] / common[self.pair[1]][-1]) if all(common.values()) else math.inf

    def _most(self, rule_id: str) -> float:
        """The most that one rule may come to say for the pair, less what it says now."""
        rule = self.book.rules[rule_id]
        best = 0.0
        for denial in {False, self.firing[rule_id].denial if rule_id in self.firing else False}:
            gain = 0.0
            for name, sign in zip(self.pair, (1, -1)):
                if name in rule.seen_in:
                    gain += max(0.0, sign * decibans(rule.seen_in[name], rule.otherwise or 50.0, denial=denial))
            best = max(best, gain)
        return best - self.counted.get(rule_id, 0.0)

    def _onward(self, direct: Iterable[str], then: Index) -> frozenset[str]:
        """Topics that may come to be derived otherwise than now: by rules the answer switches, and all that hangs on those."""
        waiting = [t for r in direct if (r in self.firing) != holds(self.book.conditions[r], then) for t in self.book.rules[r].then]
        found: set[str] = set()
        while waiting:
            topic = waiting.pop()
            if topic not in found:
                found.add(topic)
                waiting += [t for r in self.book.rules_on.get(topic, ()) for t in self.book.rules[r].then]
        return frozenset(found)
