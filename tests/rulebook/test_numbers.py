"""Natural frequencies over the values of one topic make 100 at most, and the sum is shown so that it can be checked by hand."""

import pytest

from assistant.rulebook.load import examine
from tests.rulebook.folders import folder_with

ONE = """  {id}:
    kind: evidence
    says: A sign.
    when: {when}
    seen-in: {seen}
    otherwise: {otherwise}
    source: common-practice
"""


def found(place, *rules: tuple[str, str, str, float]) -> list[tuple[str, str]]:
    """(code, what) of the complaints about rules given as id, when, seen-in, otherwise."""
    text = "rules:\n" + "".join(ONE.format(id=i, when=w, seen=s, otherwise=o) for i, w, s, o in rules)
    return [(p.code, p.what) for p in examine(folder_with(place, more=text))[1]]


def test_exactly_100_is_allowed(tmp_path):
    """The numbers of a fault, and those of all the others, may come to 100 over the values of a topic."""
    assert found(tmp_path, ("slow", "{cranking: slow}", "{plug-fouled: 30.5}", 50), ("normal", "{cranking: normal}", "{plug-fouled: 69.5}", 50)) == []


def test_a_fault_that_is_not_listed_counts_as_the_others_do(tmp_path):
    """Where a rule does not list a fault, its otherwise number takes part in the fault's sum."""
    assert found(tmp_path, ("slow", "{cranking: slow}", "{plug-fouled: 71}", 10), ("normal", "{cranking: normal}", "{battery-flat: 5}", 30)) == [
        ("frequencies-over-100", "Of 100 machines with 'plug-fouled', these lines place 101 under 'cranking': 'normal' 30 (line 9), 'slow' 71 (line 2).")]


def test_the_others_are_summed_too(tmp_path):
    """The otherwise numbers of a topic must not pass 100 either."""
    codes = found(tmp_path, ("slow", "{cranking: slow}", "{plug-fouled: 1}", 60), ("normal", "{cranking: normal}", "{plug-fouled: 1}", 41))
    assert codes == [("frequencies-over-100", "Of 100 machines with other faults, these lines place 101 under 'cranking': 'normal' 41 (line 9), 'slow' 60 (line 2).")]


def test_a_rule_on_several_values_counts_once(tmp_path):
    """A rule on two values of a topic places its number once."""
    assert found(tmp_path, ("both", "{cranking: [slow, none]}", "{plug-fouled: 60}", 30), ("normal", "{cranking: normal}", "{plug-fouled: 40}", 70)) == []


@pytest.mark.parametrize("when", ["{work-done: plug-work}", "{cranking: slow, lights: dead}", "{not: {cranking: slow}}", "{unknown: cranking}"])
def test_only_single_values_that_exclude_one_another_are_summed(tmp_path, when):
    """Topics with several values at once, combinations, negations and silence place nobody."""
    assert found(tmp_path, ("other", when, "{plug-fouled: 90}", 90), ("work", "{work-done: battery-work}", "{plug-fouled: 90}", 90),
                 ("slow", "{cranking: slow}", "{plug-fouled: 90}", 90)) == []


def test_two_rules_on_one_value(tmp_path):
    """A value is weighed by one rule only; a second one is told where the first is."""
    assert found(tmp_path, ("a-rule", "{cranking: slow}", "{plug-fouled: 9}", 9), ("b-rule", "{cranking: [slow, none]}", "{plug-fouled: 9}", 9)) == [
        ("value-has-two-rules", "'cranking: slow' is already weighed by 'a-rule' at knowledge/more.yaml:2.")]
