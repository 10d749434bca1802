"""The next step: the one with the least expected minutes from here, with how it would go on.

One step is looked ahead for every action (value of information with the repair order as leaf value), a second one
for a shortlist: the best few, and the best that opens each further access state, so that a bundle of cheap checks
behind one panel gets a hearing. See DEVELOPERS.md, "How the next step is chosen".
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Iterable

from assistant.planning.costs import Prices, check_minutes, repair_minutes, to_open, tool_minutes
from assistant.planning.gates import gates
from assistant.planning.outcomes import after_each
from assistant.planning.predict import Prediction, predictions
from assistant.planning.rank import further as _further, rank as _rank
from assistant.planning.safety import lifting
from assistant.planning.scene import Scene
from assistant.planning.value import Job, Repairs
from assistant.records import Option, Plan
from assistant.rulebook.book import Rulebook
from assistant.rulebook.evaluate import holds, index

_KEEP = 0.97  # share of belief whose faults the look-ahead distinguishes; the rest wait in the hand-over
_SHORT = 4
_SECOND = 8
_FREED = 4
_OVERLAP = 1.3  # checks tell partly the same: more of them are needed than their bits add up to
_RARE = 0.04  # outcomes rarer than this are not followed a second step
_TINY = 1e-9
_SLACK = 2e-6  # minutes: steps as near as this are ranked by other things


class Planner:
    """A rulebook's predictions and prices, ready to plan any scene of it."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.prices = Prices.of(book)
        self.predict = predictions(book)
        self._gates = gates(book)

    def plan(self, scene: Scene) -> Plan:
        """Choose. Same scene, same plan: ties go to the lower (kind, id)."""
        return _Moment(self, scene).plan()

    def gate(self, parts: Iterable[str], scene: Scene) -> str | None:
        """The machine question to ask before a step that needs these parts, when one may well be lacking."""
        told = {f.topic for f in scene.facts if not f.denied}
        worst, topic = self.book.setting("gate-least", 0.12), None
        for part in parts:
            for fact, chance in self._gates.get(part, ()):
                if fact not in told and fact not in scene.done and chance > worst and not self._certain(part, scene):
                    worst, topic = chance, fact
        return topic

    def _certain(self, part: str, scene: Scene) -> bool:
        told = index(scene.facts)
        return any(r.kind == "applies" and part in r.has and holds(self.book.conditions[r.id], told)
                   for r in self.book.rules.values())


