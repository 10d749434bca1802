"""A Mind that was rehearsed is compiled, and a conversation with it leaves no heap of what its turns looked at."""

import gc

import pytest

from assistant.dialogue.case import Case
from assistant.dialogue.rehearse import rehearse
from assistant.dialogue.think import Mind
from assistant.planning.search import Search
from tests.real import BOOK


@pytest.fixture
def collector():
    """Leaves the collector as it was."""
    before = gc.get_threshold()
    yield
    gc.unfreeze()
    gc.set_threshold(*before)


def test_what_stays_is_left_alone(collector):
    """Everything is compiled, and the collector does not go through it again; at a second time the first is let go of."""
    rehearse(mind := Mind(BOOK))
    assert {"engine", "planner"} <= set(mind.__dict__)
    frozen = gc.get_freeze_count()
    assert frozen > 50_000
    del mind
    rehearse(Mind(BOOK))
    assert gc.get_freeze_count() < 1.2 * frozen


def test_turns_leave_no_searches(collector):
    """After many turns few searches are in memory: those of the last scene, and what the collector has not come to yet."""
    rehearse(mind := Mind(BOOK))
    case = Case(mind)
    for text in ("turns over fine but no spark", *["skip"] * 20):
        case.say(text)
    assert sum(isinstance(thing, Search) for thing in gc.get_objects()) <= 16
