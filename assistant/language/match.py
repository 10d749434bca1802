"""Compiled phrases against one sentence: spans, how well they fit, and whether a negation stands inside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Sequence

from assistant.language.lexicon import Compiled, Lexicon, resolve
from assistant.language.patterns import NUMBER
from assistant.language.text import Token

_GAP = 5  # words a '...' may stand for
_LOOSE = 3  # small words between two words of a phrase, unlisted
_STRANGER = 0.14  # what one other word in between costs
_SMALL = 0.02


@dataclass(frozen=True, slots=True)
class Match:
    """One phrase found: token range, the tokens it used, its fit, and whether it was turned round inside."""

    pattern: Compiled
    first: int
    last: int  # exclusive
    used: frozenset[int]
    fit: float
    denied: bool = False

    @property
    def weight(self) -> tuple[int, float]:
        """What makes one match better than another on the same words."""
        return (len(self.used), self.fit)


@dataclass(frozen=True, slots=True)
class _Spot:
    start: int
    end: int
    fit: float


def find(lexicon: Lexicon, tokens: Sequence[Token], kinds: frozenset[str]) -> list[Match]:
    """Every pattern of the kinds that occurs among the tokens of one sentence, best alignment each."""
    words = _Words(lexicon, tokens)
    result = []
    for group in words.anchored():
        for index in lexicon.by_anchor[group]:
            pattern = lexicon.patterns[index]
            if pattern.kind in kinds and all(words.spots(g) for g in pattern.required):
                result += _align(lexicon, tokens, pattern, words)
    return result


class _Words:
    """The words of a sentence as stems, and where groups of alternatives occur among them: each group looked for once."""

    def __init__(self, lexicon: Lexicon, tokens: Sequence[Token]) -> None:
        self._lexicon = lexicon
        self._found: dict[int, tuple[_Spot, ...]] = {}
        self.options: list[list[tuple[str, float]]] = []
        for token in tokens:
            if token.kind == "word":
                self.options.append(resolve(lexicon, token.text))
            elif token.kind == "number":
                self.options.append([(token.text, 1.0), (NUMBER, 1.0)])
            elif token.text == "&":
                self.options.append([("and", 1.0)])
            else:
                self.options.append([])
        self._present = {word for choices in self.options for word, _ in choices}

    def anchored(self) -> list[int]:
        """Anchor groups of which all words of some alternative are there."""
        groups: set[int] = set()
        for word in self._present:
            for group, alternative in self._lexicon.anchors.get(word, ()):
                if group not in groups and (len(alternative) == 1 or self._present.issuperset(alternative)):
                    groups.add(group)
        return sorted(g for g in groups if self.spots(g))

    def spots(self, group: int) -> tuple[_Spot, ...]:
        """Where the alternatives of a group stand, in order."""
        if group not in self._found:
            self._found[group] = self._look(self._lexicon.starts[group])
        return self._found[group]

    def _look(self, starts: dict[str, list[tuple[str, ...]]]) -> tuple[_Spot, ...]:
        best: dict[tuple[int, int], float] = {}
        for start, choices in enumerate(self.options):
            for word, fit in choices:
                for alternative in starts.get(word, ()):
                    total = self._fits(alternative, start, fit)
                    if total and total > best.get((start, start + len(alternative)), 0.0):
                        best[start, start + len(alternative)] = total
        return tuple(_Spot(s, e, f) for (s, e), f in sorted(best.items()))

    def _fits(self, alternative: tuple[str, ...], start: int, fit: float) -> float:
        for offset, wanted in enumerate(alternative[1:], start + 1):
            if offset >= len(self.options):
                return 0.0
            here = next((f for w, f in self.options[offset] if w == wanted), 0.0)
            if not here:
                return 0.0
            fit *= here
        return fit


def _align(lexicon: Lexicon, tokens: Sequence[Token], pattern: Compiled, words: _Words) -> list[Match]:
    """All starts of the first element; for each the best way through the rest."""
    memo: dict[tuple[int, int, bool], tuple | None] = {}

    def onward(element: int, at: int, gap: bool) -> tuple[float, int, tuple[int, ...], bool, int] | None:
        """Best (fit, end, used, denied, strangers) from an element on, after a match that ended at `at`."""
        key = (element, at, gap)
        if key in memo:
            return memo[key]
        if element == len(pattern.elements):
            return (1.0, at, (), False, 0)
        piece = pattern.elements[element]
        best = None
        if piece.group < 0:
            best = onward(element + 1, at, True)
        else:
            for spot in words.spots(piece.group):
                if spot.start < at:
                    continue
                if spot.start > at + (_GAP if gap else _LOOSE + 1):
                    break
                between = _between(lexicon, tokens, at, spot.start, gap)
                if between is None:
                    continue
                rest = onward(element + 1, spot.end, False)
                if rest is None:
                    continue
                cost, turned, strangers = between
                if strangers + rest[4] > 1 and not gap:
                    continue
                found = (spot.fit * rest[0] * (1 - cost), rest[1], (*range(spot.start, spot.end), *rest[2]),
                         turned != rest[3], strangers + rest[4])
                if best is None or (len(found[2]), found[0]) > (len(best[2]), best[0]):
                    best = found
            if piece.optional:
                without = onward(element + 1, at, gap)
                if without is not None and (best is None or (len(without[2]), without[0]) > (len(best[2]), best[0])):
                    best = without
        memo[key] = best
        return best

    result: list[Match] = []
    lead = 0
    while True:
        piece = pattern.elements[lead]
        if piece.group >= 0:
            for spot in words.spots(piece.group):
                rest = onward(lead + 1, spot.end, False)
                if rest is not None:
                    used = frozenset((*range(spot.start, spot.end), *rest[2]))
                    result.append(Match(pattern, spot.start, rest[1], used, spot.fit * rest[0], rest[3]))
        if not (piece.optional or piece.group < 0) or lead + 1 >= len(pattern.elements):
            break
        lead += 1
    return result


def _between(lexicon: Lexicon, tokens: Sequence[Token], start: int, end: int, gap: bool) -> tuple[float, bool, int] | None:
    """What the words between two places cost: (cost, turned by a negation, strangers), or None where they may not stand."""
    cost, turned, strangers = 0.0, False, 0
    for token in tokens[start:end]:
        if token.kind in ("hard", "soft"):
            if not gap or token.kind == "hard":
                return None
            cost += 0.05
        elif token.text in lexicon.negators:
            turned = not turned
        elif token.text in lexicon.small:
            cost += _SMALL
        elif token.text in lexicon.breaks and not gap:
            return None
        elif gap:
            cost += 0.03
        else:
            strangers += 1
            cost += _STRANGER
            if strangers > 1:
                return None
    return cost, turned, strangers
