"""A check whose outcomes do not change any ranking, so that doing it tells nothing.

A check counts when a rule that weighs, concludes or says what is lacking waits for it, when it moves a limit, or when
it moves how common a fault is. A rule with the same number on both sides weighs nothing.

Bad:
    checks:
      look-at-the-saddle:
        need: power
        plain: look at the saddle
        minutes: 1
        steps: [Look at it.]
        outcomes: {torn: it is torn, whole: it is whole}
        source: common-practice

Good:
    checks:
      look-at-the-cable:
        need: power
        plain: look at the cable
        minutes: 1
        steps: [Look at it.]
        outcomes: {green: it is green at the end, clean: it is clean}
        source: common-practice
    rules:
      green-cable-is-a-bad-joint:
        kind: evidence
        says: A green cable end carries little current.
        when: {look-at-the-cable: green}
        seen-in: {joint-bad: 40}
        otherwise: 5
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.rulebook.book import WEIGHING
from assistant.rulebook.conditions import topics
from assistant.rulebook.models import Rule
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "check-changes-nothing"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each such check."""
    telling = _telling(view)
    for entry in view.book.checks.values():
        if entry.id not in telling:
            yield Finding(view.at("checks", entry.id), f"No outcome of '{entry.id}' changes any ranking: no rule that weighs or concludes anything reads it.",
                          "write a rule for one of its outcomes, or take the check out.")


def _telling(view: View) -> set[str]:
    """Topics that bear on a ranking, directly or by what is concluded from them."""
    book = view.book
    result = {topic for limit in book.limits.values() for topic in limit.given.values()}
    result |= {topic for rows in book.priors.values() for _, where in rows if where is not None for topic in topics(where)}
    result |= {topic for rule in book.rules.values() if rule.id in book.conditions and _weighs(rule) for topic in topics(book.conditions[rule.id])}
    derives = [r for r in book.rules.values() if r.kind == "derive" and r.id in book.conditions]
    while True:
        more = {topic for rule in derives if not result.isdisjoint(rule.then) for topic in topics(book.conditions[rule.id])} - result
        if not more:
            return result
        result |= more


def _weighs(rule: Rule) -> bool:
    if rule.kind == "applies":
        return True
    return rule.kind in WEIGHING and any(seen != rule.otherwise for seen in rule.seen_in.values())
