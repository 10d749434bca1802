"""What a search is made of: actions, the beliefs they lead to, and which rows of the tables are looked at."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from assistant.planning.problem import Problem

Array = np.ndarray
KINDS = ("fix", "test", "stop")


@dataclass(slots=True, eq=False)
class Action:
    """One thing that could be done at a node. `value` is minutes times the node's mass."""

    kind: str
    index: int  # test or fix; 0 for stop
    cost: float  # minutes now, opening included
    value: float
    fixed: float = 0.0  # part of the value that no outcome changes
    children: list["Node"] | None = None  # outcomes in order; None until somebody looks
    depth: int = 1
    near: float = math.nan  # its value one step deep, kept when it is followed further

    def __post_init__(self) -> None:
        self.near = self.value

    def untouched(self) -> "Action":
        """A copy that may be looked into further: of a test that was not. Whatever else was looked into is done with and stays as it is."""
        if self.kind != "test" or self.depth > 1:
            return self
        return Action(self.kind, self.index, self.cost, self.value, self.fixed, self.children and [child.untouched() for child in self.children])


@dataclass(slots=True, eq=False)
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
    lay: "Layout | None" = None  # of these arrays
    beam: list[Action] | None = None  # the actions that are followed further

    def let_go(self) -> None:
        """Keep what it came to, and not what it would take to look further."""
        self.values = self.unknown = self.lay = None

    def untouched(self) -> "Node":
        """A copy of one that was not expanded."""
        return Node(self.belief, self.mass, self.opened, self.value, self.used, self.tried, self.path, self.label, self.guess)


class Layout:
    """Some of the tests with their rows one after another."""

    def __init__(self, problem: Problem, picked: Array) -> None:
        start = problem.start
        counts = start[picked + 1] - start[picked]
        self.picked = picked
        self.starts = np.concatenate(([0], np.cumsum(counts)[:-1])).astype(int) if len(counts) else np.zeros(0, dtype=int)
        self.rows = np.repeat(start[picked] - self.starts, counts) + np.arange(int(counts.sum()))
        self.first = {int(test): int(at) for test, at in zip(picked, self.starts)}
        self.place = problem.row_node[self.rows]
        self.likely = problem.likely if len(self.rows) == len(problem.likely) else problem.likely[self.rows]
        self.local = np.full(int(start[-1]) if len(start) else 0, -1)
        self.local[self.rows] = np.arange(len(self.rows))


def estimated(action: Action) -> float:
    """The part of its value that nothing was looked at behind: 0 where every course was followed to a cure or the hand-over."""
    if action.kind == "stop":
        return 0.0
    if action.children is None:
        return action.value - action.fixed
    return sum(estimated(child.actions[0]) if child.actions else child.value for child in action.children)


def order(action: Action) -> tuple[float, int, int]:
    """Least minutes first; a tie goes to the repair before the test and then to the lower place, which is by id."""
    return (round(action.value, 7), KINDS.index(action.kind), action.index)


__all__ = ["Action", "Layout", "Node", "estimated", "order"]
