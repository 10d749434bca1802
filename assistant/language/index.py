"""Which phrases may be heard in a sentence: told from the word sequences found in it, all phrases at a time, in arrays of numbers.

Imported with the first message only, for it brings the arrays.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Collection, Mapping, Sequence

import numpy as np

from assistant.language.patterns import GAP_MARK
from assistant.language.rows import Rows, rows_of
from assistant.language.word_tree import Spot, WordTree, tree_of

_FAR = 1 << 30


@dataclass(eq=False, slots=True)
class Index:
    """The word sequences, the groups each belongs to, and the groups of each pattern: in order, and those that must be there, the rarest first.

    `ordered` are the ones that must be there in the order of the pattern; none where it may be any.
    """

    tree: WordTree
    groups_of: Rows  # sequence -> groups
    pieces: Rows  # pattern -> twice the group, and one more where it may be missing; GAP_MARK is the group of a gap
    needs: Rows  # pattern -> groups, the rarest first
    ordered: Rows  # pattern -> groups, as they follow one another
    groups: int  # how many there are
    second: np.ndarray = field(init=False)  # pattern -> its next rarest group, or the rarest again
    anchored: Rows = field(init=False)  # group -> the patterns whose rarest it is

    def __post_init__(self) -> None:
        starts = self.needs.starts[:-1]
        first = self.needs.items[starts]
        self.second = self.needs.items[np.minimum(starts + 1, self.needs.starts[1:] - 1)]
        self.anchored = Rows(np.arange(len(first) + 1, dtype=np.int32), first).turned(self.groups)

    def elements(self, pattern: int) -> list[tuple[int, bool]]:
        """The pieces of a pattern in order: its group, GAP_MARK for a gap, and whether it may be missing."""
        return [(piece >> 1, bool(piece & 1)) for piece in self.pieces.row(pattern)]

    def within(self, found: Mapping[int, Sequence[Spot]]) -> Found:
        """What may be heard where these sequences were found, each at its places."""
        return Found(self, found)


class Found:
    """The groups of which something is there, in one sentence."""

    def __init__(self, index: Index, found: Mapping[int, Sequence[Spot]]) -> None:
        self._index = index
        sequences = np.fromiter(found, np.int32, len(found))
        self._groups, lengths = index.groups_of.together(sequences)
        self._sequences = np.repeat(sequences, lengths)
        self._there = np.zeros(index.groups, bool)
        self._there[self._groups] = True
        self._soonest = np.full(index.groups, _FAR, np.int32)  # group -> where it ends at the soonest
        self._latest = np.full(index.groups, -1, np.int32)  # and where it begins at the latest
        ends = np.fromiter((min(spot[1] for spot in spots) for spots in found.values()), np.int32, len(found))
        starts = np.fromiter((max(spot[0] for spot in spots) for spots in found.values()), np.int32, len(found))
        np.minimum.at(self._soonest, self._groups, np.repeat(ends, lengths))
        np.maximum.at(self._latest, self._groups, np.repeat(starts, lengths))

    def patterns(self) -> list[int]:
        """Those of which every part that must be there is there, and none of them only before the one that it should follow."""
        index, there = self._index, self._there
        possible, _ = index.anchored.together(np.flatnonzero(there))
        possible = possible[there[index.second[possible]]]
        if not len(possible):
            return []
        needs, lengths = index.needs.together(possible)
        possible = np.sort(possible[np.logical_and.reduceat(there[needs], np.cumsum(lengths) - lengths)])
        groups, lengths = index.ordered.together(possible)
        row = np.repeat(np.arange(len(possible)), lengths)
        turned = (row[:-1] == row[1:]) & (self._latest[groups[1:]] < self._soonest[groups[:-1]])
        follows = np.ones(len(possible), bool)
        follows[row[:-1][turned]] = False
        return possible[follows].tolist()

    def sequences(self, patterns: Sequence[int]) -> Mapping[int, list[int]]:
        """For each group that these patterns speak of, those of its word sequences that are there."""
        asked = np.zeros(self._index.groups, bool)
        pieces, _ = self._index.pieces.together(np.asarray(patterns, np.int32))
        groups = pieces >> 1
        asked[groups[groups != GAP_MARK]] = True
        chosen = asked[self._groups]
        result: dict[int, list[int]] = {}
        for group, sequence in zip(self._groups[chosen].tolist(), self._sequences[chosen].tolist()):
            result.setdefault(group, []).append(sequence)
        return result


def indexed(sequences: Sequence[Sequence[int]], groups: Sequence[Collection[int]], pieces: Sequence[Sequence[int]], small: Collection[int],
            any_order: Collection[int] = ()) -> Index:
    """The index of patterns, each given by its pieces; each group by its sequences of words.

    `small` are the small words, which are everywhere, `any_order` the patterns whose pieces may stand in any order.
    """
    common: dict[int, int] = {}
    for group in groups:
        for sequence in group:
            for word in sequences[sequence]:
                common[word] = common.get(word, 0) + 1
    for word in small:
        common[word] = common.get(word, 0) + 500
    rare = [min(common.get(word, 0) for word in words) for words in sequences]
    cost = [sum(rare[sequence] for sequence in group) for group in groups]
    required = [[piece >> 1 for piece in each if piece >> 1 != GAP_MARK and not piece & 1] for each in pieces]
    needs = [sorted(set(each), key=lambda g: (cost[g], g)) for each in required]
    ordered = [[] if number in any_order else each for number, each in enumerate(required)]
    return Index(tree_of(sequences), rows_of(groups).turned(len(sequences)), rows_of(pieces), rows_of(needs), rows_of(ordered), len(groups))


__all__ = ["Found", "Index", "indexed"]
