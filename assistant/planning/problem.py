"""One decision laid out as arrays: faults, steps that tell, repairs, the tree of opened work. All times in minutes.

Knows nothing of motorcycles or files: the planner makes one from a scene, the benchmarks make small ones to solve exactly.
Beliefs are unnormalised: a vector over the faults and, last, all that is not in the list; its sum is the chance of getting there.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any, Callable, Sequence

import numpy as np

Array = np.ndarray


@dataclass(frozen=True, slots=True)
class Test:
    """A question or a check: what it costs beyond the opening, where it is done, how often it gets an answer at all."""

    id: str
    kind: str  # question | check
    minutes: float
    node: int = -1
    known: float = 1.0
    twins: frozenset[str] = frozenset()  # tests that tell the same


@dataclass(frozen=True, slots=True)
class Fix:
    """A repair: its minutes, where, and the faults it may cure.

    The price of a part counts only when it was not the fault: one that is needed is paid whoever fits it, and whatever
    was done before (the constant part of the cost in Heckerman, Breese and Rommelse 1995).
    """

    id: str
    minutes: float  # work, and what a wrong part would lose
    node: int = -1
    extra: float = 0.0  # more when it helps: less, by what is not lost then
    cures: tuple[tuple[int, float], ...] = ()  # fault, chance that it cures it


@dataclass(frozen=True)
class Problem:
    """Everything that choosing the next step depends on."""

    belief: Array  # faults + 1
    tests: tuple[Test, ...]
    start: Array  # first row of each test, and the number of rows
    likely: Array  # rows x (faults + 1): chance of the outcome, given the fault
    fixes: tuple[Fix, ...]
    parent: tuple[int, ...]  # of each access node, -1 at the root
    toll: Array  # minutes to open and close each node
    opened: frozenset[int] = frozenset()
    hand_over: float = 240.0
    known_hand_over: float = 150.0
    repair_least: float = 0.0  # share of belief from which a repair is thought of before all else is exhausted
    some: Array | None = None  # tests that may be done now; None: all
    after: Callable[[int, int], Array | None] | None = None  # test, outcome row -> tests that may be done then
    shift: Callable[[tuple[tuple[int, int], ...]], tuple[Array, Array] | None] | None = None
    # tests and rows learnt -> the rows that change with it, and what is likely there then
    kept: list[Any] = field(default_factory=list, repr=False, compare=False)  # what was found by looking ahead from it, for the next time

    @cached_property
    def allowed(self) -> Array:
        """The tests that may be done now."""
        return np.ones(len(self.tests), dtype=bool) if self.some is None else self.some

    @cached_property
    def uncured(self) -> Array:
        """fixes x (faults + 1): the share of each fault that its repair leaves."""
        result = np.ones((len(self.fixes), len(self.belief)))
        for k, fix in enumerate(self.fixes):
            for fault, chance in fix.cures:
                result[k, fault] = 1 - chance
        return result

    @cached_property
    def cured(self) -> Array:
        """(faults + 1) x fixes: the share of each fault that a repair cures."""
        return (1 - self.uncured).T

    @cached_property
    def covers(self) -> Array:
        """fixes x (faults + 1): which faults each repair is for."""
        return (self.uncured < 1).astype(float)

    @cached_property
    def fix_node(self) -> Array:
        """Node of each fix."""
        return np.array([f.node for f in self.fixes], dtype=int)

    @cached_property
    def paths(self) -> Array:
        """(nodes + 1) x nodes: what must be open at each node, itself included; the last row is 'nothing'."""
        count = len(self.parent)
        result = np.zeros((count + 1, count), dtype=bool)
        for node in range(count):
            at = node
            while at >= 0:
                result[node, at] = True
                at = self.parent[at]
        return result

    @cached_property
    def test_node(self) -> Array:
        """Node of each test."""
        return np.array([t.node for t in self.tests], dtype=int)

    @cached_property
    def row_test(self) -> Array:
        """Test of each row."""
        return np.repeat(np.arange(len(self.tests)), np.diff(self.start))

    @cached_property
    def row_node(self) -> Array:
        """Node of each row's test."""
        return self.test_node[self.row_test] if len(self.tests) else np.zeros(0, dtype=int)

    @cached_property
    def test_minutes(self) -> Array:
        """Minutes of each test beyond the opening."""
        return np.array([t.minutes for t in self.tests])

    @cached_property
    def test_known(self) -> Array:
        """Chance that each test gets an answer."""
        return np.array([t.known for t in self.tests])

    @cached_property
    def twins(self) -> dict[int, frozenset[int]]:
        """Test -> itself and the tests that tell the same."""
        place = {t.id: i for i, t in enumerate(self.tests)}
        return {i: frozenset({i, *(place[x] for x in t.twins if x in place)}) for i, t in enumerate(self.tests)}

    def same_as(self, other: "Problem") -> bool:
        """Whether it is made of the very same parts; not whether others would be equal to them."""
        mine = ((getattr(self, f.name), getattr(other, f.name)) for f in fields(self) if f.compare)
        return all(a is b or isinstance(a, (int, float)) and a == b for a, b in mine)

    def open_with(self, opened: frozenset[int], node: int) -> frozenset[int]:
        """What is open after going to a node."""
        return opened if node < 0 else opened | frozenset(np.nonzero(self.paths[node])[0].tolist())


def one_column_each(fixes: Sequence[Fix], faults: int) -> Array:
    """The fix of each fault, -1 where there is none; a fault cured by several keeps the first."""
    result = np.full(faults, -1, dtype=int)
    for k, fix in enumerate(fixes):
        for fault, _ in fix.cures:
            if result[fault] < 0:
                result[fault] = k
    return result
