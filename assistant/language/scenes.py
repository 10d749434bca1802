"""Phrases told over several sentences: 'rode to the shop. ... came out and it was dead'."""

from __future__ import annotations

from typing import Sequence

from assistant.language.clauses import Sentence
from assistant.language.lexicon import Lexicon, Scene
from assistant.language.match import Match
from assistant.language.polarity import sense
from assistant.records import Span, Statement
from assistant.rulebook.book import Rulebook

_APART = 3  # sentences that may lie between two parts
_SURE = 0.8


def told(book: Rulebook, lexicon: Lexicon, text: str, sentences: Sequence[Sentence], found: Sequence[list[Match]]) -> list[Statement]:
    """One statement for each scene whose parts all stand in the message, in order and none denied."""
    places: dict[str, list[tuple[int, Match]]] = {}
    for number, matches in enumerate(found):
        for match in matches:
            places.setdefault(match.pattern.topic, []).append((number, match))
    result: dict[tuple[str, str], Statement] = {}
    for scene in lexicon.scenes if places else ():
        if all(part in places for part in scene.parts) and (scene.topic, scene.value) not in result:
            spans = _follow(book, scene, sentences, places, 0, (0, -1))
            if spans:
                start, end = spans[0].start, spans[-1].end
                words = text[start:end] if end - start <= 80 else f"{text[start:spans[0].end]} … {text[spans[-1].start:end]}"
                result[scene.topic, scene.value] = Statement(scene.topic, scene.value, False, _SURE, Span(start, end), words, "now", scene.pattern)
    return list(result.values())


def _follow(book: Rulebook, scene: Scene, sentences: Sequence[Sentence], places: dict[str, list[tuple[int, Match]]], part: int,
            after: tuple[int, int]) -> list[Span]:
    """Spans of the parts from one on, each after the one before it; empty when they are not all there."""
    about = book.facts[scene.topic].about if scene.topic in book.facts else "check"
    for number, match in places[scene.parts[part]]:
        if (number, match.first) < (after[0], after[1] + 1) or part and number - after[0] > _APART:
            continue
        judged = sense(sentences[number], match, about, ())
        if not judged.stated or judged.denied or judged.when == "before":
            continue
        tokens = sentences[number].tokens
        span = Span(tokens[match.first].start, tokens[match.last - 1].end)
        if part + 1 == len(scene.parts):
            return [span]
        rest = _follow(book, scene, sentences, places, part + 1, (number, match.last - 1))
        if rest:
            return [span, *rest]
    return []
