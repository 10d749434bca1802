"""Conditions to disjunctive normal form over single-pattern literals.

experta is sound for conjunctions of single patterns and of negated single patterns; `OR`, `NOT(AND)`, `NOT(NOT)`
and `EXISTS` of several patterns are not (they fire twice, or by pattern order). So a condition is rewritten here,
and the compiler only ever sees: all of these literals, some of them absent.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from assistant.rulebook.conditions import MAX_BRANCHES, All, Any_, Condition, Denied, Is, Not, Unknown, Within, alternatives


@dataclass(frozen=True, slots=True)
class Literal:
    """One pattern on one topic, present or absent. `values` None means any value."""

    topic: str
    values: tuple[str, ...] | None = None
    within: Within | None = None
    denied: bool = False
    absent: bool = False


class TooManyBranches(ValueError):
    """A condition expands to more alternatives than a person could check."""


def branches(condition: Condition) -> tuple[tuple[Literal, ...], ...]:
    """The alternatives of a condition; each holds when all its literals do.

    Raises TooManyBranches past 64; the loader complains of such a condition, so no checked rulebook holds one.
    """
    if alternatives(condition) > MAX_BRANCHES:
        raise TooManyBranches(f"more than {MAX_BRANCHES} alternatives")
    result = _expand(condition, False)
    unique: dict[frozenset[Literal], tuple[Literal, ...]] = {}
    for branch in result:
        unique.setdefault(frozenset(branch), tuple(dict.fromkeys(branch)))
    return tuple(unique.values())


def _expand(condition: Condition, negated: bool) -> list[tuple[Literal, ...]]:
    if isinstance(condition, Not):
        return _expand(condition.inner, not negated)
    if isinstance(condition, (All, Any_)):
        parts = [_expand(part, negated) for part in condition.parts]
        if isinstance(condition, All) != negated:  # a conjunction, also by De Morgan
            return [tuple(lit for piece in choice for lit in piece) for choice in product(*parts)]
        return [branch for part in parts for branch in part]
    if isinstance(condition, Is):
        literal = Literal(condition.topic, values=condition.values, absent=negated)
    elif isinstance(condition, Within):
        literal = Literal(condition.topic, within=condition, absent=negated)
    elif isinstance(condition, Denied):
        literal = Literal(condition.topic, values=condition.values, denied=True, absent=negated)
    else:
        assert isinstance(condition, Unknown)
        literal = Literal(condition.topic, absent=not negated)
    return [(literal,)]
