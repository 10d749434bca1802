"""The planner on published and worked examples: what its choices cost when they are followed to the end, exactly.

Sources: J. B. Kadane and H. A. Simon, Annals of Statistics 5, 1977; T. J. Ottosen and F. V. Jensen, 2010 (arXiv 1203.3502);
V. Lin, 2014; K. R. Pattipati and M. G. Alexandridis, IEEE SMC 20(4), 1990 (test sequencing); F. V. Jensen and T. D. Nielsen,
"Bayesian Networks and Decision Graphs", 2007, p. 35 (the car that does not start, here with one fault at a time).
"""

from dataclasses import replace

import numpy as np
import pytest

from assistant.planning.problem import Fix, Problem
from assistant.planning.problem import Test as Look  # pytest takes classes called Test for its own
from assistant.planning.search import Search
from tests.benchmarks.exact import Exact
from tests.benchmarks.gaps import FREE, policy
from tests.benchmarks.instances import drawn

NEVER = 1e5  # minutes of a hand-over that is never worth it


def problem(belief, fixes, tests=(), nodes=(), hand_over=NEVER, known=None, rest=0.0) -> Problem:
    """fixes: (fault, minutes, node), tests: (minutes, node, rows of chances by fault and rest), nodes: (parent, minutes)."""
    rows = [np.array(row, dtype=float) for _, _, outcomes in tests for row in outcomes]
    start = np.cumsum([0, *(len(outcomes) for _, _, outcomes in tests)])
    return Problem(np.array([*belief, rest]), tuple(Look(f"t{i}", "check", minutes, node) for i, (minutes, node, _) in enumerate(tests)), start,
                   np.array(rows).reshape(-1, len(belief) + 1), tuple(Fix(f"f{f}", minutes, node, 0.0, ((f, 1.0),)) for f, minutes, node in fixes),
                   tuple(parent for parent, _ in nodes), np.array([toll for _, toll in nodes], dtype=float), hand_over=hand_over,
                   known_hand_over=hand_over if known is None else known)


def costs(made: Problem) -> tuple[float, float]:
    """(what the planner's choices cost, the least that any choices could cost)."""
    return Exact(made).of(policy(FREE)), Exact(made).optimum()


def test_chance_over_cost():
    """Kadane and Simon: five repairs in the order of chance over minutes take 18.5 minutes, the least of all orders."""
    made = problem([0.30, 0.15, 0.25, 0.20, 0.10], [(0, 12, -1), (1, 3, -1), (2, 10, -1), (3, 4, -1), (4, 8, -1)])
    assert costs(made) == (pytest.approx(18.5), pytest.approx(18.5))


def test_shared_access():
    """Ottosen and Jensen's cost clusters: seven repairs behind a seat, a tank, an airbox and a side panel take 24.63 minutes, the least of 5040 orders."""
    made = problem([0.10, 0.15, 0.05, 0.30, 0.10, 0.22, 0.08], [(0, 2, -1), (1, 5, 0), (2, 1, 0), (3, 4, 1), (4, 3, 1), (5, 5, 2), (6, 4, 3)],
                   nodes=[(-1, 3), (0, 10), (1, 6), (-1, 2)])
    assert costs(made) == (pytest.approx(24.63), pytest.approx(24.63))


def test_calling_service():
    """Lin: with 40 minutes for handing over, four of the five repairs are worth trying, at 29.90 minutes."""
    made = problem([0.30, 0.15, 0.25, 0.02, 0.08], [(0, 12, -1), (1, 3, -1), (2, 10, -1), (3, 4, -1), (4, 8, -1)], hand_over=40, rest=0.20)
    assert costs(made) == (pytest.approx(29.90), pytest.approx(29.90))


def test_the_first_repair_that_does_not_pay_is_no_reason_to_stop():
    """Two repairs of 10 minutes at .4 and 24 to hand over: none 24.0, one 24.4, both 20.8, and both are chosen."""
    made = problem([0.4, 0.4], [(0, 10, -1), (1, 10, -1)], hand_over=24, rest=0.2)
    assert costs(made) == (pytest.approx(20.8), pytest.approx(20.8))


SIGNS = ((0, 0, 0, 0, 0), (0, 1, 0, 0, 1), (0, 0, 1, 1, 0), (1, 0, 0, 1, 1), (1, 1, 0, 0, 0), (1, 1, 1, 1, 0))


