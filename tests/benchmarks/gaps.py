"""How far the planner is from the best possible, on small problems that can be solved exactly."""

from __future__ import annotations

from functools import cache

import numpy as np

from assistant.planning.choose import EFFORT
from assistant.planning.problem import Problem
from assistant.planning.rules import Choosing, Rules, look_ahead
from assistant.planning.situation import Maker
from tests.benchmarks.exact import Choice, Exact
from tests.benchmarks.figures import figure
from tests.benchmarks.instances import carved, drawn
from tests.benchmarks.policies import OURS
from tests.benchmarks.simulate import Workers, book, known_policies, world
from tests.benchmarks.world import Noise

FREE = Rules(saves_least=float("-inf"))  # nothing but the least expected minutes
Gap = dict[str, float]


def policy(rules: Rules):
    """The planner's choice on a bare problem, with the effort of the product."""

    def choose(problem: Problem) -> Choice:
        search, here = look_ahead(problem, EFFORT, rules)
        action = Choosing(search, here).best()
        return action.kind, action.index

    return choose


def gap(problem: Problem, ruled: bool = True) -> Gap | None:
    """Shares above the optimum; None when the problem is too large to solve.

    `gap`: the planner that goes by nothing but minutes. When `ruled`, `gap with the rules`: the product's, against the best
    course that repairs no guess either, and `price of the rule`: that best course against the best of all.
    """
    exact = Exact(problem)
    try:
        best = exact.optimum()
    except OverflowError:
        return None
    made = {"optimum": best, "states": float(exact.states)}
    made["gap"] = exact.of(policy(FREE)) / best - 1
    if ruled:
        rules = Rules.of(book())
        try:
            held = Exact(problem, repair_least=rules.repair_least, guess_least=rules.guess_least).optimum()
        except OverflowError:
            return made
        made["gap with the rules"], made["price of the rule"] = exact.of(policy(rules)) / held - 1, held / best - 1
    return made


def of_drawn(number: int) -> Gap | None:
    """The gap on one random problem; with the rules on every fourth, since that takes as long again."""
    return gap(drawn(number), ruled=number % 4 == 0)


def of_large(number: int) -> Gap | None:
    """The gap on one larger random problem."""
    return gap(drawn(number, large=True))


@cache
def moments(count: int) -> list[Problem]:
    """Problems cut out of real moments: owners led by the planner until a few things are known."""
    ours = known_policies()[OURS]
    here = world(Noise(seed=7))
    assert here.quick is not None and isinstance(ours.maker, Maker)
    found: list[Problem] = []
    for number in range(count * 3):
        owner = here.owner(number)
        told = dict(owner.story)
        for _ in range(2 + number % 5):
            kind, name = ours(here.quick.scene(told))
            if kind not in ("check", "question") or name in told or name not in owner.answers:
                break
            told[name] = (owner.answers[name],)
        problem = ours.maker.situation(here.quick.scene(told)).problem
        if len(problem.belief) >= 5 and len(problem.tests) >= 5 and problem.fixes:
            found.append(carved(problem))
        if len(found) == count:
            break
    return found


def of_real(job: tuple[int, int]) -> Gap | None:
    """The gap on one of so many problems cut out of real moments."""
    return gap(moments(job[1])[job[0]])


def gaps(workers: Workers, random: int, large: int, real: int) -> dict[str, object]:
    """All of them, with their spread."""
    return {"random": _spread(workers.map(of_drawn, range(random))), "large": _spread(workers.map(of_large, range(large))),
            "real": _spread(workers.map(of_real, [(i, real) for i in range(real)]))}


def _spread(found: list[Gap | None]) -> dict[str, object]:
    solved = [g for g in found if g is not None]
    made: dict[str, object] = {"count": len(solved), "too large to solve": len(found) - len(solved)}
    for name in ("gap", "gap with the rules", "price of the rule"):
        values = np.array([g[name] for g in solved if name in g])
        if len(values):
            made[name] = {"count": len(values), "mean": figure(values), "95th percentile": float(np.quantile(values, 0.95)), "worst": float(values.max()),
                          "at the optimum": float((values < 1e-6).mean())}
    return made
