"""Compiled phrases against one sentence: spans, how well they fit, and whether a negation stands inside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Mapping, Sequence

from assistant.language.lexicon import PART, Compiled, Lexicon
from assistant.language.patterns import AS_TYPED, GAP_MARK, NUMBER
from assistant.language.spelling import resolve
from assistant.language.text import Token
from assistant.language.word_tree import Spot

_GAP = 7  # words a '...' may stand for
_LOOSE = 3  # small words between two words of a phrase, unlisted
_STRANGER = 0.14  # what one other word in between costs
_SMALL = 0.02
_COMMA, _COMMA_IN_GAP = 0.12, 0.05
_PASSED = 5  # other words that may stand among the parts of a phrase in any order: farther apart they belong to different stories
_SCATTERED = 0.9  # such a phrase is the weaker for it
_GOVERNS = 3  # tokens after a negation in which a part of it is denied


@dataclass(frozen=True, slots=True)
class Match:
    """One phrase found: token range, the tokens it used, its fit, and whether it was turned round inside."""

    pattern: Compiled
    first: int
    last: int  # exclusive
    used: frozenset[int]
    fit: float
    denied: bool = False
    skipped: int = 0  # words of content passed over that the phrase does not name

    @property
    def covers(self) -> frozenset[int]:
        """The tokens it speaks for: also those between its words, but for parts that may stand in any order."""
        return self.used if self.pattern.any_order else self.used | frozenset(range(self.first, self.last))

    @property
    def told(self) -> int:
        """The words it accounts for, less those it had to pass over: 'it cranks [slowly] and' says less than 'cranks slowly'."""
        return len(self.used) - self.skipped

    @property
    def weight(self) -> tuple[int, float]:
        """What makes one match better than another on the same words."""
        return (self.told, self.fit)


def find(lexicon: Lexicon, tokens: Sequence[Token], kinds: frozenset[str]) -> list[Match]:
    """Every pattern of the kinds that occurs among the tokens of one sentence, best alignment each."""
    words = _Words(lexicon, tokens)
    possible = words.possible(kinds)
    words.look_for(possible)
    return [m for pattern in possible for m in _matches(lexicon, tokens, pattern, words)]


def find_all(lexicon: Lexicon, sentences: Sequence[Sequence[Token]], kinds: frozenset[str]) -> list[list[Match]]:
    """The same for each sentence of a message; the parts of a scene only where its other parts may be in the message too."""
    words = [_Words(lexicon, tokens) for tokens in sentences]
    possible = [each.possible(kinds) for each in words]
    told = lexicon.parts_among({(pattern.kind, pattern.topic) for found in possible for pattern in found})
    result = []
    for tokens, each, found in zip(sentences, words, possible):
        found = [pattern for pattern in found if pattern.kind != PART or pattern.topic in told]
        each.look_for(found)
        result.append([m for pattern in found for m in _matches(lexicon, tokens, pattern, each)])
    return result


def _matches(lexicon: Lexicon, tokens: Sequence[Token], pattern: Compiled, words: _Words) -> list[Match]:
    return _gather(lexicon, tokens, pattern, words) if pattern.any_order else _align(lexicon, tokens, pattern, words)


class _Words:
    """Where the alternatives of all groups stand in a sentence: looked for once, word by word down the tree of word sequences."""

    def __init__(self, lexicon: Lexicon, tokens: Sequence[Token]) -> None:
        self._lexicon = lexicon
        self._spots: dict[int, tuple[Spot, ...]] = {}
        self._sequences: Mapping[int, Sequence[int]] = {}
        self._found: dict[int, list[Spot]] = {}
        options = [[(number, fit) for stem, fit in _options(lexicon, token) if (number := lexicon.stems.get(stem)) is not None] for token in tokens]
        for start in range(len(options)):
            self._walk(options, 0, start, start, 1.0)
        self._there = lexicon.index.within(self._found)

    def _walk(self, options: list[list[tuple[int, float]]], node: int, start: int, at: int, fit: float) -> None:
        tree = self._lexicon.index.tree
        for word, fits in options[at]:
            onward = tree.after(node, word)
            if onward > 0:
                if tree.ends[onward] >= 0:
                    self._found.setdefault(tree.ends[onward], []).append((start, at + 1, fit * fits))
                if at + 1 < len(options) and not tree.leaf(onward):
                    self._walk(options, onward, start, at + 1, fit * fits)

    def possible(self, kinds: frozenset[str]) -> list[Compiled]:
        """Patterns of which every part that must be there is there."""
        patterns = self._lexicon.patterns
        return [patterns[n] for n in self._there.patterns() if patterns[n].kind in kinds]

    def look_for(self, patterns: Sequence[Compiled]) -> None:
        """Make ready what these patterns are made of."""
        if patterns:
            self._sequences = self._there.sequences([pattern.number for pattern in patterns])

    def spots(self, group: int) -> tuple[Spot, ...]:
        """Where the alternatives of a group of a pattern that is looked for stand, in order."""
        known = self._spots.get(group)
        if known is None:
            best: dict[tuple[int, int], float] = {}
            for alternative in self._sequences.get(group, ()):
                for start, end, fit in self._found[alternative]:
                    if fit > best.get((start, end), 0.0):
                        best[start, end] = fit
            known = self._spots[group] = tuple((s, e, f) for (s, e), f in sorted(best.items()))
        return known


def _options(lexicon: Lexicon, token: Token) -> list[tuple[str, float]]:
    """What a token may stand for: stems of known words; a number for itself and for any number."""
    if token.kind == "word":
        found, typed = resolve(lexicon, token.text), AS_TYPED + token.text
        return [*found, (typed, 1.0)] if typed in lexicon.as_typed else found
    if token.kind == "number":
        return [(token.text, 1.0), (NUMBER, 1.0)]
    return [("and", 1.0)] if token.text == "&" else []


Onward = tuple[float, int, tuple[int, ...], bool, int]  # fit, end, tokens used, denied, strangers


def _align(lexicon: Lexicon, tokens: Sequence[Token], pattern: Compiled, words: _Words) -> list[Match]:
    """All starts of the first element; for each the best way through the rest."""
    memo: dict[tuple[int, int, bool], Onward | None] = {}
    elements = lexicon.index.elements(pattern.number)

    def onward(element: int, at: int, gap: bool) -> Onward | None:
        """The best way from an element on, after a match that ended at `at`."""
        key = (element, at, gap)
        if key in memo:
            return memo[key]
        if element == len(elements):
            return (1.0, at, (), False, 0)
        group, optional = elements[element]
        best: Onward | None = None
        if group == GAP_MARK:
            best = onward(element + 1, at, True)
        else:
            for spot in words.spots(group):
                if spot[0] < at:
                    continue
                if spot[0] > at + (_GAP if gap else _LOOSE + 1):
                    break
                between = _between(lexicon, tokens, at, spot[0], gap)
                rest = onward(element + 1, spot[1], False) if between is not None else None
                if between is None or rest is None:
                    continue
                cost, turned, strangers = between
                if strangers + rest[4] > 1 and not gap:
                    continue
                if at < spot[0] and _denial_ends(lexicon, tokens, at, strangers):
                    continue
                if tokens[spot[0]].text in lexicon.negators:
                    turned = False  # 'nothing, not even a click' is denied once, as people speak
                found = (spot[2] * rest[0] * (1 - cost), rest[1], (*range(spot[0], spot[1]), *rest[2]), turned != rest[3], strangers + rest[4])
                if best is None or (len(found[2]), found[0]) > (len(best[2]), best[0]):
                    best = found
            if optional:
                without = onward(element + 1, at, gap)
                if without is not None and (best is None or (len(without[2]), without[0]) > (len(best[2]), best[0])):
                    best = without
        memo[key] = best
        return best

    result: list[Match] = []
    for lead, (group, optional) in enumerate(elements):
        if group != GAP_MARK:
            for start, end, fit in words.spots(group):
                rest = onward(lead + 1, end, False)
                if rest is not None:
                    result.append(Match(pattern, start, rest[1], frozenset((*range(start, end), *rest[2])), fit * rest[0], rest[3], rest[4]))
            if not optional:
                break
    return result


def _gather(lexicon: Lexicon, tokens: Sequence[Token], pattern: Compiled, words: _Words) -> list[Match]:
    """The parts of a phrase in any order: for each place of the first the nearest places of the others, all within a few words."""
    result: list[Match] = []
    required = list(dict.fromkeys(group for group, optional in lexicon.index.elements(pattern.number) if group != GAP_MARK and not optional))
    for lead in words.spots(required[0]):
        chosen = [lead]
        for group in required[1:]:
            free = [s for s in words.spots(group) if all(s[1] <= c[0] or c[1] <= s[0] for c in chosen)]
            near = min(free, key=lambda s: (max(s[0] - lead[1], lead[0] - s[1]), s[0]), default=None)
            if near is None:
                break
            chosen.append(near)
        first, last = min(c[0] for c in chosen), max(c[1] for c in chosen)
        used = frozenset(i for c in chosen for i in range(c[0], c[1]))
        if len(chosen) < len(required) or last - first - len(used) > _PASSED or any(t.kind in ("soft", "hard") for t in tokens[first:last]):
            continue
        fit = _SCATTERED * (1 - 0.01 * (last - first - len(used)))
        for c in chosen:
            fit *= c[2]
        starts = {c[0] for c in chosen}
        denied = any(tokens[i].text in lexicon.negators and i not in used and any(0 < s - i <= _GOVERNS for s in starts) for i in range(first, last))
        result.append(Match(pattern, first, last, used, fit, denied))
    return result


def _denial_ends(lexicon: Lexicon, tokens: Sequence[Token], at: int, strangers: int) -> bool:
    """Whether a denying word right before a place denies something else than what the phrase goes on with after it.

    'No start just clicks' does not say that there is no click, nor 'nothing, fuel is in it' that there is no fuel.
    """
    word = tokens[at - 1].text
    return word in lexicon.denying if strangers else word in lexicon.negators and tokens[at].kind == "soft"


def _between(lexicon: Lexicon, tokens: Sequence[Token], start: int, end: int, gap: bool) -> tuple[float, bool, int] | None:
    """What the words between two places cost: (cost, turned by a negation, strangers), or None where they may not stand."""
    cost, turned, strangers, commas = 0.0, False, 0, 0
    for token in tokens[start:end]:
        if token.kind in ("hard", "soft"):
            commas += 1
            if token.kind == "hard" or not gap and (commas > 1 or strangers):
                return None
            cost += _COMMA_IN_GAP if gap else _COMMA
        elif token.text in lexicon.negators:
            if gap:
                return None  # 'it stops and will not restart': what is turned round there is some other thing
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
            if strangers > 1 or commas:
                return None
    return cost, turned, strangers
