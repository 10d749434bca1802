"""Scoring what can be done where a search has come to: every action one step deep, for many states of belief at once.

An action costs its minutes and the opening, and after each of its outcomes the minutes still to come by the leaf value. Nothing here
knows how far a search goes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import repeat

import numpy as np

from assistant.planning.courses import Courses, Ways
from assistant.planning.leaf import Going, Leaf, doubts, shares
from assistant.planning.nodes import Action, Layout, Node, order
from assistant.planning.problem import Problem
from assistant.planning.value import Repairs

Array = np.ndarray
_SLIGHT = 0.02  # a repair that helps less often is not looked at
_SETTLED = 0.8  # a fault that stands as high is as good as found


@dataclass(frozen=True, slots=True)
class Effort:
    """How much work is done."""

    first: int = 6  # candidates that are followed
    others: int = 3  # more of them, for access states of their own
    deep_tests: int = 16  # tests that are looked at below the root
    waiting: int = 4  # and of those that another answer must open first
    beam: int = 2  # actions followed at a node below the root, from the third ply on
    plies: int = 6
    work: int = 400_000  # cells of (belief, outcome, fault) looked at
    chunk: int = 60_000


class Scoring:
    """The root of one problem, the tables that hold for all that comes after it, and what scoring costs."""

    def __init__(self, problem: Problem, effort: Effort = Effort(), going: Going = Going()) -> None:
        self.problem, self.effort, self.going = problem, effort, going
        self.done = 0
        self.expansions = 0
        self._ways: dict[tuple[frozenset[int], frozenset[int]], Ways] = {}
        self.root = Node(problem.belief, float(problem.belief.sum()), problem.opened, 0.0, frozenset(), frozenset())
        self.hope = 0.0  # what looking further adds to an estimate, at the middle of those that were
        self.base = 0.0  # the estimate for the root before anything was looked at
        self.at_once = np.zeros(0)  # of each test: minutes from here if nothing were found out after it
        self.chances = np.zeros(0)  # of the root's rows
        self.settling = np.zeros(0)  # of the root's tests: chance that one fault stands at `_SETTLED` after it

    @cached_property
    def leaf(self) -> Leaf:
        """What beliefs are worth."""
        return Leaf(self.problem, self.going)

    @cached_property
    def lay(self) -> Layout:
        """The tests that are looked at: at first all of them."""
        return Layout(self.problem, np.arange(len(self.problem.tests)))

    def expand(self, nodes: list[Node]) -> None:
        """Score everything that can be done at each of the nodes one step deep."""
        groups: dict[tuple[frozenset[int], frozenset[int]], list[Node]] = {}
        for node in nodes:
            groups.setdefault((node.opened, node.used), []).append(node)
        size = max(1, self.effort.chunk // max(1, len(self.lay.rows) * len(self.problem.belief)))
        batches: dict[bool, list[list[Node]]] = {False: [], True: []}  # before and after a repair
        for group in groups.values():
            self._way(group[0])
            for i in range(0, len(group), size):
                part = group[i:i + size]
                batch = batches[any(node.tried for node in part)]
                if batch and sum(map(len, batch)) + len(part) > size:
                    self._expand(batch)
                    batch.clear()
                batch.append(part)
        for batch in batches.values():
            if batch:
                self._expand(batch)

    def _expand(self, groups: list[list[Node]]) -> None:
        """Nodes of several groups, all of a group with the same things open and the same tests done, are scored in one go."""
        problem, leaf, lay = self.problem, self.leaf, self.lay
        nodes = [node for group in groups for node in group]
        sizes = [len(group) for group in groups]
        count, rows = len(nodes), len(lay.rows)
        self.expansions += count
        self.done += count * (rows + 8) * len(problem.belief)
        courses = leaf.courses([(group[0].opened, self._way(group[0])) for group in groups])
        belief = np.array([node.belief for node in nodes])
        whole = belief.sum(axis=1)
        own = all_own = leaf.classes(belief)
        hopes = leaf.hopes(node.tried for node in nodes) if any(node.tried for node in nodes) else None
        if hopes is not None:
            own = own * hopes
        own_logs = shares(own, whole)
        rates = np.full(count, leaf.going.most)
        usable = np.array([self._usable(node) for node in nodes])[:, lay.picked]
        total = np.zeros((count, 0))
        at_root = nodes[0] is self.root
        if len(lay.picked):
            joint = lay.likely * belief[:, None, :]
            for j, node in enumerate(nodes):
                changed = self._changed(node)
                if changed is not None:
                    at = lay.local[changed[0]]
                    joint[j, at[at >= 0]] = changed[1][at >= 0] * node.belief
            flat = joint.reshape(-1, joint.shape[2])
            masses, sums = leaf.classes(flat), flat.sum(axis=1)
            if hopes is not None:
                masses = masses * np.repeat(hopes, rows, axis=0)
            named = masses.sum(axis=1)
            logs = shares(masses, sums)
            known = problem.test_known[lay.picked]
            costs = np.repeat([reach.tests[lay.picked] for reach in courses.reaches], sizes, axis=0)
            if own.shape[1]:
                open_costs = np.where(usable, costs, np.inf)
                own_doubts = np.concatenate([doubts(own[span], whole[span], own_logs[span]) for _, span in courses.spans(sizes)])
                rates = leaf.going_rates(own_doubts / whole, doubts(masses, sums, logs, named).reshape(count, -1) / whole[:, None], lay.starts, open_costs, known)
            values = leaf.values(masses, sums, np.tile(lay.place, count), courses, [size * rows for size in sizes], np.repeat(rates, rows), logs,
                                 named).reshape(count, rows)
            places = np.flatnonzero(np.bincount(problem.test_node[lay.picked] + 1)) - 1
            unknown = np.empty((count, len(problem.parent) + 1))
            n = len(places)
            unknown[:, places] = leaf.values(np.repeat(own, n, axis=0), np.repeat(whole, n), np.tile(places, count), courses, [size * n for size in sizes],
                                             np.repeat(rates, n), np.repeat(own_logs, n, axis=0)).reshape(count, n)
            unknown = unknown[:, problem.test_node[lay.picked]]
            total = costs * whole[:, None] + known * np.add.reduceat(values, lay.starts, axis=1) + (1 - known) * unknown
            if at_root:
                self._promise = total[0].copy()
                self.chances = sums
                sure = leaf.at_once(masses, sums, lay.place, self.root.opened)
                still = leaf.at_once(np.repeat(own, n, axis=0), np.repeat(whole, n), places, self.root.opened)
                stands = np.empty(len(problem.parent) + 1)
                stands[places] = still
                self.at_once = costs[0] * whole[0] + known * np.add.reduceat(sure, lay.starts) + (1 - known) * stands[problem.test_node]
                most = flat[:, :-1].max(axis=1, initial=0.0)
                self.settling = known * np.add.reduceat(np.where(most >= _SETTLED * sums, sums, 0.0), lay.starts)
            total[~usable] = np.inf
        if at_root:
            self.base = float(leaf.values(own, whole, np.full(1, -1), courses, [1], rates, own_logs)[0])
        top = problem.hand_over * whole - (problem.hand_over - problem.known_hand_over) * all_own.max(axis=1, initial=0.0)
        fixes = self._fixes(nodes, sizes, belief, whole, courses, rates)
        stops, shares_of = top.tolist(), (top / whole).tolist()
        kept = self._best(total, at_root) if len(lay.picked) else []
        for j, node in enumerate(nodes):
            actions = fixes[j]
            actions.append(Action("stop", 0, shares_of[j], stops[j], stops[j], []))
            if len(lay.picked):
                node.values, node.unknown, node.lay = values[j], unknown[j], lay
                keep = kept[j]
                actions += map(Action, repeat("test"), lay.picked[keep].tolist(), costs[j, keep].tolist(), total[j, keep].tolist())
            actions.sort(key=order)
            node.actions = actions
            node.value = actions[0].value

    @staticmethod
    def _best(total: Array, everything: bool) -> list[Array]:
        """The tests of each node that are worth an action: the best four, or all that can be done."""
        counts = np.isfinite(total).sum(axis=1).tolist()
        few = np.argpartition(total, 3, axis=1)[:, :4] if total.shape[1] > 4 else None
        return [np.argsort(row, kind="stable")[:count] if everything or count <= 4 or few is None else few[j]
                for j, (row, count) in enumerate(zip(total, counts))]

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

    def _fixes(self, nodes: list[Node], sizes: list[int], belief: Array, whole: Array, courses: Courses, rates: Array) -> list[list[Action]]:
        problem, leaf = self.problem, self.leaf
        result: list[list[Action]] = [[] for _ in nodes]
        if not problem.fixes:
            return result
        gains, covered = np.empty((len(nodes), len(problem.fixes))), np.empty((len(nodes), len(problem.fixes)))
        for _, span in courses.spans(sizes):  # group by group, as the sums of matrices of other shapes may differ in the last digit
            gains[span] = belief[span] @ problem.cured
            covered[span] = belief[span] @ problem.covers.T
        able = gains >= _SLIGHT * whole[:, None]
        if nodes[0] is not self.root:  # what comes later keeps to the rule; what is done now is for the caller to choose
            able &= covered >= problem.repair_least * whole[:, None]
        pairs = [(j, k) for j, k in zip(*(a.tolist() for a in np.nonzero(able))) if k not in nodes[j].tried]
        if not pairs:
            return result
        at = np.array([j for j, _ in pairs])
        which = np.array([k for _, k in pairs])
        after = belief[at] * problem.uncured[which]
        sums = after.sum(axis=1)
        masses = leaf.classes(after) * leaf.hopes(nodes[j].tried | {k} for j, k in pairs)
        of = np.repeat(np.arange(len(sizes)), sizes)[at]
        values = leaf.values(masses, sums, problem.fix_node[which], courses, np.bincount(of, minlength=len(sizes)).tolist(), rates[at], shares(masses, sums))
        for i, (j, k) in enumerate(pairs):
            node, fix = nodes[j], problem.fixes[k]
            cost = float(fix.minutes + courses.reaches[of[i]].closed[fix.node])
            fixed = cost * float(whole[j]) + fix.extra * float(gains[j, k])
            child = Node(after[i], float(sums[i]), problem.open_with(node.opened, fix.node), float(values[i]), node.used,
                         node.tried | {k}, node.path, guess=float(values[i]))
            result[j].append(Action("fix", k, cost, fixed + float(values[i]), fixed, [child]))
        if nodes[0] is self.root:
            self._in_order(result[0], gains[0])
        return result

    def _in_order(self, fixes: list[Action], gains: Array) -> None:
        """Repairs alone, in their best order: what the first of them leads to costs no more than that."""
        problem = self.problem
        names = [f"{node}" if node >= 0 else None for node in range(-1, len(problem.parent))]
        tree = {str(node): (None if parent < 0 else str(parent), 0.0 if node in self.root.opened else float(problem.toll[node]))
                for node, parent in enumerate(problem.parent)}
        jobs = [(str(a.index), problem.fixes[a.index].minutes, 1.0, names[problem.fixes[a.index].node + 1]) for a in fixes]
        whole = self.root.mass
        best = Repairs(jobs, tree, problem.hand_over).order({str(a.index): float(gains[a.index]) / whole for a in fixes})
        done = [int(name) for name in best.names[: best.stop]]
        back = sum(problem.fixes[k].extra * float(gains[k]) for k in done)
        for action in fixes:
            if done and action.index == done[0]:
                action.value = min(action.value, best.minutes * whole + back)

    def outcomes(self, node: Node, action: Action) -> list[Node]:
        """The children of an action, made when first looked at: one for each outcome, and one for no answer."""
        if action.children is None:
            problem, test = self.problem, action.index
            assert node.values is not None and node.unknown is not None and node.lay is not None
            start, count = int(problem.start[test]), int(problem.start[test + 1] - problem.start[test])
            first = node.lay.first[test]
            known = problem.tests[test].known
            likely = problem.likely[start:start + count]
            changed = self._changed(node)
            if changed is not None:
                mine = (changed[0] >= start) & (changed[0] < start + count)
                if mine.any():
                    likely = likely.copy()
                    likely[changed[0][mine] - start] = changed[1][mine]
            joint = likely * (node.belief * known)
            masses = joint.sum(axis=1).tolist()
            guesses = (node.values[first:first + count] * known).tolist()
            used = node.used | problem.twins[test]
            opened = problem.open_with(node.opened, problem.tests[test].node)
            action.fixed = action.cost * node.mass
            action.children = [
                Node(joint[j], masses[j], opened, guesses[j], used, node.tried, (*node.path, (test, start + j)), start + j, guesses[j]) for j in range(count)]
            if known < 1:
                i = int(np.searchsorted(node.lay.starts, first))
                guess = float(node.unknown[i]) * (1 - known)
                action.children.append(Node(node.belief * (1 - known), node.mass * (1 - known), opened, guess, used, node.tried, node.path, guess=guess))
        return action.children


__all__ = ["Effort", "Scoring"]
