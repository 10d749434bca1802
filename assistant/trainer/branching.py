"""One alternative of a condition: whether it can hold at all, together with another, or always when another does."""

from __future__ import annotations

import math

from assistant.engine.normal import Literal
from assistant.rulebook.conditions import Within
from assistant.trainer.view import View

Branch = tuple[Literal, ...]
Normal = frozenset[frozenset[Literal]]


def normal(alternatives: tuple[Branch, ...]) -> Normal:
    """A condition without order: two rules with equal normal forms wait for the same."""
    return frozenset(frozenset(_tidy(literal) for literal in branch) for branch in alternatives)


def _tidy(literal: Literal) -> Literal:
    values = None if literal.values is None else tuple(sorted(literal.values))
    return Literal(literal.topic, values, literal.within, literal.denied, literal.absent)


def why_impossible(view: View, branch: Branch) -> str | None:
    """Why an alternative can never hold, in words that end no sentence; None when it can."""
    for topic in dict.fromkeys(literal.topic for literal in branch):
        reason = _clash(view, topic, [literal for literal in branch if literal.topic == topic])
        if reason:
            return reason
    for literal in branch:
        if literal.absent or literal.denied or literal.values is None:
            continue
        if not any(view.sayable(literal.topic, value) for value in literal.values):
            return f"nobody can say '{literal.topic}: {' or '.join(literal.values)}'"
    return _missing_part(view, branch)


def possible_together(view: View, first: Branch, second: Branch) -> bool:
    """Whether two alternatives do not exclude each other."""
    both = (*first, *second)
    return not any(_clash(view, topic, [x for x in both if x.topic == topic]) for topic in {x.topic for x in first} & {x.topic for x in second})


def implies(strong: Branch, weak: Branch) -> bool:
    """Whether the weak one always holds when the strong one does: each of its literals is covered by one of the strong ones."""
    return all(any(_covers(have, want) for have in strong) for want in weak)


def _covers(have: Literal, want: Literal) -> bool:
    if have.topic != want.topic or have.absent != want.absent or have.denied != want.denied:
        return False
    if have.within != want.within:
        return False
    if have.values is None or want.values is None:
        return have.values == want.values or (want.values is None and not want.absent and want.within is None)
    wide, narrow = (want.values, have.values) if not have.absent else (have.values, want.values)
    return set(narrow) <= set(wide)


def _clash(view: View, topic: str, literals: list[Literal]) -> str | None:
    """Why these literals on one topic exclude one another."""
    present = [x for x in literals if not x.absent and not x.denied]
    if any(x.absent and not x.denied and x.values is None and x.within is None for x in literals) and present:
        return f"'{topic}' cannot be unknown and known at once"
    if view.book.many(topic):
        for x in present:
            gone = {v for y in literals if y.absent and not y.denied for v in y.values or ()}
            if x.values and set(x.values) <= gone:
                return f"'{topic}: {x.values[0]}' cannot both hold and not hold"
    else:
        reason = _exclusive(topic, literals, present)
        if reason:
            return reason
    return _no_number(topic, [x.within for x in present if x.within is not None])


def _exclusive(topic: str, literals: list[Literal], present: list[Literal]) -> str | None:
    left: set[str] | None = None
    for x in present:
        if x.values is not None:
            narrowed = set(x.values) if left is None else left & set(x.values)
            if not narrowed:
                return f"'{topic}' cannot be {' or '.join(sorted(left or ()))} and {' or '.join(x.values)} at once"
            left = narrowed
    gone = {value for x in literals if x.absent != x.denied for value in x.values or ()}  # said not to hold, or denied
    if left and left <= gone:
        return f"'{topic}: {' or '.join(sorted(left))}' cannot both hold and not hold"
    return None


def _no_number(topic: str, ranges: list[Within]) -> str | None:
    low = max((max(r.at_least if r.at_least is not None else -math.inf, r.above if r.above is not None else -math.inf) for r in ranges), default=-math.inf)
    high = min((min(r.at_most if r.at_most is not None else math.inf, r.below if r.below is not None else math.inf) for r in ranges), default=math.inf)
    strict = any((r.above == low) or (r.below == high) for r in ranges)
    if low > high or (low == high and strict):
        return f"no number of '{topic}' is above {low:g} and below {high:g}"
    return None


def _missing_part(view: View, branch: Branch) -> str | None:
    """A check or fact that does not exist on the machine which the alternative itself asks for."""
    told = {x.topic: x for x in branch if not x.absent and not x.denied and x.values}
    machine = tuple(x for t, x in told.items() if t in view.book.facts and view.book.facts[t].about == "machine")
    if not machine:
        return None
    for topic in told:
        entry = view.book.checks.get(topic) or view.book.facts.get(topic)
        for part in entry.parts if entry is not None else ():
            culprit = next((r for r in _saying(view, part, "lacks") if any(implies(machine, b) and not any(x.absent for x in b)
                                                                         for b in view.branches[r])), None)
            if culprit and not any(possible_together(view, branch, b) for r in _saying(view, part, "has") for b in view.branches[r]):
                return f"by '{culprit}' such a machine has no part '{part}', which '{topic}' needs"
    return None


def _saying(view: View, part: str, key: str) -> list[str]:
    return [r.id for r in view.book.rules.values() if r.kind == "applies" and r.id in view.branches and part in getattr(r, key)]