def test_test_sequencing():
    """Pattipati and Alexandridis: six states, five tests of one minute; finding the state takes 2.18 on average, where most information first takes 2.86."""
    tests = [(1, -1, [[s[t] for s in SIGNS] + [0.5], [1 - s[t] for s in SIGNS] + [0.5]]) for t in range(5)]
    made = problem([0.70, 0.01, 0.02, 0.10, 0.05, 0.12], [], tests)
    # Naming the state is a repair that costs nothing when it is right, and so much when it is wrong that nobody guesses.
    made = replace(made, fixes=tuple(Fix(f"f{i}", NEVER, -1, -NEVER, ((i, 1.0),)) for i in range(6)))
    assert costs(made) == (pytest.approx(2.18, abs=1e-6), pytest.approx(2.18, abs=1e-6))


CHECKS = [(1, -1, [.9, .1, .1, .1, .1]), (2, 0, [.05, .05, .9, .9, .2]), (1, 1, [.1, .1, .95, .1, .3])]


def test_checks_repairs_access_and_service_together():
    """Four repairs, three noisy checks, two access states and a workshop at 60: 27.1268 by dynamic programming, and the planner's choices cost that."""
    tests = [(minutes, node, [yes, [1 - x for x in yes]]) for minutes, node, yes in CHECKS]
    made = problem([.30, .20, .25, .15], [(0, 6, 0), (1, 3, -1), (2, 8, 1), (3, 12, 1)], tests, [(-1, 4), (0, 10)], hand_over=60, rest=.10)
    ours, least = costs(made)
    assert least == pytest.approx(27.1268, abs=1e-6)
    assert ours == pytest.approx(27.1268, abs=1e-6)


def test_the_car_that_does_not_start():
    """Jensen and Nielsen: the fuel gauge is read before the plugs are cleaned; at half, dirty plugs stand at .804344 and no fuel at .000663."""
    belief = [0.284799, 0.575650]  # no fuel, dirty plugs; the rest is neither
    gauge = [[.001, .39, .39], [.001, .60, .60], [.998, .01, .01]]  # full, half, empty
    made = problem(belief, [(0, 10, -1), (1, 15, -1)], [(0.2, -1, gauge)], hand_over=120, rest=1 - sum(belief))
    search = Search(made)
    best = search.run()[0]
    assert (best.kind, best.index) == ("test", 0)
    half = search.outcomes(search.root, best)[1]
    assert half.belief / half.mass == pytest.approx([0.000663, 0.804344, 0.194993], abs=2e-6)
    assert costs(made)[0] == pytest.approx(costs(made)[1])


@pytest.mark.parametrize("number", range(8))
def test_small_problems_are_solved_nearly_exactly(number):
    """On small random problems the planner's choices cost at most 5 in 100 more than the optimum, and never less."""
    ours, least = costs(drawn(number))
    assert least - 1e-9 <= ours <= 1.05 * least


@pytest.mark.parametrize("number", range(6))
def test_dearer_is_never_cheaper(number):
    """The optimum does not fall when a test, an opening or the workshop gets dearer, nor rise when work stands open already or a test is added."""
    made = drawn(number)
    least = Exact(made).optimum()
    dearer = replace(made, tests=tuple(replace(t, minutes=t.minutes + 1) for t in made.tests))
    assert Exact(dearer).optimum() >= least - 1e-9
    assert Exact(replace(made, toll=made.toll + 1)).optimum() >= least - 1e-9
    assert Exact(replace(made, hand_over=made.hand_over + 5, known_hand_over=made.known_hand_over + 5)).optimum() >= least - 1e-9
    assert Exact(replace(made, opened=frozenset(range(len(made.parent))))).optimum() <= least + 1e-9
    fewer = replace(made, tests=made.tests[:-1], start=made.start[:-1], likely=made.likely[: made.start[-2]])
    assert Exact(fewer).optimum() >= least - 1e-9


def test_work_is_counted_and_bounded():
    """A search looks at no more than it may by much, and the same search comes to the same numbers."""
    made = drawn(3, large=True)
    first, second = Search(made), Search(made)
    assert [(a.kind, a.index, a.value) for a in first.run()] == [(a.kind, a.index, a.value) for a in second.run()]
    assert first.done <= 2 * first.effort.work
