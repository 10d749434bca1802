"""How sure: the mixture over spoilt tests is the one that Bayes gives, whole, stable, and without luck."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.explain.doubt import cheapest_to_doubt
from assistant.explain.slips import fit, patterns, past_tests, spoilt_share, sureness
from tests.explain.small import TOTAL, mind, ranking, told, without

PRIOR = {"battery-flat": 60, "plug-fouled": 40, "coil-dead": 20, "jet-blocked": 50, "unlisted": 30}


def by_hand(ratios: dict[str, dict[str, float]], spoilt: dict[str, float], fault: str) -> tuple[list[tuple[float, float]], dict[str, float]]:
    """The mixture by going through all patterns and hypotheses: [(share, probability)], and each test's chance of a slip after all."""
    rows = []
    for chosen in itertools.product((False, True), repeat=len(spoilt)):
        bad = {c for c, b in zip(sorted(spoilt), chosen) if b}
        share = math.prod(spoilt[c] if c in bad else 1 - spoilt[c] for c in spoilt)
        joint = {h: p / TOTAL * math.prod(ratios[c].get(h, 1.0) for c in spoilt if c not in bad) for h, p in PRIOR.items()}
        rows.append((bad, share * sum(joint.values()), joint[fault] / sum(joint.values())))
    whole = sum(r[1] for r in rows)
    return [(w / whole, p) for _, w, p in rows], {c: sum(w for bad, w, _ in rows if c in bad) / whole for c in spoilt}


def test_the_mixture_is_the_one_by_hand():
    """Three tests, eight patterns: mean, bounds and every test's chance of a slip agree with the count over all of them."""
    state = told(("rest-volts", "low"), ("spark-look", "none"), ("plug-look", "wet"))
    found = sureness(mind().book, mind().weigh_up(state)[0], "battery-flat", without(state))
    ratios = {"rest-volts": {"battery-flat": 10}, "spark-look": {"plug-fouled": 10, "coil-dead": 15}, "plug-look": {"plug-fouled": 10}}
    rows, after = by_hand(ratios, {"rest-volts": 0.1, "spark-look": 0.2, "plug-look": 0.05}, "battery-flat")
    assert found.patterns == 8 and found.left_out == pytest.approx(0, abs=1e-12)
    assert found.mean == pytest.approx(sum(w * p for w, p in rows))
    assert {c: a for c, (_, a) in found.spoilt.items()} == pytest.approx(after)
    below = sorted((p, w) for w, p in rows)
    low = next(p for i, (p, _) in enumerate(below) if sum(w for _, w in below[: i + 1]) >= 0.05)
    high = next(p for i, (p, _) in enumerate(below) if sum(w for _, w in below[: i + 1]) >= 0.95)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    assert found.low <= found.mean <= found.high


def test_a_test_against_all_others_is_the_suspect():
    """A slow crank, volts that sag, and a battery that reads well: the good reading is doubted more than the slips alone say."""
    state = told(("cranking", "slow"), ("lights", "dim"), ("crank-volts", "low"), ("rest-volts", "good"))
    found = sureness(mind().book, mind().weigh_up(state)[0], "battery-flat", without(state))
    assert found.spoilt["rest-volts"][1] > found.spoilt["rest-volts"][0] > 0.09
    assert found.spoilt["crank-volts"][1] < found.spoilt["crank-volts"][0]


def test_the_same_question_gets_the_same_answer():
    """No random numbers: twice asked, twice the same, whatever the order of the notes."""
    state = told(("rest-volts", "low"), ("spark-look", "none"), ("crank-volts", "low"))
    turned = told(("crank-volts", "low"), ("spark-look", "none"), ("rest-volts", "low"))
    first, second = (sureness(mind().book, mind().weigh_up(s)[0], "battery-flat", without(s)) for s in (state, turned))
    assert first == second


