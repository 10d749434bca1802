"""A scene as a problem: which steps there are now, what each costs, and what each would say given what is known already."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from assistant.planning.costs import Prices, check_minutes, hazard_minutes, reachable, tool_minutes
from assistant.planning.problem import Fix, Problem, Test
from assistant.planning.safety import lifting
from assistant.planning.scene import Scene
from assistant.planning.tables import Tables
from assistant.records import Block, Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.evaluate import Index, holds, index

Array = np.ndarray
_SMALL = 1e-3  # belief below which a fault is not told apart from what is not in the files
_MOST = 72  # faults at most


@dataclass
class Situation:
    """The problem and what its numbers stand for."""

    problem: Problem
    faults: tuple[str, ...]
    tests: tuple[str, ...]
    nodes: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]

    @cached_property
    def repairs(self) -> tuple[str, ...]:
        """The fault whose repair each fix is."""
        return tuple(fix.id for fix in self.problem.fixes)


class Maker:
    """A rulebook ready to make situations."""

    def __init__(self, book: Rulebook, prices: Prices, table: Tables) -> None:
        self.book, self.prices, self.table = book, prices, table
        self.nodes = tuple(sorted(a for a in book.access if book.access[a].within is not None))
        place = {a: i for i, a in enumerate(self.nodes)}
        self.parent = tuple(place.get(book.access[a].within or "", -1) for a in self.nodes)
        self.toll = np.array([book.access[a].open + book.access[a].close for a in self.nodes])
        self.place = place
        self._last: tuple[Scene, Situation] | None = None
        self._twins: dict[str, set[str]] = {}
        for check in book.checks.values():
            for topic in check.same_as:
                self._twins.setdefault(topic, set()).add(check.id)
                self._twins.setdefault(check.id, set()).add(topic)

    def situation(self, scene: Scene) -> Situation:
        """Lay the scene out; one that is like the last one, as after a message that told nothing, is laid out already."""
        last = self._last
        if last is None or not _alike(last[0], scene):
            self._last = last = (scene, self._made(scene))
        return last[1]

    def _made(self, scene: Scene) -> Situation:
        book, table = self.book, self.table
        told = index(scene.facts)
        faults = self._faults(scene)
        columns = [table.place[f] for f in faults]
        share = {s.fault: s.probability for s in scene.ranking.standings}
        belief = np.array([share[f] for f in faults] + [0.0])
        belief[-1] = max(1.0 - belief.sum(), 1e-9)
        known = self._known(scene)
        held = {b.what: self._lifting(b, known, scene) for b in scene.blocks}
        tests: list[Test] = []
        kept: list[int] = []
        allowed: list[bool] = []
        for i in np.nonzero(table.speaks[:, columns].any(axis=1))[0].tolist():
            topic = table.topics[i]
            if topic in known:
                continue
            test = self._test(topic, scene, held)
            if test is not None:
                tests.append(test)
                kept.append(i)
                allowed.append(topic not in book.ask_when or holds(book.ask_when[topic], told))
        counts = [int(table.start[i + 1] - table.start[i]) for i in kept]
        start = np.concatenate(([0], np.cumsum(counts))).astype(int)
        rows = np.concatenate([np.arange(table.start[i], table.start[i + 1]) for i in kept]) if kept else np.zeros(0, dtype=int)
        aspects = _Aspects(scene, book, table, rows, columns, start)
        likely = table.likely[rows][:, [*columns, -1]]
        problem = Problem(
            belief, tuple(tests), start, aspects.first(likely), self._fixes(scene, faults, held), self.parent, self.toll,
            frozenset(self.place[a] for a in scene.opened if a in self.place), self.prices.workshop, self.prices.workshop_known,
            book.setting("repair-least", 0.5), np.array(allowed, dtype=bool), _Gates(book, told, tests, kept, table, allowed, start).after, aspects.shift,
        )
        return Situation(problem, faults, tuple(t.id for t in tests), self.nodes, tuple(table.outcomes[i] for i in kept))

    def _faults(self, scene: Scene) -> tuple[str, ...]:
        kept = [s.fault for s in scene.ranking.standings if s.probability > _SMALL][:_MOST]
        return tuple(sorted(kept))

    def _known(self, scene: Scene) -> set[str]:
        known = {f.topic for f in scene.facts if not f.denied} | set(scene.done)
        return known.union(*(self._twins.get(topic, ()) for topic in known))

    def _lifting(self, block: Block, known: set[str], scene: Scene) -> float | None:
        """Minutes to see to what a block waits for, when that can be asked; None when the step cannot be had now."""
        topic = lifting(self.book, block, known)
        if topic is None or not scene.lacking.isdisjoint(self.book.facts[topic].parts):
            return None
        fact = self.book.facts[topic]
        return fact.minutes + self.prices.question + (self.prices.make_safe if fact.about == "setting" else 0.0)

    def _test(self, topic: str, scene: Scene, held: dict[str, float | None]) -> Test | None:
        book = self.book
        if topic in book.checks:
            check = book.checks[topic]
            if not scene.lacking.isdisjoint(check.parts) or topic in held and held[topic] is None:
                return None
            own = check_minutes(book, self.prices, check, scene)
            if own is None:
                return None
            return Test(topic, "check", own[0] + (held.get(topic) or 0.0), self.place.get(check.access, -1), 1.0, frozenset(check.same_as))
        fact = book.facts[topic]
        if not fact.ask or not scene.lacking.isdisjoint(fact.parts):
            return None
        tools = tool_minutes(book, self.prices, list(fact.tools), scene)
        if tools is None:
            return None
        return Test(topic, "question", fact.minutes + self.prices.question + tools, -1, fact.known / 100, frozenset(self._twins.get(topic, ())))

    def _fixes(self, scene: Scene, faults: tuple[str, ...], held: dict[str, float | None]) -> tuple[Fix, ...]:
        book, prices = self.book, self.prices
        groups: dict[str, list[int]] = {}
        for i, fault in enumerate(faults):
            groups.setdefault(book.faults[fault].repair.fix or fault, []).append(i)
        result = []
        for name in sorted(groups):
            members = [i for i in groups[name] if held.get(faults[i], 0.0) is not None and faults[i] not in scene.tried]
            if not members or any(faults[i] in scene.done for i in groups[name]):
                continue  # nothing to mend with it, or the person would rather not
            lead = max(members, key=lambda i: (scene.ranking.of(faults[i]).probability, faults[i]))  # type: ignore[union-attr]
            repair = book.faults[faults[lead]].repair
            if repair.who == "workshop" and scene.skill != "workshop" or not reachable(book, repair.access, scene):
                continue
            tools = tool_minutes(book, prices, repair.tools, scene)
            if tools is None:
                continue
            lost = prices.parts[repair.parts_class] * prices.wrong_part
            work = repair.minutes + tools + hazard_minutes(prices, repair.hazards) + prices.try_start + (held.get(faults[lead]) or 0.0)
            result.append(Fix(faults[lead], work + lost, self.place.get(repair.access, -1), -lost,
                              tuple((i, book.faults[faults[i]].repair.cures / 100) for i in members)))
        return tuple(result)


def _alike(one: Scene, other: Scene) -> bool:
    """Whether two scenes are the same but for when and in which words something was told, and for the patience that is left."""
    rest = (f.name for f in fields(Scene) if f.name not in ("facts", "questions_in_a_row"))
    return _plain(one) == _plain(other) and all(getattr(one, name) == getattr(other, name) for name in rest)


def _plain(scene: Scene) -> list[tuple]:
    return [(f.topic, f.value, f.denied, f.number) for f in scene.facts]


class _Gates:
    """Tests that make sense only with a certain answer: which may be done after an outcome."""

    def __init__(self, book: Rulebook, told: Index, tests: list[Test], kept: list[int], table: Tables, allowed: list[bool], start: Array) -> None:
        self.book, self.told, self.tests, self.kept, self.table, self.start = book, told, tests, kept, table, start
        self.allowed = np.array(allowed, dtype=bool)
        self.waits: dict[str, list[int]] = {}
        for i, test in enumerate(tests):
            if test.id in book.ask_when:
                for topic in topics(book.ask_when[test.id]):
                    self.waits.setdefault(topic, []).append(i)
        self.made: dict[tuple[int, int], Array | None] = {}

    def after(self, test: int, row: int) -> Array | None:
        """The tests allowed once this outcome is known; None where it changes nothing."""
        key = (test, row)
        if key not in self.made:
            waiting = self.waits.get(self.tests[test].id)
            if waiting is None:
                self.made[key] = None
            else:
                outcome = self.table.outcomes[self.kept[test]][row - int(self.start[test])]
                topic = self.tests[test].id
                told = {**self.told, topic: [*self.told.get(topic, []), Known(topic, outcome)]}
                allowed = self.allowed.copy()
                for i in waiting:
                    allowed[i] = holds(self.book.ask_when[self.tests[i].id], told)
                self.made[key] = None if (allowed == self.allowed).all() else allowed
        return self.made[key]


class _Aspects:
    """Signs that hang together: what has been said already leaves the others of its aspect less to say.

    Within an aspect only the strongest weight for a fault counts. So once one is known, the chance of a further outcome
    is taken so that Bayes' rule gives just the weight that the evidence would still add.
    """

    def __init__(self, scene: Scene, book: Rulebook, table: Tables, rows: Array, columns: list[int], start: Array) -> None:
        self.start = start
        self.said = table.said[rows][:, columns]
        names = [table.aspect[r] for r in rows.tolist()]
        self.names = names
        tests = np.repeat(np.arange(len(start) - 1), np.diff(start))
        self._rows: dict[str, Array] = {}  # aspect -> all rows of the tests that speak of it
        self._mine: dict[str, Array] = {}  # which of them speak of it themselves
        self._starts: dict[str, Array] = {}
        of: dict[str, set[int]] = {}
        for row, name in enumerate(names):
            if name is not None:
                of.setdefault(name, set()).add(int(tests[row]))
        for name, members in of.items():
            chosen = [np.arange(start[t], start[t + 1]) for t in sorted(members)]
            self._rows[name] = np.concatenate(chosen)
            self._starts[name] = np.cumsum([0, *map(len, chosen[:-1])])
            self._mine[name] = np.array([names[r] == name for r in self._rows[name].tolist()])[:, None]
        self._alone = {name for name, members in of.items() if len(members) < 2}
        place = {c: i for i, c in enumerate(columns)}
        self.strong: dict[str, Array] = {}
        for weight in scene.ranking.weights:
            aspect = book.rules[weight.rule].aspect
            if aspect in self._rows and weight.counts and table.place[weight.fault] in place:
                row = self.strong.setdefault(aspect, np.zeros(len(columns)))
                row[place[table.place[weight.fault]]] = weight.decibans * np.log(10) / 10
        self._made: dict[tuple[int, ...], tuple[Array, Array] | None] = {}
        self._base = np.zeros((0, 0))

    def first(self, likely: Array) -> Array:
        """The predictions with what is known taken into account."""
        self._base = likely
        result = likely.copy()
        for aspect, strong in self.strong.items():
            result[self._rows[aspect]] = self._under(aspect, strong)
        return result

    def shift(self, path: tuple[tuple[int, int], ...]) -> tuple[Array, Array] | None:
        """What changes with the outcomes learnt: the other tests of their aspects."""
        key = tuple(sorted(row for _, row in path))
        if key not in self._made:
            strong: dict[str, Array] = {}
            for row in key:
                aspect = self.names[row]
                if aspect is None or aspect in self._alone:
                    continue
                old = strong.get(aspect, self.strong.get(aspect))
                mine = self.said[row]
                strong[aspect] = mine if old is None else np.where(np.abs(mine) > np.abs(old), mine, old)
            parts = [(self._rows[aspect], self._under(aspect, values)) for aspect, values in sorted(strong.items())]
            self._made[key] = (np.concatenate([r for r, _ in parts]), np.concatenate([v for _, v in parts])) if parts else None
        return self._made[key]

    def _under(self, aspect: str, strong: Array) -> Array:
        rows = self._rows[aspect]
        said = self.said[rows]
        left = np.where((np.abs(said) > np.abs(strong)), said - strong, 0.0)
        left = np.where(self._mine[aspect], left, said)
        base = self._base[rows]
        chance = base[:, -1:] * np.exp(left)
        starts = self._starts[aspect]
        sums = np.add.reduceat(chance, starts, axis=0)
        counts = np.diff([*starts, len(rows)])
        return np.concatenate([chance / np.repeat(sums, counts, axis=0), base[:, -1:]], axis=1)
