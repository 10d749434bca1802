"""What the planner is compared with: orders that people and books go by. All see the same evidence as the planner does.

Each repairs when a fault is likely enough by the same posterior, keeps to the same safety blocks, and hands over when
its own list is done: only the order of steps is their own.
"""

from __future__ import annotations

import numpy as np

from assistant.planning.choose import Planner
from assistant.planning.costs import Prices, check_minutes, hazard_minutes, reachable, to_open, tool_minutes
from assistant.planning.scene import Scene
from assistant.planning.situation import Maker
from assistant.planning.tables import Tables, tables
from assistant.rulebook.book import Rulebook
from assistant.rulebook.models import Fault
from assistant.rulebook.evaluate import holds, index
from tests.benchmarks.run import Step

WALK = ("power", "spark", "compression", "fuel", "air")
_SURE = 0.5
OURS, WALKED = "planner", "fixed walk"


def repair_minutes(book: Rulebook, prices: Prices, fault: Fault, scene: Scene) -> float | None:
    """Minutes of a repair beyond the access: work, parts, hazard and trying it; None when it is the workshop's."""
    repair = fault.repair
    if repair.who == "workshop" and scene.skill != "workshop":
        return None
    if not reachable(book, repair.access, scene):
        return None
    tools = tool_minutes(book, prices, repair.tools, scene)
    if tools is None:
        return None
    return (repair.minutes + tools + prices.parts[repair.parts_class] + hazard_minutes(prices, repair.hazards)
            + prices.try_start)


class Base:
    """What all of them share."""

    def __init__(self, book: Rulebook, table: Tables | None = None) -> None:
        self.book, self.prices = book, Prices.of(book)
        self.table = table or tables(book)
        self.maker = Maker(book, self.prices, self.table)

    def mend(self, scene: Scene, least: float = _SURE) -> Step | None:
        """The repair of the leader, once it is likely enough and can be done here."""
        held = {b.what for b in scene.blocks}
        for standing in scene.ranking.standings[:3]:
            if standing.probability < least:
                break
            fault = self.book.faults[standing.fault]
            if standing.fault not in scene.tried and standing.fault not in held and repair_minutes(self.book, self.prices, fault, scene) is not None:
                return ("repair", standing.fault)
            if standing.probability >= 0.8:
                return ("workshop", "workshop")  # known, and not theirs to mend
        return None

    def can(self, scene: Scene, check: str, held: set[str], told: dict) -> bool:
        """Whether a check may and can be done now."""
        entry = self.book.checks[check]
        if check in scene.done or check in held or not scene.lacking.isdisjoint(entry.parts):
            return False
        if entry.same_as and any(f.topic in entry.same_as for f in scene.facts):
            return False
        if check in self.book.ask_when and not holds(self.book.ask_when[check], told):
            return False
        return check_minutes(self.book, self.prices, entry, scene) is not None

    def doable(self, scene: Scene) -> list[str]:
        """All checks that may and can be done now."""
        held, told = {b.what for b in scene.blocks}, index(scene.facts)
        return [c for c in self.table.topics if c in self.book.checks and self.can(scene, c, held, told)]

    def alone(self, scene: Scene, check: str) -> float:
        """Minutes of a check with all its opening, whatever is open."""
        own = check_minutes(self.book, self.prices, self.book.checks[check], scene)
        return (own[0] if own else 1e6) + to_open(self.book, self.book.checks[check].access, frozenset())[0]


class Walk(Base):
    """The trade's fixed walk: battery, fuses, spark, compression, fuel, air, each in order, and into the one that is found bad.

    In each the two checks that best tell whether it is at fault come first; the others only when it is suspected.
    """

    def __init__(self, book: Rulebook, table: Tables | None = None) -> None:
        super().__init__(book, table)
        need_of = np.array([book.faults[f].need for f in self.table.faults])
        base = np.array([book.priors[f][0][0] if book.priors[f] else 1.0 for f in self.table.faults])
        base = base / base.sum()
        free = Scene(ranking=None)  # type: ignore[arg-type]
        first: dict[str, list[tuple[float, str]]] = {}
        for i, topic in enumerate(self.table.topics):
            if topic not in book.checks:
                continue
            need = book.checks[topic].need
            rows = self.table.likely[self.table.rows(i), :-1]
            inside = need_of == need
            if not inside.any():
                continue
            good = rows @ (base * inside) / (base * inside).sum()
            bad = rows @ (base * ~inside) / (base * ~inside).sum()
            first.setdefault(need, []).append((-float(np.abs(good - bad).sum()) / self.alone(free, topic), topic))
        self.primary = {need: [t for _, t in sorted(found)[:2]] for need, found in first.items()}
        self.rest = {need: sorted((t for _, t in found), key=lambda t: (self.alone(free, t), t)) for need, found in first.items()}

    def __call__(self, scene: Scene) -> Step:
        """The next step of the walk."""
        mend = self.mend(scene)
        if mend:
            return mend
        doable = set(self.doable(scene))
        share: dict[str, float] = {}
        for standing in scene.ranking.standings:
            need = self.book.faults[standing.fault].need
            share[need] = share.get(need, 0.0) + standing.probability
        order = list(WALK)
        for need in order:
            for check in self.primary.get(need, []):
                if check in doable:
                    return ("check", check)
            if share.get(need, 0.0) >= 0.4 or need == "power" and share.get("cranking", 0.0) >= 0.4:
                for stage in (need, "cranking") if need == "power" else (need,):
                    for check in self.rest.get(stage, []):
                        if check in doable:
                            return ("check", check)
        for need in (*order, "rider", "cranking"):
            for check in self.rest.get(need, []):
                if check in doable:
                    return ("check", check)
        mend = self.mend(scene, 0.1)
        return mend or ("workshop", "workshop")


