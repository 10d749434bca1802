"""The next step: the least expected minutes from here, among the steps that may sensibly be offered.

The scene is laid out as arrays (`situation`), looked ahead from (`search`), and the best action that keeps to a few plain
rules is taken. See DEVELOPERS.md, "How the next step is chosen".
"""

from __future__ import annotations

from typing import Iterable

from assistant.planning.costs import Prices
from assistant.planning.gates import gates
from assistant.planning.options import option_of
from assistant.planning.rules import Choosing, Rules, look_ahead
from assistant.planning.safety import lifting
from assistant.planning.scene import Scene
from assistant.planning.search import Action, Effort
from assistant.planning.situation import Maker
from assistant.planning.tables import tables
from assistant.records import Option, Plan
from assistant.rulebook.book import Rulebook
from assistant.rulebook.evaluate import holds, index

EFFORT = Effort()


class Planner:
    """A rulebook's predictions and prices, ready to plan any scene of it."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.prices = Prices.of(book)
        self.maker = Maker(book, self.prices, tables(book))
        self.rules = Rules.of(book)
        self._gates = gates(book)

    def plan(self, scene: Scene) -> Plan:
        """Choose. Same scene, same plan: a tie goes to the repair, then to the check, then by id."""
        moment = _Moment(self, scene)
        plan = moment.plan()
        del moment.choosing  # it knows the moment and the moment knows it: what was looked into would wait for the collector
        return plan

    def gate(self, parts: Iterable[str], scene: Scene) -> str | None:
        """The machine question to ask before a step that needs these parts, when one may well be lacking."""
        told = {f.topic for f in scene.facts if not f.denied}
        worst, topic = self.book.setting("gate-least", 0.12), None
        for part in parts:
            for fact, chance in self._gates.get(part, ()):
                if fact not in told and fact not in scene.done and chance > worst and not self._certain(part, scene):
                    worst, topic = chance, fact
        return topic if topic is not None and self.book.facts[topic].ask else None

    def _certain(self, part: str, scene: Scene) -> bool:
        told = index(scene.facts)
        return any(r.kind == "applies" and part in r.has and holds(self.book.conditions[r.id], told)
                   for r in self.book.rules.values())


class _Moment:
    """One planning: holds what is the same for all actions of this scene."""

    def __init__(self, planner: Planner, scene: Scene) -> None:
        self.planner, self.scene, self.book = planner, scene, planner.book
        self.at = planner.maker.situation(scene)
        self.search, rules = look_ahead(self.at.problem, EFFORT, planner.rules)
        self.held = {b.what: b for b in scene.blocks}
        self.patient = scene.questions_in_a_row < self.book.setting("questions-in-a-row", 3)
        shown = {s.fault for s in scene.ranking.standings if s.standing == "shown"}
        self.choosing = Choosing(self.search, rules, lambda a: self.patient or not self._asks(a), self._decides,
                                 [i for i, fault in enumerate(self.at.faults) if fault in shown])

    def plan(self) -> Plan:
        """Choose, and cost all the others against it."""
        best = self._opening() or self.choosing.best()
        chosen = self._option(best)
        first = self._first(chosen)
        rest = [self._option(a) for a in self.choosing.ranked if a is not best and self._id(a) not in self.held]
        rivals = rest if first is chosen or chosen.id in self.held else [chosen, *rest]
        return Plan(first, tuple(rivals), self.scene.blocks, self._unblock())

    def _opening(self) -> Action | None:
        """A question that the files put before everything else, while it is open and there is patience for one."""
        if not self.patient:
            return None
        return next((a for a in self.choosing.ranked if self._kind(a) == "question" and self.book.facts[self._id(a)].opening), None)

    def _asks(self, action: Action) -> bool:
        """Whether offering this would mean a question: it is one, or one must come before it."""
        kind, name = self._kind(action), self._id(action)
        return kind == "question" or name in self.held or kind == "check" and self.planner.gate(self.book.checks[name].parts, self.scene) is not None

    def _decides(self, action: Action) -> bool:
        """No question all of whose answers lead to the same next step."""
        if self._kind(action) != "question":
            return True
        self.search.deepen(action)
        onward = {(c.actions[0].kind, c.actions[0].index) for c in action.children or () if c.actions and c.label >= 0}
        return len(onward) != 1

    # -- what must come first ----------------------------------------------

    def _first(self, option: Option) -> Option:
        """The step itself, or the question that must come before it."""
        topic = self._before(option)
        if topic is None:
            return option
        minutes = self.book.facts[topic].minutes + self.planner.prices.question
        return Option("question", topic, minutes, option.expected_minutes + minutes)

    def _before(self, option: Option) -> str | None:
        """What lifts the hold on a step, or the machine question when it needs a part that may be lacking."""
        if option.id in self.held:
            return lifting(self.book, self.held[option.id], self._known)
        if option.kind == "workshop" or not self.patient or option.kind == "question" and self.book.facts[option.id].opening:
            return None
        entry = {"check": self.book.checks, "repair": self.book.faults, "question": self.book.facts}[option.kind][option.id]
        return self.planner.gate(entry.parts, self.scene)

    @property
    def _known(self) -> set[str]:
        return {f.topic for f in self.scene.facts if not f.denied} | set(self.scene.done)

    def _unblock(self) -> str | None:
        """A fact whose answer could free a held-back step."""
        return next((t for b in self.scene.blocks if (t := lifting(self.book, b, self._known)) is not None), None)

    # -- words -------------------------------------------------------------

    def _id(self, action: Action) -> str:
        return {"test": self.at.tests, "fix": self.at.repairs, "stop": ("workshop",)}[action.kind][action.index]

    def _kind(self, action: Action) -> str:
        return self.at.problem.tests[action.index].kind if action.kind == "test" else {"fix": "repair", "stop": "workshop"}[action.kind]

    def _option(self, action: Action) -> Option:
        return option_of(self.book, self.scene, self.at, self.search, action, self._kind(action), self._id(action))
