"""Looking ahead: a tree of what could be done and found, grown where it matters, within a fixed amount of work.

Every action is scored one step deep. Then the best few, and the best that opens each further access state, have their
own subtrees grown, the next expansion always where the course that looks best most likely leads (best-first AND/OR search);
in rounds, the weaker half of the candidates dropping out after each (sequential halving). The amount of work is counted in
expansions, not in seconds, so that the same state always gets the same advice; a clock only ends it on a slow machine.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field

import numpy as np

from assistant.planning.leaf import Going, Leaf
from assistant.planning.problem import Outlook, Problem

Array = np.ndarray
_RARE = 0.01  # outcomes rarer than this are not followed
_TINY = 1e-9
KINDS = ("fix", "test", "stop")


@dataclass(frozen=True, slots=True)
class Effort:
    """How much work is done."""

    first: int = 8  # candidates in the first round
    others: int = 3  # more of them, for access states of their own
    rounds: tuple[int, ...] = (5, 10, 16)  # expansions for each candidate left, round by round
    deep_tests: int = 48  # tests that are looked at below the root
    seconds: float = 0.25


@dataclass(slots=True)
class Action:
    """One thing that could be done at a node. `value` is minutes times the node's mass."""

    kind: str
    index: int  # test or fix; 0 for stop
    cost: float  # minutes now, opening included
    value: float
    children: list["Node"] | None = None  # outcomes in order; None until somebody looks
    fixed: float = 0.0  # part of the value that no child changes


@dataclass(slots=True)
class Scores:
    """What was worked out when a node was expanded, kept for the children of its tests."""

    place: dict[int, int]  # test -> position
    rows: Array
    starts: Array
    values: Array
    unknown: Array


@dataclass(slots=True)
class Node:
    """A belief that may come about, with what is open, asked and tried."""

    belief: Array
    mass: float
    opened: frozenset[int]
    value: float  # minutes to come times the mass; the estimate until it is expanded
    used: frozenset[int]  # tests done or told
    tried: frozenset[int]
    path: tuple[tuple[int, int], ...] = ()  # tests and rows since the root
    label: int = -1  # row of the outcome that leads here, -1: nothing learnt
    outlook: Outlook | None = None  # the parent's until it is expanded
    news: tuple[int, int] | None = None  # the test and row that the outlook does not know of yet
    actions: list[Action] | None = None
    scores: Scores | None = None


