"""What was done before is told, and is no repair of today."""

import pytest

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


@pytest.mark.parametrize("value", BOOK.facts["work-in-vain"].values)
def test_work_in_vain_is_no_suspect(value):
    """Work done because of the trouble and for nothing: what the work may have disturbed is no likelier than it was without it."""
    rule = next(r for r in BOOK.rules.values() if r.kind == "disturbed" and r.when == {"recent-work": value})
    answers = next(r for r in BOOK.rules.values() if isinstance(r.when, dict) and r.when.get("work-in-vain") == value)
    assert rule.id in answers.replaces
    assert BOOK.facts["recent-work"].values.keys() >= {value}


def test_work_in_vain_moves_the_suspicion():
    """'I changed the plugs' makes the new plugs suspect; with 'still no spark' after it they are less so than unmentioned."""
    def share(*told: str) -> float:
        case = Case(MIND)
        for words in ("It cranks fine and there is no spark.", *told):
            case.hear(words)
        return sum(MIND.weigh_up(case.state)[-1].of(fault).probability for fault in ("plug-dud-or-wrong-type", "plug-worn-or-misgapped", "plug-fouled"))

    assert share("I changed the plugs, no change.") < share() < share("I changed the plugs.")


def test_work_in_vain_is_never_asked_for():
    """It is told with the work, or not at all."""
    case = Case(MIND)
    case.hear("I changed the plugs and there is no spark")
    thinking = MIND.think(case.state)
    assert all(option.id != "work-in-vain" for option in getattr(thinking.plan, "options", ()))
