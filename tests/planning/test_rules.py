"""The rules that stand above the minutes: margins for tests where the minutes are estimates, and no repair on a guess."""

import pytest

from assistant.planning.nodes import estimated
from assistant.planning.rules import Rules, look_ahead
from assistant.planning.search import Effort
from tests.benchmarks.exact import Exact
from tests.benchmarks.gaps import policy
from tests.benchmarks.instances import drawn
from tests.real import BOOK

RULES = Rules.of(BOOK)
BLIND = Effort(work=0, plies=2)  # looks no further than the next step


@pytest.mark.parametrize("number", range(8))
def test_small_problems_need_no_margins(number):
    """With the product's own rules and effort a small problem costs at most 5 in 100 more than the best course that repairs no guess."""
    made = drawn(number)
    least = Exact(made, repair_least=RULES.repair_least, guess_least=RULES.guess_least).optimum()
    assert Exact(made).optimum() <= least + 1e-9
    assert Exact(made).of(policy(RULES)) <= 1.05 * least


def test_what_was_not_looked_at_is_an_estimate():
    """Followed to the end, little of the best course is an estimate; looked at for a step, most of it is, and tests must save a margin."""
    made = drawn(1, large=True)
    shares = []
    for effort in (Effort(), BLIND):
        search, rules = look_ahead(made, effort, RULES)
        best = next(a for a in search.root.actions if a.depth > 1)
        shares.append(estimated(best) / best.value)
        assert rules.repair_least == RULES.repair_least
        assert (rules.saves_share == 0) == (shares[-1] <= RULES.estimated_most)
    assert 0 <= shares[0] < RULES.estimated_most < shares[1] <= 1


def test_without_the_setting_the_margins_always_hold():
    """A share of nothing leaves the rules as they are wherever anything is an estimate."""
    rules = Rules(saves_least=1, repair_least=0.4)
    assert look_ahead(drawn(1, large=True), BLIND, rules)[1] is rules
