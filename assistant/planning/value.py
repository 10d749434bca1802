"""Expected minutes from here if nothing more were asked or looked at: repair in the best order, or hand over.

Bottom-up probability over cost on the access tree (Ottosen and Jensen 2010; the outtree case of the weighted
scheduling problem): within a closed state the blocks are merged while they get denser, and all blocks are then
taken in order of density. Handing over is the best prefix of that order (Lin 2014), not the first step that does not pay.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Mapping, Sequence

Tree = Mapping[str, tuple[str | None, float]]  # node -> (parent, minutes to open and close it)
Job = tuple[str, float, float, str | None]  # name, minutes, chance that it cures when it is the fault, node


@dataclass(frozen=True, slots=True)
class Order:
    """A sequence of repairs with its expected minutes, ending with the hand-over after `stop` of them."""

    minutes: float
    names: tuple[str, ...]
    stop: int


def _density(block: tuple) -> float:
    return block[0]


class Repairs:
    """The repairs that could be tried with one set of states open; answers for any belief."""

    def __init__(self, jobs: Sequence[Job], tree: Tree, hand_over: float) -> None:
        self.hand_over = hand_over
        self._tree = tree
        self._children: dict[str | None, list[str]] = {}
        for node in sorted(tree):
            self._children.setdefault(tree[node][0], []).append(node)
        self._jobs: dict[str | None, list[Job]] = {}
        for job in jobs:
            self._jobs.setdefault(job[3] if job[3] in tree else None, []).append(job)

    def _blocks(self, node: str | None, belief: Mapping[str, float]) -> list[tuple[float, float, list]]:
        sub = []
        for name, minutes, cures, _ in self._jobs.get(node, ()):
            gain = belief.get(name, 0.0) * cures
            if gain > 1e-4:
                sub.append((gain / minutes if minutes > 0 else math.inf, gain, minutes, [(gain, minutes, name)]))
        for child in self._children.get(node, ()):
            sub += self._blocks(child, belief)
        sub.sort(key=_density, reverse=True)
        if node is None or not sub:
            return sub
        cost = self._tree[node][1]
        gain, minutes, items = 0.0, cost, [(0.0, cost, "")]
        taken = 0
        for block in sub:
            if minutes > 0 and block[0] <= gain / minutes:
                break
            gain, minutes, items = gain + block[1], minutes + block[2], items + block[3]
            taken += 1
        density = gain / minutes if minutes > 0 else math.inf
        return [(density, gain, minutes, items), *sub[taken:]]

    def in_order(self, belief: Mapping[str, float]) -> float:
        """Expected minutes of the best order of repairs with its best hand-over point."""
        return self.order(belief).minutes

    def order(self, belief: Mapping[str, float]) -> Order:
        """The order itself, with its best hand-over point."""
        rest, total = 1.0, 0.0
        best, stop = self.hand_over, 0
        names: list[str] = []
        for block in self._blocks(None, belief):
            for gain, cost, name in block[3]:
                total += cost * rest
                rest -= gain
                if name:
                    names.append(name)
                if total + rest * self.hand_over < best:
                    best, stop = total + rest * self.hand_over, len(names)
        return Order(best, tuple(names), stop)
