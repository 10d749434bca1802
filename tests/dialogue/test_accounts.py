"""Why, why not, how sure and what after that, as they are said: plain words first, numbers that add up, nothing changed by asking."""

from __future__ import annotations

import math
import re

import pytest

from assistant.dialogue import accounts
from assistant.dialogue.account_sums import lost, per_1000, share, signed, tally
from assistant.dialogue.case import Case
from assistant.explain.lift import Lift
from tests.explain.small import mind, told

_SIGNED = re.compile(r"(?<![\w.])[+-]\d+(?:\.\d+)?(?![\w.]*-)")


def lines(state, kind, *arguments, mind_=None):
    """What one account says about a state, as (role, text)."""
    mind_ = mind_ or mind()
    return getattr(accounts, kind)(mind_, state, mind_.think(state), *arguments)


def text(found):
    """All of it in one piece."""
    return "\n".join(t for _, t in found)


def add_up(sentence):
    """Check every '... = X dB' of a sum by adding what stands before it: numbers as printed, losses of rounding included."""
    pieces = re.split(r" = ([+-]\d+\.\d) dB", sentence)
    assert len(pieces) >= 3, sentence
    carried = 0.0
    for before, total in zip(pieces[0::2], pieces[1::2]):
        carried += sum(float(n) for n in _SIGNED.findall(before))
        assert carried == pytest.approx(float(total), abs=0.01), sentence
    return carried


STATES = [told(("cranking", "slow"), ("lights", "dim"), ("rest-volts", 12.6), ("spark-look", "none")), told(("rest-volts", 10.3), ("stood", "winter")),
          told(("cranking", "normal"), ("spark-look", "none"), ("plug-look", "wet")), told(("cranking", "slow", False)), told()]


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("fault", ["battery-flat", "plug-fouled", "coil-dead", "jet-blocked"])
@pytest.mark.parametrize("whole", [False, True])
def test_the_printed_numbers_add_up(state, fault, whole):
    """Every sum can be done again from what is on the screen, and ends at the share of the ranking."""
    found = lines(state, "why", fault, whole)
    role, said = found[-1]
    assert role == "sum"
    end = add_up(said)
    probability = mind().weigh_up(state)[4].of(fault).probability
    assert end == pytest.approx(10 * math.log10(probability), abs=0.06)
    assert f"which is {share(probability)}" in said


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("fault", ["battery-flat", "plug-fouled", "coil-dead", "jet-blocked"])
def test_the_printed_contrast_adds_up(state, fault):
    """The sum of a why-not is the ratio of the two shares it prints."""
    found = lines(state, "why_not", fault)
    said = next(t for r, t in found if r == "sum")
    ranking = mind().weigh_up(state)[4]
    if ranking.standings[0].fault != fault:
        assert add_up(said) == pytest.approx(10 * math.log10(ranking.of(fault).probability / ranking.standings[0].probability), abs=0.06)


def test_plain_words_come_first_and_numbers_after_them():
    """The first line names the fault and its chance in words; decibans stand behind the words, or in the sum."""
    found = lines(STATES[0], "why", "plug-fouled")
    assert found[0] == ("why", "Fouled plug: about 4 in 10, likely.")
    assert "dB" not in found[0][1] + found[1][1]
    reason = next(t for r, t in found if r == "because")
    assert reason.index("No spark is plug or coil.") < reason.index("dB")
    assert reason.startswith('For: you said "spark-look none"')


def test_the_base_rate_has_its_own_line():
    """How common it is to begin with stands apart from the evidence."""
    assert ("why", "To begin with, it is behind about 200 of 1000 no-starts of such a machine.") in lines(STATES[0], "why", "plug-fouled")


def test_the_runner_up_is_named_with_what_separates_it():
    """The card ends with the next in line and the sign that sets the two apart most, and for whom it speaks."""
    found = text(lines(STATES[0], "why", "plug-fouled"))
    assert "Next in line: dead coil, about 3 in 10; what sets the two apart most speaks for that one: no spark is plug or coil." in found


