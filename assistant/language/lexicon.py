"""All phrases of a rulebook, compiled for matching: groups of alternatives, who uses them, and the known words."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from assistant.language.patterns import NUMBER, Element, PatternError, parse
from assistant.language.text import stem
from assistant.rulebook.book import Rulebook

_LANGUAGES = {"en": "english", "es": "spanish", "de": "german", "fr": "french", "it": "italian", "pt": "portuguese",
              "nl": "dutch"}


@dataclass(frozen=True, slots=True)
class Compiled:
    """One pattern: what it stands for and its elements. `kind` is phrase | measured | while | talk | sum."""

    kind: str
    topic: str
    value: str
    pattern: str
    elements: tuple[Element, ...]
    required: tuple[int, ...]
    place: str = ""


@dataclass
class Lexicon:
    """Compiled phrases with their indexes. Made once for a rulebook."""

    patterns: list[Compiled] = field(default_factory=list)
    groups: list[frozenset[tuple[str, ...]]] = field(default_factory=list)
    by_anchor: dict[int, list[int]] = field(default_factory=dict)
    starts: list[dict[str, list[tuple[str, ...]]]] = field(default_factory=list)  # group -> first stem -> alternatives
    anchors: dict[str, list[tuple[int, tuple[str, ...]]]] = field(default_factory=dict)  # a stem of it -> (anchor group, alternative)
    stems: set[str] = field(default_factory=set)
    vocabulary: dict[str, str] = field(default_factory=dict)  # known word -> its stem
    by_length: dict[int, list[str]] = field(default_factory=dict)
    small: frozenset[str] = frozenset()
    negators: frozenset[str] = frozenset()
    breaks: frozenset[str] = frozenset()
    classes: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)  # language machinery, by class
    contractions: dict[str, str] = field(default_factory=dict)
    bad: list[tuple[str, str, str]] = field(default_factory=list)  # place, pattern, why it does not read


def build(book: Rulebook) -> Lexicon:
    """Compile every phrase, measured name and talk pattern. A pattern that does not read is listed in `bad`."""
    lexicon = Lexicon(contractions=dict(book.contractions))
    known: dict[frozenset, int] = {}
    words = book.words
    for phrase in book.phrases:
        _add(lexicon, known, words, "phrase", phrase.topic, phrase.value, phrase.pattern, phrase.language,
             f"{phrase.file}:{phrase.line}")
    for measured in book.measured.values():
        place = f"{measured.file}:{measured.line}"
        for pattern in measured.named:
            _add(lexicon, known, words, "measured", measured.id, "", pattern, "en", place)
        for pattern in measured.while_:
            _add(lexicon, known, words, "while", measured.id, pattern, pattern, "en", place)
    for kind, patterns in book.talk.items():
        for pattern in patterns:
            _add(lexicon, known, words, "talk", kind, "", pattern, "en", "")
    for computation, patterns in book.sums.items():
        for pattern in patterns:
            _add(lexicon, known, words, "sum", computation, "", pattern, "en", "")
    for name in ("small-words", "negators", "clause-breaks", "hedges", "questions", "future-markers", "past-markers",
                 "present-markers", "not-fuzzed"):
        lexicon.classes[name] = tuple(tuple(w.lower().split()) for w in words.get(name, []) if w.strip())
    lexicon.small = frozenset(w[0] for w in lexicon.classes["small-words"] if len(w) == 1)
    lexicon.negators = frozenset(w[0] for w in lexicon.classes["negators"] if len(w) == 1)
    lexicon.breaks = frozenset(w[0] for w in lexicon.classes["clause-breaks"] if len(w) == 1)
    for members in words.values():
        for member in members:
            for word in member.lower().split():
                _know(lexicon, word, "english")
    _choose_anchors(lexicon)
    lexicon.stems = set(lexicon.vocabulary.values())
    for word in sorted(lexicon.vocabulary):
        lexicon.by_length.setdefault(len(word), []).append(word)
    return lexicon


def _know(lexicon: Lexicon, word: str, language: str) -> str:
    found = stem(word, language)
    lexicon.vocabulary.setdefault(word, found)
    return found


def _add(lexicon: Lexicon, known: dict[frozenset, int], words: dict, kind: str, topic: str, value: str, pattern: str,
         language: str, place: str) -> None:
    spoken = _LANGUAGES.get(language, "english")
    try:
        items = parse(pattern, words)
    except PatternError as error:
        lexicon.bad.append((place, pattern, str(error)))
        return
    elements = []
    for alternatives, optional in items:
        if alternatives is None:
            elements.append(Element(-1, True))
            continue
        if alternatives not in known:
            known[alternatives] = len(lexicon.groups)
            lexicon.groups.append(alternatives)
            starts: dict[str, list[tuple[str, ...]]] = {}
            lexicon.starts.append(starts)
            for alternative in alternatives:
                stems = tuple(_know(lexicon, w, spoken) if w != NUMBER else w for w in alternative)
                starts.setdefault(stems[0], []).append(stems)
        elements.append(Element(known[alternatives], optional))
    required = tuple(dict.fromkeys(e.group for e in elements if e.group >= 0 and not e.optional))
    lexicon.patterns.append(Compiled(kind, topic, value, pattern, tuple(elements), required, place))


def _choose_anchors(lexicon: Lexicon) -> None:
    """Find each pattern's rarest required group, and index its alternatives by their rarest word.

    A word that stands in many groups is a common one: looking there first would try nearly every pattern.
    """
    common: dict[str, int] = {}
    for starts in lexicon.starts:
        for alternatives in starts.values():
            for alternative in alternatives:
                for word in alternative:
                    common[word] = common.get(word, 0) + 1
    for small in lexicon.small:
        common[small] = common.get(small, 0) + 500
    rare = [[(min(alternative, key=lambda w: (common[w], w)), alternative) for alternatives in starts.values() for alternative in alternatives]
            for starts in lexicon.starts]
    cost = [sum(common[word] for word, _ in members) for members in rare]
    for index, compiled in enumerate(lexicon.patterns):
        anchor = min(compiled.required, key=lambda g: (cost[g], g))
        lexicon.by_anchor.setdefault(anchor, []).append(index)
    for group in lexicon.by_anchor:
        for word, alternative in rare[group]:
            lexicon.anchors.setdefault(word, []).append((group, alternative))


@lru_cache(maxsize=20_000)
def _near(word: str, candidates: tuple[str, ...], most: int) -> tuple[tuple[str, int], ...]:
    from rapidfuzz import process  # late: only unknown words need it
    from rapidfuzz.distance import OSA

    found = process.extract(word, candidates, scorer=OSA.distance, score_cutoff=most, limit=3)
    return tuple((name, int(distance)) for name, distance, _ in found)


def resolve(lexicon: Lexicon, word: str) -> list[tuple[str, float]]:
    """The stems a typed word may stand for, with how well it fits (1 = as listed).

    An exact or inflected known word is never fuzzed. Words of up to four letters are not fuzzed into others; up to
    seven letters one slip is forgiven, beyond that two. The first letter must be right for one slip.
    """
    if word in lexicon.vocabulary:
        return [(lexicon.vocabulary[word], 1.0)]
    own = stem(word)
    if own in lexicon.stems:
        return [(own, 0.97)]
    length = len(word)
    if length < 5 or length > 24 or not word.isalpha():
        return [(own, 1.0)]
    most = 1 if length <= 7 else 2
    candidates = tuple(w for n in range(length - most, length + most + 1) for w in lexicon.by_length.get(n, ()) if n >= 4)
    near = [(w, d) for w, d in _near(word, candidates, most) if w[0] == word[0] or (length >= 7 and d == 1)]
    if not near:
        return [(own, 1.0)]
    best = min(d for _, d in near)
    return [(lexicon.vocabulary[w], 0.88 if d == 1 else 0.78) for w, d in near if d == best]
