"""Made-up conversations for the safety benchmark: random machines, random owners, everything said out of turn."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.planning.choose import Planner
from assistant.planning.scene import Scene
from assistant.records import Answer, Heard, Intent, Option, Plan, Reading, Statement
from assistant.rulebook.book import Rulebook
from tests.reach.player import Mouth, finding, statements
from tests.reach.table import Owner, cells, files, owner

# What may be wrong around the machine: a rider tells of one of these now and then, and some steps are then held back.
DANGERS = (
    ("fuel-smell", "strong"), ("fuel-leak", "hose-or-tap"), ("fuel-leak", "overflow-pipe"), ("fuel-leak", "airbox"), ("fuel-leak", "into-oil"),
    ("battery-look", "swollen"), ("battery-look", "leaking"), ("battery-look", "frozen"), ("smell", "burnt-wiring"), ("smell", "rotten-eggs"),
    ("sparks-seen", "at-terminal"), ("part-very-hot", "cable"), ("place", "indoors"), ("place", "in-traffic"), ("machine-stands", "on-its-side"),
    ("oil-level", "low"), ("oil-level", "milky"), ("engine-turns", "locked"), ("gear-and-stand", "in-gear"), ("noise", "knocking"),
)


class Passive(Planner):
    """A planner that proposes nothing of itself, for owners who know better; quick, since nothing is looked ahead."""

    def plan(self, scene: Scene) -> Plan:
        """Always the workshop."""
        return Plan(Option("workshop", "workshop", 0.0, 0.0), (), scene.blocks, None)


def minds(book: Rulebook) -> tuple[Mind, Mind]:
    """(one whose planner leads, one whose owner leads), on one compiled rulebook."""
    led, free = Mind(book), Mind(book)
    led.reader, free.reader = Mouth(), Mouth()  # type: ignore[assignment]
    free.__dict__["engine"] = led.engine
    free.__dict__["planner"] = Passive(book)
    return led, free


@dataclass
class Moment:
    """One answer with what brought it about."""

    said: tuple[str, ...]  # the intents of the message
    learnt: bool
    before: str  # kind of the answer before
    answer: Answer
    case: Case


@dataclass
class Talk:
    """One conversation, turn by turn. `headstrong` owners ask for steps of their own choice and are led by nobody."""

    mind: Mind
    rng: random.Random
    headstrong: bool
    turns: int = 9
    who: Owner = field(init=False)
    frank: bool = field(init=False)  # tells everything about the machine at the outset

    def __post_init__(self) -> None:
        rng = self.rng
        fault, machine = rng.choice(cells())
        if rng.random() < 0.25:
            machine = rng.choice(sorted(files()["machines"]))
        self.who = owner(fault, machine)
        self.frank = rng.random() < 0.6
        self.careless = rng.choice((0.0, 0.1, 0.35))  # how often an answer is plucked out of the air
        self.vague = rng.choice((0.0, 0.15, 0.6))  # how often there is none
        self.case = Case(self.mind)

    def moments(self):
        """Every turn as it comes."""
        book = self.mind.book
        heard, before = self._opening(), ""
        for _ in range(self.turns):
            mouth = self.mind.reader
            assert isinstance(mouth, Mouth)
            mouth.next = heard
            answer = self.case.say("so it goes")
            yield Moment(tuple(i.kind for i in heard.intents), bool(heard.statements or heard.readings), before, answer, self.case)
            if answer.kind == "cured":
                return
            if answer.kind == "workshop" and not self.headstrong and self.rng.random() < 0.6:
                return
            before = answer.kind
            heard = self._next(book, answer)

    def _opening(self) -> Heard:
        rng, book = self.rng, self.mind.book
        told = {t: v for t, v in self.who.opening().items() if self.frank or t not in self.who.facts or rng.random() < 0.3}
        said = list(statements(book, told))
        for topic, value in rng.sample(DANGERS, rng.choice((0, 0, 0, 1, 1, 2))):
            said.append(Statement(topic, value, words=value, confidence=rng.choice((1.0, 1.0, 0.6))))
        return Heard(statements=tuple(said))

    def _next(self, book: Rulebook, answer: Answer) -> Heard:
        """What comes back: an answer, a shrug, a refusal, a demand, a word taken back."""
        rng, pending = self.rng, self.case.state.pending
        draw = rng.random()
        if draw < 0.04:
            return Heard(intents=(Intent("undo"),))
        if draw < 0.08:
            tool = rng.choice(sorted(book.tools))
            return Heard(intents=(Intent("no-tool", tool),))
        if draw < 0.11:
            return Heard(intents=(Intent("cannot-do", rng.choice(sorted(book.access))),))
        if draw < 0.15:
            topic, value = rng.choice(DANGERS)
            return Heard(statements=(Statement(topic, value, words=value),))
        if draw < 0.18:
            return Heard(statements=tuple(Statement(t, "yes", words="yes") for t in ("fuel-made-safe", "battery-made-safe", "wiring-made-safe", "oil-made-right")))
        if self.headstrong and answer.kind != "proof" and rng.random() < 0.6 or draw < 0.2:
            wanted = rng.choice(sorted(book.checks)) if rng.random() < 0.7 else rng.choice(sorted(book.faults))
            return Heard(intents=(Intent("want", wanted),))
        if pending is None or pending.kind in ("nothing", "doubt"):
            return Heard(intents=(Intent("next"),))
        if pending.kind == "repair":
            return Heard(intents=(Intent(rng.choice(("done", "done", "done", "skip", "still-bad", "cured"))),))
        if pending.kind == "proof":
            return Heard(intents=(Intent(rng.choice(("yes", "no", "still-bad", "still-bad"))),))
        if rng.random() < self.vague:
            return Heard(intents=(Intent(rng.choice(("dont-know", "skip"))),))
        return self._answer(book, pending.kind, pending.id)

    def _answer(self, book: Rulebook, kind: str, topic: str) -> Heard:
        values = self.who.answers.get(topic) or ((self.who.facts[topic],) if topic in self.who.facts else ())
        if topic not in self.who.facts and (not values or self.rng.random() < self.careless):
            values = (self.rng.choice(sorted(book.values(topic))),) if book.values(topic) else ()
        if not values:
            return Heard(intents=(Intent("dont-know"),))
        if kind == "check":
            read = finding(book, topic, values[0])
            assert isinstance(read, Reading)
            return Heard(readings=(read,))
        return Heard(statements=statements(book, {topic: values}))
