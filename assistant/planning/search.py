"""Looking ahead: what could be done and found, ply by ply, within a fixed amount of work.

Every action is scored one step deep with the leaf value. Then the best few, and the best that opens each further access
state, are followed: after each of their outcomes everything is scored again, and so on for fewer and fewer of them (beam
search over an AND/OR tree, the candidates thinned out by halves). All candidates that are compared have been looked at to
the same depth. The amount of work is counted, not timed, so that the same state always gets the same advice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.planning.leaf import Going, Leaf, Ways, doubts, shares
from assistant.planning.problem import Problem

Array = np.ndarray
_RARE = 0.012  # outcomes rarer than this are not followed
KINDS = ("fix", "test", "stop")


@dataclass(frozen=True, slots=True)
class Effort:
    """How much work is done."""

    first: int = 10  # candidates that are followed
    others: int = 4  # more of them, for access states of their own
    deep_tests: int = 36  # tests that are looked at below the root
    waiting: int = 12  # and of those that another answer must open first
    beam: int = 2  # actions followed at a node below the root, from the third ply on
    plies: int = 6
    work: int = 1_500_000  # cells of (belief, outcome, fault) looked at
    chunk: int = 60_000


@dataclass(slots=True)
class Action:
    """One thing that could be done at a node. `value` is minutes times the node's mass."""

    kind: str
    index: int  # test or fix; 0 for stop
    cost: float  # minutes now, opening included
    value: float
    fixed: float = 0.0  # part of the value that no outcome changes
    children: list["Node"] | None = None  # outcomes in order; None until somebody looks
    depth: int = 1


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
    guess: float = 0.0  # the estimate it had before it was expanded
    actions: list[Action] | None = None
    values: Array | None = None  # of all rows, and `unknown` of all tests: kept for the children
    unknown: Array | None = None


