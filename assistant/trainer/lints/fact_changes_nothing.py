"""A fact that is heard or asked for and then never used: no rule, limit, prior, question or proof speaks of it.

Bad:
    facts:
      colour:
        about: machine
        plain: its colour
        ask: What colour is it?
        values: {red: it is red, blue: it is blue}

Good:
    facts:
      weather:
        about: setting
        plain: the weather
        ask: What is the weather like?
        values: {wet: it is wet, dry: it is dry}
    rules:
      wet-weather-is-a-wet-joint:
        kind: evidence
        says: Wet weather gets into the joint.
        when: {weather: wet}
        seen-in: {joint-bad: 40}
        otherwise: 20
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.finding import Finding
from assistant.trainer.uses import TOPIC
from assistant.trainer.view import View

CODE = "fact-changes-nothing"
LEVEL = "warning"
_ONLY_HEARD = ("said in words", "measured", "renewed by the repair", "concluded")


def check(view: View) -> Iterator[Finding]:
    """One finding for each such fact."""
    used = {use.id for use in view.uses if use.shelves in (TOPIC, ("facts",)) and use.as_ not in _ONLY_HEARD}
    used |= view.asked_by_computations
    for fact in view.book.facts.values():
        if fact.id not in used and view.statable(fact.id):
            yield Finding(view.at("facts", fact.id), f"Nothing uses '{fact.id}': no rule, limit, prior or proof speaks of it.",
                          "write a rule about it, or take it out.")
