"""False alarms the lints must not raise, and cases they must not miss, beyond the one broken file each."""

import pytest

from tests.trainer.folders import codes_of, folder_with

RULE = "rules:\n  {id}:\n    kind: evidence\n    says: {id}.\n    when: {when}\n    seen-in: {{joint-bad: 20}}\n    otherwise: 5\n    source: common-practice\n"


def rule(id_: str, when: str) -> str:
    """A rule with this condition."""
    return RULE.format(id=id_, when=when)


@pytest.mark.parametrize("when", [
    "{all: [{lamp: [dim, dead]}, {lamp: dead}]}",
    "{lamp: dim, turning: {unknown: turning}}",
    "{all: [{battery-voltage: {above: 11}}, {battery-voltage: {below: 12}}]}",
    "{all: [{lamp: dim}, {not: {lamp: dead}}]}",
    "{all: [{unknown: lamp}, {turning: slow}]}",
    "{any: [{all: [{lamp: dim}, {lamp: dead}]}, {all: [{turning: slow}, {lamp: dim}]}]}",
])
def test_a_rule_that_can_fire_is_left_alone(when, tmp_path):
    """A condition with at least one alternative that can hold is not called unreachable."""
    if "unknown: turning" in when:
        when = "{all: [{lamp: dim}, {unknown: turning}]}"
    assert "rule-unreachable" not in codes_of(folder_with(tmp_path, more=rule("may-fire", when)))


@pytest.mark.parametrize("when", [
    "{all: [{lamp: dim}, {unknown: lamp}]}",
    "{all: [{lamp: [dim, dead]}, {not: {lamp: dim}}, {not: {lamp: dead}}]}",
    "{all: [{battery-voltage: {above: 12}}, {battery-voltage: {below: 11}}]}",
    "{all: [{lamp: dim}, {denied: {lamp: dim}}]}",
    "{any: [{all: [{lamp: dim}, {lamp: dead}]}, {all: [{turning: slow}, {turning: quick}]}]}",
])
def test_a_rule_that_cannot_fire_is_found(when, tmp_path):
    """However the contradiction is put, it is seen."""
    assert "rule-unreachable" in codes_of(folder_with(tmp_path, more=rule("cannot-fire", when)))


def test_a_check_that_the_machine_of_the_rule_has_not_got_makes_it_unreachable(tmp_path):
    """A rule for kicked machines that reads a check which needs what they lack can never fire."""
    more = ("rules:\n  kicked-has-no-battery:\n    kind: applies\n    says: Kicked machines have no battery.\n    when: {start-by: kick}\n"
            "    lacks: [battery]\n    source: common-practice\n" + rule("kicked-and-low", "{start-by: kick, battery-voltage: low}").replace("rules:\n", ""))
    assert "rule-unreachable" in codes_of(folder_with(tmp_path, more=more))


def test_a_special_rule_may_override_a_general_one(tmp_path):
    """`has` under a narrower condition beats `lacks` under a wider one by design."""
    more = ("rules:\n  kicked-has-no-lamp:\n    kind: applies\n    says: No lamp.\n    when: {start-by: kick}\n    lacks: [lamp]\n    source: common-practice\n"
            "  kicked-with-a-bright-lamp-has-one:\n    kind: applies\n    says: A lamp.\n    when: {start-by: kick, turning: quick}\n    has: [lamp]\n    source: common-practice\n")
    assert "rules-contradict" not in codes_of(folder_with(tmp_path, more=more))


