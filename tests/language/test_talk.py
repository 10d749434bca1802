"""What is said to the assistant itself, and short answers to its questions."""

import pytest

from assistant.language.answers import Pending
from tests.language.test_properties import READER

OPEN = Pending("question", "cranking", ("none", "slow", "normal"), ("the engine does not turn", "it turns slowly", "it turns as usual"))


def meant(text: str, pending: Pending | None = None) -> list[tuple]:
    """Kind and name of every intent."""
    return [(i.kind, i.about) for i in READER.read(text, pending).intents]


@pytest.mark.parametrize(("text", "wanted"), [
    ("dunno mate", ("dont-know", None)), ("no idea what that is", ("dont-know", None)), ("take back the last thing", ("undo", None)),
    ("that was before I charged it", ("before-that", None)), ("skip that one", ("skip", None)), ("I haven't got a meter", ("no-tool", "multimeter")),
    ("got a multimeter", ("have-tool", "multimeter")), ("that fixed it, it runs now", ("cured", None))])
def test_what_is_meant(text, wanted):
    """One intent, and the right one."""
    assert meant(text) == [wanted]


@pytest.mark.parametrize("text", ["no spark", "one more try left in the battery", "when I hit the button nothing happens"])
def test_a_story_is_not_taken_for_talk(text):
    """The story's own words lack no tool and ask for nothing."""
    assert meant(text) == []


@pytest.mark.parametrize(("text", "value"), [("the second", "slow"), ("2", "slow"), ("it turns as usual", "normal"), ("slow", "slow")])
def test_short_answers(text, value):
    """A choice is named by its place, its number or its words."""
    found = READER.read(text, OPEN)
    assert [(s.fact, s.value) for s in found.statements] == [("cranking", value)]


def test_no_it_does_not_click():
    """A 'no' with what it denies is an answer and a fact in one."""
    found = READER.read("no, it doesn't click")
    assert ("starter-sound", "silent", False) in {(s.fact, s.value, s.denied) for s in found.statements}


def test_a_guess_of_the_owner_is_answered_and_never_a_fact():
    """'Could it be the stator?' asks about a fault and states nothing."""
    found = READER.read("could it be the stator?")
    assert not found.statements and not found.readings
    assert [(i.kind, i.about) for i in found.intents] == [("why-not", "stator-failed")]
