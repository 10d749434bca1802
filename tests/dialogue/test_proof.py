"""A repair is proved by the choice that was shown: by its number, its name or its line, and by nothing that only sounds like it."""

import pytest

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.session.events import Event
from tests.real import BOOK

MIND = Mind(BOOK)
FAULT = next(iter(BOOK.faults))


def repaired() -> Case:
    """A case in which a repair was offered and done; its proof is open."""
    case = Case(MIND)
    case.add(Event("asked", {"what": "repair", "id": FAULT, "choices": [], "plain": []}))
    assert case.say("done").kind == "proof" and case.state.repairs
    return case


@pytest.mark.parametrize("said", ["1", "yes", "yes, that is how it is now", "that is how it is now"])
def test_the_first_choice_proves_it(said):
    """As the screen numbers and words it."""
    case = repaired()
    assert case.say(said).kind == "cured" and case.state.cured == FAULT


@pytest.mark.parametrize("said", ["2", "no", "the second", "still not right", "no: still not right"])
def test_the_second_choice_says_that_it_did_not_help(said):
    """The repair is noted as tried, and the search goes on."""
    case = repaired()
    case.say(said)
    assert case.state.cured is None and [r.outcome for r in case.state.repairs] == ["no-change"]


@pytest.mark.parametrize("said", ["now", "how is it now", "that is it", "how", "is it?"])
def test_words_of_a_choice_prove_nothing(said):
    """A word or two of the line are not the line."""
    case = repaired()
    case.say(said)
    assert case.state.cured is None and [r.outcome for r in case.state.repairs] == [None]
