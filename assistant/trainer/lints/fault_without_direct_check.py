"""A fault that no check can show or clear by itself, so that it can only ever be guessed at.

A direct test is a rule of kind show or rule-out about the fault, or a check that lists it under `settles`.

Bad:
    faults:
      lamp-burnt:
        need: power
        plain: burnt lamp
        what: The thread in the lamp is broken.
        parts: [lamp]
        per-1000: [{usually: 10}]
        repair: {do: Fit a new lamp., minutes: 3, access: none, cures: 95, renews: [lamp]}
        proof: {do: The lamp is bright., when: {lamp: bright}}
        source: common-practice

Good:
    faults:
      lamp-burnt:
        need: power
        plain: burnt lamp
        what: The thread in the lamp is broken.
        parts: [lamp]
        per-1000: [{usually: 10}]
        repair: {do: Fit a new lamp., minutes: 3, access: none, cures: 95, renews: [lamp]}
        proof: {do: The lamp is bright., when: {lamp: bright}}
        source: common-practice
    rules:
      dead-lamp-and-quick-turning-is-the-lamp:
        kind: show
        says: Only the lamp is left when all else has current.
        when: {lamp: dead, turning: quick}
        seen-in: {lamp-burnt: 90}
        otherwise: 2
        source: common-practice
"""

from __future__ import annotations

from typing import Iterator

from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "fault-without-direct-check"
LEVEL = "warning"


def check(view: View) -> Iterator[Finding]:
    """One finding for each such fault."""
    tested = {fault for rule in view.book.rules.values() if rule.kind in ("show", "rule-out") for fault in rule.seen_in}
    tested |= {fault for check_ in view.book.checks.values() for fault in check_.settles}
    for fault in view.book.faults.values():
        if fault.id not in tested:
            yield Finding(view.at("faults", fault.id), f"No check settles '{fault.id}', and no rule shows it or rules it out.",
                          "name it under 'settles' of its direct test, or write a show rule for it.")
