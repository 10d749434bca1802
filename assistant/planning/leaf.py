"""What a belief is worth if it is looked no further ahead: an estimate of the minutes still to come, for many beliefs at once.

The least of three courses, each the value of something a person might do:
- go through the suspects one by one, each by the cheapest way to settle it (a test that shows it, or simply its
  repair), in order of chance over minutes with opened work shared, and hand over when that is cheaper for what is left
  (probability over cost of Kadane and Simon; observation before repair of Heckerman, Breese and Rommelse);
- find the fault first by the tests that tell most, at a going rate of minutes for each bit of doubt, then mend it (the
  entropy heuristic of Warnquist and Nyberg);
- hand over now.
The first is right when few suspects are left, the second when there are many.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Iterable

import numpy as np

from assistant.planning.problem import Problem, one_column_each

Array = np.ndarray
_TINY = 1e-300
_SUSPECTS = 10  # gone through one by one; what is left then is handed over


@dataclass(frozen=True, slots=True)
class Going:
    """How the going rate of doubt is reckoned; minutes for a bit."""

    overlap: float = 1.3  # tests tell partly the same: more are needed than their bits add up to
    least: float = 1.0
    most: float = 60.0


@dataclass(frozen=True, slots=True)
class Reach:
    """Minutes, given what is open. Rows of the matrices: after going to each node (last: nowhere)."""

    closed: Array  # nodes + 1: to get to each node
    prices: Array  # nodes + 1 x classes: to put each right once it is known
    trials: Array  # nodes + 1 x classes: to try the repair of each, if it does not help
    tests: Array  # each test, opening included


@dataclass(frozen=True, slots=True)
class Ways:
    """The cheapest way to settle each class."""

    own: Array  # minutes without opening
    full: Array  # minutes with it
    hit: Array  # chance that it settles the class when it is the fault
    extra: Array  # minutes more when it does
    need: Array  # classes x nodes: what must be opened


class Leaf:
    """The estimate for one problem. Beliefs are rows of a matrix, faults first, the rest last."""

    def __init__(self, problem: Problem, going: Going = Going()) -> None:
        self.problem, self.going = problem, going
        count = len(problem.belief) - 1
        fix_of = one_column_each(problem.fixes, count)
        keys = [(k, -1) if k >= 0 else (len(problem.fixes), i) for i, k in enumerate(fix_of)]
        self._order = np.array(sorted(range(count), key=lambda i: keys[i]), dtype=int)
        starts = [j for j in range(count) if j == 0 or keys[self._order[j]] != keys[self._order[j - 1]]]
        self._starts = np.array(starts, dtype=int)
        self._shared = len(starts) < count
        self.heads = self._order[starts] if count else np.zeros(0, dtype=int)  # one fault of each class
        fixes = [problem.fixes[fix_of[i]] if fix_of[i] >= 0 else None for i in self.heads]
        self.class_of = np.full(len(problem.fixes), -1)  # of each fix
        for at, head in enumerate(self.heads.tolist()):
            if fix_of[head] >= 0:
                self.class_of[fix_of[head]] = at
        self._mine = np.array([f is not None for f in fixes], dtype=bool)
        self._work = np.array([f.minutes if f else 0.0 for f in fixes])
        self._extra = np.array([f.extra if f else 0.0 for f in fixes])
        self._node = np.array([f.node if f else -1 for f in fixes], dtype=int)
        self._cures = np.array([min(c for _, c in f.cures) if f else 0.0 for f in fixes])
        self._hits, self._alarms = self._shows()
        self._reaches: dict[frozenset[int], Reach] = {}

    def classes(self, beliefs: Array) -> Array:
        """Beliefs (rows) by class: faults that one and the same fix cures need not be told apart."""
        ordered = beliefs[:, self._order]
        return np.add.reduceat(ordered, self._starts, axis=1) if self._shared else ordered

    def hopes(self, tried: Iterable[frozenset[int]]) -> Array:
        """1 for each class that could still be mended, 0 where its repair was tried, for each set of repairs tried.

        What a repair left of its faults is handed over with all the rest: it must not be hoped to be mended again.
        """
        sets = list(tried)
        result = np.ones((len(sets), len(self.heads)))
        for row, done in enumerate(sets):
            result[row, [c for k in done if (c := self.class_of[k]) >= 0]] = 0.0
        return result

    def _shows(self) -> tuple[Array, Array]:
        """tests x classes: how often a test shows the fault when it is there, and when it is not."""
        problem = self.problem
        if not len(problem.tests) or not len(self.heads):
            return np.zeros((len(problem.tests), len(self.heads))), np.ones((len(problem.tests), len(self.heads)))
        belief = problem.belief / problem.belief.sum()
        usual = problem.likely @ belief
        heads = problem.likely[:, self.heads]
        speaks = heads >= 2.5 * usual[:, None]
        hits = np.add.reduceat(np.where(speaks, heads, 0.0), problem.start[:-1], axis=0)
        seen = np.add.reduceat(np.where(speaks, usual[:, None], 0.0), problem.start[:-1], axis=0)
        share = belief[self.heads]
        return hits, np.clip((seen - share * hits) / np.maximum(1 - share, 1e-6), 0.0, 1.0)

    def reach(self, opened: frozenset[int]) -> Reach:
        """Minutes of everything, given what is open."""
        if opened not in self._reaches:
            problem = self.problem
            toll = self._toll(opened)
            need = problem.paths[self._node]  # classes x nodes; node -1 takes the last row, nothing
            shared = (problem.paths * toll) @ need.T  # nodes + 1 x classes: what both need, and is closed
            trial = self._work + (need @ toll)[None, :] - shared
            known = problem.known_hand_over
            repair = np.minimum(trial + self._extra * self._cures + (1 - self._cures) * known, known)
            closed = problem.paths @ toll
            tests = problem.test_minutes + closed[problem.test_node] if len(problem.tests) else np.zeros(0)
            self._reaches[opened] = Reach(closed, np.where(self._mine, repair, known), np.where(self._mine, trial, np.inf), tests)
        return self._reaches[opened]

    def _toll(self, opened: frozenset[int]) -> Array:
        toll = self.problem.toll.copy()
        if opened:
            toll[list(opened)] = 0.0
        return toll

    def ways(self, opened: frozenset[int], usable: Array) -> Ways:
        """The cheapest way to settle each class, of the tests that may be done and its own repair."""
        problem = self.problem
        reach, toll = self.reach(opened), self._toll(opened)
        repair_need = problem.paths[self._node] & (toll > 0)
        full = self._work + repair_need @ toll
        own, hit, extra = self._work.copy(), self._cures.copy(), self._extra.copy()
        need = repair_need
        full = np.where(self._mine, full, 1e6)
        if usable.any():
            trial = np.minimum(full, problem.known_hand_over)
            hits = self._hits[usable] * problem.test_known[usable][:, None]
            costs = reach.tests[usable][:, None] + self._alarms[usable] * trial
            rate = hits / costs
            best = rate.argmax(axis=0)
            at = np.arange(len(full))
            better = rate[best, at] > hit / np.maximum(full, 0.1)
            tests = np.nonzero(usable)[0][best]
            test_need = problem.paths[problem.test_node[tests]] & (toll > 0)
            full = np.where(better, costs[best, at], full)
            own = np.where(better, full - test_need @ toll, own)
            hit = np.where(better, hits[best, at], hit)
            extra = np.where(better, reach.prices[problem.test_node[tests], at], extra)
            need = np.where(better[:, None], test_need, need)
        return Ways(own, full, np.where(full < 1e5, hit, 0.0), extra, need)

    def values(self, masses: Array, whole: Array, place: Array, opened: frozenset[int], ways: Ways, rates: Array,
               logs: Array) -> Array:
        """Minutes to come times the mass of each row. `masses` by class, `whole` their sums with the rest.

        `place` is the node that was gone to for each row (-1: none), `rates` the going rate of each, `logs` the binary
        logarithm of the share of each class.
        """
        problem = self.problem
        top = problem.hand_over
        if not masses.shape[1]:
            return top * whole
        handed = top * whole - (top - problem.known_hand_over) * masses.max(axis=1)
        prices = self.reach(opened).prices[place]
        each = np.minimum(prices - rates[:, None] * logs, top)
        found = (masses * each).sum(axis=1) + (whole - masses.sum(axis=1)) * top
        return np.minimum(np.minimum(handed, found), self._one_by_one(masses, whole, place, opened, ways))

    def at_once(self, masses: Array, whole: Array, place: Array, opened: frozenset[int]) -> Array:
        """Minutes to come times the mass of each row if nothing more is found out: repair what leads, or hand over."""
        problem = self.problem
        top = problem.hand_over
        if not masses.shape[1]:
            return top * whole
        lead = masses.argmax(axis=1)
        most = masses[np.arange(len(masses)), lead]
        handed = top * whole - (top - problem.known_hand_over) * most
        gain = most * self._cures[lead]
        tried = self.reach(opened).trials[place, lead] * whole + self._extra[lead] * gain + (whole - gain) * top
        return np.minimum(handed, np.where(most >= problem.repair_least * whole, tried, np.inf))

    def _one_by_one(self, masses: Array, whole: Array, place: Array, opened: frozenset[int], ways: Ways) -> Array:
        count = min(_SUSPECTS, masses.shape[1])
        density = masses * (ways.hit / np.maximum(ways.full, 0.1))
        if count < masses.shape[1]:
            pick = np.argpartition(density, masses.shape[1] - count, axis=1)[:, -count:]
            part = np.take_along_axis(density, pick, axis=1)
        else:
            pick, part = np.broadcast_to(np.arange(count), density.shape), density
        order = np.argsort(-part, axis=1, kind="stable")
        pick = np.take_along_axis(pick, order, axis=1)
        gain = np.take_along_axis(masses, pick, axis=1) * ways.hit[pick]
        toll = self._toll(opened)
        used = np.nonzero(ways.need.any(axis=0))[0]
        cost = ways.own[pick]
        if len(used):
            need = ways.need[:, used][pick] & ~self.problem.paths[place][:, None, used]
            seen = np.logical_or.accumulate(need, axis=1)
            fresh = need.copy()
            fresh[:, 1:] &= ~seen[:, :-1]
            cost = cost + fresh @ toll[used]
        gone = np.cumsum(gain, axis=1)
        before = whole[:, None] - gone + gain
        spent = np.cumsum(cost * before + ways.extra[pick] * gain, axis=1)
        return (spent + (whole[:, None] - gone) * self.problem.hand_over).min(axis=1)

    def going_rates(self, own: Array, rows: Array, starts: Array, costs: Array, known: Array) -> Array:
        """Minutes for a bit at each node: the average over the cheapest tests that together would end the doubt.

        `own` is the doubt of each node in bits, `rows` nodes x rows the doubt of each outcome times its chance.
        """
        going = self.going
        gain = known * (own[:, None] - np.add.reduceat(rows, starts, axis=1))
        gain = np.where(gain > 0.01, gain, 0.0)
        with np.errstate(divide="ignore"):
            price = np.where(gain > 0, costs / gain, np.inf)
        order = np.argsort(price, axis=1, kind="stable")
        got = np.cumsum(np.take_along_axis(gain, order, axis=1), axis=1)
        spent = np.cumsum(np.take_along_axis(np.where(gain > 0, costs, 0.0), order, axis=1), axis=1)
        wanted = np.maximum(own, 0.05) * going.overlap
        at = np.arange(len(own))
        last = np.minimum((got < wanted[:, None]).sum(axis=1), got.shape[1] - 1)
        have, paid = got[at, last], spent[at, last]
        rate = np.where(have > 0, paid / np.maximum(have, 1e-9), going.most)
        short = np.clip(1 - have / wanted, 0.0, 1.0)  # bits that no test gives
        return np.clip((1 - short) * rate * going.overlap + short * going.most, going.least, going.most)


def shares(masses: Array, whole: Array) -> Array:
    """Binary logarithm of the share of each class in its row; of nothing a large negative number."""
    return np.log2(np.maximum(masses, _TINY) / np.maximum(whole, _TINY)[:, None])


def doubts(masses: Array, whole: Array, logs: Array) -> Array:
    """Doubt of each row in bits times its mass: all it lacks is one further possibility."""
    rest = np.maximum(whole - masses.sum(axis=1), 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        last = np.where(rest > 1e-12, rest * np.log2(rest / np.maximum(whole, _TINY)), 0.0)
    return -(masses * logs).sum(axis=1) - last
