"""A Mind keeps what it worked out of one state for the next one. Nobody can tell: whatever it thought of before, it gives the same."""

import random

import pytest

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from tests.benchmarks.speed import ANSWERS, STORIES
from tests.real import BOOK

ASIDE = ("why", "how sure are you", "what if the battery is flat", "it turns over fine", "undo", "still the same", "hm")


def states(mind: Mind, seed: int, turns: int = 8) -> list:
    """The states of a conversation, and what was thought of each, with questions to the assistant and repetitions in between."""
    dice, case, kept = random.Random(seed), Case(mind), []
    for turn in range(turns):
        case.say(STORIES[seed % len(STORIES)] if turn == 0 else dice.choice(ANSWERS + ASIDE))
        kept.append((case.state, case.think()))
    return kept


@pytest.fixture(scope="module")
def thought():
    """States of several conversations that one Mind had by turns."""
    mind = Mind(BOOK)
    return [pair for seed in range(4) for pair in states(mind, seed)]


def test_in_any_order(thought):
    """Another Mind that comes to the states in an order drawn by dice, to each more than once, thinks the same of them."""
    mind, places = Mind(BOOK), [*range(len(thought))] * 2
    random.Random(1).shuffle(places)
    for place in places:
        state, thinking = thought[place]
        for _ in range(2):
            assert mind.think(state) == thinking, place


def test_as_a_fresh_one(thought):
    """A Mind that never thought before thinks the same as well."""
    for state, thinking in random.Random(2).sample(thought, 3):
        assert Mind(BOOK).think(state) == thinking
