"""A value that a person can hardly give: no phrase says it, no rule concludes it, and no question is sure to offer it.

A question shows all values while they are few; of many it shows only the likeliest, so every value needs a phrase.

Bad:
    facts:
      noise:
        about: sign
        plain: the noise
        values: {click: it clicks, hum: it hums}
    phrases:
      noise:
        click: [it clicks]
    rules:
      clicking-is-a-joint:
        kind: evidence
        says: A click is a joint that gives way.
        when: {noise: click}
        seen-in: {joint-bad: 20}
        otherwise: 10
        source: common-practice

Good:
    facts:
      noise:
        about: sign
        plain: the noise
        values: {click: it clicks, hum: it hums}
    phrases:
      noise:
        click: [it clicks]
        hum: [it hums]
    rules:
      clicking-is-a-joint:
        kind: evidence
        says: A click is a joint that gives way.
        when: {noise: click}
        seen-in: {joint-bad: 20}
        otherwise: 10
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "value-never-asked"
LEVEL = "warning"
_SHOWN_WHOLE = 6  # a question with more values than this shows only the likeliest of them


def check(view: View) -> Iterator[Finding]:
    """One finding for each value."""
    for fact in view.book.facts.values():
        values = fact.values or {}
        if not view.statable(fact.id) or (fact.ask is not None and len(values) <= _SHOWN_WHOLE):
            continue
        why = f"the question has {len(values)} answers and shows only the likeliest" if fact.ask is not None else "nobody is asked for it"
        for value in values:
            if (fact.id, value) not in view.phrased and value not in view.derived.get(fact.id, {}):
                yield Finding(view.at("facts", fact.id, "values", value), f"No phrase says '{fact.id}: {value}', and {why}.",
                              "write a phrase for it, or take the value out.")
