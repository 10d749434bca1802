"""Questions on units in the chat. Factors: 1 bar = 14.5038 psi, 1 kgf/cm2 = 14.2233 psi (exact by definition, NIST SP 811)."""

from __future__ import annotations

import pytest

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from tests.real import BOOK

MIND = Mind(BOOK)


@pytest.mark.parametrize(("question", "number"), [
    ("what is 8 bar in psi", "116 psi"), ("how many psi is 7 bar?", "102 psi"), ("what does 8 kg/cm2 mean in psi", "114 psi"),
    ("convert 120 psi to bar", "8.27 bar"), ("20 thou in mm?", "0.508 mm"),
])
def test_another_unit(question: str, number: str) -> None:
    """The number is given, and nothing is taken as measured."""
    case = Case(MIND)
    answer = case.say(question)
    assert any(number in text for _, text in answer.lines)
    assert not case.state.heard.readings and not case.state.heard.statements


def test_a_code_is_explained_when_told_and_when_asked_about() -> None:
    """What it stands for, and that a code is no verdict on a part."""
    case = Case(MIND)
    told = case.say("injected twin, cranks, no start, code P0335")
    assert any("P0335" in text and "crank sensor" in text for role, text in told.lines if role == "note")
    asked = case.say("what does P0301 mean?")
    assert any("P0301" in text and "misfires" in text for _, text in asked.lines)
    assert not [s for s in case.state.heard.statements if s.via == "code"]
