"""Rows of whole numbers of unequal length, laid end to end in one array: a tenth of the room that lists of lists take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Iterable, Sequence

import numpy as np


@dataclass(frozen=True, eq=False, slots=True)
class Rows:
    """`items[starts[n]:starts[n + 1]]` is row n."""

    starts: np.ndarray
    items: np.ndarray

    def __len__(self) -> int:
        return len(self.starts) - 1

    def row(self, number: int) -> list[int]:
        """One row."""
        return self.items[self.starts[number]:self.starts[number + 1]].tolist()

    def together(self, numbers: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Several rows end to end, and how long each is."""
        first = self.starts[numbers]
        lengths = self.starts[numbers + 1] - first
        ends = np.cumsum(lengths)
        return self.items[np.repeat(first - ends + lengths, lengths) + np.arange(ends[-1] if len(ends) else 0)], lengths

    def turned(self, count: int) -> Rows:
        """For each of `count` items the rows that hold it, in order."""
        rows = np.repeat(np.arange(len(self), dtype=np.int32), np.diff(self.starts))
        order = np.argsort(self.items, kind="stable")
        return Rows(starts_of(np.bincount(self.items, minlength=count)), rows[order])


def starts_of(lengths: np.ndarray) -> np.ndarray:
    """Where rows of these lengths begin, and where the last one ends."""
    return np.concatenate(([0], np.cumsum(lengths))).astype(np.int32)


def rows_of(rows: Sequence[Iterable[int]]) -> Rows:
    """Rows made of plain ones."""
    lists = [list(row) for row in rows]
    return Rows(starts_of(np.array([len(row) for row in lists], np.int64)), np.array([n for row in lists for n in row], np.int32))


__all__ = ["Rows", "rows_of", "starts_of"]
