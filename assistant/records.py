"""Frozen records that pass between the stages. Nothing here knows how it is made or shown.

Probabilities are fractions of 1, weights are decibans, times are minutes, spans are
half-open character ranges into the message they were heard in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


SEEN = 0.6  # a reading less sure than this was concluded, not looked at or measured


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A half-open range of characters in one message."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Statement:
    """Something said about a fact. `value` is a value id, or a number for numeric facts."""

    fact: str
    value: str | float
    denied: bool = False
    confidence: float = 1.0
    span: Span = Span(0, 0)
    words: str = ""
    when: str = "now"  # now | before: only `now` becomes a fact of the present state
    via: str = ""  # the phrase that was matched, for the trainer


@dataclass(frozen=True, slots=True)
class Reading:
    """What a check gave: a number with its unit, a word, or both."""

    check: str
    value: float | None = None
    unit: str | None = None
    outcome: str | None = None
    confidence: float = 1.0
    span: Span = Span(0, 0)
    words: str = ""
    where: str | None = None  # which cylinder, as said
    conditions: tuple[str, ...] = ()
    via: str = ""


@dataclass(frozen=True, slots=True)
class Intent:
    """Something said to the assistant itself: why, skip, undo. `about` is an id or free words."""

    kind: str
    about: str | None = None
    span: Span = Span(0, 0)
    words: str = ""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Words with two to four likely readings: becomes a question, not a guess."""

    span: Span
    words: str
    choices: tuple[Statement | Reading, ...]


@dataclass(frozen=True, slots=True)
class Unheard:
    """Words that carried content and were not understood."""

    span: Span
    words: str


@dataclass(frozen=True, slots=True)
class Heard:
    """All that was made of one message."""

    statements: tuple[Statement, ...] = ()
    readings: tuple[Reading, ...] = ()
    intents: tuple[Intent, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    not_understood: tuple[Unheard, ...] = ()


@dataclass(frozen=True, slots=True)
class Known:
    """A fact of the present state: what the engine is given, with where it came from."""

    topic: str
    value: str
    number: float | None = None
    denied: bool = False
    confidence: float = 1.0
    turn: int = -1
    words: str = ""
    by_rule: str | None = None  # id of the derive rule that concluded it
    unasked: bool = False  # told of the person's own accord, and not as the answer to a question about it

    def key(self) -> tuple[str, str, bool]:
        """What makes two facts the same fact."""
        return (self.topic, self.value, self.denied)


@dataclass(frozen=True, slots=True)
class Firing:
    """A rule that fired and exactly the facts that matched it."""

    rule: str
    kind: str
    facts: tuple[Known, ...]
    confidence: float = 1.0
    denial: bool = False  # the rule's one condition was denied: its numbers count by the complement


@dataclass(frozen=True, slots=True)
class Weight:
    """What one firing says for or against one fault."""

    rule: str
    fault: str
    decibans: float
    covered_by: str | None = None  # rule id that replaces it, or a stronger one of the same aspect
    emphasis: float = 1.0  # how many times the plain weight it counts, since it was told unasked

    @property
    def counts(self) -> bool:
        """Whether it is part of the sum."""
        return self.covered_by is None


@dataclass(frozen=True, slots=True)
class Standing:
    """Where one fault stands."""

    fault: str
    probability: float
    standing: str  # suspected | likely | shown | ruled-out | repaired | cured
    prior: float
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ranking:
    """All hypotheses of this machine, most probable first; `unlisted` is what is not in the files."""

    standings: tuple[Standing, ...]
    unlisted: float
    weights: tuple[Weight, ...] = ()
    priors: dict[str, float] = field(default_factory=dict)

    def of(self, fault: str) -> Standing | None:
        """The standing of one fault, or None where it does not exist on this machine."""
        return next((s for s in self.standings if s.fault == fault), None)


@dataclass(frozen=True, slots=True)
class Block:
    """A step that may not be offered now, and what lifts it."""

    what: str  # check or fault id
    rule: str
    says: str
    until: str | None = None


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that could be done next, costed."""

    kind: str  # question | check | repair | workshop | doubt
    id: str
    minutes: float  # now, with the opening it needs
    expected_minutes: float  # from here until it runs or is handed over
    saves: float = 0.0
    opens: tuple[str, ...] = ()
    outcomes: tuple[tuple[str, float, float], ...] = ()  # outcome, its probability, minutes expected after it
    leads: tuple[tuple[str, str], ...] = ()  # outcome, what would be done then
    settles: float = 0.0  # chance that it leaves one fault at 80 % or more, or shows one


@dataclass(frozen=True, slots=True)
class Plan:
    """The choice, its rivals in order, and what was held back."""

    best: Option | None
    rivals: tuple[Option, ...] = ()
    blocked: tuple[Block, ...] = ()
    unblock: str | None = None  # fact whose answer would lift the block on the best blocked step


@dataclass(frozen=True, slots=True)
class Answer:
    """One screen's worth of meaning, without widths or colours."""

    kind: str  # next | question | doubt | repair | proof | cured | workshop | said | alarm
    lines: tuple[tuple[str, str], ...] = ()  # (role, text) in reading order; roles are style names
    data: dict[str, Any] = field(default_factory=dict)
