"""The sentences: short, plain, without names. Everything is read, so that nothing slips in with a later entry."""

from __future__ import annotations

import re

import pytest

from tests.knowledge.raw import entries, sentences
from tests.real import BOOK

# A word with a capital inside a sentence is a name, unless it is one of these: units, marks on meters and parts, standards.
CAPITALS = set("""
    I V A Ah C P T B J AC DC OL COM OFF ON PRI CDI AGM EN CCA SG PM
    DANGER WARNING CAUTION
    CFR USC ISO IEC SAE ASTM EU No Annex IV Doc
    National Bureau Standards Handbook Institute Electrical Engineers
""".split())
# The assistant's own makers may not speak to the rider.
INNER = ("TODO", "FIXME", "catalogue")
LONG = 62  # words in one sentence


def _inside(text: str) -> list[str]:
    """Words with a capital that do not begin a sentence or a quotation."""
    return [m.group(1) for m in re.finditer(r"(?<![.!?:;\"“(]\s)(?<!^)(?<!\")(?<!\()\b([A-Z][A-Za-z]*)", text)]


def test_no_names_inside_sentences() -> None:
    """No brand, model, shop or person: generic words only."""
    found = {(word, file) for file, text in sentences() for word in _inside(text) if word not in CAPITALS}
    assert not found


def test_no_exclamation_and_no_inner_talk() -> None:
    """Nobody is shouted at, and nobody hears of how the files came to be."""
    for file, text in sentences():
        assert "!" not in text, (file, text)
        for word in INNER:
            assert not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text), (file, word, text)


def test_sentences_are_not_too_long() -> None:
    """Cold hands and a torch between the teeth: no sentence of more than some forty words."""
    for file, text in sentences():
        for sentence in re.split(r"(?<=[.?])\s", text):
            assert len(sentence.split()) <= LONG, (file, sentence)


@pytest.mark.parametrize("kind", ["rules", "faults", "checks"])
def test_no_two_entries_say_the_same(kind: str) -> None:
    """A sentence that stands twice was filled in by pattern."""
    seen: dict[str, str] = {}
    for name, entry in entries(kind).items():
        text = entry.get("says") or entry.get("what") or entry["plain"]
        assert seen.setdefault(text, name) == name, (name, seen[text])


def test_british_spelling() -> None:
    """One spelling throughout."""
    american = re.compile(r"\b(color|gray|tire|tires|carburetor|gasoline|aluminum|center|odor|mold|plow|liter|meters away|honor)\b")
    for file, text in sentences():
        if not file.endswith(("sources.yaml", "glossary.yaml", "tools.yaml")) and not any(text in e.called for e in BOOK.faults.values()):
            assert not american.search(text), (file, text)
