"""What moved between two rankings, and two machines side by side: the parts add up to the move."""

from __future__ import annotations

import math

import pytest

from assistant.dialogue.state import RepairDone
from assistant.explain.compare import View, compare
from assistant.explain.difference import difference, shift
from tests.explain.small import mind, ranking, told


def both(first, second):
    """Rankings and firings of two states."""
    return [(mind().weigh_up(s)[4], mind().weigh_up(s)[2]) for s in (first, second)]


def test_a_difference_names_what_moved_and_which_rules():
    """No spark added to a slow crank: plug and coil rise, the battery falls most, one rule more."""
    (old, fired), (new, refired) = both(told(("cranking", "slow")), told(("cranking", "slow"), ("spark-look", "none")))
    made = difference(old, new, fired, refired)
    assert made.gained == ("no-spark-is-plug-or-coil",) and made.lost == ()
    assert made.changes[0].fault == "battery-flat" and made.changes[0].moved < 0
    assert made.leaders == ("battery-flat", "battery-flat")
    assert sum(c.moved for c in made.changes) + made.unlisted[1] - made.unlisted[0] == pytest.approx(0)


def test_a_fault_that_falls_off_the_machine_is_said():
    """A kickstarted machine with dead lights has no battery to be flat."""
    (old, fired), (new, refired) = both(told(), told(("start-by", "kick"), ("lights", "dead")))
    gone = next(c for c in difference(old, new, fired, refired).changes if c.fault == "battery-flat")
    assert gone.before == pytest.approx(0.3) and gone.after is None


@pytest.mark.parametrize("fault", ["battery-flat", "plug-fouled", "coil-dead", "jet-blocked"])
def test_a_shift_adds_up(fault):
    """Prior, rules, repair and the common term make 10 log10 of the two shares' ratio."""
    first = told(("cranking", "slow"), ("stood", "winter"))
    second = told(("start-by", "kick"), ("spark-look", "none"), repairs=(RepairDone("plug-fouled", 2, "no-change"),))
    one, two = ranking(first), ranking(second)
    tried = {"plug-fouled": (0.0, 10 * math.log10(0.1))}
    made = shift(one, two, fault, tried)
    assert made.prior + sum(b - a for _, a, b in made.rules) + made.tried - made.normal == pytest.approx(made.total)
    assert made.total == pytest.approx(10 * math.log10(two.of(fault).probability / one.of(fault).probability))
    assert made.normal == pytest.approx(shift(one, two, "jet-blocked", tried).normal)  # one term for all faults


def test_no_shift_for_what_one_side_cannot_have():
    """There is nothing to add up where the fault does not exist."""
    assert shift(ranking(told()), ranking(told(("start-by", "kick"), ("lights", "dead"))), "battery-flat") is None


def view(name, *items):
    """One side of a comparison."""
    facts, _, firings, _, made = mind().weigh_up(told(*items))
    return View(name, facts, tuple(firings), made, 0.0, "", None, {})


def test_two_machines_side_by_side():
    """What is the same, what differs, which rules fired on one side only, and why the leaders stand elsewhere."""
    made = compare(mind().book, view("a", ("cranking", "slow"), ("rest-volts", 11.5)), view("b", ("cranking", "slow"), ("spark-look", "none")))
    assert [(p.topic, p.same) for p in made.known] == [("cranking", True), ("rest-volts", False), ("spark-look", False)]
    assert made.only_first == ("low-volts-are-a-flat-battery",) and made.only_second == ("no-spark-is-plug-or-coil",)
    assert {s.fault for s in made.shifts} == {"battery-flat"}
    assert made.faults[0][0] == "battery-flat"


def test_the_same_number_is_the_same_and_another_is_not():
    """11.5 V and 11.4 V are both low, and still not the same reading."""
    same = compare(mind().book, view("a", ("rest-volts", 11.5)), view("b", ("rest-volts", 11.5)))
    other = compare(mind().book, view("a", ("rest-volts", 11.5)), view("b", ("rest-volts", 11.4)))
    assert same.known[0].same and not other.known[0].same


def test_a_conversation_beside_itself_shows_no_difference():
    """Nothing differs, no rule is on one side only, and the leader's shift is nothing."""
    made = compare(mind().book, view("a", ("cranking", "slow")), view("a", ("cranking", "slow")))
    assert all(p.same for p in made.known) and not made.only_first and not made.only_second
    assert made.shifts[0].total == 0 and made.shifts[0].rules == ()
