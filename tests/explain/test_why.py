"""An account of a fault goes down to somebody's words and adds up by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings

from assistant.dialogue.state import RepairDone, State
from assistant.evidence.ranking import lacking, priors, rank
from assistant.evidence.weights import weigh
from assistant.explain.why import MOST_AGAINST, MOST_FOR, account, tried_decibans
from assistant.records import Weight
from tests.explain.small import TOTAL, mind, told
from tests.real import BOOK, conversations


def made(state: State, fault: str, tried: float = 0.0):
    """The account of a fault of the small trade."""
    facts, derived, firings, _, ranking = mind().weigh_up(state)
    return account(mind().book, ranking, firings, fault, (*facts, *derived), tried)


def db(ratio: float) -> float:
    """Decibans of a ratio."""
    return 10 * math.log10(ratio)


def test_the_sum_can_be_done_on_paper():
    """Prior 60 of 200, a slow crank 80 against 8, good volts 16 against 80: -5.2 + 10 - 7.0 dB, and 120 of 280 parts in the end."""
    found = made(told(("cranking", "slow"), ("rest-volts", "good")), "battery-flat")
    assert found.prior == 60 / TOTAL
    assert [round(r.decibans, 4) for r in found.reasons] == [10.0, round(db(0.2), 4)]
    assert found.score == pytest.approx(db(60 / TOTAL) + 10 + db(0.2))
    assert found.probability == pytest.approx(60 * 10 * 0.2 / (60 * 10 * 0.2 + 40 + 20 + 50 + 30))
    assert found.adds_up


def test_reasons_stand_in_the_order_in_which_the_rules_fired():
    """The rule whose last fact was told first comes first, whatever it weighs."""
    found = made(told(("spark-look", "none"), ("plug-look", "wet")), "plug-fouled")
    assert [(r.rule, r.turn) for r in found.reasons] == [("no-spark-is-plug-or-coil", 0), ("wet-plug-shows-the-plug", 1)]
    turned = made(told(("plug-look", "wet"), ("spark-look", "none")), "plug-fouled")
    assert [r.rule for r in turned.reasons] == ["wet-plug-shows-the-plug", "no-spark-is-plug-or-coil"]


def test_every_reason_has_its_place_words_and_source():
    """File and line of the rule, the mechanism, the source, and the words as they were told."""
    reason = made(told(("spark-look", "none")), "coil-dead").reasons[0]
    assert reason.file.endswith("knowledge.yaml") and reason.line > 1
    assert reason.because == "Nothing else stops it."
    assert reason.source == ("common-practice",)
    assert [g.fact.words for g in reason.grounds] == ["spark-look none"]
    assert (reason.seen, reason.otherwise) == (90, 6)


def test_the_stronger_of_an_aspect_covers_the_other():
    """A slow crank and dim lights speak of one thing: equal weights, so one counts, and the other names it."""
    found = made(told(("cranking", "slow"), ("lights", "dim")), "battery-flat")
    assert [r.rule for r in found.counted] == ["slow-crank-is-the-battery"]
    covered = found.covered[0]
    assert (covered.rule, covered.covered_by, covered.covered_how) == ("dim-lights-are-the-battery", "slow-crank-is-the-battery", "same aspect")


def test_a_replaced_rule_is_shown_and_not_counted():
    """Under eleven volts the finer rule speaks instead of the plain one, and names its own limit."""
    found = made(told(("rest-volts", 10.2)), "battery-flat")
    assert [r.rule for r in found.counted] == ["very-low-volts-say-it-louder"]
    assert found.covered[0].covered_how == "replaced"
    assert found.counted[0].ranges[0].below == 11


def test_a_denial_counts_by_the_complement():
    """'It does not crank slowly': 20 of 100 with a flat battery, 92 of 100 others."""
    reason = made(told(("cranking", "slow", False)), "battery-flat").reasons[0]
    assert reason.denial
    assert (reason.seen, reason.otherwise) == (20, 92)
    assert reason.decibans == pytest.approx(db(20 / 92))


def test_a_derived_fact_leads_back_to_the_words_by_its_rule():
    """Old fuel was never said: the winter was, and the derive rule stands between."""
    reason = made(told(("stood", "winter")), "jet-blocked").reasons[0]
    ground = reason.grounds[0]
    assert (ground.fact.topic, ground.fact.words, ground.via) == ("stood", "stood winter", ("a-winter-makes-old-fuel",))


def test_a_limit_says_its_number_and_where_it_comes_from():
    """The rule of thumb, the owner's manual, and what is worked out for the day, each with what went in."""
    edge = made(told(("rest-volts", 11.4)), "battery-flat").counted[0].grounds[0].band.high
    assert (edge.value, edge.origin, edge.id, edge.source) == (12.0, "files", "volts-least", ("handbook",))
    manual = made(told(("manual-least-volts", 12.6), ("rest-volts", 12.4)), "battery-flat")
    edge = next(r for r in manual.reasons if r.rule == "low-volts-are-a-flat-battery").grounds[0].band.high
    assert (edge.value, edge.origin) == (12.6, "manual")
    frost = made(told(("air-temperature-c", -10.0), ("crank-volts", 8.0)), "battery-flat").reasons[0].grounds[0].band.high
    assert frost.origin == "computed" and frost.value != 9.6
    assert frost.given == (("air-temperature-c", "-10.0"),)


