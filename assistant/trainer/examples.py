"""Sets of facts for a rule: one that makes it fire, and near misses that must leave it silent.

A near miss changes one part of the condition to its nearest neighbour: the next value of the same topic, a number just
past the bound, the thing that a `not` excludes. What comes out is tried on the condition before it is given back.
"""

from __future__ import annotations

import math
from typing import Iterator

from assistant.dialogue.state import facts as facts_of
from assistant.engine.normal import Literal
from assistant.evidence.bands import limit
from assistant.rulebook.conditions import Within
from assistant.rulebook.evaluate import holds, index
from assistant.trainer.branching import Branch, why_impossible
from assistant.trainer.told import state_of
from assistant.trainer.view import View

Facts = tuple[tuple[tuple[str, str | float], ...], tuple[tuple[str, str], ...]]  # told, denied


def fitting(view: View, rule: str) -> Facts | None:
    """Facts under which the rule's condition holds; None when none were found."""
    for branch in view.branches.get(rule, ()):
        if why_impossible(view, branch):
            continue
        for in_numbers in (True, False):
            facts = _facts(view, branch, in_numbers)
            if facts is not None and _holds(view, rule, facts):
                return facts
    return None


def near_misses(view: View, rule: str, most: int = 4) -> list[Facts]:
    """Facts that differ in one part only, and under which the condition does not hold."""
    result: list[Facts] = []
    for branch in view.branches.get(rule, ()):
        if why_impossible(view, branch):
            continue
        for position in range(len(branch)):
            for changed in _changed(view, branch, position):
                facts = _facts(view, changed)
                if facts is None or _holds(view, rule, facts):
                    facts = _facts(view, changed, False)
                if facts is not None and (facts[0] or facts[1]) and not _holds(view, rule, facts) and facts not in result:
                    result.append(facts)
                    if len(branch) > 1 or len(result) > 1:
                        break
        break
    return result[:most]


def _holds(view: View, rule: str, facts: Facts) -> bool:
    told = facts_of(view.book, state_of(view.book, *facts))
    return holds(view.book.conditions[rule], index(told))


def _facts(view: View, branch: Branch, in_numbers: bool = True) -> Facts | None:
    """One value for each topic of the branch; outcomes of a reading as a number in their band, or as words."""
    told: list[tuple[str, str | float]] = []
    denied: list[tuple[str, str]] = []
    for literal in sorted(branch, key=lambda x: x.within is None):  # a number asked for also gives the outcome
        if literal.absent:
            continue
        if literal.denied:
            denied.append((literal.topic, (literal.values or ("",))[0]))
            continue
        if any(topic == literal.topic for topic, _ in told) and not view.book.many(literal.topic):
            continue
        value = _value(view, literal, in_numbers)
        if value is None:
            return None
        told.append((literal.topic, value))
    return tuple(told), tuple(denied)


def _value(view: View, literal: Literal, in_numbers: bool) -> str | float | None:
    if literal.within is not None:
        return _inside(view, literal.topic, literal.within)
    known = view.book.values(literal.topic)
    if literal.values is None:
        return next(iter(known), None)
    value = next((v for v in literal.values if view.sayable(literal.topic, v)), literal.values[0])
    number = _in_band(view, literal.topic, value) if in_numbers else None
    return value if number is None else number


def _in_band(view: View, topic: str, outcome: str) -> float | None:
    """A number that reads as this outcome on a machine nothing is known of; None for checks told in words."""
    check = view.book.checks.get(topic)
    if check is None or check.reading is None or not check.reading.bands:
        return None
    low, high = check.reading.range
    edges = [limit(view.book, b.below, ()).value if isinstance(b.below, str) else b.below for b in check.reading.bands[:-1]]
    for index, band in enumerate(check.reading.bands):
        if band.outcome == outcome:
            floor = edges[index - 1] if index else None
            ceiling = edges[index] if index < len(edges) else None
            number = _inside(view, topic, Within(topic, at_least=floor, below=ceiling))
            return number if number is not None and low <= number <= high else None
    return None


def _changed(view: View, branch: Branch, position: int) -> Iterator[Branch]:
    """The branch with one literal turned to its neighbours, nearest first; last, with that literal left out."""
    literal = branch[position]
    rest = (*branch[:position], *branch[position + 1:])
    if literal.within is not None:
        for edge in _outside(view, literal.topic, literal.within):
            yield (*rest, Literal(literal.topic, within=Within(literal.topic, at_least=edge, at_most=edge), absent=False))
    elif literal.absent:
        value = (literal.values or tuple(view.book.values(literal.topic)))[:1]
        if value:
            yield (*rest, Literal(literal.topic, values=value, denied=literal.denied))
    elif literal.values is not None:
        known = list(view.book.values(literal.topic))
        places = [known.index(v) for v in literal.values if v in known]
        others = [v for v in known if v not in literal.values]
        for value in sorted(others, key=lambda v: (min((abs(known.index(v) - p) for p in places), default=0), known.index(v))):
            yield (*branch[:position], Literal(literal.topic, values=(value,)), *branch[position + 1:])
        if literal.topic in view.book.facts and not literal.denied:
            yield (*rest, Literal(literal.topic, values=literal.values[:1], denied=True))
    yield rest


def _range(view: View, topic: str) -> tuple[float, float]:
    check, fact = view.book.checks.get(topic), view.book.facts.get(topic)
    if check is not None and check.reading is not None:
        return check.reading.range
    return fact.range if fact is not None and fact.range is not None else (-math.inf, math.inf)


def _step(view: View, topic: str) -> float:
    """A change in a number that a person would notice: two scatters of the meter, or a fiftieth of the range."""
    check = view.book.checks.get(topic)
    if check is not None and check.reading is not None and check.reading.spread > 0:
        return 2 * check.reading.spread
    low, high = _range(view, topic)
    return (high - low) / 50 if math.isfinite(high - low) and high > low else 1.0


def _inside(view: View, topic: str, within: Within) -> float | None:
    low, high = _range(view, topic)
    step = _step(view, topic)
    floor = within.at_least if within.at_least is not None else within.above
    ceiling = within.at_most if within.at_most is not None else within.below
    if floor is not None and ceiling is not None:
        number = (floor + ceiling) / 2
    elif ceiling is not None:
        number = ceiling - 2 * step if ceiling - 2 * step >= low else (low + ceiling) / 2
    elif floor is not None:
        number = floor + 2 * step if floor + 2 * step <= high else (floor + high) / 2
    else:
        return None
    return _tidy(number) if within.holds(_tidy(number)) else number


def _outside(view: View, topic: str, within: Within) -> Iterator[float]:
    low, high = _range(view, topic)
    step = _step(view, topic)
    for bound, way in ((within.below, 1), (within.at_most, 1), (within.above, -1), (within.at_least, -1)):
        if bound is not None and low <= bound + way * step <= high:
            yield _tidy(bound + way * step)


def _tidy(number: float) -> float:
    """The number to three figures, as a person would write it."""
    return float(f"{number:.3g}")