def test_a_show_and_an_evidence_rule_on_one_condition_are_no_twins(tmp_path):
    """A show rule lists one fault; the others that explain the reading stand in an evidence rule of the same condition."""
    more = ("rules:\n  dim-and-slow-shows-flat:\n    kind: show\n    says: Shows flat.\n    when: {lamp: dim, turning: slow}\n    seen-in: {battery-flat: 60}\n"
            "    otherwise: 3\n    source: common-practice\n  dim-and-slow-otherwise:\n    kind: evidence\n    says: Or the joint.\n"
            "    when: {lamp: dim, turning: slow}\n    seen-in: {joint-bad: 30}\n    otherwise: 3\n    source: common-practice\n")
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_phrases_are_compared_by_stems_and_with_gaps_left_out(tmp_path):
    """'glowing' and 'glows' are one word, and what stands in a gap is not counted."""
    more = "phrases:\n  lamp:\n    dim: ['lamp ... glows yellow']\n    bright: [lamp glowing yellow]\n"
    assert "phrase-claims-two-values" in codes_of(folder_with(tmp_path, more=more))


def test_a_phrase_with_a_gap_is_not_shadowed_by_one_without(tmp_path):
    """A gap hears more, so the phrase is not superfluous; the one without it is."""
    more = "phrases:\n  lamp:\n    dim:\n      - lamp ... yellow\n      - lamp yellow\n"
    folder = folder_with(tmp_path, more=more)
    assert codes_of(folder) == ["phrase-shadowed"]


def test_the_same_words_may_speak_of_two_topics(tmp_path):
    """One sentence may tell a fact of the lamp and one of the turning: both are heard, nothing is ambiguous."""
    more = "phrases:\n  lamp:\n    dead: [all silent]\n  turning:\n    none: [all silent]\n"
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_a_conclusion_counts_as_asked(tmp_path):
    """A fact that only a rule concludes is one that can become known."""
    more = ("facts:\n  current-arrives:\n    about: sign\n    plain: whether current arrives\n    values: {yes: it does, no: it does not}\n"
            "rules:\n  dead-lamp-no-current:\n    kind: derive\n    says: No lamp, no current.\n    when: {lamp: dead}\n    then: {current-arrives: no}\n    source: common-practice\n"
            "  bright-lamp-current:\n    kind: derive\n    says: A lamp, so current.\n    when: {lamp: bright}\n    then: {current-arrives: yes}\n    source: common-practice\n"
            "  no-current-is-the-joint:\n    kind: evidence\n    says: No current is the joint.\n    when: {current-arrives: no}\n    seen-in: {joint-bad: 60}\n    otherwise: 20\n"
            "    source: common-practice\n")
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_a_check_may_tell_by_what_is_concluded_from_it(tmp_path):
    """A check that only a derive rule reads still tells, when what it concludes is weighed."""
    more = ("checks:\n  lamp-look:\n    need: power\n    plain: look at the lamp\n    minutes: 1\n    steps: [Look.]\n    outcomes: {dark: dark, lit: lit}\n    source: common-practice\n"
            "rules:\n  dark-look-is-a-dead-lamp:\n    kind: derive\n    says: Dark is dead.\n    when: {lamp-look: dark}\n    then: {lamp: dead}\n    source: common-practice\n")
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_where_a_part_cannot_be_read_no_lint_draws_conclusions(tmp_path):
    """With a broken file in the folder, nothing is called unused or missing that may stand in it."""
    found = codes_of(folder_with(tmp_path, more="rules:\n  half: [\n", sources="sources:\n  old-book: {plain: an old book}\n"))
    assert found == ["yaml-syntax"]


def test_a_file_that_is_merely_not_read_keeps_no_lint_back(tmp_path):
    """A name that ends in .yml is a warning of its own; all other questions are still asked."""
    folder = folder_with(tmp_path, sources="sources:\n  old-book: {plain: an old book}\n")
    (folder / "stray.yml").write_text("parts:\n  bell: {plain: a bell}\n")
    assert codes_of(folder) == ["source-never-cited", "file-not-read"]


