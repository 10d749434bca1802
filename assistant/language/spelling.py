"""A typed word to the known words it may stand for: as listed, inflected, or with a slip of the finger."""

from __future__ import annotations

from assistant.language.lexicon import Lexicon
from assistant.language.text import stem

_MOST_KEPT = 50_000
_INFLECTED, _ONE_SLIP, _TWO_SLIPS = 0.97, 0.88, 0.78


def resolve(lexicon: Lexicon, word: str) -> list[tuple[str, float]]:
    """The stems a typed word may stand for, with how well it fits (1 = as listed).

    An exact or inflected known word is never fuzzed. Words of up to four letters are not fuzzed into others; up to
    seven letters one slip is forgiven, beyond that two. The first letter must be right for one slip.
    """
    known = lexicon.vocabulary.get(word)
    if known is not None:
        return [(known, 1.0)]
    found = lexicon.resolved.get(word)
    if found is None:
        found = _look(lexicon, word)
        if len(lexicon.resolved) > _MOST_KEPT:
            lexicon.resolved.clear()
        lexicon.resolved[word] = found
    return found


def _look(lexicon: Lexicon, word: str) -> list[tuple[str, float]]:
    if word in lexicon.unstemmed:
        return [(word, 1.0)]
    own = stem(word, lexicon.stemmer)
    if own in lexicon.stems:
        return [(own, _INFLECTED)]
    length = len(word)
    if length < 5 or length > 24 or not word.isalpha() or word in lexicon.kept:
        return [(own, 1.0)]
    from rapidfuzz import process  # late: only unknown words need it
    from rapidfuzz.distance import OSA

    most = 1 if length <= 7 else 2
    near = []
    for size in range(length - most, length + most + 1):
        for name, distance, _ in process.extract(word, lexicon.by_length.get(size, ()), scorer=OSA.distance, score_cutoff=most, limit=3):
            if name not in lexicon.kept and (name[0] == word[0] or (length >= 7 and distance == 1)):
                near.append((int(distance), name))
    if not near:
        return [(own, 1.0)]
    best = min(near)[0]
    stems = dict.fromkeys(lexicon.vocabulary[name] for distance, name in sorted(near) if distance == best)
    return [(s, _ONE_SLIP if best == 1 else _TWO_SLIPS) for s in stems]
