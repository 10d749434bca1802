"""A lexicon as it was compiled, kept in the user's cache folder: compiling thousands of phrases takes longer than hearing a message.

Kept are plain values (JSON), under a hash over every phrase and word they were made of and over the code that made them, so that
they can never be stale. Whatever goes wrong here, the phrases are compiled.
"""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.language.lexicon import Compiled, Element, Lexicon, Node, Scene, begun, build, group_of, indexed, required_in
from assistant.language.text import stemmer_code
from assistant.rulebook import cache
from assistant.rulebook.book import Rulebook

_LEAST = 500  # patterns: fewer are compiled as quickly as they are read
_MADE_BY = ("lexicon.py", "patterns.py", "text.py", "kept.py", "../rulebook/book.py")


def lexicon_of(book: Rulebook, language: str) -> Lexicon:
    """The lexicon of a language: as it was kept, or compiled."""
    if sum(phrase.language == language for phrase in book.phrases) < _LEAST:
        return build(book, language)
    depends_on = _content(book, language), _code(), stemmer_code(Lexicon(language).stemmer)
    lexicon = _decoded(book, language, cache.recall_text(f"lexicon-{language}", *depends_on))
    if lexicon is None:
        lexicon = build(book, language)
        cache.remember_text(f"lexicon-{language}", json.dumps(_encoded(lexicon), separators=(",", ":")), *depends_on)
    return lexicon


def _content(book: Rulebook, language: str) -> str:
    """A hash of all that a lexicon is made of."""
    spoken = [(code, s.words, s.contractions, s.talk, s.sums) for code, s in sorted(book.spoken.items())]
    phrases = [(p.topic, p.value, p.pattern, p.file, p.line, p.belief) for p in book.phrases if p.language == language]
    measured = [(m.id, m.file, m.line, m.named, m.while_) for m in book.measured.values()]
    return hashlib.sha256(json.dumps([spoken, phrases, measured, list(book.checks)], default=list).encode()).hexdigest()


@lru_cache(maxsize=1)
def _code() -> str:
    here = Path(__file__).resolve().parent
    return hashlib.sha256(b"".join((here / name).read_bytes() for name in _MADE_BY)).hexdigest()


def _encoded(lexicon: Lexicon) -> dict[str, Any]:
    alternatives: dict[int, list[str]] = {}
    waiting: list[tuple[Node, list[str]]] = [(lexicon.tree, [])]
    for node, words in waiting:
        if node.end >= 0:
            alternatives[node.end] = words
        waiting += [(after, [*words, word]) for word, after in (node.onward or {}).items()]
    stems = {stem: number for number, stem in enumerate(dict.fromkeys(word for words in alternatives.values() for word in words))}
    return {
        "stems": list(stems), "alternatives": [[stems[word] for word in alternatives[n]] for n in range(len(alternatives))],
        "groups": [sorted(group) for group in lexicon.groups],
        "patterns": [(c.kind, c.topic, c.value, c.pattern, [2 * e.group + e.optional for e in c.elements], c.place,
                      c.belief + 2 * c.any_order + 4 * c.denies) for c in lexicon.patterns],
        "scenes": [(s.topic, s.value, s.pattern, s.parts, s.barred, s.close) for s in lexicon.scenes],
        "vocabulary": lexicon.vocabulary, "as_typed": sorted(lexicon.as_typed), "bad": lexicon.bad,
    }


def _decoded(book: Rulebook, language: str, text: str | None) -> Lexicon | None:
    if text is None:
        return None
    lexicon, _, _ = begun(book, language)
    try:
        raw = json.loads(text)
        del text  # megabytes, of which nothing is needed any more
        stems = raw["stems"]
        alternatives = [tuple([stems[n] for n in numbers]) for numbers in raw.pop("alternatives")]
        for number, words in enumerate(alternatives):
            lexicon.tree.grown(words).end = number
        lexicon.groups = [group_of(members) for members in raw.pop("groups")]
        written = {p.pattern: p.pattern for p in book.phrases}  # the strings that are there already
        elements: dict[int, Element] = {}
        for kind, topic, value, pattern, numbers, place, marks in raw.pop("patterns"):
            made = tuple([elements.get(n) or elements.setdefault(n, Element(n >> 1, bool(n & 1))) for n in numbers])
            lexicon.patterns.append(Compiled(kind, topic, value, written.get(pattern, pattern), made, required_in(made), place,
                                             bool(marks & 1), bool(marks & 2), bool(marks & 4)))
        lexicon.scenes = [Scene(topic, value, written.get(pattern, pattern), tuple(parts), tuple(map(tuple, barred)), tuple(close))
                          for topic, value, pattern, parts, barred, close in raw["scenes"]]
        once = dict(zip(stems, stems))
        lexicon.vocabulary = {word: once.get(stem, stem) for word, stem in raw.pop("vocabulary").items()}
        lexicon.as_typed, lexicon.bad = set(raw["as_typed"]), [tuple(b) for b in raw["bad"]]
        indexed(lexicon, alternatives)
    except (ValueError, KeyError, TypeError, IndexError, AttributeError):
        return None
    return lexicon


__all__ = ["lexicon_of"]
