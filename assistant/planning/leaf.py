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

from assistant.planning.courses import Bits, Courses, Reach, Ways
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


class Leaf:
    """The estimate for one problem. Beliefs are rows of a matrix, faults first, the rest last."""

    def __init__(self, problem: Problem, going: Going = Going()) -> None:
        self.problem, self.going = problem, going
        count = len(problem.belief) - 1
        fix_of = one_column_each(problem.fixes, count)
        keys = [(k, -1) if k >= 0 else (len(problem.fixes), i) for i, k in enumerate(fix_of)]
        self._order = np.array(sorted(range(count), key=lambda i: keys[i]), dtype=int)
        starts = [j for j in range(count) if j == 0 or keys[self._order[j]] != keys[self._order[j - 1]]]
        self.heads = self._order[starts] if count else np.zeros(0, dtype=int)  # one fault of each class
        ends = [*starts[1:], count]
        self._more = [(at, self._order[start + 1:end].tolist()) for at, (start, end) in enumerate(zip(starts, ends)) if end - start > 1]
        fixes = [problem.fixes[fix_of[i]] if fix_of[i] >= 0 else None for i in self.heads]
        self.class_of = np.full(len(problem.fixes), -1)  # of each fix
        for at, head in enumerate(self.heads.tolist()):
            if fix_of[head] >= 0:
                self.class_of[fix_of[head]] = at
        self._mine = np.array([f is not None for f in fixes], dtype=bool)
        self._work = np.array([f.minutes if f else 0.0 for f in fixes], dtype=float)
        self._extra = np.array([f.extra if f else 0.0 for f in fixes], dtype=float)
        self._node = np.array([f.node if f else -1 for f in fixes], dtype=int)
        self._cures = np.array([min(c for _, c in f.cures) if f else 0.0 for f in fixes], dtype=float)
        hits, self._alarms = self._shows()
        self._hits = hits * problem.test_known[:, None] if len(problem.tests) else hits
        self._bits = Bits(problem.toll)
        self._paths = self._bits.of(problem.paths)  # eights x nodes + 1
        self._reaches: dict[frozenset[int], Reach] = {}

    def let_go(self) -> None:
        """Forget the minutes of what is open here and there; they are reckoned again where they are asked for."""
        self._reaches.clear()

    def classes(self, beliefs: Array) -> Array:
        """Beliefs (rows) by class: faults that one and the same fix cures need not be told apart."""
        if not self._more:
            return beliefs[:, self.heads]
        result = beliefs.take(self.heads, axis=1)
        for at, others in self._more:
            rest = beliefs[:, others[0]]
            for other in others[1:]:
                rest = rest + beliefs[:, other]
            result[:, at] += rest
        return result

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
            full = np.where(self._mine, self._work + (need & (toll > 0)) @ toll, 1e6)
            costs = tests[:, None] + self._alarms * np.minimum(full, known)
            self._reaches[opened] = Reach(closed, np.where(self._mine, repair, known), np.where(self._mine, trial, np.inf), tests, costs, self._hits / costs)
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
        need = problem.paths[self._node] & (toll > 0)
        full = self._work + need @ toll
        own, hit, extra = self._work, self._cures, self._extra
        full = np.where(self._mine, full, 1e6)
        if usable.any():
            rate = reach.rate.copy()
            rate[~usable] = -1.0
            tests = rate.argmax(axis=0)
            at = np.arange(len(full))
            better = rate[tests, at] > hit / np.maximum(full, 0.1)
            test_need = problem.paths[problem.test_node[tests]] & (toll > 0)
            costs = reach.costs[tests, at]
            full = np.where(better, costs, full)
            own = np.where(better, costs - test_need @ toll, own)
            hit = np.where(better, self._hits[tests, at], hit)
            extra = np.where(better, reach.prices[problem.test_node[tests], at], extra)
            need = np.where(better[:, None], test_need, need)
        hit = np.where(full < 1e5, hit, 0.0)
        return Ways(own, hit, extra, self._bits.of(need), hit / np.maximum(full, 0.1))

    def courses(self, states: list[tuple[frozenset[int], Ways]]) -> Courses:
        """Several states of what is open with their ways."""
        return Courses([self.reach(opened) for opened, _ in states], [ways for _, ways in states])

    def values(self, masses: Array, whole: Array, place: Array, courses: Courses, counts: list[int], rates: Array, logs: Array,
               named: Array | None = None) -> Array:
        """Minutes to come times the mass of each row. `masses` by class, `named` their sums and `whole` their sums with the rest.

        `counts` says how many rows belong to each state of the courses, `place` is the node that was gone to for each row
        (-1: none), `rates` the going rate of each, `logs` the binary logarithm of the share of each class, which is lost.
        """
        problem = self.problem
        top = problem.hand_over
        if not masses.shape[1]:
            return top * whole
        handed = top * whole - (top - problem.known_hand_over) * masses.max(axis=1)
        spent = np.multiply(rates[:, None], logs, out=logs)
        each, pull = np.empty(masses.shape), np.empty_like(masses)
        for state, rows in courses.spans(counts):
            np.subtract(courses.reaches[state].prices[place[rows]], spent[rows], out=each[rows])
            np.multiply(masses[rows], courses.ways[state].pull, out=pull[rows])
        np.minimum(each, top, out=each)
        np.multiply(masses, each, out=each)
        found = each.sum(axis=1) + (whole - (masses.sum(axis=1) if named is None else named)) * top
        return np.minimum(np.minimum(handed, found), self._one_by_one(masses, whole, place, courses, counts, pull))

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

    def _one_by_one(self, masses: Array, whole: Array, place: Array, courses: Courses, counts: list[int], pull: Array) -> Array:
        width = masses.shape[1]
        count = min(_SUSPECTS, width)
        line = np.arange(len(masses))
        if count < width:
            pick = np.argpartition(pull, width - count, axis=1)[:, -count:]
            part = _picked(pull, pick, line[:, None])
        else:
            pick, part = np.broadcast_to(np.arange(count), pull.shape), pull
        order = np.argsort(np.negative(part), axis=1, kind="stable")
        if count < width:
            order = pick.take(order + line[:, None] * count)
        pick = np.ascontiguousarray(order.T)  # one suspect after another, and all rows of each in a line: reckoned several times as quickly
        there = pick + np.repeat(np.arange(len(counts)) * width, counts)  # in what the courses have of all states
        gain = _picked(masses, pick, line)
        gain *= courses.hit.take(there)
        cost = courses.own.take(there)
        cost += self._opening(there, place, courses)
        left = whole - np.cumsum(gain, axis=0)
        cost *= left + gain
        gain *= courses.extra.take(there)
        cost += gain
        spent = np.cumsum(cost, axis=0)
        left *= self.problem.hand_over
        spent += left
        return spent.min(axis=0)

    def _opening(self, there: Array, place: Array, courses: Courses) -> Array | float:
        """Minutes to open what each suspect needs and neither the place nor a suspect before it has opened."""
        total: Array | float = 0.0
        for need, path, minutes in zip(courses.need, self._paths, self._bits.tables):
            closed = need.take(there)
            closed &= ~path[place]
            seen = np.bitwise_or.accumulate(closed, axis=0)
            closed[1:] &= ~seen[:-1]
            total = total + minutes.take(closed)
        return total

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


def _picked(matrix: Array, pick: Array, line: Array) -> Array:
    """What stands in some columns of each row, whose numbers are in `line`. For either layout of the matrix."""
    if matrix.flags.c_contiguous:
        return matrix.ravel().take(line * matrix.shape[1] + pick)
    return matrix.T.ravel().take(pick * len(matrix) + line)


def shares(masses: Array, whole: Array) -> Array:
    """Binary logarithm of the share of each class in its row; of nothing a large negative number."""
    result = np.maximum(masses, _TINY)
    result /= np.maximum(whole, _TINY)[:, None]
    return np.log2(result, out=result)


def doubts(masses: Array, whole: Array, logs: Array, named: Array | None = None) -> Array:
    """Doubt of each row in bits times its mass: all it lacks is one further possibility. `named` are the sums of the masses."""
    rest = np.maximum(whole - (masses.sum(axis=1) if named is None else named), 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        last = np.where(rest > 1e-12, rest * np.log2(rest / np.maximum(whole, _TINY)), 0.0)
    return -(masses * logs).sum(axis=1) - last
