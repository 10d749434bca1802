"""An aspect that only one rule names, so that it groups nothing. Most often it was renamed, or misspelt, in one place.

Bad:
    rules:
      dim-and-slow-is-flat:
        kind: evidence
        says: Dim and slow together is a flat battery.
        when: {lamp: dim, turning: slow}
        seen-in: {battery-flat: 60}
        otherwise: 3
        aspect: low-volts
        source: common-practice

Good:
    rules:
      dim-and-slow-is-flat:
        kind: evidence
        says: Dim and slow together is a flat battery.
        when: {lamp: dim, turning: slow}
        seen-in: {battery-flat: 60}
        otherwise: 3
        aspect: low-volts
        source: common-practice
      dark-and-slow-is-flat:
        kind: evidence
        says: Dark and slow together is a flat battery.
        when: {lamp: dead, turning: slow}
        seen-in: {battery-flat: 40}
        otherwise: 3
        aspect: low-volts
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.problems import nearest
from assistant.rulebook.models import Rule
from assistant.rulebook.shapes import near_text
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "aspect-used-once"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each such aspect."""
    members: dict[str, list[Rule]] = {}
    for rule in view.book.rules.values():
        if rule.aspect:
            members.setdefault(rule.aspect, []).append(rule)
    shared = [name for name, rules in members.items() if len(rules) > 1]
    for aspect, rules in members.items():
        if len(rules) == 1:
            near = nearest(aspect, shared)
            yield Finding(view.at("rules", rules[0].id, "aspect"), f"Only '{rules[0].id}' has the aspect '{aspect}', so it groups nothing.{near_text(near)}",
                          f"write {near[0]} if that was meant, or take the aspect out." if near else "give it to the rules that hang together with this one, or take it out.")