def test_without_tests_there_is_nothing_to_spread():
    """What was only told has no slip rate: one pattern, no spread."""
    state = told(("cranking", "slow"))
    found = sureness(mind().book, mind().weigh_up(state)[0], "battery-flat", without(state))
    assert found.patterns == 1 and found.spoilt == {}
    assert found.low == found.high == found.mean == found.now


def test_the_fit_is_the_sum_over_all_hypotheses():
    """With a slow crank: (600 + 40 + 20 + 50 + 30) of 200."""
    assert fit(ranking(told(("cranking", "slow")))) == pytest.approx(740 / 200)
    assert fit(ranking(told())) == pytest.approx(1)


@given(st.dictionaries(st.sampled_from("abcdefg"), st.floats(0.01, 0.5), max_size=7))
def test_the_patterns_are_all_there_in_falling_order(spoilt):
    """2 to the n patterns, each once, sharing out 1, the likeliest first."""
    rows = list(patterns(spoilt))
    assert len({p for p, _ in rows}) == len(rows) == 2 ** len(spoilt)
    assert sum(share for _, share in rows) == pytest.approx(1)
    assert all(a[1] >= b[1] - 1e-12 for a, b in zip(rows, rows[1:]))
    for pattern, share in rows:
        assert share == pytest.approx(math.prod(spoilt[c] if c in pattern else 1 - spoilt[c] for c in spoilt))


def test_what_is_left_out_is_told():
    """With room for two patterns only, the share of all the others is said."""
    state = told(("rest-volts", "low"), ("spark-look", "none"))
    found = sureness(mind().book, mind().weigh_up(state)[0], "battery-flat", without(state), most=2)
    assert found.patterns == 2
    assert found.left_out == pytest.approx(1 - 0.9 * 0.8 - 0.9 * 0.2)


def test_slips_of_a_check_add_up_and_nobody_is_surer_than_99_in_100():
    """One slip of 20 in 100 is 0.2; a check without known slips still goes wrong once in 100."""
    assert spoilt_share(mind().book.checks["spark-look"]) == pytest.approx(0.2)
    assert spoilt_share(mind().book.checks["squeeze"]) == 0.01


def test_only_checks_that_count_are_past_tests():
    """Signs are no tests, nor is what was derived."""
    facts = mind().weigh_up(told(("cranking", "slow"), ("rest-volts", 11.0), ("spark-look", "none")))[0]
    assert past_tests(mind().book, facts) == ["rest-volts", "spark-look"]


def doubted(*items):
    """The suspects of the small trade, seat off already."""
    state = told(*items)
    facts, _, _, _, now = mind().weigh_up(state)
    return cheapest_to_doubt(mind().book, facts, now, frozenset({"seat-off"}), lambda c: without(state)(frozenset({c})))


def test_the_cheapest_to_doubt_changes_most_per_minute():
    """The good reading that hides a flat battery comes before a test that would change less for more minutes."""
    found = doubted(("cranking", "slow"), ("lights", "dim"), ("rest-volts", "good"), ("plug-look", "dry"))
    assert found[0].check == "rest-volts"
    assert (found[0].leader, found[0].minutes, found[0].slip) == ("battery-flat", 2, "The meter stood on ohms.")
    assert found[0].here > found[0].spoils == pytest.approx(10)


def test_the_slip_rate_here_is_bayes():
    """Good volts against a slow crank: 10 in 100 beforehand, moved by how well all fits with and without it."""
    found = next(s for s in doubted(("cranking", "slow"), ("rest-volts", "good")) if s.check == "rest-volts")
    with_it, without_it = 600 * 0.2 + 140, 600 + 140
    assert found.here == pytest.approx(100 * 0.1 * without_it / (0.1 * without_it + 0.9 * with_it))


def test_a_test_that_changes_nothing_is_not_doubted():
    """Nobody repeats a test whose outcome moved no fault up when it is taken away."""
    assert doubted(("squeeze", "good")) == []
