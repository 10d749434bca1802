"""Trade words an owner may meet, whatever they are called where the owner lives."""

from __future__ import annotations

import pytest

from tests.real import BOOK

REGIONAL = {"petcock": "fuel-tap", "earth": "ground", "enrichener": "choke", "carburetor": "carburettor", "solenoid": "starter-relay",
            "dynamo": "stator", "muffler": "silencer", "gudgeon pin": "wrist-pin"}


@pytest.mark.parametrize("word", sorted(REGIONAL))
def test_regional_word_leads_to_its_entry(word: str) -> None:
    """The same thing under another name."""
    assert word in BOOK.glossary[REGIONAL[word]].called


def test_every_entry_explains() -> None:
    """One or two plain sentences each, and no entry that explains itself by its own name alone."""
    assert len(BOOK.glossary) >= 150
    for term in BOOK.glossary.values():
        assert len(term.plain.split()) >= 4, term.id
