"""Rulebook: everything the knowledge files hold, checked and linked. Read-only once made."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Container, Iterable

from assistant.problems import Problem
from assistant.rulebook.conditions import Condition, Is, topics
from assistant.rulebook.models import (Access, Caution, Check, Entry, Fact, Fault, Limit, Measured, Need, Part, Rule,
                                       Setting, SourceNote, Term, Tool)

ANOTHER = "another-thing"  # in place of a value: phrases that only sound like the topic, and say nothing of it
WEIGHING = ("evidence", "show", "rule-out", "disturbed")


@dataclass(frozen=True)
class Phrase:
    """One line of a phrases file: the pattern as written, what it stands for, and its place."""

    topic: str
    value: str
    pattern: str
    language: str
    file: str
    line: int
    belief: bool = False  # what an owner concludes without having looked or measured


def told_at_once(checks: Container[str], topic: str, value: str) -> str | None:
    """Why a phrase of this topic and value may not be told over several sentences; None where it may."""
    if value == ANOTHER:
        return f"what is put under '{ANOTHER}' is told within one sentence"
    return "what a check showed is told within one sentence" if topic in checks else None


@dataclass
class Spoken:
    """What the files hold in one language: word classes, what is said to the assistant, questions about numbers, short forms."""

    words: dict[str, list[str]] = field(default_factory=dict)  # class -> members
    talk: dict[str, list[str]] = field(default_factory=dict)  # intent -> patterns
    sums: dict[str, list[str]] = field(default_factory=dict)  # computation -> patterns of questions it answers
    contractions: dict[str, str] = field(default_factory=dict)


@dataclass
class Rulebook:
    """The kinds by id. `conditions`, `proofs` and `priors` are the parsed forms of what the entries say."""

    folder: str = ""
    needs: dict[str, Need] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    tools: dict[str, Tool] = field(default_factory=dict)
    access: dict[str, Access] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    sources: dict[str, SourceNote] = field(default_factory=dict)
    glossary: dict[str, Term] = field(default_factory=dict)
    settings: dict[str, Setting] = field(default_factory=dict)
    facts: dict[str, Fact] = field(default_factory=dict)
    checks: dict[str, Check] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    rules: dict[str, Rule] = field(default_factory=dict)
    measured: dict[str, Measured] = field(default_factory=dict)
    phrases: list[Phrase] = field(default_factory=list)
    words: dict[str, list[str]] = field(default_factory=dict)  # class -> members, all languages
    talk: dict[str, list[str]] = field(default_factory=dict)  # intent -> patterns
    sums: dict[str, list[str]] = field(default_factory=dict)  # computation -> patterns of questions it answers
    contractions: dict[str, str] = field(default_factory=dict)
    spoken: dict[str, Spoken] = field(default_factory=dict)  # language code -> the last four, of that language alone
    conditions: dict[str, Condition] = field(default_factory=dict)
    proofs: dict[str, Condition] = field(default_factory=dict)
    ask_when: dict[str, Condition] = field(default_factory=dict)  # of facts, and of checks (`offer-when`)
    priors: dict[str, list[tuple[float, Condition | None]]] = field(default_factory=dict)
    warnings: list[Problem] = field(default_factory=list)
    fingerprint: str = ""  # of the files' content

    def kind(self, name: str) -> dict[str, Entry]:
        """The entries of one kind, by its name in the files."""
        return getattr(self, name)

    def setting(self, name: str, otherwise: float) -> float:
        """A number from the settings, or `otherwise` where the files do not set it."""
        entry = self.settings.get(name)
        return entry.value if entry else otherwise

    def values(self, topic: str) -> dict[str, str]:
        """The words a topic can have, with their plain meaning: a fact's values or a check's outcomes."""
        if topic in self.facts:
            return self.facts[topic].values or {}
        return self.checks[topic].outcomes if topic in self.checks else {}

    def many(self, topic: str) -> bool:
        """Whether several values of the topic may be true together."""
        return topic in self.facts and bool(self.facts[topic].many)

    def plain(self, identity: str) -> str:
        """The plain name of any fault, check, fact, tool, access state or part."""
        for kind in (self.faults, self.checks, self.facts, self.tools, self.access, self.parts, self.needs):
            if identity in kind:
                return kind[identity].plain
        return identity

    def path_to(self, access: str) -> tuple[str, ...]:
        """The states to open for an access state, outermost first, without the root."""
        path: list[str] = []
        while access in self.access and self.access[access].within is not None and access not in path:
            path.append(access)
            access = self.access[access].within or ""
        return tuple(reversed(path))

    def all_hazards(self, own: Iterable[str], access: str) -> set[str]:
        """The hazards of a step and of the opening it needs."""
        return set(own) | {h for state in self.path_to(access) for h in self.access[state].hazards}

    @cached_property
    def carrying(self) -> dict[str, frozenset[str]]:
        """hazard -> ids of the checks and of the faults whose test or repair, or the way to it, carries the hazard."""
        result: dict[str, set[str]] = {}
        for step in (*self.checks.values(), *self.faults.values()):
            work = step.repair if isinstance(step, Fault) else step
            for hazard in self.all_hazards(work.hazards, work.access):
                result.setdefault(hazard, set()).add(step.id)
        return {hazard: frozenset(ids) for hazard, ids in result.items()}

    @cached_property
    def weighing(self) -> tuple[str, ...]:
        """Ids of the rules that carry weights, in id order."""
        return tuple(sorted(r.id for r in self.rules.values() if r.kind in WEIGHING))

    @cached_property
    def single(self) -> dict[str, dict[str, str]]:
        """topic -> value -> the weighing rule whose condition is just that value."""
        result: dict[str, dict[str, str]] = {}
        for rule_id in self.weighing:
            condition = self.conditions.get(rule_id)
            if isinstance(condition, Is):
                for value in condition.values:
                    result.setdefault(condition.topic, {}).setdefault(value, rule_id)
        return result

    @cached_property
    def rules_on(self) -> dict[str, tuple[str, ...]]:
        """topic -> ids of the rules whose condition speaks of it."""
        result: dict[str, list[str]] = {}
        for rule_id, condition in self.conditions.items():
            for topic in topics(condition):
                result.setdefault(topic, []).append(rule_id)
        return {topic: tuple(sorted(ids)) for topic, ids in result.items()}

    def per_100(self, rule_id: str, fault: str) -> float:
        """How many of 100 machines with the fault match the rule (its `otherwise` where the fault is not listed)."""
        rule = self.rules[rule_id]
        return rule.seen_in.get(fault, rule.otherwise or 50.0)
