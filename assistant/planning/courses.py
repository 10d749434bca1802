"""Tables that estimates are reckoned from: minutes given what is open, and the cheapest way to settle each class of faults."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Array = np.ndarray
_BITS = 8


@dataclass(frozen=True, slots=True)
class Reach:
    """Minutes, given what is open. Rows of the matrices: after going to each node (last: nowhere)."""

    closed: Array  # nodes + 1: to get to each node
    prices: Array  # nodes + 1 x classes: to put each right once it is known
    trials: Array  # nodes + 1 x classes: to try the repair of each, if it does not help
    tests: Array  # each test, opening included
    costs: Array  # tests x classes: minutes of settling it by each test, false alarms included
    rate: Array  # tests x classes: chance over those minutes


@dataclass(frozen=True, slots=True)
class Ways:
    """The cheapest way to settle each class."""

    own: Array  # minutes without opening
    hit: Array  # chance that it settles the class when it is the fault
    extra: Array  # minutes more when it does
    need: Array  # eights of nodes x classes: what must be opened, as bits
    pull: Array  # chance over minutes with opening


class Courses:
    """Several states of what is open, each with its ways, one after another: so that beliefs of all of them are reckoned at once.

    The rows of a matrix of beliefs come state after state; `counts` says how many belong to each.
    """

    def __init__(self, reaches: list[Reach], ways: list[Ways]) -> None:
        self.reaches = reaches
        self.ways = ways
        self.own = np.concatenate([w.own for w in ways])
        self.hit = np.concatenate([w.hit for w in ways])
        self.extra = np.concatenate([w.extra for w in ways])
        self.need = np.concatenate([w.need for w in ways], axis=1)

    def spans(self, counts: list[int]) -> list[tuple[int, slice]]:
        """Each state with its rows, where it has any."""
        result, end = [], 0
        for state, count in enumerate(counts):
            if count:
                result.append((state, slice(end, end + count)))
            end += count
        return result


class Bits:
    """Sets of nodes as bits, eight to a number, and the minutes to open what is in them."""

    def __init__(self, toll: Array) -> None:
        count = -(-len(toll) // _BITS)
        self._pad = count * _BITS - len(toll)
        self.tables = []  # of each eight: minutes for each of the 256 sets
        for tolls in np.concatenate([toll, np.zeros(self._pad)]).reshape(count, _BITS):
            table = np.zeros(1)
            for minutes in tolls:
                table = np.concatenate([table, table + minutes])
            self.tables.append(table)

    def of(self, sets: Array) -> Array:
        """Rows of booleans, one for each node, as eights x rows."""
        packed = np.packbits(sets, axis=-1, bitorder="little")
        return np.ascontiguousarray(packed.T)


__all__ = ["Bits", "Courses", "Reach", "Ways"]
