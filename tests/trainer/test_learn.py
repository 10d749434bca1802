"""Frequencies from confirmed cases: the arithmetic against known values, and a patch that applies."""

import json
import math
import subprocess

import pytest

from assistant.cli import main
from assistant.trainer.beta import Beta
from assistant.trainer.learn import patched, propose, read_confirmed, sound
from assistant.trainer.view import View
from tests.trainer.folders import BASE, folder_with


@pytest.mark.parametrize(("a", "b", "x", "below"), [
    (1, 1, 0.3, 0.3),  # uniform
    (2, 1, 0.5, 0.25),  # x squared
    (1, 3, 0.2, 1 - 0.8**3),
    (0.5, 0.5, 0.5, 0.5),  # arcsine
    (0.5, 0.5, 0.25, 2 / math.pi * math.asin(0.5)),
    (2, 3, 0.4, 6 * 0.16 - 8 * 0.064 + 3 * 0.0256),  # integral of 12 t (1 - t)^2
])
def test_the_distribution_has_its_closed_forms(a, b, x, below):
    """Where the incomplete beta function can be written down, it comes out."""
    assert Beta(a, b).below(x) == pytest.approx(below, abs=1e-10)


def test_the_posterior_is_counting():
    """A value of 40 worth 20 machines, and 9 of 10 seen: 17 of 30."""
    after = Beta.elicited(40, 20).after(9, 10)
    assert (after.a, after.b) == (17, 13) and after.mean == pytest.approx(100 * 17 / 30)
    low, high = after.interval()
    assert low < after.mean < high and after.below(low / 100) == pytest.approx(0.05, abs=1e-9) and after.below(high / 100) == pytest.approx(0.95, abs=1e-9)


@pytest.mark.parametrize("make", [lambda: Beta.elicited(0, 20), lambda: Beta.elicited(100, 20), lambda: Beta.elicited(40, 0), lambda: Beta(1, 1).after(3, 2)])
def test_impossible_counts_are_refused(make):
    """Nothing is ever at 0 or 100, and hits are not more than cases."""
    with pytest.raises(ValueError):
        make()


def case(lamp, fault, **more):
    """A confirmed case on one line."""
    return json.dumps({"facts": [{"fact": "lamp", "value": lamp}], "faults": [fault], **more})


@pytest.fixture
def cases(tmp_path):
    """Ten machines with a bad joint, of which nine had a dark lamp; six flat batteries with a dim one; and two bad lines."""
    path = tmp_path / "cases.jsonl"
    lines = [case("dead", "joint-bad")] * 9 + [case("bright", "joint-bad")] + [case("dim", "battery-flat")] * 6
    path.write_text("\n".join([*lines, "{}", "not json", case("dim", "nothing-such")]) + "\n")
    return path


def test_what_was_seen_moves_the_numbers_and_what_was_not_leaves_them(cases):
    """Only numbers of topics that were spoken of, with enough cases, and by a point or more."""
    view = View.of(BASE)
    confirmed, wrong = read_confirmed(view.book, cases)
    assert len(confirmed) == 16 and len(wrong) == 3
    made = {(p.rule, p.of): p for p in propose(view, confirmed, 20, 5)}
    dark = made["dark-lamp-is-no-current", "joint-bad"]
    assert (dark.old, dark.hits, dark.cases, dark.new) == (60, 9, 10, 70) and dark.low < 70 < dark.high
    assert made["dim-lamp-is-low-volts", "battery-flat"].new == round(100 * (11 + 6) / 26)
    assert {rule for rule, _ in made} == {"dark-lamp-is-no-current", "dim-lamp-is-low-volts"}
    assert propose(view, confirmed, 20, 50) == []


