"""Phrases compared as they are heard: which two can hear one sentence, and which hears nothing of its own.

Each phrase becomes a small automaton over the stems of its words, which are taken apart as the reader takes them. A gap is
kept as a word of its own when asking whether one phrase hears all that another does, and left out when asking whether both
can hear one sentence: the words in a gap are not counted as used.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import product
from operator import or_
from typing import Iterable, Iterator, Sequence

from assistant.language.lexicon import DEFAULT
from assistant.language.patterns import ANY_ORDER, AS_TYPED, Alternatives, hearing, in_words, parse
from assistant.language.text import recall_stems, stem

GAP = "..."
_STEPS = 4000  # states looked at before a comparison is given up, as 'no'


class Node:
    """What has been heard of one part of a pattern: the words that may follow, and whether the part may end here."""

    __slots__ = ("onward", "ends")

    def __init__(self, ends: bool = False) -> None:
        self.onward: dict[str, Node] = {}
        self.ends = ends


_END = Node(True)  # every part ends here whose last word has none after it
_State = tuple[int, Node | None]  # the part, and what was heard of it: None, nothing yet


@dataclass(eq=False)
class Automaton:
    """One pattern: its parts in turn, and whether each may be missing."""

    parts: list[tuple[_Part, bool]]
    any_order: bool
    words: int  # bits of all its stems
    needed: tuple[int, ...]  # for each part that must be there, the bits of the stems it may begin with
    along: tuple[int, ...]  # for each part in turn, the bits of all its stems
    closing: int  # bits of the stems it may end with

    @cached_property
    def ends_from(self) -> int:
        """The first part from which on all may be missing."""
        return max((index + 1 for index, (_, optional) in enumerate(self.parts) if not optional), default=0)

    def open_at(self, state: _State) -> list[tuple[int, Node]]:
        """The places where the next word may stand."""
        at, node = state
        if node is not None:
            return [(at, node)]
        found = []
        for index in range(at, len(self.parts)):
            part, optional = self.parts[index]
            found.append((index, part.root))
            if not optional:
                break
        return found

    def done(self, state: _State) -> bool:
        """Whether the pattern may end there."""
        return state[1] is None and state[0] >= self.ends_from


@dataclass(frozen=True)
class Member:
    """A phrase as far as it is compared: its value, its language and its automaton; `number` is its place among those of its topic."""

    number: int
    value: str
    language: str
    heard: Automaton


def rivals(members: Sequence[Member]) -> Iterator[tuple[Member, Member]]:
    """Pairs of phrases of one topic for different values that stand on a level and have enough words in common to be compared.

    The reader keeps the languages apart, and where it hears a phrase word by word one in any order gives way to it.
    """
    for index, second in enumerate(members):
        heard, closing = second.heard, second.heard.closing
        for first in members[:index]:
            if (first.heard.closing & closing and first.value != second.value and first.language == second.language
                    and first.heard.any_order == heard.any_order and _may_meet(first.heard, heard)):
                yield first, second


def shadowed(members: Sequence[Member]) -> Iterator[tuple[Member, Member]]:
    """(phrase that adds nothing, the phrase that hears all of it). Each phrase at most once, and never both of a pair."""
    gone: set[int] = set()
    for index in range(len(members) - 1, -1, -1):
        one = members[index]
        for other_index, other in enumerate(members):
            if (other.value == one.value and other_index != index and other_index not in gone and other.language == one.language
                    and other.heard.any_order == one.heard.any_order and one.heard.words & ~other.heard.words == 0 and _may_meet(one.heard, other.heard) and _within(one.heard, other.heard)):
                gone.add(index)
                yield one, other
                break


@dataclass(eq=False)
class _Part:
    """A part of a pattern: its alternatives by their stems, and the bits of these: all, those it may begin with, those it may end with."""

    said: list[tuple[str, ...]]
    words: int = 0
    first: int = 0
    last: int = 0

    @cached_property
    def root(self) -> Node:
        """Where its words begin. Most parts are never compared word by word, and need none."""
        return _tree(self.said)


_GAP_PART = _Part([(GAP,)])


class Automata:
    """Patterns made into automata under one set of word classes, each once, and what was found of each two."""

    def __init__(self, words: dict[str, tuple[str, ...]], contractions: dict[str, dict[str, str]]) -> None:
        self._by = words, contractions
        recall_stems("english")
        self._made: dict[tuple[str, str], Automaton] = {}
        self._common: dict[tuple[Automaton, Automaton], str | None] = {}
        self._bits: dict[str, int] = {}
        self._stems: dict[str, str] = {}
        self._words: dict[tuple[str, ...], tuple[tuple[str, ...], int, int, int]] = {}  # the stems, and the bits of all, the first and the last
        self._shown: dict[str, str] = {}  # stem -> the shortest word that has it
        self._parts: dict[frozenset, _Part] = {}
        self._met: dict[tuple[Node, Node], list[tuple[str, Node, Node]]] = {}
        self._heard = {DEFAULT: hearing({}), **{code: hearing(short) for code, short in contractions.items()}}
        self._classes = {name: [" ".join(in_words(member, self._heard[DEFAULT])) for member in members] for name, members in words.items()}
        self._alternatives: dict[str, Alternatives] = {}

    def taken_apart_by(self, words: dict[str, tuple[str, ...]], contractions: dict[str, dict[str, str]]) -> bool:
        """Whether these classes and contractions are the ones that patterns are taken apart by here."""
        return self._by == (words, contractions)

    def of(self, pattern: str, language: str) -> Automaton:
        """The automaton of a pattern. Raises PatternError where it cannot be read."""
        if (pattern, language) not in self._made:
            items = parse(pattern, self._classes, self._alternatives, self._heard.get(language, self._heard[DEFAULT]))
            self._made[pattern, language] = self._make(pattern, items)
        return self._made[pattern, language]

    def common_sentence(self, first: Automaton, second: Automaton) -> str | None:
        """The shortest sentence that both can hear, gaps left out; None when there is none."""
        if (first, second) not in self._common:
            self._common[first, second] = self._search(first, second)
        return self._common[first, second]

    def _search(self, first: Automaton, second: Automaton) -> str | None:
        start: tuple[_State, _State] = ((0, None), (0, None))
        seen, waiting = {start}, [(start, "")]
        for (left, right), said in waiting:
            if len(seen) > _STEPS:
                return None
            beside = second.open_at(right)
            for a, node in first.open_at(left):
                for b, other in beside:
                    for word, one, two in self._meet(node, other):
                        text = f"{said} {word}".strip()
                        for here in product(_after(a, one), _after(b, two)):
                            if here not in seen:
                                if first.done(here[0]) and second.done(here[1]):
                                    return text
                                seen.add(here)
                                waiting.append((here, text))
        return None

    def _meet(self, first: Node, second: Node) -> list[tuple[str, Node, Node]]:
        """The words that may follow both, where they lead: of those that lead to the same the first by the alphabet. A gap is none."""
        if (first, second) not in self._met:
            found: dict[tuple[Node, Node], str] = {}
            for word in sorted(first.onward.keys() & second.onward.keys() - {GAP}):  # the sentence shown must not change from run to run
                found.setdefault((first.onward[word], second.onward[word]), self._shown[word])
            self._met[first, second] = [(word, one, two) for (one, two), word in found.items()]
        return self._met[first, second]

    # -- making --------------------------------------------------------------

    def _make(self, pattern: str, items: list) -> Automaton:
        parts: list[tuple[_Part, bool]] = []
        needed, along, words, closing = [], [], 0, 0
        for alternatives, optional in items:
            if alternatives is None:
                parts.append((_GAP_PART, True))
                continue
            part = self._part(alternatives)
            parts.append((part, optional))
            words |= part.words
            along.append(part.words)
            if not optional:
                needed.append(part.first)
            closing = closing | part.last if optional else part.last
        return Automaton(parts, pattern.strip().startswith(ANY_ORDER), words, tuple(needed), tuple(along), closing)

    def _part(self, alternatives: frozenset) -> _Part:
        if alternatives not in self._parts:
            found = [self._words.get(words) or self._said(words) for words in alternatives]
            every = first = last = 0
            for _, all_bits, first_bit, last_bit in found:
                every |= all_bits
                first |= first_bit
                last |= last_bit
            self._parts[alternatives] = _Part([stems for stems, *_ in found], every, first, last)
        return self._parts[alternatives]

    def _said(self, words: tuple[str, ...]) -> tuple[tuple[str, ...], int, int, int]:
        stems = tuple(self._stem(word) for word in words)
        bits = [self._bit(word) for word in stems]
        self._words[words] = (stems, reduce(or_, bits), bits[0], bits[-1])
        return self._words[words]

    def _stem(self, word: str) -> str:
        found = self._stems.get(word)
        if found is None:
            found = self._stems[word] = word if word.startswith(AS_TYPED) else stem(word)  # what must be written just so is no form of another word
            word = word.removeprefix(AS_TYPED)
            shown = self._shown.setdefault(found, word)
            if (len(word), word) < (len(shown), shown):
                self._shown[found] = word
        return found

    def _bit(self, word: str) -> int:
        return self._bits.setdefault(word, 1 << len(self._bits))


def _tree(alternatives: Iterable[tuple[str, ...]]) -> Node:
    root = Node()
    for words in alternatives:
        node = root
        for word in words[:-1]:
            after = node.onward.get(word)
            if after is None or after is _END:
                after = node.onward[word] = Node(after is _END)
            node = after
        last = node.onward.setdefault(words[-1], _END)
        last.ends = True
    return root


def _after(at: int, node: Node) -> list[_State]:
    """The states that a word leads to: the part may be over, or go on, or both."""
    if not node.onward:
        return [(at + 1, None)]
    return [(at + 1, None), (at, node)] if node.ends else [(at, node)]


def _may_meet(first: Automaton, second: Automaton) -> bool:
    """Whether they may end alike, and each has something for all that the other must hear, in its order: a quick no for most pairs."""
    if not first.closing & second.closing:
        return False
    if not all(need & second.words for need in first.needed) or not all(need & first.words for need in second.needed):
        return False
    return first.any_order or _follows(first.needed, second.along) and _follows(second.needed, first.along)


def _follows(needed: tuple[int, ...], along: tuple[int, ...]) -> bool:
    """Whether something for each need stands along the other phrase, none before the one for the need ahead of it."""
    at = 0
    for need in needed:
        while at < len(along) and not along[at] & need:
            at += 1
        if at == len(along):
            return False
    return True


def _within(one: Automaton, other: Automaton) -> bool:
    """Whether the other hears every sentence of the one."""
    start: tuple[_State, frozenset[_State]] = ((0, None), frozenset({(0, None)}))
    seen, waiting = {start}, [start]
    for state, others in waiting:
        if len(seen) > _STEPS:
            return False
        beside = [place for o in others for place in other.open_at(o)]
        for at, node in one.open_at(state):
            for word, after in node.onward.items():
                heard = frozenset(s for b, n in beside if word in n.onward for s in _after(b, n.onward[word]))
                if not heard:
                    return False
                for s in _after(at, after):
                    if one.done(s) and not any(map(other.done, heard)):
                        return False
                    if (s, heard) not in seen:
                        seen.add((s, heard))
                        waiting.append((s, heard))
    return True