class Search:
    """One problem being looked into."""

    def __init__(self, problem: Problem, effort: Effort = Effort(), going: Going = Going()) -> None:
        self.problem, self.effort = problem, effort
        self.leaf = Leaf(problem, going)
        self._deep: Array | None = None
        self.expansions = 0
        self.root = Node(problem.belief, float(problem.belief.sum()), problem.opened, 0.0, frozenset(), frozenset(), outlook=problem.outlook)
        self._ends = time.perf_counter() + effort.seconds
        self._most = going.most

    # -- one node ----------------------------------------------------------

    def expand(self, node: Node) -> None:
        """Score everything that can be done at a node one step deep."""
        self.expansions += 1
        problem, leaf = self.problem, self.leaf
        reach = leaf.reach(node.opened)
        outlook = self._outlook(node)
        own = leaf.classes(node.belief[None, :-1])
        picked = np.nonzero(self._usable(node))[0]
        actions: list[Action] = []
        rates = np.full(own.shape[1], self._most)
        if len(picked):
            rows, starts = self._rows(picked)
            likely = outlook.likely[rows]
            joint = likely * node.belief
            sums = joint.sum(axis=1)
            known = problem.test_known[picked]
            if own.shape[1]:
                rates = leaf.rates(own[0], node.mass, sums, starts, likely[:, leaf.heads], outlook.entropy[picked][:, leaf.heads],
                                   reach.tests_for[picked], known)
            place = problem.row_node[rows]
            values = leaf.values(leaf.classes(joint[:, :-1]), np.maximum(sums, 1e-300), reach.prices[place], reach.trials[place], rates)
            nodes = len(reach.prices)
            unknown = leaf.values(np.repeat(own, nodes, axis=0), np.full(nodes, node.mass), reach.prices, reach.trials, rates)[problem.test_node[picked]]
            costs = reach.tests[picked]
            total = costs * node.mass + known * np.add.reduceat(values, starts) + (1 - known) * unknown
            for i, test in enumerate(picked.tolist()):
                actions.append(Action("test", test, float(costs[i]), float(total[i])))
            node.scores = Scores({test: i for i, test in enumerate(picked.tolist())}, rows, starts, values, unknown)
        actions += self._fixes(node, rates)
        top = problem.hand_over - (problem.hand_over - problem.known_hand_over) * (own.max(initial=0.0) / node.mass)
        actions.append(Action("stop", 0, float(top), float(top) * node.mass, []))
        actions.sort(key=_order)
        node.actions = actions
        node.value = actions[0].value
        if node is self.root:
            self.rates = rates
            self._narrow(actions)

    def _outlook(self, node: Node) -> Outlook:
        assert node.outlook is not None
        if node.news is not None and self.problem.shift is not None:
            node.outlook, node.news = self.problem.shift(*node.news, node.outlook), None
        return node.outlook

    def _usable(self, node: Node) -> Array:
        problem = self.problem
        allowed = problem.allowed
        if problem.after is not None:
            for test, row in node.path:
                more = problem.after(test, row)
                if more is not None:
                    allowed = np.where(more != problem.allowed, more, allowed)
        usable = allowed & self._deep if self._deep is not None else allowed.copy()
        if node.used:
            usable[list(node.used)] = False
        return usable

    def _rows(self, picked: Array) -> tuple[Array, Array]:
        start = self.problem.start
        counts = start[picked + 1] - start[picked]
        starts = np.concatenate(([0], np.cumsum(counts)[:-1]))
        return np.repeat(start[picked] - starts, counts) + np.arange(int(counts.sum())), starts

    def _fixes(self, node: Node, rates: Array) -> list[Action]:
        problem, leaf = self.problem, self.leaf
        if not problem.fixes:
            return []
        reach = leaf.reach(node.opened)
        gains = (1 - problem.uncured) @ node.belief
        chosen = [k for k in np.nonzero(gains >= 0.01 * node.mass)[0].tolist() if k not in node.tried]
        if not chosen:
            return []
        matrix = node.belief * problem.uncured[chosen]
        sums = matrix.sum(axis=1)
        place = problem.fix_node[chosen]
        values = leaf.values(leaf.classes(matrix[:, :-1]), np.maximum(sums, 1e-300), reach.prices[place], reach.trials[place], rates)
        result = []
        for j, k in enumerate(chosen):
            fix = problem.fixes[k]
            cost = float(fix.minutes + reach.closed[fix.node])
            fixed = cost * node.mass + fix.extra * float(gains[k])
            child = Node(matrix[j], float(sums[j]), problem.open_with(node.opened, fix.node), float(values[j]), node.used,
                         node.tried | {k}, node.path, -1, node.outlook)
            result.append(Action("fix", k, cost, fixed + float(values[j]), [child], fixed))
        return result

    def outcomes(self, node: Node, action: Action) -> list[Node]:
        """The children of an action, made when first looked at: one for each outcome, and one for no answer."""
        if action.children is None:
            problem, scores = self.problem, node.scores
            assert scores is not None and node.outlook is not None
            i, test = scores.place[action.index], action.index
            first, count = int(scores.starts[i]), int(problem.start[test + 1] - problem.start[test])
            known = problem.tests[test].known
            rows = scores.rows[first:first + count].tolist()
            joint = node.outlook.likely[rows] * (node.belief * known)
            used = node.used | problem.twins[test]
            opened = problem.open_with(node.opened, problem.tests[test].node)
            action.fixed = action.cost * node.mass
            action.children = [
                Node(joint[j], float(joint[j].sum()), opened, float(scores.values[first + j]) * known, used, node.tried,
                     (*node.path, (test, row)), row, node.outlook, (test, row)) for j, row in enumerate(rows)]
            if known < 1:
                action.children.append(Node(node.belief * (1 - known), node.mass * (1 - known), opened, float(scores.unknown[i]) * (1 - known),
                                            used, node.tried, node.path, -1, node.outlook))
        return action.children

    def _narrow(self, actions: list[Action]) -> None:
        """Below the root only the tests that do best at the root are looked at, and those that may not be done yet."""
        tests = [a.index for a in actions if a.kind == "test"]
        if len(tests) > self.effort.deep_tests:
            self._deep = ~self.problem.allowed
            self._deep[tests[: self.effort.deep_tests]] = True

    # -- the tree ----------------------------------------------------------

    def run(self) -> list[Action]:
        """Look ahead; the actions at the root, best first."""
        self.expand(self.root)
        assert self.root.actions is not None
        candidates = self._candidates(self.root.actions)
        for amount in self.effort.rounds:
            for action in candidates:
                for _ in range(amount):
                    if not self._grow(action) or time.perf_counter() > self._ends:
                        break
            candidates.sort(key=_order)
            candidates = candidates[: max(2, (len(candidates) + 1) // 2)]
        self.root.actions.sort(key=_order)
        self.root.value = self.root.actions[0].value
        return self.root.actions

    def _candidates(self, actions: list[Action]) -> list[Action]:
        chosen = [a for a in actions[: self.effort.first] if a.kind != "stop"]
        seen = {self._node_of(a) for a in chosen}
        for action in actions[self.effort.first:]:
            if len(chosen) >= self.effort.first + self.effort.others:
                break
            if action.kind == "test" and self._node_of(action) not in seen:
                seen.add(self._node_of(action))
                chosen.append(action)
        return chosen

    def _node_of(self, action: Action) -> int:
        return self.problem.tests[action.index].node if action.kind == "test" else self.problem.fixes[action.index].node

    def _grow(self, action: Action) -> bool:
        """Expand the likeliest unexpanded node on the best course below an action, and carry the values up."""
        Trail = list[tuple[Node, Action]]
        best: tuple[float, Trail, Node] | None = None
        stack: list[tuple[Trail, Node, Action]] = [([], self.root, action)]
        least = _RARE * self.root.mass
        while stack:
            trail, parent, at = stack.pop()
            here = [*trail, (parent, at)]
            for child in self.outcomes(parent, at):
                if child.mass < least:
                    continue
                if child.actions is None:
                    if best is None or child.mass > best[0] + _TINY:
                        best = (child.mass, here, child)
                elif child.actions[0].kind != "stop":
                    stack.append((here, child, child.actions[0]))
        if best is None:
            return False
        self.expand(best[2])
        for parent, step in reversed(best[1]):
            step.value = step.fixed + sum(child.value for child in step.children or ())
            if parent is not self.root:
                assert parent.actions is not None
                parent.actions.sort(key=_order)
                parent.value = parent.actions[0].value
        return True


def _order(action: Action) -> tuple[float, int, int]:
    return (round(action.value, 7), KINDS.index(action.kind), action.index)