def test_the_patch_applies_and_the_files_stay_sound(cases, tmp_path, capsys):
    """Comment lines first, then a diff that `git apply` takes; the folder itself is not touched."""
    folder = folder_with(tmp_path)
    before = {p: p.read_text() for p in folder.rglob("*.yaml")}
    assert main(["knowledge", "learn", str(cases), "--knowledge", str(folder)]) == 0
    out = capsys.readouterr().out
    assert {p: p.read_text() for p in folder.rglob("*.yaml")} == before
    assert "# dark-lamp-is-no-current, joint-bad: 60 -> 70  (seen in 9 of 10 cases; likely" in out and "--- a/knowledge/rules/power.yaml" in out
    done = subprocess.run(["git", "apply", "-"], input=out, text=True, cwd=tmp_path, capture_output=True)
    assert done.returncode == 0, done.stderr
    assert "seen-in: {joint-bad: 70," in (folder / "rules" / "power.yaml").read_text()
    assert View.of(folder).problems == []


def test_numbers_that_would_pass_100_together_are_not_proposed(tmp_path):
    """Two values of one topic, both seen more often than before: their sum must stay possible."""
    view = View.of(BASE)
    path = tmp_path / "cases.jsonl"
    path.write_text("\n".join([case("dead", "joint-bad")] * 200 + [case("dim", "joint-bad")]) + "\n")
    confirmed, _ = read_confirmed(view.book, path)
    made = propose(view, confirmed, 20, 5)
    kept, dropped = sound(view, [p for p in made if p.new > p.old])
    assert [p.rule for p in dropped] == ["dark-lamp-is-no-current"] and kept == []
    assert sound(view, made) == (made, []) and patched(view, made)


def test_a_file_that_cannot_be_read_is_told_in_a_line(tmp_path, capsys):
    """Exit status 1."""
    assert main(["knowledge", "learn", str(tmp_path / "none"), "--knowledge", str(BASE)]) == 1
    assert "cannot be read" in capsys.readouterr().err


def test_machines_that_a_rule_says_nothing_of_do_not_count_against_it(tmp_path):
    """A rule for kicked machines is of 100 kicked ones; those with a button are no misses."""
    folder = folder_with(tmp_path, more="rules:\n  kicked-and-dead:\n    kind: evidence\n    says: On a kicked machine a dead lamp is the joint.\n"
                         "    when: {start-by: kick, lamp: dead}\n    seen-in: {joint-bad: 50}\n    otherwise: 20\n    source: common-practice\n")
    view = View.of(folder)
    path = tmp_path / "cases.jsonl"
    path.write_text("\n".join([case("dead", "joint-bad", machine={"start-by": "kick"})] * 6 + [case("dead", "joint-bad", machine={"start-by": "button"})] * 30))
    made = {p.rule: p for p in propose(view, read_confirmed(view.book, path)[0], 20, 5)}
    assert (made["kicked-and-dead"].hits, made["kicked-and-dead"].cases) == (6, 6)


def test_a_case_may_be_one_mapping_as_in_a_case_beside_a_rule(tmp_path):
    """Topic to value, checks too; several values as a list; it is the same case as the long form."""
    path = tmp_path / "cases.jsonl"
    path.write_text('{"facts": {"lamp": "dead", "battery-voltage": 11.2}, "denials": {"turning": "quick"}, "faults": ["joint-bad"]}\n'
                    '{"facts": [{"fact": "lamp", "value": "dead"}], "readings": [{"check": "battery-voltage", "value": 11.2}], '
                    '"denials": [{"fact": "turning", "value": "quick"}], "faults": ["joint-bad"]}\n')
    both, wrong = read_confirmed(View.of(BASE).book, path)
    assert wrong == [] and both[0] == both[1] and len(both[0].known) == 3


def test_what_a_line_lacks_is_said(tmp_path):
    """A word that is no fact is left out and named with the nearest; a line that is no case shows what one looks like."""
    path = tmp_path / "cases.jsonl"
    path.write_text('{"facts": {"lampe": "dead", "turning": "slow"}, "faults": ["joint-bad"]}\n{"facts": {"lamp": "dead"}}\n[]\n{"faults": ["joint-bed"]}\n')
    cases, wrong = read_confirmed(View.of(BASE).book, path)
    assert len(cases) == 1 and [k.topic for k in cases[0].known] == ["turning"]
    assert [line.partition("  ")[2][:40] for line in wrong] == ["'lampe' is neither a fact nor a check, a", "no fault was confirmed; a case reads {\"f",
                                                               "this line is not a confirmed case; one r", "'joint-bed' is not a fault. Nearest: 'jo"]