def test_a_limit_inside_a_check_is_named_by_the_check():
    """A band that holds its number itself gives the check's own place and source."""
    band = made(told(("rest-volts", 12.6)), "battery-flat").reasons[0].grounds[0].band
    assert (band.low.id, band.high.id, band.high.value) == ("volts-least", "", 13.4)
    assert band.high.line == mind().book.checks["rest-volts"].line


def test_cylinders_that_differ_are_held_against_the_spread():
    """120 and 80 psi are neither judged by the least compression but by how far they stand apart."""
    from assistant.dialogue.state import Note, facts
    from assistant.explain.grounds import band
    from assistant.records import Reading

    notes = (Note(0, Reading("squeeze", 120.0, "psi", where="left")), Note(0, Reading("squeeze", 80.0, "psi", where="right")))
    known = facts(mind().book, State(turn=1, notes=notes))
    found = band(mind().book, known[0], known)
    assert known[0].value == "uneven"
    assert found.apart and found.low.value == 20


def test_a_repair_that_did_not_help_is_part_of_the_sum():
    """Charging cures 80 of 100 flat batteries: when it did not, that is -7.0 dB, and the sum still adds up."""
    state = told(("lights", "dim"), repairs=(RepairDone("battery-flat", 1, "no-change"),))
    weight = tried_decibans(mind().book, "battery-flat", ["battery-flat"])
    assert weight == pytest.approx(db(0.2))
    assert made(state, "battery-flat", weight).adds_up
    assert not made(state, "battery-flat", 0.0).score == made(state, "battery-flat", weight).score


def test_a_fault_that_this_machine_cannot_have_has_no_account():
    """No battery, no flat battery."""
    assert made(told(("start-by", "kick"), ("lights", "dead")), "battery-flat") is None


def real(facts):
    """A conversation on the real files to known, firings and ranking, without a planner."""
    from assistant.engine.run import Engine

    engine = real.engine = getattr(real, "engine", None) or Engine(BOOK)
    derived, firings = engine.run(facts)
    known = (*facts, *derived)
    common = priors(BOOK, known, lacking(BOOK, firings))
    weights = weigh(BOOK, firings, common)
    return known, firings, common, weights, rank(BOOK, common, weights, firings)


@settings(max_examples=60, deadline=None)
@given(conversations(BOOK))
def test_base_shown_and_rest_make_the_posterior(facts):
    """On the real files: prior + what a short account shows + all the rest = the score; less the common term, the posterior."""
    known, firings, _, _, ranking = real(facts)
    for standing in (*ranking.standings[:3], ranking.standings[-1]):
        found = account(BOOK, ranking, firings, standing.fault, known)
        speaks_for, against, rest = found.short()
        shown = sum(r.decibans for r in (*speaks_for, *against))
        assert found.prior_decibans + shown + rest == pytest.approx(found.score)
        assert 10 ** ((found.score - found.normal) / 10) == pytest.approx(standing.probability)
        assert found.adds_up
        assert len(speaks_for) <= MOST_FOR and len(against) <= MOST_AGAINST
        assert all(abs(a.decibans) >= abs(b.decibans) for a, b in zip(speaks_for, speaks_for[1:]))


@settings(max_examples=60, deadline=None)
@given(conversations(BOOK))
def test_without_a_reason_for_it_the_leader_is_lower(facts):
    """On the real files: turn any counted 'for' item of the leader round, and the leader's share falls."""
    known, firings, common, weights, ranking = real(facts)
    leader = ranking.standings[0]
    for reason in account(BOOK, ranking, firings, leader.fault, known).counted:
        if reason.decibans > 0:
            turned = tuple(Weight(w.rule, w.fault, -w.decibans, w.covered_by) if (w.rule, w.fault) == (reason.rule, leader.fault) else w for w in weights)
            assert rank(BOOK, common, turned, firings).of(leader.fault).probability < leader.probability


@settings(max_examples=40, deadline=None)
@given(conversations(BOOK))
def test_every_reason_ends_at_something_that_was_told(facts):
    """On the real files: no reason of any fault stands on a fact nobody told, and none has no ground unless its rule needs none."""
    known, firings, _, _, ranking = real(facts)
    told_keys = {f.key() for f in facts}
    for reason in account(BOOK, ranking, firings, ranking.standings[0].fault, known).reasons:
        for ground in reason.grounds:
            assert ground.fact.key() in told_keys or ground.fact.by_rule is not None and not ground.via
            assert all(BOOK.rules[r].kind == "derive" for r in ground.via)


@pytest.mark.parametrize(("turned", "leader"), [((("cranking", "normal"), ("rest-volts", "low")), "battery-flat"),
                                                ((("cranking", "slow"), ("rest-volts", "good")), "battery-flat")])
def test_the_opposite_answer_lowers_the_leader(turned, leader):
    """Said the other way round, either sign for the flat battery leaves it lower than it was."""
    as_told = made(told(("cranking", "slow"), ("rest-volts", "low")), leader)
    assert made(told(*turned), leader).probability < as_told.probability