def test_a_phrase_word_by_word_and_one_in_any_order_are_not_on_a_level(tmp_path):
    """The reader takes the one heard word by word, so nobody is asked; two in any order for two values are still found."""
    one = "phrases:\n  lamp:\n    dim:\n      - lamp glows yellow\n    bright:\n      - \"{lamp yellow}\"\n"
    assert codes_of(folder_with(tmp_path / "one", more=one)) == []
    two = "phrases:\n  lamp:\n    dim:\n      - \"{lamp (yellow|orange)}\"\n    bright:\n      - \"{lamp (yellow|white)}\"\n"
    assert codes_of(folder_with(tmp_path / "two", more=two)) == ["phrase-claims-two-values"]


def test_a_phrase_word_by_word_is_not_shadowed_by_one_in_any_order(tmp_path):
    """Heard word by word it counts for more, so it is not superfluous."""
    more = "phrases:\n  lamp:\n    dim:\n      - lamp yellow\n      - \"{lamp (yellow|orange)}\"\n"
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_phrases_of_two_languages_never_meet(tmp_path):
    """A word that two languages share is heard in one of them at a time."""
    folder = folder_with(tmp_path, more="phrases:\n  lamp:\n    dim: [lamp glows yellow]\n",
                         other="language: es\nphrases:\n  lamp:\n    bright: [lamp glows yellow]\n")
    assert codes_of(folder) == []


def test_a_word_written_just_so_is_no_form_of_another(tmp_path):
    """'=glowing' does not hear 'glows', so the two do not clash."""
    more = "phrases:\n  lamp:\n    dim: [lamp glows yellow]\n    bright: [lamp =glowing yellow]\n"
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_a_misspelt_fault_is_one_complaint(tmp_path):
    """Its numbers are not added up as well: what is not a fault has no frequencies."""
    folder = folder_with(tmp_path)
    path = folder / "rules" / "power.yaml"
    path.write_text(path.read_text().replace("seen-in: {joint-bad: 60,", "seen-in: {joint-bd: 60,").replace("otherwise: 10\n", "otherwise: 70\n", 1))
    assert codes_of(folder) == ["unknown-fault"]


def test_a_file_that_is_not_read_does_not_put_its_cases_in_the_wrong(tmp_path):
    """A rule file renamed to .yml is one complaint, and not one for every case that speaks of its rules."""
    folder = folder_with(tmp_path)
    (folder / "rules" / "power.yaml").rename(folder / "rules" / "power.yml")
    assert "case-unknown-rule" not in codes_of(folder) and "file-not-read" in codes_of(folder)


def test_a_conclusion_that_the_condition_leaves_open_is_left_alone(tmp_path):
    """One of several values, another topic, or a topic that is only denied: no contradiction."""
    rules = "".join(f"  {name}:\n    kind: derive\n    says: It follows.\n    when: {when}\n    then: {then}\n    source: common-practice\n" for name, when, then in (
        ("one-of-two", "{turning: [slow, none], lamp: dim}", "{turning: slow}"), ("of-another", "{lamp: dim}", "{turning: slow}"),
        ("after-a-denial", "{denied: {lamp: bright}}", "{lamp: dim}")))
    assert "rule-denies-its-condition" not in codes_of(folder_with(tmp_path, more="rules:\n" + rules))


@pytest.mark.parametrize(("member", "found"), [("<lamp> on", True), ("(dim|dull)", True), ("on ... off", True), ("dull", False), ("=dim", False), ("not lit", False)])
def test_a_word_class_holds_words_only(member, found, tmp_path):
    """A class, a bracket or a gap inside a class is never heard, and is said."""
    assert ("phrase-does-not-read" in codes_of(folder_with(tmp_path, more=f'words:\n  glow: [bright, "{member}"]\n'))) == found


def test_a_check_is_not_told_over_sentences(tmp_path):
    """Neither in a crash nor in silence: it is said at its line."""
    more = "phrases:\n  battery-voltage:\n    good: ['put the meter on >> it was fine']\n"
    assert "phrase-does-not-read" in codes_of(folder_with(tmp_path, more=more))
