"""Small troubleshooting problems solved exactly, and what a policy costs on them exactly: no simulation, no estimate.

The optimum is found by dynamic programming over what may come about: the belief, what stands open, what was asked and tried.
A policy is followed the same way, through every outcome. Both are of the problem as it is laid out for the planner.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Callable

import numpy as np

from assistant.planning.problem import Problem

Choice = tuple[str, int]  # fix, test or stop, and which
_GONE = 1e-12


class Exact:
    """One problem, with the value of every state that was asked for."""

    def __init__(self, problem: Problem, most: int = 400_000, repair_least: float = 0.0, guess_least: float = 0.0) -> None:
        """`repair_least`: only among courses that repair nothing less likely, or from `guess_least` on where all else is to hand over."""
        self.problem, self.most = problem, most
        self.repair_least, self.guess_least = repair_least, guess_least
        self.states = 0
        self._opens = [problem.open_with(frozenset(), n) for n in range(-1, len(problem.parent))]
        self._rows = [range(int(problem.start[i]), int(problem.start[i + 1])) for i in range(len(problem.tests))]
        self._memo: dict[tuple, float] = {}
        self._least = np.full(len(problem.belief), problem.known_hand_over)  # minutes that each fault takes if it is known: no course takes less
        self._least[-1] = problem.hand_over
        for fix in problem.fixes:
            for fault, chance in fix.cures:
                self._least[fault] = min(self._least[fault], fix.minutes + fix.extra * chance)

    def optimum(self) -> float:
        """Least expected minutes; raises OverflowError when there are too many states."""
        p = self.problem
        return self._value(np.asarray(p.belief, dtype=float), p.opened, frozenset(), frozenset())

    def of(self, policy: Callable[[Problem], Choice]) -> float:
        """Expected minutes of a policy, which is shown the problem as it then stands."""
        p = self.problem
        return self._follow(policy, np.asarray(p.belief, dtype=float), p.opened, frozenset(), frozenset())

    # -- steps -------------------------------------------------------------

    def stop(self, belief: np.ndarray) -> float:
        """Minutes times mass of handing over now; faults that one fix cures need no telling apart."""
        p = self.problem
        most = 0.0
        covered: set[int] = set()
        for fix in p.fixes:
            members = [i for i, _ in fix.cures if i not in covered]
            covered.update(members)
            most = max(most, float(belief[members].sum()) if members else 0.0)
        for i in range(len(belief) - 1):
            if i not in covered:
                most = max(most, float(belief[i]))
        return p.hand_over * float(belief.sum()) - (p.hand_over - p.known_hand_over) * most

    def _to(self, opened: frozenset[int], node: int) -> tuple[float, frozenset[int]]:
        needed = self._opens[node + 1]
        return float(sum(self.problem.toll[n] for n in needed - opened)), opened | needed

    def _fix(self, belief: np.ndarray, opened: frozenset[int], k: int) -> tuple[float, np.ndarray, frozenset[int]]:
        p, fix = self.problem, self.problem.fixes[k]
        toll, now = self._to(opened, fix.node)
        left = belief * p.uncured[k]
        mass = float(belief.sum())
        return (fix.minutes + toll) * mass + fix.extra * (mass - float(left.sum())), left, now

    def _test(self, belief: np.ndarray, opened: frozenset[int], i: int) -> tuple[float, list[tuple[int, np.ndarray]], frozenset[int]]:
        p, test = self.problem, self.problem.tests[i]
        toll, now = self._to(opened, test.node)
        after = [(r, p.likely[r] * belief * test.known) for r in self._rows[i]]
        if test.known < 1:
            after.append((-1, belief * (1 - test.known)))
        return (test.minutes + toll) * float(belief.sum()), after, now

    # -- recursion ---------------------------------------------------------

    def _value(self, belief: np.ndarray, opened: frozenset[int], used: frozenset[int], tried: frozenset[int]) -> float:
        mass = float(belief.sum())
        if mass <= _GONE:
            return 0.0
        key = (np.round(belief / mass, 10).tobytes(), opened, used, tried)
        if key in self._memo:
            return self._memo[key] * mass
        self.states += 1
        if self.states > self.most:
            raise OverflowError("too many states")
        stop = self.stop(belief)
        best = self._repaired(stop, belief, opened, used, tried, self.repair_least)
        for i in range(len(self.problem.tests)):
            if i not in used:
                cost, after, now = self._test(belief, opened, i)
                asked = used | self.problem.twins[i]
                to_come = [float(b @ self._least) for _, b in after]
                cost += sum(to_come)
                for (_, b), least in zip(after, to_come):
                    if cost >= best:
                        break
                    cost += self._value(b, now, asked, tried) - least
                best = min(best, cost)
        if self.guess_least < self.repair_least and best == stop:
            best = self._repaired(best, belief, opened, used, tried, self.guess_least)
        self._memo[key] = best / mass
        return best

    def _repaired(self, best: float, belief: np.ndarray, opened: frozenset[int], used: frozenset[int], tried: frozenset[int], least: float) -> float:
        """The value with the repairs of what is likely enough."""
        mass = float(belief.sum())
        likely = belief @ self.problem.covers.T
        for k in range(len(self.problem.fixes)):
            if k not in tried and likely[k] >= least * mass and float((belief * (1 - self.problem.uncured[k])).sum()) > 1e-9 * mass:
                cost, left, now = self._fix(belief, opened, k)
                if cost + float(left @ self._least) < best:
                    best = min(best, cost + self._value(left, now, used, tried | {k}))
        return best

    def _follow(self, policy, belief: np.ndarray, opened: frozenset[int], used: frozenset[int], tried: frozenset[int]) -> float:
        mass = float(belief.sum())
        if mass <= _GONE:
            return 0.0
        kind, index = policy(standing(self.problem, belief, opened, used, tried))
        if kind == "stop":
            return self.stop(belief)
        if kind == "fix":
            index = [k for k in range(len(self.problem.fixes)) if k not in tried][index]
            cost, left, now = self._fix(belief, opened, index)
            return cost + self._follow(policy, left, now, used, tried | {index})
        cost, after, now = self._test(belief, opened, index)
        asked = used | self.problem.twins[index]
        return cost + sum(self._follow(policy, b, now, asked, tried) for _, b in after)


def standing(problem: Problem, belief: np.ndarray, opened: frozenset[int], used: frozenset[int], tried: frozenset[int]) -> Problem:
    """The problem as it stands after some steps: the same tests and repairs, less what was done."""
    some = problem.allowed.copy()
    some[list(used)] = False
    fixes = tuple(f for k, f in enumerate(problem.fixes) if k not in tried)
    return replace(problem, belief=belief / belief.sum(), opened=opened, some=some, fixes=fixes)
