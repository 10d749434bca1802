"""A fact that can never become known in a conversation.

It has no question, no phrase says any of its values, no name of a measurement leads to it, and no rule concludes it.

Bad:
    facts:
      saddle:
        about: sign
        plain: the saddle
        values: {wet: it is wet, dry: it is dry}

Good:
    facts:
      saddle:
        about: sign
        plain: the saddle
        ask: Is the saddle wet?
        values: {wet: it is wet, dry: it is dry}
    rules:
      wet-saddle-is-a-wet-joint:
        kind: evidence
        says: A wet saddle means water stood over the joint.
        when: {saddle: wet}
        seen-in: {joint-bad: 20}
        otherwise: 10
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "fact-nobody-can-state"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each such fact."""
    for fact in view.book.facts.values():
        if not view.statable(fact.id):
            lacking = "names under 'measured', and no rule" if fact.unit is not None else "phrases, and no rule"
            yield Finding(view.at("facts", fact.id), f"'{fact.id}' has no question and no {lacking} concludes it, so nobody can ever state it.",
                          f"give it an 'ask'{', or names under measured:' if fact.unit is not None else ' or phrases'}, or take it out.")
