"""Somebody in danger: what to do at once is said alone, whatever stands open; then the talk goes on where it was."""

import pytest

from assistant.asking import as_json
from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from tests.real import BOOK

MIND = Mind(BOOK)


@pytest.mark.parametrize(("text", "first"), [
    ("help its on fire", "get away"), ("there's smoke coming from under the seat", "cut the current"), ("I splashed acid in my eye", "rinse now"),
    ("i got a nasty electric shock", "see to the person"), ("I feel sick from the fumes", "fresh air"), ("the bike fell on my leg", "can wait")])
def test_what_to_do_at_once_comes_alone(text, first):
    """No question, no check, no ranking: the lines of the rule, and that all else waits."""
    case = Case(MIND)
    answer = case.say(text)
    assert answer.kind == "alarm"
    assert first in answer.lines[0][1] and answer.lines[0][0] == "alarm"
    assert {role for role, _ in answer.lines} == {"alarm", "step", "note"}
    assert len([r for r, _ in answer.lines if r == "step"]) >= 3
    told = as_json(BOOK, case, case.think(), [case.state.heard])
    assert told["next"]["check"] is None and told["next"]["question"] is None and told["next"]["repair"] is None


def test_the_open_question_stays_open():
    """After the alarm a short answer still belongs to what was asked before it, and no alarm is said twice."""
    case = Case(MIND)
    case.say("my bike will not start")
    pending = case.state.pending
    assert pending is not None
    assert case.say("it is on fire").kind == "alarm"
    assert case.state.pending == pending
    after = case.say("1")
    assert after.kind != "alarm"
    assert pending.id in {n.topic for n in case.state.notes}


@pytest.mark.parametrize("text", ["it will not fire", "it fires and dies", "it is not on fire", "black smoke from the exhaust", "I smell petrol", "no fire in the plug",
                                  "the bike fell over", "it caught fire years ago and was rewired"])
def test_no_alarm_without_danger(text):
    """Words that only sound like it raise none."""
    assert Case(MIND).say(text).kind != "alarm"


@pytest.mark.parametrize("text", ["está en llamas", "sale humo del asiento", "me salpicó ácido en los ojos"])
def test_in_another_language(text):
    """The pack of another language brings its own words for it."""
    assert Case(MIND).say(text).kind == "alarm"
