"""A repair that somebody would rather not do is not put before them again, as a check or a question is not."""

from __future__ import annotations

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from tests.real import BOOK

STORIES = ("Idles fine but misses badly on one side when it rains, one header is cold. Four cylinder with carbs, nobody touched it.",
           "battery 11.2 V at rest, lights go out when I press start, one click. Electric start, injected. Nobody touched it. It stood for three months.")


def test_a_repair_that_is_skipped_is_not_offered_again() -> None:
    """The talk goes another way, and what is known stays known."""
    mind, seen = Mind(BOOK), 0
    for story in STORIES:
        case = Case(mind)
        case.say(story)
        skipped: set[str] = set()
        for _ in range(8):
            pending = case.state.pending
            if pending.kind == "nothing":
                break
            if pending.kind == "repair":
                assert pending.id not in skipped
                skipped.add(pending.id)
                seen += 1
            case.say("skip")
    assert seen
