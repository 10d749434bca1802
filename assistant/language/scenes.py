"""Phrases told over several sentences: 'rode to the shop. ... came out and it was dead'."""

from __future__ import annotations

from typing import Iterable, Sequence

from assistant.language.clauses import Sentence
from assistant.language.lexicon import Lexicon, Scene
from assistant.language.match import Match
from assistant.language.patterns import HEARD
from assistant.language.polarity import sense
from assistant.records import Reading, Span, Statement
from assistant.rulebook.book import Rulebook

_APART = 3  # sentences that may lie between two parts
_SURE = 0.8
_SHOWN = 80  # characters of it that are quoted whole

Places = dict[str, list[tuple[int, Span]]]  # part -> (sentence, place) of each time it comes up, in order


def told(book: Rulebook, lexicon: Lexicon, text: str, sentences: Sequence[Sentence], found: Sequence[list[Match]],
         heard: Iterable[Statement | Reading]) -> list[Statement]:
    """One statement for each scene whose parts all stand in the message, in order and none denied.

    Of the scenes of one topic those stand that end first: what is told after it is already another story. Of work done
    there may be several stories.
    """
    places = _places(lexicon, sentences, found, heard)
    ends: dict[str, list[tuple[Span, Scene, Span]]] = {}
    for scene in lexicon.scenes:
        if all(part in places for part in scene.parts):
            spans = _first(scene, places)
            if spans:
                alone = scene.topic in book.facts and book.facts[scene.topic].about == "work"
                ends.setdefault(f"{scene.topic} {scene.value}" if alone else scene.topic, []).append((spans[-1], scene, spans[0]))
    result: dict[tuple[str, str], Statement] = {}
    for members in ends.values():
        first = min(last.end for last, _, _ in members)
        for last, scene, start in members:
            if last.start <= first:
                result.setdefault((scene.topic, scene.value), _statement(text, scene, start, last))
    return list(result.values())


def _statement(text: str, scene: Scene, first: Span, last: Span) -> Statement:
    whole = text[first.start:last.end]
    words = whole if len(whole) <= _SHOWN else f"{text[first.start:first.end]} … {text[last.start:last.end]}"
    return Statement(scene.topic, scene.value, False, _SURE, Span(first.start, last.end), words, "now", scene.pattern)


def _places(lexicon: Lexicon, sentences: Sequence[Sentence], found: Sequence[list[Match]], heard: Iterable[Statement | Reading]) -> Places:
    places: Places = {}
    wanted = lexicon.heard_parts
    for item in heard:
        topic = HEARD + (item.fact if isinstance(item, Statement) else item.check)
        value = f"{topic}={item.value if isinstance(item, Statement) else item.outcome}"
        if wanted.isdisjoint((topic, value)) or isinstance(item, Statement) and (item.denied or item.when == "before"):
            continue
        number = max((n for n, s in enumerate(sentences) if s.tokens[0].start <= item.span.start), default=0)
        for name in wanted.intersection((topic, value)):
            places.setdefault(name, []).append((number, item.span))
    there = {match.pattern.topic for matches in found for match in matches} | places.keys()
    needed = {part for scene in lexicon.scenes if there.issuperset(scene.parts) for part in scene.named}
    for number, matches in enumerate(found):
        tokens = sentences[number].tokens
        for match in matches:
            if match.pattern.topic not in needed:
                continue
            judged = sense(sentences[number], match, "sign", ())
            if judged.stated and not judged.denied and judged.when != "before":
                places.setdefault(match.pattern.topic, []).append((number, Span(tokens[match.first].start, tokens[match.last - 1].end)))
    for spots in places.values():
        spots.sort()
    return places


def _first(scene: Scene, places: Places) -> list[Span]:
    """The spans of the parts where they first follow one another; empty when they do not."""
    for number, span in places[scene.parts[0]]:
        if _barred(scene.barred[0], places, -1, span.start):
            return []  # places are in order: what came up before this one came up before all later ones
        chain = [span]
        for part, barred, close in zip(scene.parts[1:], scene.barred[1:], scene.close[1:]):
            far = number + (1 if close else _APART)
            after = next(((n, s) for n, s in places[part] if s.start >= chain[-1].end and number <= n <= far), None)
            if after is None or _barred(barred, places, chain[-1].end - 1, after[1].end):
                break
            number = after[0]
            chain.append(after[1])
        if len(chain) == len(scene.parts):
            return chain
    return []


def _barred(parts: Iterable[str], places: Places, after: int, before: int) -> bool:
    """Whether one of the parts comes up between two places."""
    return any(after < span.start < before for part in parts for _, span in places.get(part, ()))
