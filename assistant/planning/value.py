"""Expected minutes from here if nothing more were asked: repair in the best order, or hand over.

Bottom-up probability over cost on the access tree (Ottosen and Jensen 2010; the outtree case of the weighted
scheduling problem): within a closed state the blocks are merged while they get denser, and all blocks are then
taken in order of density. Handing over is the best prefix of that order (Lin 2014), not the first step that does not pay.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Mapping, Sequence

Tree = Mapping[str, tuple[str | None, float]]  # node -> (parent, minutes to open and close it)
_LEADER = 0.3
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

    def __init__(self, jobs: Sequence[Job], tree: Tree, hand_over: float, known_hand_over: float | None = None,
                 classes: Mapping[str, str] | None = None) -> None:
        self.hand_over = hand_over
        self.known_hand_over = hand_over if known_hand_over is None else known_hand_over
        self._class = dict(classes or {})  # fault -> name of the fix it shares with others
        self._tree = tree
        self._children: dict[str | None, list[str]] = {}
        for node in sorted(tree):
            self._children.setdefault(tree[node][0], []).append(node)
        self._jobs: dict[str | None, list[Job]] = {}
        self._whole: dict[str, float] = {}  # repair with all the opening it needs
        for job in jobs:
            node = job[3] if job[3] in tree else None
            self._jobs.setdefault(node, []).append(job)
            cost = job[1]
            while node is not None:
                cost += tree[node][1]
                node = tree[node][0]
            self._whole[job[0]] = cost + (1 - job[2]) * self.known_hand_over  # a repair may fail on the right fault

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

    def minutes(self, belief: Mapping[str, float], rate: float | None = None) -> float:
        """Expected minutes from here: finding the fault first at `rate` minutes per bit, or repairs in order, the less.

        `belief` sums to at most 1; what it lacks is handed over. The order of repairs is only worked out where one
        fault stands out: without a leader, finding is never the dearer way.
        """
        if rate is None:
            return self.in_order(belief)
        found = self.search(belief, rate)
        if belief and max(belief.values()) >= _LEADER:
            return min(found, self.in_order(belief))
        return found

    def in_order(self, belief: Mapping[str, float]) -> float:
        """Expected minutes of the best order of repairs with its best hand-over point."""
        rest, total, best = 1.0, 0.0, self.hand_over
        for block in self._blocks(None, belief):
            for gain, cost, _ in block[3]:
                total += cost * rest
                rest -= gain
            here = total + rest * self.hand_over
            if here < best:
                best = here
        return best

    def search(self, belief: Mapping[str, float], rate: float) -> float:
        """Expected minutes if the fault is first found by checks, at `rate` minutes per bit of doubt, then repaired.

        The entropy heuristic for troubleshooting (Warnquist and Nyberg), with the best point to stop telling apart:
        the likeliest faults are searched for, and all that is rarer is handed over together.
        """
        log2, known = math.log2, self.known_hand_over
        best = self.hand_over
        rest, bits, repair = 1.0, 0.0, 0.0
        whole = self._whole
        hand_over, get = self.hand_over, whole.get
        for mass, fault in self._merged(belief):
            bits -= mass * log2(mass)
            rest -= mass
            repair += mass * get(fault, known)
            if rest > 1e-9:
                least = repair + rate * (bits - rest * log2(rest))
                here = least + rest * hand_over
            else:
                here = least = repair + rate * bits
            if here < best:
                best = here
            elif least >= best:  # repair and doubt only grow from here; no longer list can be better
                break
        return best

    def _merged(self, belief: Mapping[str, float]) -> list[tuple[float, str]]:
        """Masses from the largest down; faults that one and the same fix cures need not be told apart."""
        if not self._class:
            return sorted([(m, f) for f, m in belief.items() if m > 1e-4], reverse=True)
        shared = self._class
        whole: dict[str, list] = {}
        result = [(mass, fault) for fault, mass in belief.items() if mass > 1e-4 and fault not in shared]
        for fault in [fault for fault in belief if fault in shared]:
            mass = belief[fault]
            if mass > 1e-4:
                name = shared[fault]
                if name in whole:
                    whole[name][0] += mass
                else:
                    whole[name] = [mass, fault]
        result += [(mass, fault) for mass, fault in whole.values()]
        result.sort(reverse=True)
        return result

    def bits(self, belief: Mapping[str, float]) -> float:
        """Doubt left, in bits: the entropy of the belief, with all it lacks as one further possibility."""
        rest, bits, log2 = 1.0, 0.0, math.log2
        for mass, _ in self._merged(belief):
            bits -= mass * log2(mass)
            rest -= mass
        return bits - rest * log2(rest) if rest > 1e-9 else bits

    def order(self, belief: Mapping[str, float]) -> Order:
        """The order itself, for showing."""
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
