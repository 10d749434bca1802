"""What a fact stands on: somebody's words, and for a number read the limits it was judged by and where they come from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Iterable, Sequence

from assistant.evidence.bands import limit
from assistant.records import Firing, Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Within, walk

GIVEN = "given"  # the words of a fact that was told by option, not in a message


@dataclass(frozen=True, slots=True)
class Edge:
    """One limit as it stood on this machine."""

    value: float
    unit: str
    origin: str  # manual | computed | files
    id: str = ""  # of the limit; empty where the check's own bands hold the number
    plain: str = ""
    given: tuple[tuple[str, str], ...] = ()  # what a computation was fed: fact id, value
    source: tuple[str, ...] = ()
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Band:
    """The band a number fell into: from `low` up to just under `high`; or, `apart`, cylinders that differ by more than `low`."""

    low: Edge | None = None
    high: Edge | None = None
    apart: bool = False

    @property
    def edges(self) -> tuple[Edge, ...]:
        """The limits there are."""
        return tuple(e for e in (self.low, self.high) if e is not None)


@dataclass(frozen=True, slots=True)
class Ground:
    """A told fact under a rule, the derive rules on the way from the one to the other, and the band of its number."""

    fact: Known
    via: tuple[str, ...] = ()
    band: Band | None = None


def grounds(book: Rulebook, facts: Sequence[Known], firings: Iterable[Firing], under: Iterable[Known]) -> tuple[Ground, ...]:
    """The told facts under some facts of a firing, each once, in the order in which they were told."""
    by_rule = {f.rule: f for f in firings if f.kind == "derive"}
    found: dict[tuple[str, str, bool], Ground] = {}
    for fact in under:
        for root, via in _roots(by_rule, fact, ()):
            found.setdefault(root.key(), Ground(root, via, band(book, root, facts)))
    return tuple(sorted(found.values(), key=lambda g: (g.fact.turn, g.fact.key())))


def _roots(by_rule: dict[str, Firing], fact: Known, via: tuple[str, ...]) -> list[tuple[Known, tuple[str, ...]]]:
    under = by_rule.get(fact.by_rule or "")
    if fact.by_rule is None or under is None or fact.by_rule in via:
        return [(fact, via)]
    result: list[tuple[Known, tuple[str, ...]]] = []
    for parent in under.facts:
        if parent.key() != fact.key():
            result += _roots(by_rule, parent, (fact.by_rule, *via))
    return result or [(fact, via)]


def band(book: Rulebook, fact: Known, facts: Sequence[Known]) -> Band | None:
    """The limits between which the number of a check fell; None for a fact without a number, or a check without bands."""
    check = book.checks.get(fact.topic)
    if check is None or check.reading is None or not check.reading.bands or fact.number is None:
        return None
    scale = check.reading
    low: Edge | None = None
    for entry in scale.bands:
        high = None if entry.below is None else _edge(book, fact.topic, entry.below, scale.unit, facts)
        if high is None or fact.number < high.value:
            if entry.outcome != fact.value and scale.uneven is not None and scale.uneven.outcome == fact.value:
                return Band(_edge(book, fact.topic, scale.uneven.above, scale.unit, facts), apart=True)
            return Band(low, high)
        low = high
    return Band(low)


def _edge(book: Rulebook, check_id: str, bound: float | str, unit: str, facts: Sequence[Known]) -> Edge:
    if isinstance(bound, str):
        used, entry = limit(book, bound, facts), book.limits[bound]
        given = tuple((entry.given.get(name, name), value) for name, value in used.given)
        return Edge(used.value, used.unit, used.origin, used.id, entry.plain, given, used.source, entry.file, entry.line)
    check = book.checks[check_id]
    return Edge(float(bound), unit, "files", source=tuple(check.source), file=check.file, line=check.line)


def own_ranges(book: Rulebook, rule_id: str) -> tuple[Within, ...]:
    """The ranges that a rule itself sets on numbers, in the order in which its condition names them."""
    condition = book.conditions.get(rule_id)
    return tuple(node for node in walk(condition) if isinstance(node, Within)) if condition is not None else ()
