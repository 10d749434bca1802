"""A lexicon that was kept is the one that was compiled; whatever is odd about what was kept, the phrases are compiled."""

import dataclasses
import json

import pytest

from assistant.language import kept
from assistant.language.lexicon import DEFAULT, Lexicon, build
from assistant.language.match import find
from assistant.language.spelling import resolve
from assistant.language.text import clean, tokenize
from assistant.rulebook import cache
from assistant.rulebook.book import Phrase
from tests.real import BOOK

ALL = frozenset({"phrase", "measured", "while", "talk", "sum", "part"})
SOME = dataclasses.replace(BOOK, phrases=BOOK.phrases[:600])
SAID = "Rode it home on Friday, parked up. Came back after the weekend and it just clicks, lights go dim, 11.9 V, new plugs changed nothing"


@pytest.fixture
def place(tmp_path, monkeypatch):
    """An empty cache folder."""
    monkeypatch.setenv(cache.VARIABLE, str(tmp_path))
    return tmp_path


@pytest.fixture
def compiled(monkeypatch):
    """How often the phrases were compiled."""
    calls = []
    monkeypatch.setattr(kept, "build", lambda *given: (calls.append(given), build(*given))[1])
    return calls


def shown(lexicon: Lexicon) -> dict:
    """All that a lexicon holds, in a form that can be compared."""
    fields = {f.name: getattr(lexicon, f.name) for f in dataclasses.fields(lexicon) if f.name not in ("index", "resolved")}
    index = lexicon.index
    tree = {name: getattr(index.tree, name).tolist() for name in ("words", "starts", "ends")}
    rows = {name: [getattr(index, name).row(n) for n in range(len(getattr(index, name)))] for name in ("groups_of", "pieces", "needs", "ordered", "anchored")}
    return {**fields, **tree, **rows, "groups": index.groups, "second": index.second.tolist()}


def test_what_was_kept_is_what_was_compiled(place, compiled):
    """Field by field, and in what it hears; compiled once for two readers."""
    first, second = kept.lexicon_of(BOOK, DEFAULT), kept.lexicon_of(BOOK, DEFAULT)
    assert len(compiled) == 1 and shown(first) == shown(second)
    tokens = tokenize(clean(SAID), first.contractions)
    assert find(first, tokens, ALL) == find(second, tokens, ALL) != []


def test_forms_of_words_that_no_phrase_has_are_no_slips(monkeypatch):
    """A word class that no phrase uses makes its words known: other forms of them are not taken for slips of other words."""
    monkeypatch.setenv(cache.VARIABLE, "")
    spoken = dataclasses.replace(BOOK.spoken[DEFAULT], words={**BOOK.spoken[DEFAULT].words, "harvest": ["ploughman"]})
    lexicon = kept.lexicon_of(dataclasses.replace(SOME, spoken={**BOOK.spoken, DEFAULT: spoken}), DEFAULT)
    (stem, fit), = resolve(lexicon, "ploughmans")
    assert stem == lexicon.vocabulary["ploughman"] and fit > 0.95


def test_other_phrases_are_compiled_anew(place, compiled):
    """One more phrase, one word more in a class, one phrase fewer: none is heard by what was kept of others."""
    kept.lexicon_of(SOME, DEFAULT)
    more = dataclasses.replace(SOME, phrases=[*SOME.phrases, Phrase("cranking", "slow", "as if stuck in toffee", DEFAULT, "x.yaml", 1)])
    assert any(c.pattern == "as if stuck in toffee" for c in kept.lexicon_of(more, DEFAULT).patterns)
    kept.lexicon_of(dataclasses.replace(SOME, phrases=SOME.phrases[1:]), DEFAULT)
    spoken = dataclasses.replace(BOOK.spoken[DEFAULT], words={**BOOK.spoken[DEFAULT].words, "lights": [*BOOK.spoken[DEFAULT].words["lights"], "glow worm"]})
    kept.lexicon_of(dataclasses.replace(SOME, spoken={**BOOK.spoken, DEFAULT: spoken}), DEFAULT)
    assert len(compiled) == 4


@pytest.mark.parametrize("text", ["", "[]", "{}", "nonsense", '{"stems": 3}', '{"stems": [], "patterns": [[9]]}',
                                  '{"stems": [], "patterns": [], "scenes": [], "vocabulary": {}, "as_typed": [], "bad": [], "index": {"order": "odd"}}', "null"])
def test_what_is_odd_is_compiled(place, compiled, monkeypatch, text):
    """Kept by another program, cut off, or empty."""
    monkeypatch.setattr(kept.cache, "recall_text", lambda *_: text)
    assert shown(kept.lexicon_of(SOME, DEFAULT)) == shown(build(SOME, DEFAULT)) and len(compiled) == 1


def test_altered_bytes_are_not_used(place, compiled):
    """The first line of what is kept is a hash of the rest."""
    kept.lexicon_of(SOME, DEFAULT)
    file, = (place / "words").glob("lexicon-en-*")
    digest, _, body = file.read_bytes().partition(b"\n")
    raw = json.loads(body)
    raw["patterns"][0][2] = "altered"
    file.write_bytes(digest + b"\n" + json.dumps(raw).encode())
    kept.lexicon_of(SOME, DEFAULT)
    assert len(compiled) == 2


def test_few_phrases_and_no_cache(monkeypatch, compiled, tmp_path):
    """Few phrases are compiled as quickly as they are read; without a cache folder nothing is kept."""
    monkeypatch.setenv(cache.VARIABLE, str(tmp_path))
    kept.lexicon_of(dataclasses.replace(BOOK, phrases=BOOK.phrases[:40]), DEFAULT)
    assert not list(tmp_path.rglob("lexicon-*"))
    monkeypatch.setenv(cache.VARIABLE, "")
    kept.lexicon_of(SOME, DEFAULT)
    kept.lexicon_of(SOME, DEFAULT)
    assert len(compiled) == 3
