"""Phrases compared as they are heard: which two can hear one sentence, and which hears nothing of its own.

Each phrase becomes a small automaton over the stems of its words, which are taken apart as the reader takes them. A gap is
kept as a word of its own when asking whether one phrase hears all that another does, and left out when asking whether both
can hear one sentence: the words in a gap are not counted as used.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, reduce
from operator import or_
from typing import Iterator

from assistant.language.lexicon import DEFAULT
from assistant.language.patterns import ANY_ORDER, AS_TYPED, Alternatives, PatternError, hearing, in_words, is_scene, parse
from assistant.language.text import stem
from assistant.rulebook.book import ANOTHER, WITHIN_ONE, Phrase, Rulebook

GAP = "..."
_GAP_PART = frozenset({(GAP,)})
_STEPS = 4000  # states looked at before a comparison is given up, as 'no'


@dataclass
class Automaton:
    """One phrase. State 0 is the start; `onward[state][stem]` are the states after one more word, `final` those it may end in."""

    phrase: Phrase
    parts: list[tuple[frozenset[tuple[str, ...]], bool]]  # alternatives as stems, and whether the part may be missing
    any_order: bool = False
    words: int = 0  # bits of all its stems
    needed: tuple[int, ...] = ()  # for each part that must be there, the bits of the stems it may begin with
    along: tuple[int, ...] = ()  # for each part in turn, the bits of all its stems

    @cached_property
    def wired(self) -> tuple[list[dict[str, set[int]]], set[int]]:
        """(onward, final); made when the phrase is first compared with one that might meet it, which few ever are."""
        return _wire(self.parts)

    @property
    def onward(self) -> list[dict[str, set[int]]]:
        """The steps from each state."""
        return self.wired[0]

    @property
    def final(self) -> set[int]:
        """The states in which the phrase may end."""
        return self.wired[1]


class Patterns:
    """All phrases of a rulebook, made into automata once."""

    def __init__(self, book: Rulebook) -> None:
        self.bad: list[tuple[Phrase, str]] = []
        self.by_topic: dict[str, list[Automaton]] = {}
        self._bits: dict[str, int] = {}
        self._words: dict[tuple[str, ...], tuple[tuple[str, ...], int, int]] = {}
        self._shown: dict[str, str] = {}  # stem -> the shortest word that has it
        self._parts: dict[frozenset, tuple[frozenset[tuple[str, ...]], int, int]] = {}
        heard = {DEFAULT: hearing({}), **{code: hearing(spoken.contractions) for code, spoken in book.spoken.items()}}
        words = {name: [" ".join(in_words(member, heard[DEFAULT])) for member in members] for name, members in book.words.items()}
        made: dict[str, Alternatives] = {}
        for phrase in book.phrases:
            if phrase.value == ANOTHER and is_scene(phrase.pattern):
                self.bad.append((phrase, WITHIN_ONE))
                continue
            try:
                items = parse(phrase.pattern, words, made, heard.get(phrase.language, heard[DEFAULT]))
            except PatternError as error:
                self.bad.append((phrase, str(error)))
                continue
            self.by_topic.setdefault(phrase.topic, []).append(self._make(phrase, items))

    def rivals(self) -> Iterator[tuple[Automaton, Automaton]]:
        """Pairs of phrases for different values of one topic that stand on a level and have enough words in common to be compared.

        The reader keeps the languages apart, and where it hears a phrase word by word one in any order gives way to it.
        """
        for members in self.by_topic.values():
            for index, second in enumerate(members):
                for first in members[:index]:
                    if (first.phrase.value != second.phrase.value and first.phrase.language == second.phrase.language
                            and first.any_order == second.any_order and _may_meet(first, second)):
                        yield first, second

    def shadowed(self) -> Iterator[tuple[Automaton, Automaton]]:
        """(phrase that adds nothing, the phrase that hears all of it). Each phrase at most once, and never both of a pair."""
        for members in self.by_topic.values():
            gone: set[int] = set()
            for index in range(len(members) - 1, -1, -1):
                one = members[index]
                for other_index, other in enumerate(members):
                    if (other_index != index and other_index not in gone and other.phrase.value == one.phrase.value
                            and other.phrase.language == one.phrase.language and other.any_order == one.any_order
                            and one.words & ~other.words == 0 and _may_meet(one, other) and _within(one, other)):
                        gone.add(index)
                        yield one, other
                        break

    def common_sentence(self, first: Automaton, second: Automaton) -> str | None:
        """The shortest sentence that both can hear, gaps left out; None when there is none."""
        start = (0, 0)
        seen, waiting = {start}, [(start, "")]
        for here, said in waiting:
            if len(seen) > _STEPS:
                return None
            for word, (left, right) in _steps(first, second, here):
                for a in left:
                    for b in right:
                        text = f"{said} {self._shown.get(word, word)}".strip() if word != GAP else said
                        if a in first.final and b in second.final and text:
                            return text
                        if (a, b) not in seen:
                            seen.add((a, b))
                            waiting.append(((a, b), text))
        return None

    # -- making --------------------------------------------------------------

    def _make(self, phrase: Phrase, items: list) -> Automaton:
        parts: list[tuple[frozenset[tuple[str, ...]], bool]] = []
        needed, along, words = [], [], 0
        for alternatives, optional in items:
            if alternatives is None:
                parts.append((_GAP_PART, True))
                continue
            stems, all_bits, first_bits = self._part(alternatives)
            parts.append((stems, optional))
            words |= all_bits
            along.append(all_bits)
            if not optional:
                needed.append(first_bits)
        return Automaton(phrase, parts, phrase.pattern.strip().startswith(ANY_ORDER), words, tuple(needed), tuple(along))

    def _part(self, alternatives: frozenset) -> tuple[frozenset[tuple[str, ...]], int, int]:
        if alternatives not in self._parts:
            found = [self._words.get(words) or self._said(words) for words in alternatives]
            every = first = 0
            for _, all_bits, first_bit in found:
                every |= all_bits
                first |= first_bit
            self._parts[alternatives] = (frozenset(stems for stems, _, _ in found), every, first)
        return self._parts[alternatives]

    def _said(self, words: tuple[str, ...]) -> tuple[tuple[str, ...], int, int]:
        stems = tuple(self._stem(word) for word in words)
        bits = [self._bit(word) for word in stems]
        self._words[words] = (stems, reduce(or_, bits), bits[0])
        return self._words[words]

    def _stem(self, word: str) -> str:
        found = word if word.startswith(AS_TYPED) else stem(word)  # what must be written just so is no form of another word
        word = word.removeprefix(AS_TYPED)
        shown = self._shown.setdefault(found, word)
        if (len(word), word) < (len(shown), shown):
            self._shown[found] = word
        return found

    def _bit(self, word: str) -> int:
        return self._bits.setdefault(word, 1 << len(self._bits))


def _wire(parts: list[tuple[frozenset[tuple[str, ...]], bool]]) -> tuple[list[dict[str, set[int]]], set[int]]:
    """States 0..n stand before each part and after the last; further ones lie inside parts of several words."""
    count = len(parts)
    onward: list[dict[str, set[int]]] = [{} for _ in range(count + 1)]
    for index, (alternatives, _) in enumerate(parts):
        inside: dict[tuple[str, ...], int] = {(): index}  # beginnings of alternatives: those that begin alike share their states
        for words in alternatives:
            for length in range(1, len(words)):
                if words[:length] not in inside:
                    onward.append({})
                    inside[words[:length]] = len(onward) - 1
                    onward[inside[words[:length - 1]]].setdefault(words[length - 1], set()).add(len(onward) - 1)
            onward[inside[words[:-1]]].setdefault(words[-1], set()).add(index + 1)
    for index in range(count - 1, -1, -1):  # from an optional part one may also go on as from the next
        if parts[index][1]:
            for word, states in onward[index + 1].items():
                onward[index].setdefault(word, set()).update(states)
    final = {count}
    for index in range(count - 1, -1, -1):
        if not parts[index][1]:
            break
        final.add(index)
    return onward, final


def _may_meet(first: Automaton, second: Automaton) -> bool:
    """Whether each has something for all that the other must hear, in its order: a quick no for most pairs."""
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


def _steps(first: Automaton, second: Automaton, here: tuple[int, int]) -> Iterator[tuple[str, tuple[set[int], set[int]]]]:
    left, right = first.onward[here[0]], second.onward[here[1]]
    if GAP in left:
        yield GAP, (left[GAP], {here[1]})
    if GAP in right:
        yield GAP, ({here[0]}, right[GAP])
    for word in sorted(left.keys() & right.keys()):  # sorted: the sentence shown must not change from run to run
        if word != GAP:
            yield word, (left[word], right[word])


def _within(one: Automaton, other: Automaton) -> bool:
    """Whether the other hears every sentence of the one."""
    start = (0, frozenset({0}))
    seen, waiting = {start}, [start]
    for state, others in waiting:
        if len(seen) > _STEPS:
            return False
        for word, states in one.onward[state].items():
            after = frozenset(s for o in others for s in other.onward[o].get(word, ()))
            if not after:
                return False
            for s in states:
                if s in one.final and other.final.isdisjoint(after):
                    return False
                if (s, after) not in seen:
                    seen.add((s, after))
                    waiting.append((s, after))
    return True
