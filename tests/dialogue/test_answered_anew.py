"""An answer put right: what follows 'no wait' or 'sorry, I meant' goes to the question before, not to the one now open."""

import pytest

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.language.answers import Pending
from assistant.session.events import Event
from tests.real import BOOK

MIND = Mind(BOOK)
CHECK = next(c for c in BOOK.checks.values() if list(c.outcomes)[:2] == ["good", "bad"] and len(c.outcomes) > 2)
MEASURED = BOOK.checks["battery-resting-voltage"]
FACT = next(f for f in BOOK.facts.values() if f.values and f.about == "machine" and not BOOK.many(f.id))


def asked(case: Case, what: str, entry) -> None:
    """Put a question to the case, as the assistant would."""
    choices = list(entry.outcomes if what == "check" else entry.values)
    plain = [f"{o}: {p}" for o, p in entry.outcomes.items()] if what == "check" else list(entry.values.values())
    case.add(Event("asked", {"what": what, "id": entry.id, "choices": choices, "plain": plain}))


def put_right(entry, first: str, opened: tuple, said: str) -> Case:
    """A check that was answered, with another question open, and what is said then."""
    case = Case(MIND)
    asked(case, "check", entry)
    case.hear(first)
    asked(case, *opened)
    case.hear(said)
    return case


def newest(case: Case, topic: str):
    """What was said last of a check or a fact."""
    item = [n.item for n in case.state.notes if n.topic == topic][-1]
    return getattr(item, "outcome", None) or item.value


@pytest.mark.parametrize("said", ["no wait, bad", "sorry, 2", "oops no, I meant bad", "wait I meant 2", "hang on, the second", "actually it was bad"])
def test_the_question_before_gets_the_new_answer(said):
    """By number, by name, and after more than one such word."""
    case = put_right(CHECK, "1", ("question", FACT), said)
    assert newest(case, CHECK.id) == "bad"
    assert not [n for n in case.state.notes if n.topic == FACT.id]


def test_a_number_goes_to_what_was_measured_before():
    """'Sorry, 11.2' after 12.1, though another check is open that takes volts too."""
    case = put_right(MEASURED, "12.1", ("check", BOOK.checks["battery-cranking-voltage"]), "sorry, 11.2")
    assert newest(case, MEASURED.id) == 11.2 and not [n for n in case.state.notes if n.topic == "battery-cranking-voltage"]


def test_a_name_still_decides():
    """What is called by its name is of that name, put right or not."""
    case = put_right(MEASURED, "12.1", ("question", FACT), "sorry, it drops to 8.1 V when cranking")
    assert newest(case, MEASURED.id) == 12.1 and newest(case, "battery-cranking-voltage") == 8.1


@pytest.mark.parametrize("said", ["2", "bad", "no", "no, bad", "wait", "sorry", "no wait,", "sorry about the mess, I was at work"])
def test_without_such_a_word_or_without_an_answer_nothing_is_put_right(said):
    """The answer before stands."""
    case = put_right(CHECK, "1", ("question", FACT), said)
    assert newest(case, CHECK.id) == "good"


def test_nothing_was_answered_yet():
    """A message that begins so is heard as any other."""
    case = Case(MIND)
    case.hear("sorry, the battery is at 12.1 V")
    assert newest(case, MEASURED.id) == 12.1
    assert not MIND.reader.read("sorry", None, Pending("check", CHECK.id, ("good", "bad"))).readings


def test_places_are_those_of_the_whole_message():
    """What was heard is quoted from where it stands."""
    said = "oh sorry, the battery is at 11.2 V"
    item, = MIND.reader.read(said, None, Pending("check", MEASURED.id, tuple(MEASURED.outcomes))).readings
    assert said[item.span.start:item.span.end] == "11.2 V"
