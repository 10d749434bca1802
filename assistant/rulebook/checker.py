"""What every check of names needs: the book, the places of its entries, and the complaints about a name that leads nowhere."""

from __future__ import annotations

from typing import Any, Iterable, Mapping

from assistant.problems import article, nearest, quoted
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import MAX_BRANCHES, Condition, Denied, Is, Unknown, Within, alternatives, walk
from assistant.rulebook.shapes import near_text
from assistant.rulebook.source import Path_, Source, as_word

Places = Mapping[tuple[str, str], tuple[Source, Path_]]
_LONG = {"access": "access state"}
_FEW = 6  # names that can be listed in a mend


class Checker:
    """Complains at the right place. What stands in a part that could not be read is never called unknown."""

    def __init__(self, book: Rulebook, places: Places, sources: Iterable[Source]) -> None:
        self.book, self.places = book, places
        self.sources = {source.file: source for source in sources}
        self.unread: set[str] = set().union(*(source.unread for source in self.sources.values()))

    def ids(self, kind: str, entry: str, tail: Path_, names: Iterable[str], shelf: str, noun: str) -> None:
        """Complain of every name that is not an id of the shelf."""
        known = self.book.kind(shelf)
        source, path = self.places[kind, entry]
        for index, name in enumerate(names):
            if name in known or name in self.unread:
                continue
            exact = ((*path, *tail, name), (*path, *tail, index), (*path, *tail))
            near, thing = nearest(name, known), _LONG.get(noun, noun)
            source.complain(next((place for place in exact if place in source.marks), path), f"unknown-{noun}",
                            f"{quoted(name)} is not {article(thing)} in the knowledge files.{near_text(near)}",
                            f"write {near[0]}, or describe the new {thing} first." if near
                            else f"use one of: {', '.join(known)}; or describe the new {thing} first." if 0 < len(known) <= _FEW
                            else f"describe the {thing} first, or look for it under another kind.")

    def topic(self, source: Source, place: Path_, name: str) -> bool:
        """Complain of a topic that is neither a fact nor a check; whether it is one."""
        if name in self.book.facts or name in self.book.checks:
            return True
        if name not in self.unread:
            near = nearest(name, [*self.book.facts, *self.book.checks])
            source.complain(place, "unknown-topic", f"{quoted(name)} is neither a fact nor a check.{near_text(near)}",
                            f"write {near[0]}, or describe the new fact or check first." if near else "describe the fact or the check first.")
        return False

    def values(self, source: Source, place: Path_, topic: str, values: Iterable[str]) -> None:
        """Values of a topic must be declared."""
        known = self.book.values(topic)
        for value in values:
            if value in known:
                continue
            near = nearest(value, known)
            if not known:
                source.complain(place, "unknown-value", f"'{topic}' is a number and has no values, so {quoted(value)} means nothing.",
                                "give a range instead, such as {below: 12}.")
            else:
                source.complain(place, "unknown-value", f"'{topic}' has no value {quoted(value)}.{near_text(near)}",
                                f"write {near[0]}." if near else f"use one of: {', '.join(known)}.")

    def condition(self, kind: str, entry: str, tail: Path_, condition: Condition) -> None:
        """Topics and values that a condition names, and how much it branches."""
        source, path = self.places[kind, entry]
        start = (*path, *tail)
        size = alternatives(condition)
        if size > MAX_BRANCHES:
            source.complain(start, "too-many-alternatives", f"This condition comes to {size} alternatives; a person can check {MAX_BRANCHES} at most.",
                            "derive a fact from a part of it in a rule of its own.")
        for node in walk(condition):
            if not isinstance(node, (Is, Within, Unknown, Denied)):
                continue
            if not self.topic(source, _Sought(source, start, node.topic), node.topic):
                continue
            if isinstance(node, (Is, Denied)):
                for value in node.values:
                    self.values(source, _Sought(source, start, node.topic, value), node.topic, [value])
            elif isinstance(node, Within) and not self._numeric(node.topic):
                source.complain(_Sought(source, start, node.topic), "not-a-number-topic",
                                f"'{node.topic}' is told in words; a range needs a number.", "compare it with one of its values.")

    def _numeric(self, topic: str) -> bool:
        fact, check = self.book.facts.get(topic), self.book.checks.get(topic)
        return bool((fact and fact.unit is not None) or (check and check.reading))


class _Sought(tuple):
    """A path under which a topic (with a value) is only looked for when a complaint needs it: looking walks over all marks."""

    def __new__(cls, source: Source, start: Path_, topic: str, value: str | None = None) -> "_Sought":
        made = super().__new__(cls, start)
        made.sought = (source, topic, value)  # type: ignore[attr-defined]
        return made

    def exact(self) -> Path_:
        """The path of the key that is the topic, or of the value under it."""
        source, topic, value = self.sought  # type: ignore[attr-defined]
        start = tuple(self)
        best: Path_ = start
        for path in source.marks:
            if path[: len(start)] != start or len(path) == len(start):
                continue
            held = _under(source.value, path)
            if path[-1] == "unknown" and held == topic or path[-1] == topic and _holds_word(held, value):
                items = held if isinstance(held, list) and value is not None else []
                return next(((*path, i) for i, item in enumerate(items) if _holds_word(item, value)), path)
        return best


def _under(value: Any, path: Path_) -> Any:
    for step in path:
        value = value[step]
    return value


def _holds_word(held: Any, value: str | None) -> bool:
    if value is None:
        return True
    return any(as_word(item) == value for item in (held if isinstance(held, list) else [held]))
