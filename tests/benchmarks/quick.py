"""From facts to a ranking without the rule engine: the same rules tried one by one, for simulations of thousands.

What is left out is what a simulated owner never says: denials, half-believed words, numbers. `tests/benchmarks/
test_quick.py` holds it to the engine's own result on drawn conversations.
"""

from __future__ import annotations

import math
from typing import Iterable, Mapping

import numpy as np

from assistant.evidence.ranking import lacking, priors, rank
from assistant.planning.safety import blocks
from assistant.planning.scene import Scene
from assistant.records import Block, Firing, Known, Ranking, Standing, Weight
from assistant.rulebook.book import WEIGHING, Rulebook
from assistant.rulebook.conditions import topics, walk
from assistant.rulebook.evaluate import holds, index
from assistant.rulebook.strata import strata

_DB = 10 / math.log(10)


class Quick:
    """A rulebook indexed for trying its rules against small sets of facts."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        level = strata(book)
        self._derives = sorted((r.id for r in book.rules.values() if r.kind == "derive" and r.id in book.conditions),
                               key=lambda rule: (level[rule], rule))
        self._always: list[str] = []  # rules that can fire with nothing told of some topic
        self._on: dict[str, list[str]] = {}
        for rule in book.rules.values():
            if rule.kind == "derive" or rule.id not in book.conditions:
                continue
            condition = book.conditions[rule.id]
            if holds(condition, {}):
                self._always.append(rule.id)
            for topic in sorted(topics(condition)):
                self._on.setdefault(topic, []).append(rule.id)
        self.faults = tuple(sorted(book.faults))
        self._place = {fault: i for i, fault in enumerate(self.faults)}
        self._column: dict[str, np.ndarray] = {}
        for rule in book.rules.values():
            if rule.kind in WEIGHING:
                column = np.zeros(len(self.faults))
                for fault, seen in rule.seen_in.items():
                    column[self._place[fault]] = 10 * math.log10(seen / (rule.otherwise or 50))
                self._column[rule.id] = column
        self._priors: dict[tuple, dict[str, float]] = {}
        self._prior_topics = {getattr(node, "topic", None) for lines in book.priors.values() for _, where in lines
                              if where is not None for node in walk(where)}

    def facts(self, told: Mapping[str, Iterable[str]]) -> tuple[Known, ...]:
        """Told topics with their values, as facts."""
        return tuple(Known(topic, value) for topic in sorted(told) for value in sorted(told[topic]))

    def derive(self, told: tuple[Known, ...]) -> list[Known]:
        """What the derive rules add; a value that was told beats one that would be derived."""
        said = {fact.topic for fact in told}
        known = index(told)
        made: dict[tuple[str, str], Known] = {}
        for _ in range(4):
            before = len(made)
            for rule_id in self._derives:
                then = self.book.rules[rule_id].then
                if all((t, v) in made or (t in said and not self.book.many(t)) for t, v in then.items()):
                    continue
                if any(t in said and not self.book.many(t) for t in then):
                    continue
                if holds(self.book.conditions[rule_id], known):
                    for topic, value in then.items():
                        if (topic, str(value)) not in made and not any(f.value == value for f in known.get(topic, ())):
                            fact = Known(topic, str(value), by_rule=rule_id)
                            made[topic, str(value)] = fact
                            known.setdefault(topic, []).append(fact)
            if len(made) == before:
                break
        return [made[key] for key in sorted(made)]

    def firings(self, known: tuple[Known, ...]) -> list[Firing]:
        """Every rule but the derive rules that holds, in id order. The facts of a firing are not worked out."""
        facts = index(known)
        candidates = dict.fromkeys(self._always)
        for topic in facts:
            candidates.update(dict.fromkeys(self._on.get(topic, ())))
        return [Firing(rule, self.book.rules[rule].kind, ()) for rule in sorted(candidates)
                if holds(self.book.conditions[rule], facts)]

    def ranking(self, known: tuple[Known, ...], firings: list[Firing], absent: frozenset[str],
                tried: Mapping[str, float]) -> Ranking:
        """The shares of belief, and of the weights only those that the planner asks for: the counted ones with an aspect."""
        key = (absent, tuple(f.key() for f in known if f.topic in self._prior_topics))
        if key not in self._priors:
            self._priors[key] = priors(self.book, known, absent)
        common = self._priors[key]
        unlisted = self.book.setting("unlisted-per-1000", 30.0)
        total = sum(common.values()) + unlisted
        here = np.array([self._place[fault] for fault in common])
        score = 10 * np.log10(np.array(list(common.values())) / total)
        fired = [f.rule for f in firings if f.kind in WEIGHING]
        replaced = {other for rule in fired for other in self.book.rules[rule].replaces}
        kept = [rule for rule in fired if rule not in replaced]
        weights: list[Weight] = []
        groups: dict[str, list[str]] = {}
        counted: dict[str, list[str]] = {}  # fault -> rules that speak, for the standings
        for rule in kept:
            aspect = self.book.rules[rule].aspect
            if aspect is None:
                score += self._column[rule][here]
            else:
                groups.setdefault(aspect, []).append(rule)
        names = list(common)
        for aspect in sorted(groups):
            rules = sorted(groups[aspect], reverse=True)  # ties go to the later id, as in the weighing
            stack = np.array([self._column[rule][here] for rule in rules])
            best = np.argmax(np.abs(stack), axis=0)
            strongest = stack[best, np.arange(len(here))]
            score += strongest
            for i in np.nonzero(strongest)[0]:
                weights.append(Weight(rules[best[i]], names[i], float(strongest[i])))
        for fault, cures in tried.items():
            if fault in common:
                score[names.index(fault)] += 10 * math.log10(1 - cures / 100)
        score = np.append(score, 10 * math.log10(unlisted / total))
        mass = 10 ** ((score - score.max()) / 10)
        mass /= mass.sum()
        shows = {f: rule for rule in kept if self.book.rules[rule].kind == "show" for f in self.book.rules[rule].seen_in}
        least = self.book.setting("shown-least", 0.5)
        standings = [Standing(f, float(mass[i]), "repaired" if f in tried else "shown" if f in shows and mass[i] >= least else "suspected",
                              common[f] / total) for i, f in enumerate(names)]
        standings.sort(key=lambda s: (-s.probability, s.fault))
        return Ranking(tuple(standings), float(mass[-1]), tuple(weights))

    def scene(self, told: Mapping[str, Iterable[str]], tried: Iterable[str] = (), **more: object) -> Scene:
        """The planner's scene for what was told and done."""
        said = self.facts(told)
        known = (*said, *self.derive(said))
        firings = self.firings(known)
        absent = lacking(self.book, firings)
        ranking = self.ranking(known, firings, absent, {f: self.book.faults[f].repair.cures for f in tried})
        done = {t for t in told if t in self.book.checks or not self.book.many(t)} | set(more.pop("passed", ()))  # type: ignore[call-overload]
        return Scene(ranking, known, absent, done=frozenset(done), tried=frozenset(tried), blocks=blocks(self.book, firings), **more)  # type: ignore[arg-type]


__all__ = ["Quick", "Block", "rank"]
