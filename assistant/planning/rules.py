"""Which of the costed actions is taken: plain rules on top of the least expected minutes.

The estimates of what comes later are hopeful (they suppose that the doubt left can be ended at the going rate), so a test
must save something worth its trouble; not so where so little is left that nearly every course was followed to its end, and
the minutes are no estimates. A repair needs a fault that is likely or shown: nobody likes to pay for a guess.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Callable, Iterable

from assistant.planning.nodes import estimated, order
from assistant.planning.problem import Problem
from assistant.planning.search import Action, Effort, Search
from assistant.rulebook.book import Rulebook

Test = Callable[[Action], bool]


@dataclass(frozen=True, slots=True)
class Rules:
    """The numbers of the rules. Minutes, and shares of 1."""

    saves_least: float = 0.0  # a test is expected to save at least so much
    saves_share: float = 0.0  # and this share of its own minutes
    repair_least: float = 0.0  # share from which a repair competes with tests
    guess_least: float = 0.0  # and from which it is tried before all is handed over
    estimated_most: float = 0.0  # share of the minutes to come that may be an estimate without a test having to save a margin
    question_least: float = 0.0  # a question is expected to save so much against the best of all else

    @classmethod
    def of(cls, book: Rulebook) -> "Rules":
        """As the settings file has them."""
        number = book.setting
        return cls(number("saves-least", 0.5), number("saves-least-share", 0.5), number("repair-least", 0.5), number("guess-least", 0.08),
                   number("estimated-most", 0.5), number("saves-least", 0.5))


def look_ahead(problem: Problem, effort: Effort, rules: Rules) -> tuple[Search, Rules]:
    """A problem looked into, with the rules to choose by: no test need save a margin where the minutes rest on little estimate."""
    search = Search(problem if problem.repair_least == rules.repair_least else replace(problem, repair_least=rules.repair_least), effort)
    search.run()
    best = min((a for a in search.root.actions or [] if a.depth > 1 or a.kind == "stop"), key=order)
    looked_through = estimated(best) <= rules.estimated_most * best.value
    return search, replace(rules, saves_least=float("-inf"), saves_share=0.0) if looked_through else rules


class Choosing:
    """The actions of one search, in the order in which they are to be preferred."""

    def __init__(self, search: Search, rules: Rules, may: Test = lambda _: True, decides: Test = lambda _: True, shown: Iterable[int] = ()) -> None:
        self.search, self.rules, self.may, self.decides = search, rules, may, decides
        self.problem = search.problem
        self._shown = frozenset(shown)
        actions = search.root.actions or []
        self.stop = next(a for a in actions if a.kind == "stop")
        place = {id(a): i for i, a in enumerate(actions)}
        self.ranked = sorted(actions, key=lambda a: (not self._competes(a), a.kind != "stop" and -a.depth, round(a.value, 6), place[id(a)]))

    def best(self) -> Action:
        """The least expected minutes among what competes.

        When that is handing over: before it a test that pays even if it were the last, then a repair on a suspicion where that is
        cheaper on the whole.
        """
        able = (a for a in self.ranked if a.kind != "stop" and self._competes(a) and a.value < self.stop.value and self.decides(a))
        first = next(able, None)
        if first is None:
            return self._pays() or self._guess() or self.stop
        if self.rules.question_least > 0 and self._is_question(first):  # nobody likes to be asked for the sake of some seconds
            other = next((a for a in able if not self._is_question(a) and a.depth >= first.depth), None)  # not by a hope that nobody looked into
            if other is not None and other.value - first.value < self.rules.question_least * self.search.root.mass:
                return other
        return first

    def _is_question(self, action: Action) -> bool:
        return action.kind == "test" and self.problem.tests[action.index].kind == "question"

    def _competes(self, action: Action) -> bool:
        if action.kind == "test":
            rules = self.rules
            return action.near < self.search.base - rules.saves_least - rules.saves_share * action.cost and self.may(action)
        if action.kind == "stop":
            return True
        shown = any(i in self._shown for i, _ in self.problem.fixes[action.index].cures)
        return (shown or self._likely(action, self.rules.repair_least)) and self.may(action)

    def _likely(self, action: Action, least: float) -> bool:
        return float(sum(self.problem.belief[i] for i, _ in self.problem.fixes[action.index].cures)) >= least * self.search.root.mass

    def _pays(self) -> Action | None:
        """The test that pays most even if nothing were found out after it: a workshop that is told the wrong thing costs more than the test."""
        rules, most = self.rules, self.stop.value
        able = [(float(self.search.at_once[a.index]), a) for a in self.ranked if a.kind == "test" and self.may(a)]
        able = [(minutes, a) for minutes, a in able if minutes < most - max(rules.saves_least, 0.0) - rules.saves_share * a.cost]
        return min(able, key=lambda pair: (round(pair[0], 6), pair[1].index))[1] if able else None

    def _guess(self) -> Action | None:
        able = [a for a in self.ranked if a.kind == "fix" and a.value < self.stop.value and self._likely(a, self.rules.guess_least) and self.may(a)]
        return min(able, key=lambda a: (round(a.value, 6), a.index), default=None)


__all__ = ["Choosing", "Rules", "look_ahead"]
