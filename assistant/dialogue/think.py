"""A state thought through: facts, firings, weights, ranking, what is held back, and the next step."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from assistant.dialogue.state import State, facts
from assistant.evidence.ranking import lacking, priors, rank
from assistant.evidence.weights import weigh
from assistant.language.read import Reader
from assistant.planning.safety import blocks
from assistant.planning.scene import Scene
from assistant.records import SEEN, Block, Firing, Known, Plan, Ranking
from assistant.rulebook.book import Rulebook

if TYPE_CHECKING:
    from assistant.engine.run import Engine
    from assistant.planning.choose import Planner


@dataclass(frozen=True)
class Thinking:
    """Everything concluded from one state; nothing of it is stored."""

    state: State
    facts: tuple[Known, ...]
    derived: tuple[Known, ...]
    firings: tuple[Firing, ...]
    lacking: frozenset[str]
    ranking: Ranking
    blocks: tuple[Block, ...]
    plan: Plan

    @property
    def known(self) -> tuple[Known, ...]:
        """Facts told and derived."""
        return (*self.facts, *self.derived)


class Mind:
    """A rulebook with everything compiled from it, made when first needed. Shared by all conversations on it."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.reader = Reader(book)
        self._weighed: tuple | None = None

    @cached_property
    def engine(self) -> "Engine":
        """The compiled rules."""
        from assistant.engine.run import Engine

        return Engine(self.book)

    @cached_property
    def planner(self) -> "Planner":
        """The compiled predictions and prices."""
        from assistant.planning.choose import Planner

        return Planner(self.book)

    def weigh_up(self, state: State) -> tuple[tuple[Known, ...], list[Known], list[Firing], frozenset[str], Ranking]:
        """Facts to ranking, without planning."""
        told = facts(self.book, state)
        tried = {r.fault: self.book.faults[r.fault].repair.cures for r in state.repairs
                 if r.outcome == "no-change" and r.fault in self.book.faults}
        last = self._weighed
        if last is None or last[0] != (told, tried):  # a message often tells nothing, or is a question to the assistant
            last = self._weighed = ((told, tried), self._weigh(told, tried))
        derived, firings, absent, ranking = last[1]
        return told, list(derived), list(firings), absent, ranking

    def _weigh(self, told: tuple[Known, ...], tried: dict[str, float]) -> tuple[list[Known], list[Firing], frozenset[str], Ranking]:
        derived, firings = self.engine.run(told)
        absent = lacking(self.book, firings)
        common = priors(self.book, (*told, *derived), absent)
        weights = weigh(self.book, firings, common)
        return derived, firings, absent, rank(self.book, common, weights, firings, tried)

    def think(self, state: State) -> Thinking:
        """The whole way from a state to a plan."""
        told, derived, firings, absent, ranking = self.weigh_up(state)
        held = blocks(self.book, firings)
        scene = self.scene(state, (*told, *derived), absent, ranking, held)
        plan = self.planner.plan(scene)
        return Thinking(state, told, tuple(derived), tuple(firings), absent, ranking, held, plan)

    def scene(self, state: State, known: tuple[Known, ...], absent: frozenset[str], ranking: Ranking,
              held: tuple[Block, ...]) -> Scene:
        """What the planner is told."""
        answered = {n.topic for n in state.notes if n.active and n.item.confidence >= SEEN}  # what is only believed is worth a look
        return Scene(ranking, known, absent, state.opened, state.tools_have, state.tools_lack, state.cannot_open,
                     frozenset(state.passed | {t for t in answered if t in self.book.checks or not self.book.many(t)}),
                     frozenset(r.fault for r in state.repairs if r.outcome == "no-change"), held,
                     questions_in_a_row=state.dry)
