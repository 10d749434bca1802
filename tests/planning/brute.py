"""The best order of repairs by trying all of them: what the bottom-up order must equal."""

from __future__ import annotations

from itertools import permutations
from typing import Mapping, Sequence

Jobs = Mapping[str, tuple[float, float, str | None]]  # name -> chance, minutes, node
Tree = Mapping[str, tuple[str | None, float]]  # node -> parent, minutes to open and close


def cost_of(order: Sequence[str], jobs: Jobs, tree: Tree, hand_over: float = 0.0) -> float:
    """Expected minutes of doing these jobs in this order, opening what each needs, then handing over what is left."""
    opened: set[str] = set()
    rest, total = 1.0, 0.0
    for name in order:
        chance, minutes, node = jobs[name]
        while node is not None and node not in opened:
            total += tree[node][1] * rest
            opened.add(node)
            node = tree[node][0]
        total += minutes * rest
        rest -= chance
    return total + max(rest, 0.0) * hand_over


def best_order(jobs: Jobs, tree: Tree, hand_over: float = 0.0) -> float:
    """The least of all complete orders."""
    return min(cost_of(order, jobs, tree, hand_over) for order in permutations(jobs))


def best_at_all(jobs: Jobs, tree: Tree, hand_over: float) -> float:
    """The least of all orders of all subsets: handing over may come at any point."""
    return min(cost_of(order, jobs, tree, hand_over) for size in range(len(jobs) + 1) for order in permutations(jobs, size))