class Search:
    """One problem being looked into."""

    def __init__(self, problem: Problem, effort: Effort = Effort(), going: Going = Going()) -> None:
        self.problem, self.effort = problem, effort
        self.leaf = Leaf(problem, going)
        self.done = 0
        self.expansions = 0
        self._ways: dict[tuple[frozenset[int], frozenset[int]], Ways] = {}
        self.root = Node(problem.belief, float(problem.belief.sum()), problem.opened, 0.0, frozenset(), frozenset())
        self._picked = np.arange(len(problem.tests))
        self._lay_rows()

    def _lay_rows(self) -> None:
        start = self.problem.start
        counts = start[self._picked + 1] - start[self._picked]
        self._starts = np.concatenate(([0], np.cumsum(counts)[:-1])).astype(int) if len(counts) else np.zeros(0, dtype=int)
        self._rows = np.repeat(start[self._picked] - self._starts, counts) + np.arange(int(counts.sum()))
        self._first = {int(test): int(at) for test, at in zip(self._picked, self._starts)}
        self._place = self.problem.row_node[self._rows]
        self._local = np.full(int(start[-1]) if len(start) else 0, -1)
        self._local[self._rows] = np.arange(len(self._rows))

    # -- scoring -----------------------------------------------------------

    def expand(self, nodes: list[Node]) -> None:
        """Score everything that can be done at each of the nodes one step deep."""
        groups: dict[tuple[frozenset[int], frozenset[int]], list[Node]] = {}
        for node in nodes:
            groups.setdefault((node.opened, node.used), []).append(node)
        size = max(1, self.effort.chunk // max(1, len(self._rows) * len(self.problem.belief)))
        for group in groups.values():
            for i in range(0, len(group), size):
                self._expand(group[i:i + size])

    def _expand(self, nodes: list[Node]) -> None:
        problem, leaf = self.problem, self.leaf
        count = len(nodes)
        self.expansions += count
        self.done += count * (len(self._rows) + 8) * len(problem.belief)
        opened = nodes[0].opened
        belief = np.array([node.belief for node in nodes])
        whole = belief.sum(axis=1)
        own = leaf.classes(belief[:, :-1])
        own_logs = shares(own, whole)
        ways = self._way(nodes[0])
        rates = np.full(count, leaf.going.most)
        usable = np.array([self._usable(node) for node in nodes])[:, self._picked]
        total = np.zeros((count, 0))
        if len(self._picked):
            joint = (problem.likely[self._rows][None] * belief[:, None, :])
            for j, node in enumerate(nodes):
                changed = self._changed(node)
                if changed is not None:
                    at = self._local[changed[0]]
                    joint[j, at[at >= 0]] = changed[1][at >= 0] * node.belief
            flat = joint.reshape(-1, joint.shape[2])
            masses, sums = leaf.classes(flat[:, :-1]), flat.sum(axis=1)
            logs = shares(masses, sums)
            known = problem.test_known[self._picked]
            costs = leaf.reach(opened).tests[self._picked]
            if own.shape[1]:
                open_costs = np.where(usable, costs, np.inf)
                rates = leaf.going_rates(doubts(own, whole, own_logs) / whole, doubts(masses, sums, logs).reshape(count, -1) / whole[:, None],
                                         self._starts, open_costs, known)
            rows = len(self._rows)
            values = leaf.values(masses, sums, np.tile(self._place, count), opened, ways, np.repeat(rates, rows), logs).reshape(count, rows)
            places = np.unique(problem.test_node[self._picked])
            unknown = np.empty((count, len(problem.parent) + 1))
            n = len(places)
            unknown[:, places] = leaf.values(np.repeat(own, n, axis=0), np.repeat(whole, n), np.tile(places, count), opened, ways,
                                             np.repeat(rates, n), np.repeat(own_logs, n, axis=0)).reshape(count, n)
            unknown = unknown[:, problem.test_node[self._picked]]
            total = costs * whole[:, None] + known * np.add.reduceat(values, self._starts, axis=1) + (1 - known) * unknown
            if nodes[0] is self.root:
                self._promise = total[0].copy()
            total[~usable] = np.inf
        top = problem.hand_over * whole - (problem.hand_over - problem.known_hand_over) * own.max(axis=1, initial=0.0)
        fixes = self._fixes(nodes, belief, whole, ways, rates)
        for j, node in enumerate(nodes):
            actions = fixes[j]
            actions.append(Action("stop", 0, float(top[j] / whole[j]), float(top[j]), float(top[j]), []))
            if len(self._picked):
                node.values, node.unknown = values[j], unknown[j]
                keep = self._best(total[j], node is self.root)
                actions += [Action("test", int(self._picked[i]), float(costs[i]), float(total[j, i])) for i in keep]
            actions.sort(key=_order)
            node.actions = actions
            node.value = actions[0].value

    def _best(self, total: Array, everything: bool) -> list[int]:
        count = int(np.isfinite(total).sum())
        if everything or count <= 4:
            return [i for i in np.argsort(total, kind="stable")[:count].tolist()]
        few = np.argpartition(total, 3)[:4]
        return few.tolist()

    def _way(self, node: Node) -> Ways:
        key = (node.opened, node.used)
        if key not in self._ways:
            self._ways[key] = self.leaf.ways(node.opened, self._usable(node))
        return self._ways[key]

    def _changed(self, node: Node) -> tuple[Array, Array] | None:
        """Rows and what is likely there, where what was learnt on the way changes it."""
        return self.problem.shift(node.path) if node.path and self.problem.shift is not None else None

    def _usable(self, node: Node) -> Array:
        problem = self.problem
        allowed = problem.allowed
        if problem.after is not None:
            for test, row in node.path:
                more = problem.after(test, row)
                if more is not None:
                    allowed = np.where(more != problem.allowed, more, allowed)
        usable = allowed.copy()
        if node.used:
            usable[list(node.used)] = False
        return usable

    def _fixes(self, nodes: list[Node], belief: Array, whole: Array, ways: Ways, rates: Array) -> list[list[Action]]:
        problem, leaf = self.problem, self.leaf
        result: list[list[Action]] = [[] for _ in nodes]
        if not problem.fixes:
            return result
        opened = nodes[0].opened
        closed = leaf.reach(opened).closed
        gains = belief @ (1 - problem.uncured).T
        pairs = [(j, k) for j, k in zip(*np.nonzero(gains >= 0.02 * whole[:, None])) if k not in nodes[j].tried]
        if not pairs:
            return result
        at = np.array([j for j, _ in pairs])
        which = np.array([k for _, k in pairs])
        after = belief[at] * problem.uncured[which]
        sums = after.sum(axis=1)
        masses = leaf.classes(after[:, :-1])
        values = leaf.values(masses, sums, problem.fix_node[which], opened, ways, rates[at], shares(masses, sums))
        for i, (j, k) in enumerate(pairs):
            node, fix = nodes[j], problem.fixes[k]
            cost = float(fix.minutes + closed[fix.node])
            fixed = cost * float(whole[j]) + fix.extra * float(gains[j, k])
            child = Node(after[i], float(sums[i]), problem.open_with(opened, fix.node), float(values[i]), node.used,
                         node.tried | {int(k)}, node.path, guess=float(values[i]))
            result[j].append(Action("fix", int(k), cost, fixed + float(values[i]), fixed, [child]))
        return result

    def outcomes(self, node: Node, action: Action) -> list[Node]:
        """The children of an action, made when first looked at: one for each outcome, and one for no answer."""
        if action.children is None:
            problem, test = self.problem, action.index
            assert node.values is not None and node.unknown is not None
            start, count = int(problem.start[test]), int(problem.start[test + 1] - problem.start[test])
            first = self._first[test]
            known = problem.tests[test].known
            likely = problem.likely[start:start + count]
            changed = self._changed(node)
            if changed is not None:
                mine = (changed[0] >= start) & (changed[0] < start + count)
                if mine.any():
                    likely = likely.copy()
                    likely[changed[0][mine] - start] = changed[1][mine]
            joint = likely * (node.belief * known)
            used = node.used | problem.twins[test]
            opened = problem.open_with(node.opened, problem.tests[test].node)
            action.fixed = action.cost * node.mass
            action.children = [
                Node(joint[j], float(joint[j].sum()), opened, float(node.values[first + j]) * known, used, node.tried,
                     (*node.path, (test, start + j)), start + j, guess=float(node.values[first + j]) * known) for j in range(count)]
            if known < 1:
                i = int(np.searchsorted(self._starts, first))
                action.children.append(Node(node.belief * (1 - known), node.mass * (1 - known), opened, float(node.unknown[i]) * (1 - known),
                                            used, node.tried, node.path, guess=float(node.unknown[i]) * (1 - known)))
        return action.children

    # -- the tree ----------------------------------------------------------

    def run(self) -> list[Action]:
        """Look ahead; the actions at the root: those followed furthest first, best first among them."""
        root = self.root
        self.expand([root])
        assert root.actions is not None
        candidates = self._candidates(root.actions)
        self._narrow(candidates)
        for ply in range(2, self.effort.plies + 1):
            leaves = [self._leaves(action) for action in candidates]
            cells = (len(self._rows) + 8) * len(self.problem.belief)
            while len(leaves) > 3 and sum(map(len, leaves)) * cells > self.effort.work - self.done:
                leaves.pop()
            if ply > 2 and sum(map(len, leaves)) * cells > self.effort.work - self.done:
                break
            candidates = candidates[: len(leaves)]
            self.expand([node for group in leaves for node in group])
            for action, group in zip(candidates, leaves):
                self._carry(root, action)
                action.depth = ply
            candidates.sort(key=_order)
            candidates = candidates[: max(3, (len(candidates) + 1) // 2)]
        root.actions.sort(key=lambda a: (-a.depth, *_order(a)))
        return root.actions

    def _candidates(self, actions: list[Action]) -> list[Action]:
        chosen = [a for a in actions[: self.effort.first] if a.kind != "stop"]
        seen = {self._node_of(a) for a in chosen}
        for action in actions[self.effort.first:]:
            if len(chosen) >= self.effort.first + self.effort.others:
                break
            if action.kind == "test" and self._node_of(action) not in seen:
                seen.add(self._node_of(action))
                chosen.append(action)
        for action in actions:  # the best repair is always looked at
            if action.kind == "fix":
                return chosen if action in chosen else [*chosen, action]
        return chosen

    def _narrow(self, candidates: list[Action]) -> None:
        """Below the root only the tests that do best at the root are looked at, and those that may not be done yet."""
        assert self.root.actions is not None
        for action in candidates:
            self.outcomes(self.root, action)
        tests = [a.index for a in self.root.actions if a.kind == "test"]
        if len(tests) > self.effort.deep_tests:
            waiting = [t for t in np.argsort(self._promise, kind="stable").tolist() if not self.problem.allowed[t]]
            deep = {*tests[: self.effort.deep_tests], *waiting[: self.effort.waiting]}
            self._picked = np.array(sorted(deep))
            self._lay_rows()
        self._ways.clear()

    def _node_of(self, action: Action) -> int:
        return self.problem.tests[action.index].node if action.kind == "test" else self.problem.fixes[action.index].node

    def _leaves(self, action: Action) -> list[Node]:
        """The nodes to expand next below a candidate: unexpanded, likely enough, on one of the best courses."""
        found: list[Node] = []
        least = _RARE * self.root.mass
        stack = [(self.root, action)]
        while stack:
            parent, at = stack.pop()
            for child in self.outcomes(parent, at):
                if child.mass < least:
                    continue
                if child.actions is None:
                    found.append(child)
                else:
                    stack += [(child, a) for a in child.actions[: self.effort.beam] if a.kind != "stop"]
        return found

    def _carry(self, parent: Node, action: Action) -> float:
        """Carry values up from what was expanded. What is too rare to follow moves as the rest does."""
        if action.kind == "stop" or action.children is None:
            return action.value
        seen = moved = unseen = 0.0
        for child in action.children:
            if child.actions is None:
                unseen += child.value
                continue
            for onward in child.actions[: self.effort.beam]:
                self._carry(child, onward)
            child.actions.sort(key=_order)
            child.value = child.actions[0].value
            seen += child.guess
            moved += child.value
        action.value = action.fixed + moved + unseen * (moved / seen if seen > 0 else 1.0)
        return action.value


def _order(action: Action) -> tuple[float, int, int]:
    return (round(action.value, 7), KINDS.index(action.kind), action.index)


__all__ = ["Action", "Effort", "Node", "Search"]
