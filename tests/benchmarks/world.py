"""Simulated owners: a machine, what is wrong with it, what they see, own, know and say. All drawn once, by number.

Nothing depends on the policy that is tried on an owner: the same owner gives every policy the same answers.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field
from typing import Mapping

from assistant.evidence.ranking import lacking, priors
from assistant.planning.predict import Prediction, predictions
from assistant.records import Known
from assistant.rulebook.book import WEIGHING, Rulebook
from assistant.rulebook.conditions import All, Is
from assistant.rulebook.evaluate import holds, index
from tests.benchmarks.quick import Quick

UNLISTED = "unlisted"


@dataclass(frozen=True)
class Owner:
    """One owner and machine. `answers` is what would be found, `knows` which questions they can answer."""

    number: int
    machine: Mapping[str, str]
    faults: tuple[str, ...]  # one, seldom two; `unlisted` is not in the files
    answers: Mapping[str, str]
    again: Mapping[str, str]  # what a check gives when it is spoilt
    spoilt: frozenset[str]
    knows: frozenset[str]
    tools: frozenset[str]
    story: Mapping[str, tuple[str, ...]]
    luck: Mapping[str, float]  # fault -> draw against its chance of being cured


@dataclass(frozen=True)
class Noise:
    """How untidy the world is."""

    two_faults: float = 0.06
    slips: float = 1.0  # times the files' own number of spoilt tests, beyond what the frequencies hold already
    factor: float = 1.0  # priors and frequencies off by up to this factor
    seed: int = 0


@dataclass
class World:
    """A rulebook from which owners are drawn."""

    book: Rulebook
    noise: Noise = Noise()
    quick: Quick | None = None
    _combos: dict[str, list[tuple[str, dict[str, tuple[str, ...]]]]] = field(default_factory=dict)
    _off: dict[tuple, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.quick = self.quick or Quick(self.book)
        self.predict: dict[str, Prediction] = predictions(self.book)
        self._order = sorted(self.predict, key=lambda t: (t in self.book.checks, t in self.book.ask_when, t))
        for rule in self.book.weighing:
            condition = self.book.conditions.get(rule)
            if isinstance(condition, All) and all(isinstance(part, Is) for part in condition.parts):
                needs = {part.topic: part.values for part in condition.parts if isinstance(part, Is)}
                if len(needs) == len(condition.parts) and all(t in self.predict for t in needs):
                    last = max(needs, key=self._order.index)
                    self._combos.setdefault(last, []).append((rule, {t: v for t, v in needs.items()}))

    def _wrong(self, *key: object) -> float:
        """How far off a number of the files is in this world: a factor, the same for everybody."""
        if self.noise.factor == 1:
            return 1.0
        if key not in self._off:
            draw = random.Random(f"{self.noise.seed}/off/{key}").uniform(-1, 1)
            self._off[key] = self.noise.factor ** draw
        return self._off[key]

    def owner(self, number: int) -> Owner:
        """Draw one."""
        rng = random.Random(f"{self.noise.seed}/{number}")
        machine, common = self._machine(rng)
        total = {f: p * self._wrong("prior", f) for f, p in common.items()}
        total[UNLISTED] = self.book.setting("unlisted-per-1000", 30.0)
        faults = tuple(_draw(rng, total) for _ in range(2))
        faults = faults if rng.random() < self.noise.two_faults and faults[0] != faults[1] else faults[:1]
        absent = self._absent
        answers = self._answers(rng, machine, faults, absent)
        spoilt, again = set(), {}
        for check in sorted(self.book.checks):
            chance = min(0.5, self.noise.slips * sum(s.spoils for s in self.book.checks[check].slips) / 100 * 0.3)
            hit = rng.random() < chance
            outcomes = self.predict[check].outcomes if check in self.predict else ()
            if outcomes:
                again[check] = rng.choice(outcomes)
                if hit:
                    spoilt.add(check)
        knows = frozenset(f for f in sorted(self.book.facts) if rng.random() < self.book.facts[f].known / 100)
        roadside = rng.random() < 0.2
        tools = frozenset(t for t in sorted(self.book.tools)
                          if rng.random() * 100 < (self.book.tools[t].roadside if roadside else self.book.tools[t].owned))
        story = self._story(rng, machine, answers, knows)
        luck = {f: rng.random() for f in sorted(self.book.faults)}
        return Owner(number, machine, faults, answers, again, frozenset(spoilt), knows, tools, story, luck)

    def _machine(self, rng: random.Random) -> tuple[dict[str, str], dict[str, float]]:
        """A machine whose facts agree with each other by the files' own rules."""
        assert self.quick is not None
        kinds = [f for f in self.book.facts.values() if f.shares]
        for _ in range(400):
            drawn = {f.id: _draw(rng, f.shares) for f in kinds}
            facts = self.quick.facts({t: (v,) for t, v in drawn.items()})
            told = index(facts)
            bad = False
            for rule in self.book.rules.values():
                if rule.kind == "derive" and rule.id in self.book.conditions and holds(self.book.conditions[rule.id], told):
                    bad = bad or any(t in drawn and drawn[t] != v for t, v in rule.then.items())
            firings = self.quick.firings(facts)
            lacks = {p for f in firings if f.kind == "applies" for p in self.book.rules[f.rule].lacks}
            has = {p for f in firings if f.kind == "applies" for p in self.book.rules[f.rule].has}
            if not bad and lacks.isdisjoint(has):
                break
        self._absent = lacking(self.book, firings)
        drawn = {t: v for t, v in drawn.items() if self._absent.isdisjoint(self.book.facts[t].parts)}
        return drawn, priors(self.book, facts, self._absent)

    def _answers(self, rng: random.Random, machine: dict[str, str], faults: tuple[str, ...], absent: frozenset[str]) -> dict[str, str]:
        answers: dict[str, str] = dict(machine)
        for topic in self._order:
            if topic in answers or topic in self.book.facts and self.book.facts[topic].about == "machine":
                continue
            parts = self.book.checks[topic].parts if topic in self.book.checks else self.book.facts[topic].parts
            first, second = rng.random(), rng.random()
            if not absent.isdisjoint(parts):
                continue
            if topic in self.book.ask_when and topic in self.book.facts:
                if not holds(self.book.ask_when[topic], {t: [Known(t, v)] for t, v in answers.items()}):
                    continue
            chances = [self._chances(topic, fault, answers) for fault in faults]
            found = [_pick(self.predict[topic].outcomes, chance, draw) for chance, draw in zip(chances, (first, second))]
            usual = dict(zip(self.predict[topic].outcomes, self.predict[topic].usual))
            answers[topic] = min(found, key=lambda o: usual[o])  # of two faults the odder sign shows
        return answers

    def _chances(self, topic: str, fault: str, answers: Mapping[str, str]) -> list[float]:
        """The chance of each outcome with this fault, signs that the files say belong together drawn together."""
        prediction = self.predict[topic]
        result = []
        for i, outcome in enumerate(prediction.outcomes):
            usual = prediction.usual[i]
            share = prediction.given[i].get(fault, usual)
            if self.noise.factor != 1:
                share = usual * (share / max(usual, 1e-9)) * self._wrong(topic, outcome, fault)
            result.append(share)
        for rule, needs in self._combos.get(topic, ()):
            others = {t: v for t, v in needs.items() if t != topic}
            if not all(t in answers for t in others):
                continue
            together = self.book.per_100(rule, fault) / 100
            apart = 1.0
            for t, values in others.items():
                p = self.predict[t]
                apart *= sum(p.given[i].get(fault, p.usual[i]) for i, o in enumerate(p.outcomes) if o in values)
            here = [i for i, o in enumerate(prediction.outcomes) if o in needs[topic]]
            alone = sum(result[i] for i in here)
            if all(answers[t] in v for t, v in others.items()):
                wanted = min(0.97, max(0.01, together / max(apart, 1e-6)))
            elif len(others) == 1:
                wanted = min(0.97, max(0.01, (alone - together) / max(1 - apart, 1e-6)))
            else:
                continue
            whole = sum(result)
            for i in range(len(result)):
                if i in here:
                    result[i] *= wanted * whole / max(alone, 1e-9)
                elif whole > alone:
                    result[i] *= (1 - wanted) * whole / (whole - alone)
        total = sum(result)
        return [share / total for share in result]

    def _story(self, rng: random.Random, machine: Mapping[str, str], answers: Mapping[str, str], knows: frozenset[str]) -> dict[str, tuple[str, ...]]:
        """What they say unasked: little or much, mostly what the engine does."""
        talk = rng.choice((0.0, 0.3, 0.6, 1.0, 1.0))
        likely = {"machine": 0.25, "history": 0.3, "work": 0.3, "sign": 0.06, "setting": 0.05}
        told: dict[str, tuple[str, ...]] = {}
        for topic in sorted(answers):
            fact = self.book.facts.get(topic)
            draw = rng.random()
            if fact is None or topic not in knows:
                continue
            chance = 0.7 if topic in ("cranking", "firing") else likely.get(fact.about, 0.0)
            if draw < chance * talk:
                told[topic] = (answers[topic],)
        return told


def _draw(rng: random.Random, weights: Mapping[str, float]) -> str:
    names = sorted(weights)
    return rng.choices(names, [weights[n] for n in names])[0]


def _pick(outcomes: tuple[str, ...], chances: list[float], draw: float) -> str:
    total = 0.0
    for outcome, chance in zip(outcomes, chances):
        total += chance
        if draw < total:
            return outcome
    return outcomes[-1]


__all__ = ["Noise", "Owner", "World", "UNLISTED", "WEIGHING", "math"]