class _Moment:
    """One planning: holds what is the same for all actions of this scene."""

    def __init__(self, planner: Planner, scene: Scene) -> None:
        self.planner, self.scene, self.book, self.prices = planner, scene, planner.book, planner.prices
        self.belief: dict[str, float] = {}
        covered = scene.ranking.unlisted
        for standing in scene.ranking.standings:
            if covered >= _KEEP or standing.probability <= 1e-5:
                break
            self.belief[standing.fault] = standing.probability
            covered += standing.probability
        self.rest = max(0.0, 1.0 - sum(self.belief.values()))
        self._repairs: dict[frozenset[str], Repairs] = {}
        self._strong: dict[tuple[str, str], float] = {}
        for weight in scene.ranking.weights:
            aspect = self.book.rules[weight.rule].aspect
            if aspect and weight.counts:
                self._strong[aspect, weight.fault] = 10 ** (weight.decibans / 10)
        self.told = index(scene.facts)
        self.held = {b.what: b for b in scene.blocks}
        self.known = {f.topic for f in scene.facts if not f.denied} | set(scene.done)
        for check in self.book.checks.values():
            if check.same_as and not self.known.isdisjoint((check.id, *check.same_as)):
                self.known |= {check.id, *check.same_as}
        self.rate = self.book.setting("minutes-per-bit", 6)
        self.rate = self.going_rate()

    # -- belief ------------------------------------------------------------

    def repairs(self, opened: frozenset[str]) -> Repairs:
        """The repairs with these states open."""
        if opened not in self._repairs:
            jobs: list[Job] = []
            nodes: dict[str, tuple[str | None, float]] = {}
            for fault_id in self.belief:
                fault = self.book.faults[fault_id]
                if fault_id in self.held or fault_id in self.scene.tried:
                    continue
                minutes = repair_minutes(self.book, self.prices, fault, self.scene)
                if minutes is None:
                    continue
                path = [s for s in self.book.path_to(fault.repair.access) if s not in opened]
                for i, state in enumerate(path):
                    access = self.book.access[state]
                    nodes[state] = (path[i - 1] if i else None, access.open + access.close)
                jobs.append((fault_id, minutes, fault.repair.cures / 100, path[-1] if path else None))
            self._repairs[opened] = Repairs(jobs, nodes, self.prices.workshop, self.prices.workshop_known,
                                            {f: self.book.faults[f].repair.fix for f in self.belief if self.book.faults[f].repair.fix})
        return self._repairs[opened]

    def leaf(self, belief: dict[str, float], opened: frozenset[str]) -> float:
        """Expected minutes from a belief on, at the going rate for finding the fault."""
        return self.repairs(opened).minutes(belief, self.rate)

    def going_rate(self) -> float:
        """Minutes of checks per bit of doubt: the average over the cheapest steps that together would end the doubt.

        Reckoned anew for every scene, since the cheap questions are used up first and doubt gets dearer.
        """
        bits = self.repairs(self.scene.opened).bits(self.belief)
        offers = []
        for topic, prediction in self.planner.predict.items():
            if topic in self.known:
                continue
            cost = self._cost(topic, self.scene.opened)
            if cost is None:
                continue
            known = self._known(topic)
            left = sum(chance * self.repairs(self.scene.opened).bits(after)
                       for _, chance, after, _ in after_each(self.belief, self.rest, prediction, self._strong))
            gain = known * (bits - left)
            if gain > 0.01:
                offers.append((cost[0] / gain, gain, cost[0]))
        offers.sort()
        got, spent = 0.0, 0.0
        for _, gain, minutes in offers:
            got, spent = got + gain, spent + minutes
            if got >= bits * _OVERLAP:
                break
        low, high = self.book.setting("minutes-per-bit-least", 2), self.book.setting("minutes-per-bit-most", 45)
        return min(max(spent / got, low), high) if got > 0.05 else high

    # -- actions -----------------------------------------------------------

    def plan(self) -> Plan:
        """Score, look further on the shortlist, choose."""
        scene = self.scene
        options = self._one_step(self.belief, self.rest, scene.opened, frozenset(), self._strong)
        options.append(self._hand_over())
        options.sort(key=_rank)
        shortlist = self._shortlist(options)
        deep = [self._two_step(o, options) if o.kind in ("check", "question") else o for o in shortlist]
        rest = [o for o in options if o not in shortlist]
        deep.sort(key=_rank)
        best = self._opening(options) or self._admissible(deep + rest)
        ordered = [best, *[o for o in sorted(deep + rest, key=_rank) if o.id != best.id or o.kind != best.kind]]
        gated = None if best.kind == "question" and self.book.facts[best.id].opening else self._gated(best)
        if gated is not None:
            ordered.insert(0, gated)
        base = self.leaf(self.belief, scene.opened)
        ordered = [replace(o, saves=base - o.expected_minutes) for o in ordered]
        return Plan(ordered[0], tuple(ordered[1:9]), scene.blocks, self._unblock(options))

    def _opening(self, options: list[Option]) -> Option | None:
        """A question that the files put before everything else, while it is open and worth asking at all."""
        return next((o for o in options if o.kind == "question" and self.book.facts[o.id].opening), None)

    def _admissible(self, options: list[Option]) -> Option:
        """The best that may be offered now.

        Tests that save something, repairs that are likely enough, and the workshop once it is known what for, compete.
        When none of these is left, so do repairs on a mere suspicion, and handing over without a name.
        """
        base = self.leaf(self.belief, self.scene.opened)
        least = self.book.setting("repair-least", 0.5)
        sure = [o for o in options if o.kind == "repair" and (o.settles >= least * 0.5 and self._mass(o.id) >= least or self._shown(o.id))]
        tests = [o for o in options if o.kind in ("check", "question") and o.expected_minutes < base - 0.01 and self._askable(o)]
        known = [o for o in options if o.kind == "workshop" and self._leader_is_theirs(least)]
        first = min(sure + tests + known, key=_rank, default=None)
        if first is not None:
            return first
        guess = self.book.setting("guess-least", 0.08)
        last = [o for o in options if o.kind == "repair" and self._mass(o.id) >= guess or o.kind == "workshop"]
        return min(last, key=_rank)

    def _mass(self, fault: str) -> float:
        """Belief in a fault together with those that the same fix cures."""
        fix = self.book.faults[fault].repair.fix
        if fix is None:
            return self.belief.get(fault, 0.0)
        return sum(m for f, m in self.belief.items() if self.book.faults[f].repair.fix == fix)

    def _shown(self, fault: str) -> bool:
        standing = self.scene.ranking.of(fault)
        return standing is not None and standing.standing == "shown"

    def _leader_is_theirs(self, least: float) -> bool:
        """Whether the leading fault is known well enough and is the workshop's to mend."""
        leader = max(self.belief, key=lambda f: (self.belief[f], f), default=None)
        return leader is not None and (self.belief[leader] >= least or self._shown(leader)) and (
            repair_minutes(self.book, self.prices, self.book.faults[leader], self.scene) is None)

    def _askable(self, option: Option) -> bool:
        """No question past the budget, none whose answers change nothing."""
        if option.kind != "question":
            return True
        if self.scene.questions_in_a_row >= self.book.setting("questions-in-a-row", 3):
            return False
        onward = {step for _, step in option.leads if step != option.id}
        return not (len(option.leads) > 1 and len(onward) < 2)

    def _hand_over(self) -> Option:
        """A workshop that is told what is wrong is quicker than one that must find out."""
        top = max(self.belief.values(), default=0.0)
        minutes = self.prices.workshop - (self.prices.workshop - self.prices.workshop_known) * top
        return Option("workshop", "workshop", minutes, minutes)

    def _one_step(self, belief: dict[str, float], rest: float, opened: frozenset[str], used: frozenset[str],
                  strong: dict, only: Iterable[str] | None = None, most: float = math.inf) -> list[Option]:
        """Every step with its expected minutes; with `only`, of these topics the ones that could still be the best and take no more than `most`."""
        result = []
        still: dict[frozenset[str], float] = {}  # by what stands open
        for topic, prediction in self.planner.predict.items():
            if topic in self.known or topic in used or (only is not None and topic not in only):
                continue
            cost = self._cost(topic, opened)
            if cost is None:
                continue
            minutes, opens = cost
            now_open = opened | set(opens)
            outcomes = []
            known = self._known(topic)
            if known < 1 and now_open not in still:
                still[now_open] = self._still(belief, now_open)
            expected, settles = minutes + ((1 - known) * still[now_open] if known < 1 else 0.0), 0.0
            for outcome, chance, after, _ in after_each(belief, rest, prediction, strong):
                value = self.leaf(after, now_open)
                outcomes.append((outcome, chance * known, value))
                expected += known * chance * value
                if expected > most + _SLACK:
                    break
                if after and max(after.values()) >= 0.8:
                    settles += chance * known
            if expected > most + _SLACK:
                continue
            if only is not None:
                most = expected
            kind = "check" if topic in self.book.checks else "question"
            result.append(Option(kind, topic, minutes, expected, 0.0, opens, tuple(outcomes), (), settles))
        result += self._repair_options(belief, opened)
        return result

    def _repair_options(self, belief: dict[str, float], opened: frozenset[str]) -> list[Option]:
        result = []
        done: set[str] = set()
        for fault_id in sorted(belief, key=lambda f: (-belief[f], f)):
            fault = self.book.faults[fault_id]
            repair = fault.repair
            if fault_id in self.held or fault_id in self.scene.tried or repair.fix in done or belief[fault_id] < 0.02:
                continue
            minutes = repair_minutes(self.book, self.prices, fault, self.scene)
            if minutes is None:
                continue
            if repair.fix:
                done.add(repair.fix)
            open_minutes, opens = to_open(self.book, repair.access, opened)
            gain = {f: m * self.book.faults[f].repair.cures / 100 for f, m in belief.items()
                    if f == fault_id or (repair.fix and self.book.faults[f].repair.fix == repair.fix)}
            cured = sum(gain.values())
            left = 1 - cured
            after = {f: (m - gain.get(f, 0.0)) / left for f, m in belief.items()} if left > _TINY else {}
            value = self.leaf(after, opened | set(opens)) if left > _TINY else 0.0
            total = minutes + open_minutes
            result.append(Option("repair", fault_id, total, total + left * value, 0.0, opens,
                                 (("cured", cured, 0.0), ("no-change", left, value)), (), cured))
        return result

    def _known(self, topic: str) -> float:
        """The share of people who can answer a question at all; a check that is done has an outcome."""
        return self.book.facts[topic].known / 100 if topic in self.book.facts else 1.0

    def _still(self, belief: dict[str, float], opened: frozenset[str]) -> float:
        return self.leaf(belief, opened)

    def _cost(self, topic: str, opened: frozenset[str]) -> tuple[float, tuple[str, ...]] | None:
        book, scene = self.book, self.scene
        if topic in book.ask_when and not holds(book.ask_when[topic], self.told):
            return None
        if topic in book.checks:
            check = book.checks[topic]
            if not scene.lacking.isdisjoint(check.parts) or topic in self.held:
                return None
            own = check_minutes(book, self.prices, check, scene)
            if own is None:
                return None
            minutes, opens = to_open(book, check.access, opened)
            return own[0] + minutes, opens
        fact = book.facts[topic]
        if not fact.ask or not scene.lacking.isdisjoint(fact.parts):
            return None
        tools = tool_minutes(book, self.prices, list(fact.tools), scene)
        return None if tools is None else (fact.minutes + self.prices.question + tools, ())

    def _shortlist(self, options: list[Option]) -> list[Option]:
        short = options[:_SHORT]
        seen = {frozenset(o.opens) for o in short}
        for option in options[_SHORT:]:
            if option.kind == "check" and option.opens and frozenset(option.opens) not in seen and len(short) < _SHORT + 3:
                seen.add(frozenset(option.opens))
                short.append(option)
        return short

    def _onward(self, option: Option, options: list[Option]) -> list[str]:
        """The steps worth trying second: the best of the first list, and the best of those that this one makes cheap."""
        best = [o for o in options if o.kind in ("check", "question") and o.id != option.id]
        freed = [o for o in best if set(o.opens) & set(option.opens)]
        return [o.id for o in dict.fromkeys([*best[:_SECOND], *freed[:_FREED]])]

    def _two_step(self, option: Option, options: list[Option]) -> Option:
        """Look one step further: after each outcome, repairs only or the best of a few further steps."""
        prediction = self.planner.predict[option.id]
        opened = self.scene.opened | set(option.opens)
        near = self._onward(option, options)
        known = self._known(option.id)
        expected = option.minutes
        if known < 1:
            base = self._still(self.belief, opened)
            expected += (1 - known) * min([base, *(o.expected_minutes for o in options if o.id != option.id)])
        outcomes, leads = [], []
        for i, (outcome, chance, belief, rest) in enumerate(after_each(self.belief, self.rest, prediction, self._strong)):
            if chance < _RARE:
                value = self.leaf(belief, opened)
                outcomes.append((outcome, chance * known, value))
                expected += known * chance * value
                continue
            strong = self._stronger(prediction, prediction.outcomes.index(outcome))
            base = self.leaf(belief, opened)
            onward = self._one_step(belief, rest, opened, frozenset((option.id,)), strong, near, base)
            best = min(onward, key=_rank, default=None)
            value = min(base, best.expected_minutes) if best else base
            step = best.id if best and best.expected_minutes <= base + _TINY else (
                max(belief, key=lambda f: (belief[f], f)) if belief else "workshop")
            outcomes.append((outcome, chance * known, value))
            leads.append((outcome, step))
            expected += known * chance * value
        return replace(option, expected_minutes=expected, outcomes=tuple(outcomes), leads=tuple(leads))

    def _stronger(self, prediction: Prediction, i: int) -> dict[tuple[str, str], float]:
        aspect = prediction.aspect[i]
        if aspect is None:
            return self._strong
        result = dict(self._strong)
        for fault, factor in prediction.ratio[i].items():
            if (aspect, fault) not in result or _further(factor, result[aspect, fault]):
                result[aspect, fault] = factor
        return result

    def _gated(self, option: Option) -> Option | None:
        """The machine question that must come first, when the step needs a part that may be lacking."""
        if option.kind == "check":
            parts = self.book.checks[option.id].parts
        elif option.kind == "repair":
            parts = self.book.faults[option.id].parts
        else:
            parts = self.book.facts[option.id].parts if option.id in self.book.facts else []
        topic = self.planner.gate(parts, self.scene)
        if topic is None or not self.book.facts[topic].ask:
            return None
        minutes = self.book.facts[topic].minutes + self.prices.question
        return Option("question", topic, minutes, option.expected_minutes + minutes)

    def _unblock(self, options: list[Option]) -> str | None:
        """A fact whose answer could free a held-back step; the planner's caller may ask it when that pays."""
        for block in self.scene.blocks:
            topic = lifting(self.book, block, self.known)
            if topic is not None:
                return topic
        return None
