"""Cases beside rules: three outcomes, a trace on failure, and every mistake in a file of cases at its line."""

import json

import pytest

from assistant.dialogue.think import Mind
from assistant.rulebook.load import load
from assistant.trainer import case_files
from assistant.trainer.cases import run_folder
from tests.trainer.folders import BASE, folder_with


@pytest.fixture(scope="module")
def mind():
    """The small folder, compiled."""
    return Mind(load(BASE))


def run(tmp_path, mind, text):
    """The result of the small folder with only these cases."""
    folder = folder_with(tmp_path)
    (folder / "rules" / "power.cases.yaml").write_text(text)
    return run_folder(mind, folder)


def test_the_small_folder_s_cases_hold(mind):
    """All nine, and no rule is without one."""
    result = run_folder(mind, BASE)
    assert (result.cases, result.failures, result.problems, result.without) == (9, (), (), ())


def test_a_rule_that_stays_silent_fails_with_its_trace(tmp_path, mind):
    """The trace goes down to the part that did not hold, and says what was known instead."""
    result = run(tmp_path, mind, "cases:\n  - facts: {lamp: dim}\n    fires: [dark-lamp-is-no-current]\n")
    (failure,) = result.failures
    assert failure.text().splitlines() == [
        "knowledge/rules/power.cases.yaml:2  'dark-lamp-is-no-current' should fire and stays silent",
        "  facts: lamp: dim",
        "  dark-lamp-is-no-current  (base/rules/power.yaml:2)",
        "    no   lamp: dead   (dim)",
    ]


def test_a_rule_that_fires_where_it_must_not_fails_with_its_trace(tmp_path, mind):
    """The trace shows that all parts held, with the number behind the word."""
    result = run(tmp_path, mind, "cases:\n  - facts: {battery-voltage: 11.2}\n    stays silent: [low-battery-is-flat]\n")
    assert result.failures[0].trace == ("low-battery-is-flat  (base/rules/power.yaml:24)", "  yes  battery-voltage: low   (low 11.2)")


def test_a_known_gap_passes_until_it_is_closed(tmp_path, mind):
    """`not yet` holds while the rule stays silent, and fails as soon as it fires."""
    assert run(tmp_path / "a", mind, "cases:\n  - facts: {lamp: dim}\n    not yet: [dark-lamp-is-no-current]\n").failures == ()
    (failure,) = run(tmp_path / "b", mind, "cases:\n  - facts: {lamp: dead}\n    not yet: [dark-lamp-is-no-current]\n").failures
    assert "move it from 'not yet' to 'fires'" in failure.what


def test_a_denied_value_does_not_count_as_firing(tmp_path, mind):
    """What somebody says is not so speaks by its complement, and its rule stays silent."""
    assert run(tmp_path, mind, "cases:\n  - denied: {lamp: dead}\n    stays silent: [dark-lamp-is-no-current]\n").failures == ()


def test_a_fault_that_should_be_raised_and_is_not_shows_the_weights(tmp_path, mind):
    """Which rules spoke of it, in decibans."""
    (failure,) = run(tmp_path, mind, "cases:\n  - facts: {joint-wiggle: moves}\n    raises: [battery-flat]\n").failures
    assert "'battery-flat' should be raised and goes from" in failure.what and failure.trace == ("no rule that fired speaks of it",)


def test_words_may_stand_in_place_of_facts(tmp_path, mind):
    """A case may prove a phrase: what is heard, what is not, and what fires on it."""
    text = ("cases:\n  - says: [the lamp is dead, it drags over]\n    hears: {lamp: dead, turning: slow}\n    does not hear: {lamp: dim}\n"
            "    fires: [dark-lamp-is-no-current]\n  - says: the lamp is dead\n    hears: {lamp: dim}\n")
    (failure,) = run(tmp_path, mind, text).failures
    assert failure.what == "'lamp: dim' should be heard and is not" and failure.trace == ("heard lamp: dead",)


def test_rules_without_a_case_are_named(tmp_path, mind):
    """Only a case that fires a rule, or names it as a known gap, counts as its case."""
    result = run(tmp_path, mind, "cases:\n  - facts: {lamp: dim}\n    fires: [dim-lamp-is-low-volts]\n    stays silent: [dark-lamp-is-no-current]\n")
    assert "dark-lamp-is-no-current" in result.without and "dim-lamp-is-low-volts" not in result.without


@pytest.mark.parametrize(("row", "place", "code"), [
    ("- facts: {lamp: dim}", (2, 5), "case-expects-nothing"),
    ("- facts: {lamp: dimm}\n    fires: [dim-lamp-is-low-volts]", (2, 13), "case-unknown-value"),
    ("- facts: {lampe: dim}\n    fires: [dim-lamp-is-low-volts]", (2, 13), "case-unknown-topic"),
    ("- facts: {lamp: [dim, dead]}\n    fires: [dim-lamp-is-low-volts]", (2, 13), "case-values-exclude"),
    ("- facts: {lamp: dim}\n    fires: [dim-lamp]", (3, 13), "case-unknown-rule"),
    ("- facts: {lamp: dim}\n    raises: [flat]", (3, 14), "case-unknown-fault"),
    ("- facts: {lamp: dim}\n    fire: [dim-lamp-is-low-volts]", (3, 5), "case-key"),
    ("- facts: {lamp: dim}\n    fires: [dim-lamp-is-low-volts]\n    stays silent: [dim-lamp-is-low-volts]", (2, 5), "case-contradicts-itself"),
    ("- lamp", (2, 5), "case-shape"),
])
def test_every_mistake_in_a_file_of_cases_is_told_at_its_line(row, place, code, tmp_path, mind):
    """And a case with a mistake is not run."""
    path = tmp_path / "x.cases.yaml"
    path.write_text(f"cases:\n  {row}\n")
    cases, problems = case_files.read(mind.book, path, "x.cases.yaml")
    assert cases == [] and (problems[0].line, problems[0].column, problems[0].code) == (*place, code)


def test_a_file_of_cases_holds_nothing_else(tmp_path, mind):
    """Rules put there by mistake are complained of, not lost in silence."""
    path = tmp_path / "x.cases.yaml"
    path.write_text("rules:\n  a: {}\n")
    assert [p.code for p in case_files.read(mind.book, path, "x")[1]] == ["cases-shape"]


def test_the_command_prints_json_for_other_programs(capsys):
    """With the failures, the complaints and the rules without a case."""
    from assistant.cli import main

    assert main(["knowledge", "cases", "--knowledge", str(BASE), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"cases": 9, "failures": [], "problems": [], "rules_without_case": []}
