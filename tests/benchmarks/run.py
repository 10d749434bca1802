"""One owner led by one policy to the end, and what it cost them. Minutes are the files' own: work, money and risk on one scale."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Callable

from assistant.planning.costs import Prices, check_minutes, hazard_minutes, reachable, to_open, tool_minutes
from assistant.planning.scene import Scene
from assistant.rulebook.book import Rulebook
from tests.benchmarks.quick import Quick
from tests.benchmarks.world import UNLISTED, Owner

Step = tuple[str, str]  # kind, id
Policy = Callable[[Scene], Step]
_MAX = 80


@dataclass
class Outcome:
    """How it went for one owner."""

    number: int
    minutes: float = 0.0
    ended: str = ""  # cured | workshop
    steps: list[Step] = field(default_factory=list)
    questions: int = 0
    checks: int = 0
    repairs: int = 0
    wrong_parts: int = 0
    belief: tuple[tuple[float, bool], ...] = ()  # at the end: share of each fault that is not out of the question, and whether it is there
    brier: float = 0.0  # of the whole ranking at the end
    truth: tuple[str, ...] = ()
    dry: int = 0  # most questions in a row without an answer that moved the belief


def play(book: Rulebook, quick: Quick, prices: Prices, owner: Owner, policy: Policy) -> Outcome:
    """Lead the owner until it runs or goes to a workshop."""
    told: dict[str, tuple[str, ...]] = dict(owner.story)
    passed: set[str] = set()
    opened: frozenset[str] = frozenset()
    have: set[str] = set()
    lack: set[str] = set()
    tried: list[str] = []
    twice: set[str] = set()
    result = Outcome(owner.number, truth=owner.faults)
    left = set(owner.faults)
    dry = 0
    for _ in range(_MAX):
        scene = quick.scene(told, tried, passed=frozenset(passed), opened=opened, tools_have=frozenset(have),
                            tools_lack=frozenset(lack), questions_in_a_row=dry)
        kind, name = policy(scene)
        result.steps.append((kind, name))
        real = Scene(scene.ranking, lacking=scene.lacking, opened=opened, tools_have=owner.tools,
                     tools_lack=frozenset(book.tools) - owner.tools)
        if kind == "workshop":
            break
        if kind == "repair":
            fault = book.faults[name]
            tools = tool_minutes(book, prices, list(fault.repair.tools), real)
            if tools is None:
                missing = {t for t in fault.repair.tools if t not in owner.tools}
                if missing <= lack:
                    break
                lack |= missing
                result.minutes += prices.question
                continue
            minutes, opens = to_open(book, fault.repair.access, opened)
            opened |= frozenset(opens)
            have |= set(fault.repair.tools)
            result.repairs += 1
            price = prices.parts[fault.repair.parts_class]
            same = {f for f in left if f == name or fault.repair.fix and f in book.faults and book.faults[f].repair.fix == fault.repair.fix}
            cured = {f for f in same if owner.luck[f] * 100 < book.faults[f].repair.cures}
            result.minutes += minutes + fault.repair.minutes + hazard_minutes(prices, fault.repair.hazards) + prices.try_start
            result.minutes += 0.0 if cured else price * prices.wrong_part
            if not cured and fault.repair.parts_class not in ("nothing", "consumable"):
                result.wrong_parts += 1
            left -= cured
            if not left:
                result.ended = "cured"
                break
            group = [f for f in book.faults if fault.repair.fix and book.faults[f].repair.fix == fault.repair.fix] or [name]
            tried += [f for f in group if f not in tried]
            stale = set(fault.repair.renews)
            told = {t: v for t, v in told.items() if t not in stale or t in owner.story}
            twice |= stale
            continue
        if name in book.checks:
            check = book.checks[name]
            cost = check_minutes(book, prices, check, real)
            if cost is None or not reachable(book, check.access, real):
                missing = {t for t in (*check.tools, *check.instead_tools) if t not in owner.tools}
                passed |= {name} if missing <= lack else set()
                lack |= missing
                result.minutes += prices.question
                continue
            minutes, opens = to_open(book, check.access, opened)
            opened |= frozenset(opens)
            have |= set(check.instead_tools if cost[1] else check.tools)
            lack |= {t for t in check.tools if t not in owner.tools} if cost[1] else set()
            result.minutes += minutes + cost[0]
            result.checks += 1
            dry = 0
            if name not in owner.answers:
                passed.add(name)
                continue
            told[name] = (owner.again[name] if name in owner.spoilt and name not in twice else owner.answers[name],)
            continue
        fact = book.facts[name]
        result.questions += 1
        result.minutes += fact.minutes + prices.question
        if name in owner.answers and name in owner.knows:
            told[name] = (owner.answers[name],)
            dry = 0
        elif fact.about == "setting" and "yes" in (fact.values or {}):
            result.minutes += 10  # it is seen to: spilt fuel wiped up, the machine put level
            told[name] = ("yes",)
        else:
            passed.add(name)
            dry += 1
            result.dry = max(result.dry, dry)
    if not result.ended:
        result.ended = "workshop"
        top = scene.ranking.standings[0].fault if scene.ranking.standings else UNLISTED
        result.minutes += prices.workshop_known if top in left else prices.workshop
    shares = {s.fault: s.probability for s in scene.ranking.standings} | {UNLISTED: scene.ranking.unlisted}
    result.belief = tuple((p, f in owner.faults) for f, p in shares.items() if p >= 0.01)
    result.brier = sum((p - (f in owner.faults)) ** 2 for f, p in shares.items())
    return result
