"""Looking ahead: what could be done and found, ply by ply, within a fixed amount of work.

Every action is scored one step deep with the leaf value. Then the best few, and the best that opens each further access
state, are followed: after each of their outcomes everything is scored again, and so on for as many of them as the work allows
(beam search over an AND/OR tree). What is compared has been looked at to the same depth. The amount of work is counted, not
timed, so that the same state always gets the same advice.
"""

from __future__ import annotations

from copy import copy

import numpy as np

from assistant.planning.nodes import Action, Layout, Node, order
from assistant.planning.scoring import Effort, Scoring

_RARE = 0.012  # outcomes rarer than this are not followed


class Search(Scoring):
    """One problem being looked into."""

    def run(self) -> list[Action]:
        """Look ahead; the actions at the root: those followed furthest first, best first among them.

        Once for the same problem: what was found is kept with it, as it was before anybody looked further into it.
        """
        kept = self.problem.kept
        before = next((s for s in kept if s.effort == self.effort and s.going == self.going and s.problem.same_as(self.problem)), None)
        if before is None:
            self._look()
            kept.append(self._untouched())
        else:
            self.__dict__.update(before._untouched().__dict__)
        assert self.root.actions is not None
        return self.root.actions

    def _untouched(self) -> "Search":
        result = copy(self)
        result.root = copy(self.root)
        result.root.actions = [action.untouched() for action in self.root.actions or ()]
        return result

    def _look(self) -> None:
        root = self.root
        self.expand([root])
        assert root.actions is not None
        candidates = self._candidates(root.actions)
        self._narrow(candidates)
        for ply in range(2, self.effort.plies + 1):
            leaves = self._affordable(candidates, ply)
            if leaves is None:
                break
            candidates = candidates[: len(leaves)]
            self.expand([node for group in leaves for node in group])
            for action, group in zip(candidates, leaves):
                self._carry(root, action)
                action.depth = ply
            candidates.sort(key=order)
        root.actions.sort(key=lambda a: (-a.depth, *order(a)))
        further = sorted(a.value - a.near for a in root.actions if a.depth == root.actions[0].depth and a.depth > 1)
        half = len(further) // 2
        self.hope = (further[half] if len(further) % 2 else (further[half - 1] + further[half]) / 2) if further else 0.0
        self._let_go()

    def _let_go(self) -> None:
        """Of what was followed only the minutes are asked for later, not the beliefs and tables that they came of."""
        self._ways.clear()
        self.leaf.let_go()
        nodes = [child for action in self.root.actions or () for child in action.children or () if child.actions is not None]
        while nodes:
            node = nodes.pop()
            node.let_go()
            nodes += [child for action in node.actions or () for child in action.children or () if child.actions is not None]

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
            self.lay = Layout(self.problem, np.array(sorted(deep)))
        self._ways.clear()

    def _node_of(self, action: Action) -> int:
        return self.problem.tests[action.index].node if action.kind == "test" else self.problem.fixes[action.index].node

    def _affordable(self, candidates: list[Action], ply: int) -> list[list[Node]] | None:
        """The leaves of as many candidates as the work that is left allows, in their order: of three at least, or None where they are too many.

        The first look ahead is always had. Nobody looks for leaves that could not be afforded.
        """
        cells = (len(self.lay.rows) + 8) * len(self.problem.belief)
        left = (self.effort.work - self.done) // cells
        leaves: list[list[Node]] = []
        for action in candidates:
            must = len(leaves) < 3
            found = self._leaves(action, None if must and ply == 2 else left)
            if len(found) > left and not (must and ply == 2):
                for other in candidates if must else candidates[len(leaves):]:
                    self._end(other)
                return None if must else leaves
            left -= len(found)
            leaves.append(found)
        return leaves

    def _leaves(self, action: Action, most: int | None) -> list[Node]:
        """The nodes to expand next below a candidate: unexpanded, likely enough, on one of the best courses; no more than one past `most`."""
        found: list[Node] = []
        least = _RARE * self.root.mass
        stack = [(self.root, action)]
        while stack and (most is None or len(found) <= most):
            parent, at = stack.pop()
            for child in self.outcomes(parent, at):
                if child.mass < least:
                    continue
                if child.actions is None:
                    found.append(child)
                else:
                    stack += [(child, a) for a in self._followed(child) if a.kind != "stop"]
        return found

    def _end(self, action: Action) -> None:
        """Nothing more is looked at below a candidate: what its last steps themselves cost is told from what is estimated to come after them."""
        stack = [(self.root, action)]
        while stack:
            parent, at = stack.pop()
            if at.children is None:
                at.fixed = at.cost * parent.mass
            for child in at.children or ():
                if child.actions is not None and child.mass >= _RARE * self.root.mass:
                    stack += [(child, a) for a in self._followed(child) if a.kind != "stop"]

    def _followed(self, node: Node) -> list[Action]:
        """The best few actions of a node below the root, the best repair among them; the same ones at every ply."""
        assert node.actions is not None
        if node.beam is None:
            few = node.actions[: self.effort.beam]
            node.beam = few + [a for a in node.actions if a.kind == "fix" and a not in few][:1] if all(a.kind != "fix" for a in few) else few
        return node.beam

    def _carry(self, parent: Node, action: Action) -> float:
        """Carry values up from what was expanded. What is too rare to follow moves as the rest does."""
        if action.kind == "stop" or action.children is None:
            return action.value
        seen = moved = unseen = 0.0
        for child in action.children:
            if child.actions is None:
                unseen += child.value
                continue
            followed = self._followed(child)  # only these: an estimate looked at less far is the more hopeful one
            for onward in followed:
                self._carry(child, onward)
            rest = [a for a in child.actions if a not in followed and a.kind != "stop"]
            stop = [a for a in child.actions if a.kind == "stop" and a not in followed]
            child.actions = sorted([*followed, *stop], key=order) + rest
            child.value = child.actions[0].value
            seen += child.guess
            moved += child.value
        action.value = action.fixed + moved + unseen * (moved / seen if seen > 0 else 1.0)
        return action.value

    def deepen(self, action: Action) -> None:
        """Look one step further below an action at the root that was only estimated."""
        if action.depth < 2 and action.kind == "test":
            self.expand([c for c in self.outcomes(self.root, action) if c.actions is None and c.mass >= _RARE * self.root.mass])
            self._carry(self.root, action)
            action.depth = 2


__all__ = ["Action", "Effort", "Node", "Search"]