def test_a_reading_says_its_limit_and_the_origin_of_it():
    """Short: which band, and whose limit. Whole: the limit's number, name, origin, place and source."""
    state = told(("manual-least-volts", 12.5), ("rest-volts", 12.1))
    short = text(lines(state, "why", "battery-flat"))
    assert "you read 12.1 V, low (measure the battery at rest; under 12.5 V is low; your manual's figure)" in short
    whole = text(lines(state, "why", "battery-flat", True))
    assert re.search(r"Limit: 12\.5 V, least volts at rest: your manual's figure \[volts-least, workshop/knowledge\.yaml:\d+\]", whole)
    frost = text(lines(told(("air-temperature-c", -10.0), ("crank-volts", 8.0)), "why", "battery-flat", True))
    assert re.search(r"Limit: \d\.\d+ V, least volts while cranking: worked out for this machine from air temperature -10\.0 \[cranking-least, .+; an old handbook\]", frost)


def test_the_rules_own_limit_is_said():
    """A rule that speaks from a number on says which number."""
    short, whole = (text(lines(told(("rest-volts", 10.3)), "why", "battery-flat", w)) for w in (False, True))
    assert "the rule's own limit: below 11 V" in short
    assert "The rule's own limit: measure the battery at rest: below 11 V" in whole


def test_the_whole_account_shows_what_is_covered_and_by_what():
    """Covered evidence stands in its place, in brackets, with the rule that speaks for it; the short one leaves it out."""
    whole = text(lines(STATES[0], "why", "battery-flat", True))
    assert "(+10.0 dB, not counted: the stronger slow-crank-is-the-battery speaks of the same aspect)" in whole
    assert "dim-lights-are-the-battery" not in text(lines(STATES[0], "why", "battery-flat"))
    replaced = text(lines(told(("rest-volts", 10.3)), "why", "battery-flat", True))
    assert "not counted: very-low-volts-say-it-louder says it more exactly" in replaced


def test_the_whole_account_follows_the_conversation():
    """The rules stand in the order of the messages that completed them, each with file and line."""
    found = [t for r, t in lines(STATES[0], "why", "battery-flat", True) if r == "because" and t.startswith("Message")]
    assert [int(t.split()[1].rstrip(",")) for t in found] == sorted(int(t.split()[1].rstrip(",")) for t in found)
    assert all(re.search(r"\[[\w-]+, workshop/knowledge\.yaml:\d+; ", t) for t in found)


def test_a_derived_sign_is_followed_back_to_the_words():
    """The winter was said; that the fuel is old was concluded, and by which rule is said."""
    whole = text(lines(told(("stood", "winter")), "why", "jet-blocked", True))
    assert re.search(r'you said "stood winter" .*, and so: after a winter the fuel is old \[a-winter-makes-old-fuel, workshop/knowledge\.yaml:\d+\]', whole)


def test_a_failed_repair_has_its_line():
    """A repair that did not help is part of the account, with its weight."""
    from assistant.dialogue.state import RepairDone

    state = told(("lights", "dim"), repairs=(RepairDone("battery-flat", 1, "no-change"),))
    assert "Against: its repair was done and did not help (-7.0 dB)." in text(lines(state, "why", "battery-flat"))
    assert add_up(lines(state, "why", "battery-flat", True)[-1][1]) == pytest.approx(10 * math.log10(mind().weigh_up(state)[4].of("battery-flat").probability), abs=0.06)


def test_a_fault_this_machine_cannot_have():
    """Asked for a battery on a machine without, the answer says so."""
    state = told(("start-by", "kick"), ("lights", "dead"))
    assert text(lines(state, "why", "battery-flat")) == "Flat battery does not exist on this machine, so it is not in the reckoning."
    assert text(lines(state, "why_not", "battery-flat")) == "Flat battery does not exist on this machine."


def test_why_not_says_against_missing_and_the_one_answer():
    """The contrast with the leader, what nobody has told, and the answer that would lift it, with the exact shares it would give."""
    state = told(("cranking", "slow"))
    found = text(lines(state, "why_not", "coil-dead"))
    assert "Dead coil: about 3 in 100. Flat battery leads with about 8 in 10." in found
    assert "Against it: A slow crank points at the battery. (8 of 100 with this fault, 80 of 100 with the one that leads; -10.0 dB)" in found
    assert "Its direct test, try another coil: cured, the spark is back (90 of 100 with this fault, 2 of 100 others)." in found
    after = 20 * 45 / (600 + 40 + 20 * 45 + 50 + 30)
    assert f"What would put it above flat battery: try another coil: cured, the spark is back (then {share(after)} to {share(600 / 1620)}; 15 min)." in found


