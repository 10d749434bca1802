"""Names of faults, checks, tools, access states and trade words, as people say them, to ids."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Sequence

from assistant.language.text import Token, plain, stem
from assistant.rulebook.book import Rulebook

_ARTICLES = {"a", "an", "the", "some", "my"}
_FILLER = {"first", "next", "now", "instead", "please", "before", "the", "a", "an", "my", "your", "to", "of", "it", "is", "be", "do", "with", "for", "in", "on", "at", "and", "or", "this", "that",
           "bad", "check", "test"}


@dataclass(frozen=True, slots=True)
class Name:
    """One way to name an entry."""

    kind: str
    id: str
    stems: frozenset[str]
    size: int
    whole: frozenset[str]  # with the words that other names are looked up without: a 'test light' is more than a light


class Names:
    """Looks entries up by what people call them: exact words first, then the largest overlap of stems."""

    def __init__(self, book: Rulebook) -> None:
        self._names: list[Name] = []
        self._tools: dict[str, list[tuple[str, ...]]] = {}
        for tool in book.tools.values():
            for text in (tool.id.replace("-", " "), *tool.called):
                stems = tuple(stem(w) for w in plain(text.lower()).split())
                if len(stems) > 1:
                    self._tools.setdefault(stems[0], []).append(stems)
        for kind in ("faults", "checks", "tools", "access", "glossary", "facts"):
            for entry in book.kind(kind).values():
                texts = [entry.id.replace("-", " "), *getattr(entry, "called", [])]
                if kind != "glossary":
                    texts.append(getattr(entry, "plain", ""))
                for text in texts:
                    stems = frozenset(self._stems(text))
                    if stems:
                        every = self._every(text)
                        self._names.append(Name(kind, entry.id, stems, len(stems), stems if every == stems else every))

    @staticmethod
    @lru_cache(maxsize=512)
    def _stems(text: str) -> tuple[str, ...]:
        words = [w.strip(".,;:!?'\"()") for w in plain(text.lower()).replace("-", " ").split()]
        kept = [w for w in words if w and w not in _FILLER] or [w for w in words if w]
        return tuple(stem(w) for w in kept)

    @staticmethod
    def _every(text: str) -> frozenset[str]:
        words = [w.strip(".,;:!?'\"()") for w in plain(text.lower()).replace("-", " ").split()]
        return frozenset(stem(w) for w in words if w and w not in _ARTICLES)

    def find(self, words: str, kinds: tuple[str, ...], whole: bool = False) -> tuple[str, str] | None:
        """(kind, id) of the entry that the words name best, or None. Earlier kinds win a tie. `whole`: all of a name must be said."""
        said = set(self._stems(words))
        if not said:
            return None
        every = self._every(words) if whole else frozenset()
        best: tuple[float, int, str, str] | None = None
        for name in self._names:
            if name.kind not in kinds:
                continue
            shared = len(name.stems & said)
            if not shared or whole and not name.whole <= every:
                continue
            score = shared / name.size * 0.65 + shared / len(said) * 0.35
            if score < 0.6:
                continue
            key = (score, -kinds.index(name.kind), name.id, name.kind)
            if best is None or (key[0], key[1]) > (best[0], best[1]) or (key[:2] == best[:2] and name.id < best[2]):
                best = key
        return (best[3], best[2]) if best else None

    def tools_in(self, tokens: Sequence[Token]) -> list[frozenset[int]]:
        """Where a tool is called by a name of several words: 'compression gauge' speaks of no compression."""
        words = [stem(t.text) if t.kind == "word" else "" for t in tokens]
        found = []
        for at, word in enumerate(words):
            for name in self._tools.get(word, ()):
                if tuple(words[at:at + len(name)]) == name:
                    found.append(frozenset(range(at, at + len(name))))
        return found

    def may_mean(self, words: str, identity: str) -> bool:
        """Whether the words could also be meant for one entry: they share a word of one of its names."""
        said = set(self._stems(words))
        return any(name.id == identity and name.stems & said for name in self._names)
