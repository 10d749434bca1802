"""What was found of the phrases of a topic is kept, and worked out anew just where something it depends on has changed."""

import dataclasses

import pytest

from assistant.language.lexicon import DEFAULT
from assistant.rulebook import cache
from assistant.rulebook.book import Phrase, Rulebook
from assistant.trainer import phrase_pairs
from assistant.trainer.phrase_pairs import PhrasePairs

PHRASES = [Phrase("lamp", "dim", "(hardly|barely) any <light>", DEFAULT, "a.yaml", 1), Phrase("lamp", "dead", "hardly any (light|lamp)", DEFAULT, "a.yaml", 2),
           Phrase("lamp", "dim", "lamp is (faint", DEFAULT, "a.yaml", 3), Phrase("horn", "weak", "croaks", DEFAULT, "a.yaml", 4),
           Phrase("horn", "weak", "it croaks [a bit]", DEFAULT, "a.yaml", 5), Phrase("horn", "weak", "croaks [a bit]", DEFAULT, "a.yaml", 6)]
SMALL = Rulebook(phrases=PHRASES, words={"light": ["light", "glow"], "other": ["x"]})


@pytest.fixture
def compared(tmp_path, monkeypatch):
    """The topics that were compared, with an empty cache folder."""
    monkeypatch.setenv(cache.VARIABLE, str(tmp_path))
    topics = []
    whole = PhrasePairs._compare
    monkeypatch.setattr(PhrasePairs, "_compare", lambda self, book, short, topic, phrases: (topics.append(topic), whole(self, book, short, topic, phrases))[1])
    return topics


def shown(pairs):
    """All that was found, by the lines of the phrases."""
    return ([(p.line, reason) for p, reason in pairs.bad], [(a.line, b.line, said) for a, b, said in pairs.rivals], [(a.line, b.line) for a, b in pairs.shadowed])


def test_what_is_found():
    """A phrase that does not read, two that claim one sentence, and one that adds nothing."""
    bad, rivals, shadowed = shown(PhrasePairs(SMALL))
    assert [line for line, _ in bad] == [3] and rivals == [(1, 2, "hardly any light")] and shadowed == [(4, 6)]


def test_what_was_kept_is_what_was_found(compared):
    """The second time nothing is compared, and the same is found."""
    first, second = PhrasePairs(SMALL), PhrasePairs(SMALL)
    assert sorted(compared) == ["horn", "lamp"] and shown(first) == shown(second)


@pytest.mark.parametrize("change, anew", [
    ({"phrases": [*PHRASES, Phrase("horn", "dead", "croaks a bit", DEFAULT, "a.yaml", 7)]}, ["horn"]),
    ({"phrases": PHRASES[1:]}, ["lamp"]),
    ({"phrases": [dataclasses.replace(p, line=p.line + 1) for p in PHRASES]}, []),
    ({"words": {**SMALL.words, "light": ["glow"]}}, ["lamp"]),
    ({"words": {**SMALL.words, "other": ["y"]}}, []),
    ({"checks": {"horn": None}}, ["horn"]),
])
@pytest.mark.parametrize("in_one_run", [True, False])
def test_only_what_a_change_touches_is_compared(compared, monkeypatch, change, anew, in_one_run):
    """A phrase more or fewer, a word class, what the topic is; a phrase on another line is the same phrase."""
    first = PhrasePairs(SMALL)
    compared.clear()
    changed = dataclasses.replace(SMALL, **change)
    found = PhrasePairs(changed, first if in_one_run else None)
    assert compared == anew
    monkeypatch.setenv(cache.VARIABLE, "")
    assert shown(found) == shown(PhrasePairs(changed))


@pytest.mark.parametrize("text", ["", "nonsense", "[]", "null"])
def test_what_is_odd_is_compared(compared, monkeypatch, text):
    """Cut off, or empty."""
    monkeypatch.setattr(phrase_pairs.cache, "recall_text", lambda *_: text)
    assert shown(PhrasePairs(SMALL))[2] == [(4, 6)] and sorted(compared) == ["horn", "lamp"]


def test_nothing_is_kept_without_a_folder(compared, monkeypatch):
    """Then all is compared each time."""
    monkeypatch.setenv(cache.VARIABLE, "")
    PhrasePairs(SMALL), PhrasePairs(SMALL)
    assert len(compared) == 4