def test_why_not_says_when_no_single_answer_is_enough():
    """Where nothing open would lift it, the nearest answer is named as that."""
    state = told(("cranking", "slow"), ("rest-volts", 10.0), ("crank-volts", "low"), ("spark-look", "good"))
    assert "No single answer that is still open would put it above flat battery. The nearest is look at the plug: wet" in text(lines(state, "why_not", "plug-fouled"))


def test_why_not_the_leader_is_why():
    """Who asks why not the one that leads hears that it leads, and why."""
    assert text(lines(STATES[0], "why_not", "plug-fouled")).startswith("It is the one that leads, with about 4 in 10.\nFouled plug: about 4 in 10, likely.")


def test_why_not_a_check():
    """A check is held to the next step, or is done, or was passed over, or has nothing to look at."""
    state = told(("cranking", "slow"), ("spark-look", "none"))
    assert "is done" in text(lines(state, "why_not", "spark-look"))
    assert "was passed over" in text(lines(state.with_(passed=frozenset({"squeeze"})), "why_not", "squeeze"))
    assert text(lines(told(("start-by", "kick"), ("lights", "dead")), "why_not", "rest-volts")) == "This machine has not got the part."


def test_how_sure_gives_the_spread_and_the_cheapest_to_doubt():
    """A range in words, each test with its slips beforehand and here, the one to repeat, and the numbers last."""
    state = told(("cranking", "slow"), ("lights", "dim"), ("rest-volts", 12.6))
    found = lines(state, "how_sure")
    assert found[0][1].startswith("Flat battery: about")
    assert "Measure the battery at rest: goes wrong about 10 times in 100; as it fits with all the rest, about" in text(found)
    assert "Cheapest to doubt: measure the battery at rest" in text(found)
    assert re.search(r"from \d+\.\d to \d+\.\d in 100 in nine of ten\.$", found[-1][1])


def test_how_sure_without_a_test_says_so():
    """Nothing measured, nothing to slip."""
    assert "No test counts so far" in text(lines(told(("cranking", "slow")), "how_sure"))


def test_how_sure_is_stable():
    """Asked twice, the same words."""
    assert lines(STATES[0], "how_sure") == lines(STATES[0], "how_sure")


def test_after_that_names_what_each_outcome_leads_to():
    """The next step, and what would follow its outcomes as far as that is laid down."""
    state = STATES[0]
    thinking = mind().think(state)
    found = accounts.after_that(mind(), state, thinking)
    name = mind().book.plain(thinking.plan.best.id)
    assert found[0] == ("why", f"{name[:1].upper()}{name[1:]}, and then:")
    assert len(found) > 1


def test_after_that_thinks_the_likeliest_branch_through():
    """What is named after the likeliest outcome is the step that would really be offered then."""
    from assistant.dialogue.account_after import supposed

    state = STATES[0]
    thinking = mind().think(state)
    best = thinking.plan.best
    likeliest = max(best.outcomes, key=lambda row: row[1])[0]
    then = supposed(mind(), state, best, likeliest).plan.best
    said = text(accounts.after_that(mind(), state, thinking))
    assert ("the workshop" if then.kind == "workshop" else mind().book.plain(then.id).lower()) in said.lower()


@pytest.mark.parametrize(("message", "whole"), [("why the battery", False), ("why the battery in full", True), ("why the battery, in full please", True)])
def test_the_words_of_the_question_ask_for_the_whole(message, whole):
    """'In full' behind any why gives the whole account."""
    case = Case(mind())
    case.hear("it cranks slowly and the lights are dim")
    said = [t for _, t in case.say(message).lines]
    assert any(t.startswith("Message 1, ") for t in said) == whole


def test_a_question_changes_nothing():
    """Why, why not, how sure: after the answer the same notes, the same ranking, the same open question."""
    case = Case(mind())
    case.say("it cranks slowly")
    before, ranking = case.state, case.think().ranking
    for message in ("why", "why the coil", "why not the coil", "how sure", "after that", "explain more"):
        case.say(message)
        assert case.state.notes == before.notes and case.state.pending == before.pending and case.state.repairs == before.repairs
        assert case.think().ranking == ranking


def test_what_rounding_loses_is_said():
    """0.05 and 0.05 print as 0.1 and 0.1 (or 0.0), and the difference to their sum is named."""
    assert tally(0.26, [0.26], 0.0, 0.0) == "+0.3 to begin with, +0.3 (-0.1 lost in rounding) = +0.5 dB"
    assert lost([1.0, 2.0], 3.0) == ""
    assert signed(-0.04) == "+0.0"


