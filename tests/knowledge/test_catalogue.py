"""Every id of the catalogue is in the files, with its values, under its need."""

from __future__ import annotations

import pytest

from tests.knowledge.raw import catalogue
from tests.real import BOOK

FACTS = [(fact, values) for group in ("machine", "history", "observations") for fact, values in catalogue()[group].items()]


@pytest.mark.parametrize("fact, values", FACTS, ids=[fact for fact, _ in FACTS])
def test_fact_has_the_values_of_the_catalogue(fact: str, values: list[str]) -> None:
    """The fact is there, and knows at least these values."""
    assert fact in BOOK.facts
    assert set(values) <= set(BOOK.values(fact))


def test_recent_work_has_every_kind_of_the_catalogue() -> None:
    """What may have been touched last."""
    assert set(catalogue()["recent-work"]) <= set(BOOK.values("recent-work"))


@pytest.mark.parametrize("kind", ["needs", "access", "tools"])
def test_small_kinds_are_whole(kind: str) -> None:
    """Needs, access states and tools."""
    assert set(catalogue()[kind]) <= set(getattr(BOOK, kind))


@pytest.mark.parametrize("kind", ["checks", "faults"])
@pytest.mark.parametrize("need", catalogue()["needs"])
def test_checks_and_faults_are_there_under_their_need(kind: str, need: str) -> None:
    """An id of the catalogue is not only there, but filed where the catalogue has it."""
    for name in catalogue()[kind].get(need, []):
        entry = getattr(BOOK, kind).get(name)
        assert entry is not None, name
        assert entry.need == need, f"{name} is filed under {entry.need}"


def test_outcome_words_are_those_of_the_catalogue_or_new_ones_with_one_meaning() -> None:
    """One word means one thing everywhere: what the catalogue lacks is listed here, so that nobody coins another by accident."""
    known = {word for words in catalogue()["outcomes"].values() for word in words}
    added = {"chatters", "liquid", "locked"}
    used = {word for check in BOOK.checks.values() for word in check.outcomes}
    assert used <= known | added
