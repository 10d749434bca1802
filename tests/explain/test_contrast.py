"""Two faults side by side add up to the ratio of their chances; the lifting answer is found by weighing every one."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings

from assistant.explain.contrast import contrast, missing
from assistant.explain.lift import lifts, open_answers
from tests.explain.small import mind, supposing, told
from tests.explain.test_why import real
from tests.real import BOOK, conversations


def test_the_contrast_on_paper():
    """Battery against jet: 60 to 50 to begin with, a slow crank 80 to 8, old fuel 15 to 60."""
    state = told(("cranking", "slow"), ("fuel-age", "old"))
    _, _, firings, _, ranking = mind().weigh_up(state)
    prior, rows = contrast(mind().book, ranking, firings, "battery-flat", "jet-blocked")
    assert prior == pytest.approx(10 * math.log10(60 / 50))
    assert [(r.rule, round(r.difference, 3), r.first, r.second) for r in rows] == [
        ("slow-crank-is-the-battery", 10.0, 80, 8), ("old-fuel-blocks-the-jet", round(10 * math.log10(15 / 60), 3), 15, 60)]


@settings(max_examples=60, deadline=None)
@given(conversations(BOOK))
def test_prior_and_rows_make_the_ratio_of_the_chances(facts):
    """On the real files: the parts of a contrast sum to 10 log10 of the two probabilities' ratio."""
    _, firings, _, _, ranking = real(facts)
    first = ranking.standings[0]
    for second in (ranking.standings[1], ranking.standings[len(ranking.standings) // 2], ranking.standings[-1]):
        prior, rows = contrast(BOOK, ranking, firings, first.fault, second.fault)
        assert prior + sum(r.difference for r in rows) == pytest.approx(10 * math.log10(first.probability / second.probability), abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(conversations(BOOK))
def test_the_sign_that_sets_them_apart_has_the_largest_pairwise_weight(facts):
    """On the real files: no other rule separates the leader from the runner-up by more decibans than the first row."""
    _, firings, _, _, ranking = real(facts)
    first, second = ranking.standings[0].fault, ranking.standings[1].fault
    _, rows = contrast(BOOK, ranking, firings, first, second)
    pairwise: dict[str, float] = {}
    for weight in ranking.weights:
        if weight.counts and weight.fault in (first, second):
            pairwise[weight.rule] = pairwise.get(weight.rule, 0.0) + (weight.decibans if weight.fault == first else -weight.decibans)
    assert max((abs(v) for v in pairwise.values()), default=0.0) == pytest.approx(max((abs(r.difference) for r in rows), default=0.0), abs=1e-9)
    assert rows == sorted(rows, key=lambda r: (-abs(r.difference), r.rule))


def test_the_first_row_does_not_hang_on_the_other_faults():
    """The difference between two faults is the same when a third one is moved by another sign."""
    rows = []
    for more in ((), (("fuel-age", "old"),)):
        _, _, firings, _, ranking = mind().weigh_up(told(("spark-look", "none"), *more))
        rows.append(contrast(mind().book, ranking, firings, "coil-dead", "plug-fouled")[1])
    assert [(r.rule, r.difference) for r in rows[0]] == [(r.rule, r.difference) for r in rows[1]]


def test_what_is_missing_is_its_direct_test_first():
    """For the coil nobody tried another one, nor looked for a spark; what was told is not missing."""
    found = missing(mind().book, "coil-dead", (), frozenset())
    assert [(m.topic, m.value, m.direct) for m in found] == [("coil-swap", "cured", True), ("spark-look", "none", False)]
    facts = mind().weigh_up(told(("spark-look", "none")))[0]
    assert [m.topic for m in missing(mind().book, "coil-dead", facts, frozenset())] == ["coil-swap"]
    assert missing(mind().book, "coil-dead", (), frozenset({"coil"}))[0].topic == "spark-look"


def found_lifts(state, fault, rival, every=True):
    """Lifts of the small trade."""
    facts, derived, firings, absent, ranking = mind().weigh_up(state)
    return lifts(mind().book, ranking, firings, fault, rival, (*facts, *derived), absent, state.passed, supposing(state), every)


def test_the_lifting_answer_on_paper():
    """No spark: coil 20 * 15 to plug 40 * 10. Another coil that cures it lifts the coil above the plug, to the exact share."""
    best = found_lifts(told(("spark-look", "none")), "coil-dead", "plug-fouled")[0]
    assert (best.topic, best.value) == ("coil-swap", "cured")
    assert best.fault == pytest.approx(300 * 45 / (300 * 45 + 400 + 60 + 50 + 30))
    assert best.leader == "coil-dead" and best.minutes == 15


def test_where_no_answer_lifts_it_the_nearest_is_given():
    """With a blocked jet far in front of nothing that could shift the plug enough, the nearest answer is no lift."""
    state = told(("cranking", "slow"), ("rest-volts", 10.0), ("crank-volts", "low"), ("spark-look", "good"))
    found = found_lifts(state, "plug-fouled", "battery-flat")
    assert len(found) == 1 and not found[0].over
    assert (found[0].topic, found[0].value) == ("plug-look", "wet")


@pytest.mark.parametrize("items", [(), (("cranking", "slow"),), (("stood", "winter"),), (("spark-look", "none"), ("cranking", "normal", False)),
                                   (("rest-volts", 10.0), ("lights", "dim")), (("start-by", "kick"),), (("cranking", "slow", False), ("lights", "dim"))])
def test_no_lift_is_missed_and_none_is_made_up(items):
    """Against trying every single answer the whole way: the same answers, the same shares, for every pair of faults."""
    state = told(*items)
    facts, derived, _, absent, ranking = mind().weigh_up(state)
    for fault in ranking.priors:
        for rival in set(ranking.priors) - {fault}:
            weighed = {(t, v): supposing(state)(t, v) for t, v in open_answers(mind().book, (*facts, *derived), absent)}
            wanted = {key: (r.of(fault).probability, r.of(rival).probability if r.of(rival) else 0.0) for key, r in weighed.items()
                      if r.of(fault) is not None and r.of(fault).probability > (r.of(rival).probability if r.of(rival) else 0.0)}
            now = ranking.of(fault).probability > ranking.of(rival).probability
            found = {(x.topic, x.value): (x.fault, x.rival) for x in found_lifts(state, fault, rival) if x.over}
            if now:  # already in front: only answers that move it further are of interest
                assert found.items() <= wanted.items()
            else:
                assert found == wanted


@settings(max_examples=12, deadline=None)
@given(conversations(BOOK, 4))
def test_no_lift_is_missed_on_the_real_files(facts):
    """On the real files: of a sample of open answers, none that lifts the second fault above the leader is left out."""
    known, firings, _, _, ranking = real(facts)
    from assistant.evidence.ranking import lacking
    from assistant.records import Known

    absent = lacking(BOOK, firings)
    fault, rival = ranking.standings[1].fault, ranking.standings[0].fault
    weigh = lambda t, v: real([*facts, Known(t, v, turn=99)])[4]  # noqa: E731
    found = {(x.topic, x.value) for x in lifts(BOOK, ranking, firings, fault, rival, known, absent, (), weigh) if x.over}
    answers = list(open_answers(BOOK, known, absent))
    for topic, value in answers[:: max(1, len(answers) // 40)]:
        then = weigh(topic, value)
        mine, other = then.of(fault), then.of(rival)
        lifted = mine is not None and mine.probability > (other.probability if other is not None else 0.0) * (1 + 1e-9)
        assert ((topic, value) in found) == lifted, (topic, value)


def test_the_quick_search_finds_the_same_best():
    """Ending early finds the best answer that the whole search finds."""
    for items in ((), (("spark-look", "none"),), (("stood", "winter"),)):
        assert found_lifts(told(*items), "coil-dead", "jet-blocked", every=False)[0] == found_lifts(told(*items), "coil-dead", "jet-blocked")[0]


def test_what_was_passed_over_is_no_answer():
    """Who cannot swap coils is not told to."""
    state = told(("spark-look", "none")).with_(passed=frozenset({"coil-swap"}))
    assert all(x.topic != "coil-swap" for x in found_lifts(state, "coil-dead", "plug-fouled"))


def test_neither_the_build_nor_the_manual_is_an_answer():
    """How it is started and what the manual says are no findings that could lift a fault."""
    topics = {t for t, _ in open_answers(mind().book, (), frozenset())}
    assert "start-by" not in topics and "manual-least-volts" not in topics
    assert {"cranking", "coil-swap", "fuel-age"} <= topics