class Commonest(Base):
    """The commonest fault first: its own test, or where there is none its repair."""

    def __call__(self, scene: Scene) -> Step:
        """The next step."""
        mend = self.mend(scene)
        if mend:
            return mend
        doable = set(self.doable(scene))
        prior = scene.ranking.priors or {s.fault: s.prior for s in scene.ranking.standings}
        chance = {s.fault: s.probability for s in scene.ranking.standings}
        for fault in sorted(prior, key=lambda f: (-prior[f], f)):
            if fault in scene.tried or chance.get(fault, 0.0) < 0.01:
                continue
            tests = [c for c in doable if fault in self.book.checks[c].settles]
            if tests:
                return ("check", min(tests, key=lambda c: (self.alone(scene, c), c)))
        mend = self.mend(scene, 0.05)
        return mend or ("workshop", "workshop")


class OverCost(Base):
    """Probability over cost, every step charged with all its own opening as if nothing were shared."""

    def __call__(self, scene: Scene) -> Step:
        """The next step."""
        mend = self.mend(scene)
        if mend:
            return mend
        held = {b.what for b in scene.blocks}
        doable = set(self.doable(scene))
        best: tuple[float, Step] | None = None
        for standing in scene.ranking.standings[:40]:
            fault = self.book.faults[standing.fault]
            if standing.fault in scene.tried or standing.fault in held:
                continue
            choices = [(self.alone(scene, c), ("check", c)) for c in doable if standing.fault in self.book.checks[c].settles]
            minutes = repair_minutes(self.book, self.prices, fault, scene)
            if minutes is not None:
                lost = self.prices.parts[fault.repair.parts_class] * self.prices.wrong_part
                choices.append((minutes + lost + to_open(self.book, fault.repair.access, frozenset())[0], ("repair", standing.fault)))
            for cost, step in choices:
                rate = standing.probability / max(cost, 0.1)
                if best is None or (rate, step) > best:
                    best = (rate, step)
        if best is None or best[0] < 1 / self.prices.workshop:
            return ("workshop", "workshop")
        return best[1]


class Telling(Base):
    """Most information for each minute, questions and checks alike, until a fault is likely enough."""

    def __call__(self, scene: Scene) -> Step:
        """The next step."""
        mend = self.mend(scene)
        if mend:
            return mend
        problem = self.maker.situation(scene).problem
        if not problem.tests:
            return self.mend(scene, 0.1) or ("workshop", "workshop")
        joint = problem.likely * problem.belief
        sums = joint.sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            rows = -np.where(joint > 0, joint * np.log2(joint / sums[:, None]), 0.0).sum(axis=1)
            own = -np.where(problem.belief > 0, problem.belief * np.log2(problem.belief), 0.0).sum()
        gain = problem.test_known * (own - np.add.reduceat(rows, problem.start[:-1]))
        toll = problem.toll.copy()
        toll[list(problem.opened)] = 0.0
        cost = problem.test_minutes + (problem.paths @ toll)[problem.test_node]
        rate = np.where(problem.allowed, gain / cost, 0.0)
        held = {b.what for b in scene.blocks}
        for i in np.argsort(-rate, kind="stable").tolist():
            if gain[i] < 0.02 or not problem.allowed[i]:
                continue
            if problem.tests[i].id not in held:
                return (problem.tests[i].kind, problem.tests[i].id)
        return self.mend(scene, 0.1) or ("workshop", "workshop")


class Ours(Base):
    """The product's planner."""

    def __init__(self, book: Rulebook, table: Tables | None = None) -> None:
        super().__init__(book, table)
        self.planner = Planner(book)

    def __call__(self, scene: Scene) -> Step:
        """The step it puts first."""
        best = self.planner.plan(scene).best
        assert best is not None
        return (best.kind, best.id)


def policies(book: Rulebook) -> dict[str, Base]:
    """All that are compared, by name, the planner first."""
    table = tables(book)
    return {OURS: Ours(book, table), **rivals(book, table)}


def rivals(book: Rulebook, table: Tables) -> dict[str, Base]:
    """All of them by name."""
    return {WALKED: Walk(book, table), "commonest first": Commonest(book, table),
            "probability over cost": OverCost(book, table), "information per minute": Telling(book, table)}


__all__ = ["OURS", "WALKED", "Base", "Commonest", "OverCost", "Telling", "Walk", "policies", "rivals"]
