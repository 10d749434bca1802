"""The `when` of a rule: from YAML values to a small tree, and what topics it speaks of."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Iterator

from assistant.problems import quoted
from assistant.rulebook.shapes import named
from assistant.rulebook.source import Path_, Source, as_word

MAX_BRANCHES = 64  # alternatives that a condition may come to: more than a person could check


@dataclass(frozen=True, slots=True)
class Is:
    """The topic has one of these values."""

    topic: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Within:
    """The number of the topic lies in a range; bounds that are None are open."""

    topic: str
    at_least: float | None = None
    above: float | None = None
    at_most: float | None = None
    below: float | None = None

    def holds(self, number: float) -> bool:
        """Whether a number lies in the range."""
        return not (
            (self.at_least is not None and number < self.at_least)
            or (self.above is not None and number <= self.above)
            or (self.at_most is not None and number > self.at_most)
            or (self.below is not None and number >= self.below)
        )


@dataclass(frozen=True, slots=True)
class Unknown:
    """Nobody has said anything of the topic yet."""

    topic: str


@dataclass(frozen=True, slots=True)
class Denied:
    """Somebody said that the topic does not have this value."""

    topic: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """The inner condition does not hold, or is still unknown."""

    inner: "Condition"


@dataclass(frozen=True, slots=True)
class All:
    """All hold."""

    parts: tuple["Condition", ...]


@dataclass(frozen=True, slots=True)
class Any_:
    """At least one holds."""

    parts: tuple["Condition", ...]


Condition = Is | Within | Unknown | Denied | Not | All | Any_
_BOUNDS = {"below": "below", "above": "above", "at-least": "at_least", "at-most": "at_most"}
_WORDS = {"all", "any", "not", "unknown", "denied"}


def parse(raw: Any, source: Source, path: Path_) -> Condition | None:
    """Read a `when`. Complains at the place and returns None when it makes no sense."""
    if not isinstance(raw, dict) or not raw:
        source.complain(path, "condition-shape", f"A condition is a mapping of topics to values, not {'an empty one' if raw == {} else named(raw)}.",
                        "write for instance {cranking: none}.")
        return None
    parts = [_part(key, value, source, (*path, key)) for key, value in raw.items()]
    if any(part is None for part in parts):
        return None
    return parts[0] if len(parts) == 1 else All(tuple(parts))  # type: ignore[arg-type]


def _part(key: str, value: Any, source: Source, path: Path_) -> Condition | None:
    if key in ("all", "any"):
        if not isinstance(value, list) or not value:
            source.complain(path, "condition-shape", f"'{key}' takes a list of conditions.", f"write {key}: [{{...}}, {{...}}].")
            return None
        parts = [parse(item, source, (*path, index)) for index, item in enumerate(value)]
        if any(part is None for part in parts):
            return None
        return (All if key == "all" else Any_)(tuple(parts))  # type: ignore[arg-type]
    if key == "not":
        inner = parse(value, source, path)
        return Not(inner) if inner is not None else None
    if key == "unknown":
        if isinstance(value, str):
            return Unknown(value)
        source.complain(path, "condition-shape", "'unknown' takes one topic.", "write unknown: fuel-level.")
        return None
    if key == "denied":
        if isinstance(value, dict) and len(value) == 1:
            topic, inner = next(iter(value.items()))
            values = words(inner)
            if values:
                return Denied(topic, values)
        source.complain(path, "condition-shape", "'denied' takes one topic and its value.", "write denied: {fuel-level: empty}.")
        return None
    if isinstance(value, dict):
        return _range(key, value, source, path)
    values = words(value)
    if values:
        return Is(key, values)
    odd = next((item for item in value if not words(item)), value) if isinstance(value, list) else value
    source.complain(path, "condition-shape", f"'{key}' takes a value, a list of values or a range, not {'an empty list' if odd == [] else named(odd)}.",
                    "write for instance {cranking: [none, slow]}, and put true, false or null in quotes where they are words.")
    return None


def _range(key: str, value: dict[str, Any], source: Source, path: Path_) -> Within | None:
    bounds: dict[str, float] = {}
    if not value:
        source.complain(path, "condition-shape", f"The range of '{key}' has no bound.", "use below, above, at-least or at-most with a number.")
        return None
    for name, number in value.items():
        if name not in _BOUNDS or isinstance(number, bool) or not isinstance(number, (int, float)) or not math.isfinite(number):
            shown = f"{name}: {named(number) if number is None or isinstance(number, (dict, list)) else as_word(number)}"
            source.complain((*path, name), "condition-shape", f"{quoted(shown)} is not a bound.",
                            "use below, above, at-least or at-most with a number.")
            return None
        bounds[_BOUNDS[name]] = float(number)
    return Within(key, **bounds)


def words(value: Any) -> tuple[str, ...]:
    """One value or a list of values as words; empty when it is neither."""
    items = value if isinstance(value, list) else [value]
    result = []
    for item in items:
        if isinstance(item, bool) or item is None or isinstance(item, (dict, list)):
            return ()
        result.append(as_word(item))
    return tuple(result)


def walk(condition: Condition) -> Iterator[Condition]:
    """Every node of the tree, outermost first."""
    yield condition
    if isinstance(condition, Not):
        yield from walk(condition.inner)
    elif isinstance(condition, (All, Any_)):
        for part in condition.parts:
            yield from walk(part)


def alternatives(condition: Condition, negated: bool = False) -> int:
    """How many alternatives the condition comes to when it is written as 'any of these, each all of those'."""
    if isinstance(condition, Not):
        return alternatives(condition.inner, not negated)
    if isinstance(condition, (All, Any_)):
        sizes = [alternatives(part, negated) for part in condition.parts]
        return math.prod(sizes) if isinstance(condition, All) != negated else sum(sizes)
    return 1


def topics(condition: Condition) -> set[str]:
    """All topics a condition speaks of."""
    return {node.topic for node in walk(condition) if isinstance(node, (Is, Within, Unknown, Denied))}
