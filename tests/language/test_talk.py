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
    ("got a multimeter", ("have-tool", "multimeter")), ("i dont want to do that", ("skip", None)), ("thats too much work", ("skip", None)),
    ("tried it, nothing", ("still-bad", None)), ("yep it does", ("yes", None)), ("na", ("no", None)), ("that fixed it, it runs now", ("cured", None))])
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


@pytest.mark.parametrize(("text", "value"), [("yes", "normal"), ("yep", "normal"), ("no", "none"), ("nope", "none")])
def test_yes_and_no_to_does_it_turn(text, value):
    """A question that ends in 'does it turn over?' is answered with yes or no too."""
    assert [(s.fact, s.value) for s in READER.read(text, OPEN).statements] == [("cranking", value)]


def test_no_to_what_was_done_last_is_nothing():
    """'No' to what anybody did is that nobody did anything; where nothing is no choice it stays unread."""
    work = Pending("question", "recent-work", ("nothing", "washed"), ("nobody touched it", "it was washed"))
    assert [(s.fact, s.value) for s in READER.read("no", work).statements] == [("recent-work", "nothing")]
    assert READER.read("no", Pending("question", "recent-work", ("washed",), ("it was washed",))).statements == ()


def test_the_old_sign_after_a_trial_is_no_change():
    """'Still clicks' says of a trial that it changed nothing, though the sign has a name of its own."""
    trial = Pending("check", "sidestand-neutral-clutch-trial", ("cured", "better", "no-change", "worse"), ("it starts", "better", "as before", "worse"))
    for text in ("still clicks", "it still dies", "still just clicks"):
        assert ("sidestand-neutral-clutch-trial", "no-change") in [(r.check, r.outcome) for r in READER.read(text, trial).readings], text


def test_a_tool_is_lacked_only_where_it_is_named_after_the_no():
    """'New plug, still no spark' lacks no plug."""
    assert ("no-tool", "known-good-plug") not in meant("new plug still no spark")
    assert meant("no compression gauge") == [("no-tool", "compression-gauge")]
