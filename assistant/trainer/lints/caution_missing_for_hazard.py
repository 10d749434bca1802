"""A step that names no caution for a hazard which all its neighbours name.

Neighbours are the checks and repairs done at one place of the machine, or with one tool. Where at least six of them
all name a hazard but for a single one, that one has most likely been forgotten.

Bad:
    access:
      lamp-out: {plain: the lamp out, within: none, open: 1, close: 1, how: Turn it to the left.}
    checks:
      lamp-seat: {need: power, plain: look at the seat, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-wire: {need: power, plain: look at the wire, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-glass: {need: power, plain: look at the glass, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-cap: {need: power, plain: look at the cap, access: lamp-out, minutes: 1,
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-ring: {need: power, plain: look at the ring, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-spring: {need: power, plain: look at the spring, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-pin: {need: power, plain: look at the pin, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
    rules:
      bad-lamp-holder:
        kind: evidence
        says: What is bad around the lamp is often bad at the joint.
        when: {any: [{lamp-seat: bad}, {lamp-wire: bad}, {lamp-glass: bad}, {lamp-cap: bad}, {lamp-ring: bad}, {lamp-spring: bad}, {lamp-pin: bad}]}
        seen-in: {joint-bad: 40}
        otherwise: 10
        source: common-practice

Good:
    access:
      lamp-out: {plain: the lamp out, within: none, open: 1, close: 1, how: Turn it to the left.}
    checks:
      lamp-seat: {need: power, plain: look at the seat, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-wire: {need: power, plain: look at the wire, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-glass: {need: power, plain: look at the glass, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-cap: {need: power, plain: look at the cap, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-ring: {need: power, plain: look at the ring, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-spring: {need: power, plain: look at the spring, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
      lamp-pin: {need: power, plain: look at the pin, access: lamp-out, minutes: 1, hazards: [hot-parts],
        steps: [Look at it.], outcomes: {bad: it is bad, good: it is good}, source: common-practice}
    rules:
      bad-lamp-holder:
        kind: evidence
        says: What is bad around the lamp is often bad at the joint.
        when: {any: [{lamp-seat: bad}, {lamp-wire: bad}, {lamp-glass: bad}, {lamp-cap: bad}, {lamp-ring: bad}, {lamp-spring: bad}, {lamp-pin: bad}]}
        seen-in: {joint-bad: 40}
        otherwise: 10
        source: common-practice
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Iterator

from assistant.planning.safety import all_hazards
from assistant.trainer.finding import Finding
from assistant.trainer.view import View

CODE = "caution-missing-for-hazard"
LEVEL = "warning"
_NEIGHBOURS = 6


@dataclass(frozen=True)
class _Step:
    kind: str
    id: str
    tail: tuple[str, ...]
    access: str
    tools: tuple[str, ...]
    hazards: frozenset[str]


def check(view: View) -> Iterator[Finding]:
    """One finding for each step and hazard."""
    groups: dict[str, list[_Step]] = {}
    for step in _steps(view):
        path = view.book.path_to(step.access)
        if path:
            groups.setdefault(f"with {view.book.access[step.access].plain}", []).append(step)
        for tool in step.tools:
            groups.setdefault(f"done with {view.book.plain(tool)}", []).append(step)
    found: dict[tuple[str, str], Finding] = {}
    for where, steps in sorted(groups.items()):
        named = Counter(hazard for step in steps for hazard in step.hazards)
        for hazard, times in sorted(named.items()):
            if times == len(steps) - 1 >= _NEIGHBOURS - 1:
                odd = next(step for step in steps if hazard not in step.hazards)
                found.setdefault((odd.id, hazard), Finding(
                    view.at(odd.kind, odd.id, *odd.tail),
                    f"'{odd.id}' does not name '{hazard}', and all {times} other steps {where} do.",
                    f"add {hazard} to its hazards, or allow the line with the reason why it is safe here."))
    yield from found.values()


def _steps(view: View) -> Iterator[_Step]:
    book = view.book
    for entry in book.checks.values():
        yield _Step("checks", entry.id, ("hazards",), entry.access, tuple(entry.tools), frozenset(all_hazards(book, entry.hazards, entry.access)))
    for fault in book.faults.values():
        repair = fault.repair
        yield _Step("faults", fault.id, ("repair", "hazards"), repair.access, tuple(repair.tools),
                    frozenset(all_hazards(book, repair.hazards, repair.access)))