def test_small_shares_and_rates_keep_their_figures():
    """Neither a rare fault nor a rare kind of machine is rounded to nothing."""
    assert share(0.00065) == "0.065 in 100" and share(0.245) == "24.5 in 100" and share(0.0) == "0.0 in 100"
    assert per_1000(0.0672) == "67" and per_1000(0.00967) == "9.7" and per_1000(0.00042) == "0.42"


def test_a_lift_over_the_rival_is_told_from_one_that_is_not():
    """Equal is not above."""
    assert not Lift("a", "b", 1, 0.2, 0.2, "x").over and Lift("a", "b", 1, 0.3, 0.2, "x").over


@pytest.mark.parametrize(("message", "whole", "arguments"), [
    ("why not the coil", "why_not", ("coil-dead", True)), ("why the plug", "why", ("plug-fouled", True)), ("why", "why", (None, True)),
    ("what if there is no spark", "what_if", ("there is no spark", True))])
def test_explain_more_goes_on_with_what_was_asked_last(message, whole, arguments):
    """'More' after 'why not the coil' is the whole of the coil, and not of the leader; a second 'more' says the same."""
    case = Case(mind())
    case.say("it cranks slowly and the lights are dim")
    case.say(message)
    for _ in range(2):
        said = list(case.say("explain more").lines)
        expected = lines(case.state, whole, *arguments)
        assert said[: len(expected)] == expected


def test_what_is_told_closes_the_account():
    """After a new sign 'explain more' is about the leader again; 'start over' forgets it too."""
    case = Case(mind())
    for message in ("it cranks slowly", "why not the coil", "lights are dim"):
        case.say(message)
    leader = lines(case.state, "why", None, True)
    assert list(case.say("explain more").lines)[: len(leader)] == leader and case.state.account is None


def test_the_whole_of_how_sure_lists_every_test():
    """Short: the four that are most in doubt, and how many more; whole: all of them."""
    state = told(("rest-volts", 12.6), ("crank-volts", 10.5), ("squeeze", "good"), ("spark-look", "none"), ("plug-look", "wet"))
    from assistant.dialogue import account_sure

    short, whole = (account_sure.how_sure(mind(), state, mind().think(state), full) for full in (False, True))
    tests = [[t for _, t in said if "goes wrong about" in t] for said in (short, whole)]
    assert (len(tests[0]), len(tests[1])) == (4, 5) and tests[0] == tests[1][:4]
    assert "And one more test, less in doubt." in text(short) and "more test" not in text(whole)


@pytest.mark.parametrize("proof", [False, True])
def test_after_a_repair_the_accounts_are_of_what_led_to_it(proof):
    """Done, or proven: why, why not and how sure speak of the ranking before the repair, and say so; what comes then is the proof, or nothing."""
    case = Case(mind())
    case.say("it cranks slowly and the lights are dim")
    before = lines(case.state, "why", "battery-flat")
    case.say("charged it")
    assert case.state.repairs[-1].outcome is None
    if proof:
        case.say("yes")
        assert case.state.cured == "battery-flat"
    head = f"{'Cured' if proof else 'Repaired'}: flat battery. This is how it stood before the repair."
    found = [t for _, t in case.say("why").lines]
    assert head in found
    assert before[0][1] in found and before[-1][1] in found
    assert head in [t for _, t in case.say("why not the coil").lines] and head in [t for _, t in case.say("how sure").lines]
    last = text(accounts.after_that(mind(), case.state, case.think()))
    assert last == "Nothing after that: it is cured." if proof else last.startswith("After that comes the proof: ")


def test_a_repair_that_did_not_help_is_no_conclusion():
    """Then the accounts are of the ranking as it stands now."""
    case = Case(mind())
    for message in ("it cranks slowly", "charged it", "still the same"):
        case.say(message)
    assert case.state.repairs[-1].outcome == "no-change"
    assert not any("before the repair" in t for _, t in case.say("why").lines)


def test_what_comes_after_a_question_whose_answers_weigh_alike_is_said_too():
    """Even where no answer leads anywhere yet, there is a sentence."""
    thinking = mind().think(told())
    assert len(accounts.after_that(mind(), thinking.state, thinking)) >= 1
    from dataclasses import replace

    bare = replace(thinking, plan=replace(thinking.plan, best=replace(thinking.plan.best, outcomes=(), leads=())))
    assert "I weigh anew what is left" in text(accounts.after_that(mind(), bare.state, bare))
