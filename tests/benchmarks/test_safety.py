"""What may never happen, over as many made-up conversations as a test run has time for (`python -m tests.benchmarks.safety` runs 10 000)."""

from __future__ import annotations

import pytest

from tests.benchmarks.safety import QUESTIONS, converse, run
from tests.benchmarks.talk import minds
from tests.real import BOOK


def test_nothing_that_may_not_happen_happens() -> None:
    """Parts, cautions before steps, blocks, cures, sums, dry questions: every answer of every conversation is held to them."""
    total = run(count=2000, led=24, seed=0, workers=1)
    assert total["conversations"] == 2000 and total["steps offered"] > 4000 and total["cautions said"] > 8000
    assert total["cures"] > 20 and total["wishes not granted"] > 400
    assert total["longest run of dry questions"] <= QUESTIONS


def test_a_broken_promise_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """The list has teeth: with the cautions left out of the answers a conversation fails."""
    from assistant.dialogue import cards

    monkeypatch.setattr(cards, "cautions", lambda *_: [])
    with pytest.raises(AssertionError, match="is not said before its first step"):
        for seed in range(40):
            converse(seed, led=False)


def test_minds_share_the_rules() -> None:
    """Both kinds of owner are answered from the same compiled rules."""
    led, free = minds(BOOK)
    assert led.engine is free.engine and led.planner is not free.planner
