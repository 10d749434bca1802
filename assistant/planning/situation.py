"""A scene as a problem: which steps there are now, what each costs, and what each would say given what is known already."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.planning.costs import Prices, check_minutes, hazard_minutes, reachable, tool_minutes
from assistant.planning.problem import Fix, Outlook, Problem, Test
from assistant.planning.scene import Scene
from assistant.planning.tables import Tables
from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.evaluate import Index, holds, index

Array = np.ndarray
_SMALL = 4e-4  # belief below which a fault is not told apart from what is not in the files
_MOST = 160  # faults at most


@dataclass
class Situation:
    """The problem and what its numbers stand for."""

    problem: Problem
    faults: tuple[str, ...]
    tests: tuple[str, ...]
    nodes: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]


class Maker:
    """A rulebook ready to make situations."""

    def __init__(self, book: Rulebook, prices: Prices, table: Tables) -> None:
        self.book, self.prices, self.table = book, prices, table
        self.nodes = tuple(sorted(a for a in book.access if book.access[a].within is not None))
        place = {a: i for i, a in enumerate(self.nodes)}
        self.parent = tuple(place.get(book.access[a].within or "", -1) for a in self.nodes)
        self.toll = np.array([book.access[a].open + book.access[a].close for a in self.nodes])
        self.place = place
        self._waits = {t: topics(book.ask_when[t]) for t in table.topics if t in book.ask_when}

    def situation(self, scene: Scene) -> Situation:
        """Lay the scene out."""
        book, table = self.book, self.table
        told = index(scene.facts)
        faults = self._faults(scene)
        columns = [table.place[f] for f in faults]
        share = {s.fault: s.probability for s in scene.ranking.standings}
        belief = np.array([share[f] for f in faults] + [0.0])
        belief[-1] = max(1.0 - belief.sum(), 1e-9)
        held = {b.what for b in scene.blocks}
        known = self._known(scene)
        tests: list[Test] = []
        kept: list[int] = []
        allowed: list[bool] = []
        for i, topic in enumerate(table.topics):
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
            belief, tuple(tests), start, Outlook.of(aspects.first(likely), start), self._fixes(scene, faults, held), self.parent, self.toll,
            frozenset(self.place[a] for a in scene.opened if a in self.place), self.prices.workshop, self.prices.workshop_known,
            np.array(allowed, dtype=bool), _Gates(book, told, tests, kept, table, allowed, start).after, aspects.shift,
        )
        return Situation(problem, faults, tuple(t.id for t in tests), self.nodes, tuple(table.outcomes[i] for i in kept))

    def _faults(self, scene: Scene) -> tuple[str, ...]:
        kept = [s.fault for s in scene.ranking.standings if s.probability > _SMALL][:_MOST]
        return tuple(sorted(kept))

    def _known(self, scene: Scene) -> set[str]:
        known = {f.topic for f in scene.facts if not f.denied} | set(scene.done)
        for check in self.book.checks.values():
            if check.same_as and not known.isdisjoint((check.id, *check.same_as)):
                known |= {check.id, *check.same_as}
        return known

    def _test(self, topic: str, scene: Scene, held: set[str]) -> Test | None:
        book = self.book
        if topic in book.checks:
            check = book.checks[topic]
            if not scene.lacking.isdisjoint(check.parts) or topic in held:
                return None
            own = check_minutes(book, self.prices, check, scene)
            if own is None:
                return None
            return Test(topic, "check", own[0], self.place.get(check.access, -1), 1.0, frozenset(check.same_as))
        fact = book.facts[topic]
        if not fact.ask or not scene.lacking.isdisjoint(fact.parts):
            return None
        tools = tool_minutes(book, self.prices, list(fact.tools), scene)
        if tools is None:
            return None
        twins = frozenset(c.id for c in book.checks.values() if topic in c.same_as)
        return Test(topic, "question", fact.minutes + self.prices.question + tools, -1, fact.known / 100, twins)

    def _fixes(self, scene: Scene, faults: tuple[str, ...], held: set[str]) -> tuple[Fix, ...]:
        book, prices = self.book, self.prices
        groups: dict[str, list[int]] = {}
        for i, fault in enumerate(faults):
            groups.setdefault(book.faults[fault].repair.fix or fault, []).append(i)
        result = []
        for name in sorted(groups):
            members = [i for i in groups[name] if faults[i] not in held and faults[i] not in scene.tried]
            if not members:
                continue
            lead = max(members, key=lambda i: (scene.ranking.of(faults[i]).probability, faults[i]))  # type: ignore[union-attr]
            repair = book.faults[faults[lead]].repair
            if repair.who == "workshop" and scene.skill != "workshop" or not reachable(book, repair.access, scene):
                continue
            tools = tool_minutes(book, prices, repair.tools, scene)
            if tools is None:
                continue
            lost = prices.parts[repair.parts_class] * prices.wrong_part
            work = repair.minutes + tools + hazard_minutes(prices, repair.hazards) + prices.try_start
            result.append(Fix(faults[lead], work + lost, self.place.get(repair.access, -1), -lost,
                              tuple((i, book.faults[faults[i]].repair.cures / 100) for i in members)))
        return tuple(result)


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
        self.by_aspect: dict[str, Array] = {}
        for name in sorted({n for n in names if n is not None}):
            self.by_aspect[name] = np.array([i for i, n in enumerate(names) if n == name])
        place = {c: i for i, c in enumerate(columns)}
        self.strong: dict[str, Array] = {}
        for weight in scene.ranking.weights:
            aspect = book.rules[weight.rule].aspect
            if aspect in self.by_aspect and weight.counts and table.place[weight.fault] in place:
                row = self.strong.setdefault(aspect, np.zeros(len(columns)))
                row[place[table.place[weight.fault]]] = weight.decibans * np.log(10) / 10
        self.base: Array | None = None
        self._tests_of = {a: sorted({int(np.searchsorted(start, r, side="right")) - 1 for r in where}) for a, where in self.by_aspect.items()}

    def first(self, likely: Array) -> Array:
        """The predictions with what is known taken into account."""
        self.base = likely
        result = likely
        for aspect, strong in self.strong.items():
            result = self._under(result, aspect, strong)
        return result

    def shift(self, test: int, row: int, outlook: Outlook) -> Outlook:
        """The predictions after an outcome: changed for the other tests of its aspect."""
        aspect = self.names[row]
        if aspect is None or len(self._tests_of[aspect]) < 2:
            return outlook
        mine = self.said[row]
        old = self.strong.get(aspect)
        strong = mine if old is None else np.where(np.abs(mine) > np.abs(old), mine, old)
        return Outlook.of(self._under(outlook.likely, aspect, strong), self.start)

    def _under(self, likely: Array, aspect: str, strong: Array) -> Array:
        assert self.base is not None
        result = likely.copy()
        for test in self._tests_of[aspect]:
            rows = slice(int(self.start[test]), int(self.start[test + 1]))
            mine = np.array([n == aspect for n in self.names[rows]])
            said = self.said[rows]
            left = np.where(np.abs(said) > np.abs(strong), said - strong, 0.0)
            left[~mine] = said[~mine]
            usual = self.base[rows, -1]
            chance = usual[:, None] * np.exp(left)
            result[rows, :-1] = chance / chance.sum(axis=0)
        return result
