"""What the phrases of each topic say of one another: which do not read, which claim one sentence for two values, which add nothing.

Worked out topic by topic and kept in the user's cache folder under a hash of all that it depends on: the phrases of the topic,
the word classes they name, and the code. So after a change only what it touches is compared anew.
"""

from __future__ import annotations

import hashlib
import json
import re
from typing import Any, Iterator

from assistant.language.patterns import PatternError, is_scene
from assistant.language.text import stemmer_code
from assistant.rulebook import cache
from assistant.rulebook.book import Phrase, Rulebook, told_at_once
from assistant.trainer.patterns import Automata, Member, rivals, shadowed

_CLASS = re.compile(r"<([^<>]+)>")
_NAME = "phrase-pairs"
_MADE_BY = ("language/lexicon.py", "language/patterns.py", "language/text.py", "rulebook/book.py", "trainer/patterns.py", "trainer/phrase_pairs.py")
Found = dict[str, list[list[Any]]]  # bad: [phrase, reason]; rivals: [first, second, sentence]; shadowed: [phrase, by]; phrases by their places in the topic


class PhrasePairs:
    """All phrases of a rulebook, compared. Of those looked at `earlier`, or kept, nothing is worked out again."""

    def __init__(self, book: Rulebook, earlier: PhrasePairs | None = None) -> None:
        contractions = {code: spoken.contractions for code, spoken in book.spoken.items()}
        made = earlier._automata if earlier else None
        self._automata = made if made and made.taken_apart_by(book.words, contractions) else None  # made when something is to be compared
        self._by_topic: dict[str, list[Phrase]] = {}
        for phrase in book.phrases:
            self._by_topic.setdefault(phrase.topic, []).append(phrase)
        depends_on = cache.code(*_MADE_BY), stemmer_code("english"), json.dumps(contractions, sort_keys=True)
        kept = cache.recall(_NAME, *depends_on) or {}
        known = {**kept, **(earlier._known if earlier else {})}
        self._known: dict[str, str] = {}
        for topic, phrases in self._by_topic.items():
            key = _key(book, topic, phrases)
            self._known[key] = known.get(key) or json.dumps(self._compare(book, contractions, topic, phrases), separators=(",", ":"))
        self._found: dict[str, Found] = dict(zip(self._by_topic, map(json.loads, self._known.values())))
        if not self._known.keys() <= kept.keys():
            cache.remember(_NAME, self._known, *depends_on)

    @property
    def bad(self) -> Iterator[tuple[Phrase, str]]:
        """Phrases that do not read, and why."""
        for topic, phrases in self._by_topic.items():
            for number, reason in self._found[topic]["bad"]:
                yield phrases[number], reason

    @property
    def rivals(self) -> Iterator[tuple[Phrase, Phrase, str]]:
        """Two phrases for different values of one topic, and the shortest sentence that both hear."""
        for topic, phrases in self._by_topic.items():
            for first, second, sentence in self._found[topic]["rivals"]:
                yield phrases[first], phrases[second], sentence

    @property
    def shadowed(self) -> Iterator[tuple[Phrase, Phrase]]:
        """A phrase that adds nothing, and the phrase that hears all of it."""
        for topic, phrases in self._by_topic.items():
            for one, by in self._found[topic]["shadowed"]:
                yield phrases[one], phrases[by]

    def _compare(self, book: Rulebook, contractions: dict[str, dict[str, str]], topic: str, phrases: list[Phrase]) -> Found:
        self._automata = self._automata or Automata(book.words, contractions)
        members, bad = [], []
        for number, phrase in enumerate(phrases):
            barred = told_at_once(book.checks, topic, phrase.value)
            if barred and is_scene(phrase.pattern):
                bad.append([number, barred])
                continue
            try:
                members.append(Member(number, phrase.value, phrase.language, self._automata.of(phrase.pattern, phrase.language)))
            except PatternError as error:
                bad.append([number, str(error)])
        claimed = ((first, second, self._automata.common_sentence(first.heard, second.heard)) for first, second in rivals(members))
        return {"bad": bad, "rivals": [[first.number, second.number, sentence] for first, second, sentence in claimed if sentence is not None],
                "shadowed": [[one.number, by.number] for one, by in shadowed(members)]}


def _key(book: Rulebook, topic: str, phrases: list[Phrase]) -> str:
    """A hash of all that the phrases of a topic are compared by, but the contractions and the code."""
    classes = sorted({name for phrase in phrases for name in _CLASS.findall(phrase.pattern.lower())})
    rows = [(phrase.value, phrase.pattern, phrase.language) for phrase in phrases]
    return hashlib.sha256(json.dumps([topic, topic in book.checks, rows, [(name, book.words.get(name)) for name in classes]], default=list).encode()).hexdigest()[:32]


__all__ = ["PhrasePairs"]
