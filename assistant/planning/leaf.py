"""What a belief is worth if it is looked no further ahead: an estimate of the minutes still to come, for many beliefs at once.

The least of three courses, each the value of something a person might do:
- find the fault first and mend it. Finding costs minutes for each bit of doubt (the entropy heuristic of Warnquist and
  Nyberg), at a going rate of its own for every fault: what the cheapest tests that speak for it cost (see `rates`);
  a fault that would cost more to find than handing over is left to the workshop;
- try the most telling repairs first (probability over cost), then find the fault among what is left;
- hand over now.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.planning.problem import Problem, one_column_each

Array = np.ndarray
_TINY = 1e-12
_TRIALS = 3


@dataclass(frozen=True, slots=True)
class Going:
    """How the going rates of doubt are reckoned; minutes for a bit."""

    overlap: float = 1.3  # tests tell partly the same: more are needed than their bits add up to
    least: float = 1.0
    most: float = 45.0
    margin: float = 0.0  # 0: average price of the bits that are needed, 1: price of the dearest of them


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
        self._mine = np.array([f is not None for f in fixes], dtype=bool)
        self._work = np.array([f.minutes if f else 0.0 for f in fixes])
        self._extra = np.array([f.extra if f else 0.0 for f in fixes])
        self._node = np.array([f.node if f else -1 for f in fixes], dtype=int)
        self._cures = np.array([min(c for _, c in f.cures) if f else 0.0 for f in fixes])
        self._reaches: dict[frozenset[int], Reach] = {}

    def classes(self, beliefs: Array) -> Array:
        """Beliefs (rows) by class: faults that one and the same fix cures need not be told apart."""
        ordered = beliefs[:, self._order]
        return np.add.reduceat(ordered, self._starts, axis=1) if self._shared else ordered

    def reach(self, opened: frozenset[int]) -> "Reach":
        """Minutes of everything, given what is open."""
        if opened not in self._reaches:
            self._reaches[opened] = self._reach(opened)
        return self._reaches[opened]

    def _reach(self, opened: frozenset[int]) -> "Reach":
        problem = self.problem
        toll = problem.toll.copy()
        if opened:
            toll[list(opened)] = 0.0
        need = problem.paths[self._node]  # classes x nodes; node -1 takes the last row, nothing
        shared = (problem.paths * toll) @ need.T  # nodes + 1 x classes: what both need, and is closed
        still = (need @ toll)[None, :] - shared
        trial = self._work + still
        known = problem.known_hand_over
        repair = np.minimum(trial + self._extra * self._cures + (1 - self._cures) * known, known)
        closed = problem.paths @ toll
        tests = problem.test_minutes + closed[problem.test_node] if len(problem.tests) else np.zeros(0)
        return Reach(closed, np.where(self._mine, repair, known), trial, tests, tests[:, None] - shared[problem.test_node])

    def rates(self, masses: Array, whole: float, sums: Array, starts: Array, heads: Array, entropy: Array,
              costs: Array, known: Array) -> Array:
        """Minutes for each bit of doubt about each class: what the cheapest tests that would speak for it cost.

        A test speaks for a fault by the divergence of what it would show with the fault from what it is expected to
        show. `heads` is rows x classes (chance of the outcome), `entropy` tests x classes (its own negative entropy),
        `costs` tests x classes.
        """
        going = self.going
        with np.errstate(divide="ignore"):
            expected = np.log2(np.maximum(sums / whole, 1e-300))
            bits = -np.log2(np.maximum(masses / whole, 1e-300))
        speaks = (entropy - np.add.reduceat(heads * expected[:, None], starts, axis=0)) * known[:, None]
        speaks = np.where(speaks > 0.003, speaks, 0.0)
        with np.errstate(divide="ignore"):
            price = np.where(speaks > 0, costs / speaks, np.inf)
        order = np.argsort(price, axis=0)
        got = np.cumsum(np.take_along_axis(speaks, order, axis=0), axis=0)
        spent = np.cumsum(np.take_along_axis(np.where(speaks > 0, costs, 0.0), order, axis=0), axis=0)
        wanted = np.maximum(bits, 0.3) * going.overlap
        last = np.minimum((got < wanted).sum(axis=0), len(got) - 1)
        at = np.arange(masses.shape[0])
        have, paid = got[last, at], spent[last, at]
        with np.errstate(divide="ignore", invalid="ignore"):
            average = paid / have
            dearest = np.minimum(np.take_along_axis(price, order, axis=0)[last, at], going.most)
        rate = (1 - going.margin) * average + going.margin * dearest
        short = np.clip((wanted - have) / wanted, 0.0, 1.0)  # bits that no test can give
        rate = np.where(have > 0.01, (1 - short) * rate + short * going.most, going.most)
        return np.clip(rate * going.overlap, going.least, going.most)

    def values(self, masses: Array, whole: Array, prices: Array, trials: Array, rates: Array) -> Array:
        """Minutes to come times the mass of each row. `masses` by class, `whole` their sums with the rest."""
        problem = self.problem
        top = problem.hand_over
        if not masses.shape[1]:
            return top * whole
        handed = top * whole - (top - problem.known_hand_over) * masses.max(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            each = prices - rates * np.log2(masses / whole[:, None])
        sought = each < top
        each = np.where(sought, each, top) * masses
        rest = whole - masses.sum(axis=1)
        found = each.sum(axis=1) + rest * top
        best = np.minimum(handed, found)
        return np.minimum(best, self._tried_first(masses, whole, prices, trials, rates, each, sought, found))

    def _tried_first(self, masses: Array, whole: Array, prices: Array, trials: Array, rates: Array, each: Array,
                     sought: Array, found: Array) -> Array:
        """Try the repairs with most chance for their minutes, up to a few, then find the fault among what is left."""
        at = np.arange(len(masses))
        gains = np.where(self._mine, masses * self._cures, 0.0)
        density = gains / np.maximum(trials, 0.1)
        slope = (rates * masses * sought).sum(axis=1)  # how the search gets cheaper as the others leave
        best = np.full(len(masses), np.inf)
        spent, left, search, top = np.zeros(len(masses)), whole.copy(), found.copy(), self.problem.hand_over
        for _ in range(min(_TRIALS, masses.shape[1])):
            pick = np.argmax(density, axis=1)
            got = gains[at, pick]
            rate = rates[pick] if rates.ndim == 1 else rates[at, pick]
            spent = spent + trials[at, pick] * left + self._extra[pick] * got
            stays = masses[at, pick] - got
            now = np.maximum(left - got, _TINY)
            with np.errstate(divide="ignore", invalid="ignore"):
                slope = slope - np.where(sought[at, pick], rate * masses[at, pick], 0.0)
                kept = np.where(stays > 0, stays * np.minimum(prices[at, pick] - rate * np.log2(stays / now), top), 0.0)
            search = search - each[at, pick] + slope * np.log2(now / left) + kept
            best = np.minimum(best, np.where(got > 0, spent + np.minimum(np.maximum(search, 0.0), top * now), np.inf))
            left = now
            density[at, pick] = -1.0
        return best


@dataclass(frozen=True, slots=True)
class Reach:
    """Minutes, given what is open. Rows of the matrices: after going to each node (last: nowhere)."""

    closed: Array  # nodes + 1: to get to each node
    prices: Array  # nodes + 1 x classes: to put each right once it is known
    trials: Array  # nodes + 1 x classes: to try its repair
    tests: Array  # each test, opening included
    tests_for: Array  # tests x classes: each test, less the opening that the class's own repair needs anyway
