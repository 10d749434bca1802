"""What was done before is told, and is no repair of today."""

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.session.events import Event
from tests.real import BOOK

MIND = Mind(BOOK)


def asked_about_work(answer: str) -> Case:
    """A case that was asked what was last touched, and got this answer."""
    case = Case(MIND)
    case.hear("it will not turn over")
    work = next(f for f in BOOK.facts.values() if f.about == "work")
    case.add(Event("asked", {"what": "question", "id": work.id, "choices": list(work.values or {}), "plain": list((work.values or {}).values())}))
    case.hear(answer)
    return case


def test_work_told_as_an_answer_is_no_repair():
    """'I fitted a new battery on Sunday' says what was done, and takes no fault off the list."""
    case = asked_about_work("I fitted a new battery on Sunday")
    assert case.state.repairs == ()
    assert ("recent-work", "battery-replaced") in {(s.fact, s.value) for s in case.state.heard.statements}
