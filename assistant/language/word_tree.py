"""All word sequences of all phrases as one tree, laid out level by level in rows of numbers, since a tree of objects takes ten times the room."""

from __future__ import annotations

from array import array
from bisect import bisect_left
from dataclasses import dataclass
from typing import Sequence

Spot = tuple[int, int, float]  # where a sequence stands in a sentence: first token, last token (exclusive), fit
NONE = -1
_INT = "i"


@dataclass(eq=False, slots=True)
class WordTree:
    """The branches of node n are `words[starts[n]:starts[n + 1]]`, in order; the branch at place p leads to node p + 1. Node 0 is the root.

    `ends[n]` is the sequence that ends at node n, or NONE.
    """

    words: array
    starts: array
    ends: array

    def after(self, node: int, word: int) -> int:
        """The node that a word leads to, or NONE."""
        last = self.starts[node + 1]
        place = bisect_left(self.words, word, self.starts[node], last)
        return place + 1 if place < last and self.words[place] == word else NONE

    def leaf(self, node: int) -> bool:
        """Whether nothing goes on from there."""
        return self.starts[node] == self.starts[node + 1]


def tree_of(sequences: Sequence[Sequence[int]]) -> WordTree:
    """The tree of word sequences, none of them empty and no two alike; their places in the list are their numbers."""
    tree = WordTree(array(_INT), array(_INT, [0]), array(_INT, [NONE]))
    order = sorted(range(len(sequences)), key=lambda n: tuple(sequences[n]))
    level = [(0, len(order))]  # of each node: the sequences, in their order, that go through it
    depth = 0
    while level:
        deeper = []
        for first, last in level:
            at = first
            while at < last and len(sequences[order[at]]) == depth:
                at += 1  # it ends here
            while at < last:
                word, begun = sequences[order[at]][depth], at
                while at < last and sequences[order[at]][depth] == word:
                    at += 1
                tree.words.append(word)
                tree.ends.append(order[begun] if len(sequences[order[begun]]) == depth + 1 else NONE)
                deeper.append((begun, at))
            tree.starts.append(len(tree.words))
        level, depth = deeper, depth + 1
    return tree


__all__ = ["NONE", "Spot", "WordTree", "tree_of"]
