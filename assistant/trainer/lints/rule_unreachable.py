"""A rule whose condition can never hold.

Either its parts exclude one another, or nobody can say what it waits for, or the check it reads does not exist on
the machine it asks for. A condition with several alternatives is reported only when none of them can hold.

Bad:
    rules:
      dead-lamp-that-glows:
        kind: evidence
        says: A lamp that is dead and bright at once is a joint that comes and goes.
        when: {all: [{lamp: dead}, {lamp: bright}]}
        seen-in: {joint-bad: 20}
        otherwise: 5
        source: common-practice

Good:
    rules:
      dead-lamp-and-quick-turning:
        kind: evidence
        says: A dead lamp while the engine turns well is the lamp itself.
        when: {all: [{lamp: dead}, {turning: quick}]}
        seen-in: {joint-bad: 5}
        otherwise: 20
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.branching import why_impossible
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "rule-unreachable"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each rule that can never fire."""
    for rule, alternatives in view.branches.items():
        reasons = [why_impossible(view, branch) for branch in alternatives]
        if all(reasons):
            extra = "" if len(reasons) == 1 else f" None of its {len(reasons)} alternatives can hold."
            yield Finding(view.at("rules", rule, "when"), f"'{rule}' can never fire: {reasons[0]}.{extra}",
                          "change the condition, or take the rule out.")
