"""A lexicon as it was compiled, kept in the user's cache folder: compiling thousands of phrases takes longer than hearing a message.

Kept are plain values (JSON), under a hash over every phrase and word they were made of and over the code that made them, so that
they can never be stale. Whatever goes wrong here, the phrases are compiled.
"""

from __future__ import annotations

import base64
import hashlib
import json
import sys
from array import array
from typing import TYPE_CHECKING, Any

from assistant.language.lexicon import Compiled, Lexicon, Scene, begun, build
from assistant.language.text import stemmer_code
from assistant.rulebook import cache
from assistant.rulebook.book import Rulebook

if TYPE_CHECKING:
    from assistant.language.index import Index

_LEAST = 500  # patterns: fewer are compiled as quickly as they are read
_MADE_BY = (*(f"language/{name}.py" for name in ("lexicon", "patterns", "text", "kept", "index", "rows", "word_tree")), "rulebook/book.py")
_TREE, _ROWS = ("words", "starts", "ends"), ("groups_of", "pieces", "needs", "ordered")  # of an index, in the order in which it takes them


def lexicon_of(book: Rulebook, language: str) -> Lexicon:
    """The lexicon of a language: as it was kept, or compiled."""
    if sum(phrase.language == language for phrase in book.phrases) < _LEAST:
        return build(book, language)
    depends_on = _content(book, language), cache.code(*_MADE_BY), stemmer_code(Lexicon(language).stemmer)
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


def _encoded(lexicon: Lexicon) -> dict[str, Any]:
    return {
        "stems": list(lexicon.stems), "index": _packed(lexicon.index),
        "patterns": [(c.kind, c.topic, c.value, c.pattern, c.place, c.belief + 2 * c.any_order + 4 * c.denies) for c in lexicon.patterns],
        "scenes": [(s.topic, s.value, s.pattern, s.parts, s.barred, s.close) for s in lexicon.scenes],
        "vocabulary": lexicon.vocabulary, "as_typed": sorted(lexicon.as_typed), "bad": lexicon.bad,
    }


def _packed(index: Index) -> dict[str, Any]:
    """The rows of an index, as texts: numbers one by one would take longer to read than the phrases to compile."""
    tree = {name: getattr(index.tree, name).tobytes() for name in _TREE}
    rows = {f"{name}-{part}": getattr(getattr(index, name), part).tobytes() for name in _ROWS for part in ("starts", "items")}
    return {"order": sys.byteorder, "groups": index.groups, **{name: base64.b64encode(raw).decode() for name, raw in {**tree, **rows}.items()}}


def _unpacked(raw: dict[str, Any]) -> Index:
    import numpy as np  # late: only a message needs it

    from assistant.language.index import Index
    from assistant.language.rows import Rows
    from assistant.language.word_tree import WordTree

    if raw["order"] != sys.byteorder:
        raise ValueError("kept by a machine of another kind")
    rows = {name: np.frombuffer(base64.b64decode(text), np.int32) for name, text in raw.items() if "-" in name}
    tree = {name: array("i", base64.b64decode(raw[name])) for name in _TREE}
    return Index(WordTree(**tree), *(Rows(rows[f"{name}-starts"], rows[f"{name}-items"]) for name in _ROWS), raw["groups"])


def _decoded(book: Rulebook, language: str, text: str | None) -> Lexicon | None:
    if text is None:
        return None
    lexicon, _, _ = begun(book, language)
    try:
        raw = json.loads(text)
        del text  # megabytes, of which nothing is needed any more
        written = {p.pattern: p.pattern for p in book.phrases}  # the strings that are there already
        once: dict[str, str] = {}
        for number, (kind, topic, value, pattern, place, marks) in enumerate(raw.pop("patterns")):
            kind, topic, value, place = (once.setdefault(word, word) for word in (kind, topic, value, place))
            lexicon.patterns.append(Compiled(number, kind, topic, value, written.get(pattern, pattern), place, bool(marks & 1), bool(marks & 2), bool(marks & 4)))
        lexicon.scenes = [Scene(topic, value, written.get(pattern, pattern), tuple(parts), tuple(map(tuple, barred)), tuple(close))
                          for topic, value, pattern, parts, barred, close in raw["scenes"]]
        lexicon.stems = {stem: number for number, stem in enumerate(raw["stems"])}
        words = {stem: stem for stem in lexicon.stems}
        lexicon.vocabulary = {words.setdefault(word, word): words.setdefault(stem, stem) for word, stem in raw.pop("vocabulary").items()}
        lexicon.as_typed, lexicon.bad = set(raw["as_typed"]), [tuple(b) for b in raw["bad"]]
        lexicon.index = _unpacked(raw["index"])
    except (ValueError, KeyError, TypeError, IndexError, AttributeError):
        return None
    return lexicon


__all__ = ["lexicon_of"]
