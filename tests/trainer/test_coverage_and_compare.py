"""What conversations exercise, and what a change of the files does to them."""

import json

import pytest

from assistant.cli import main
from assistant.dialogue.think import Mind
from assistant.rulebook.load import load
from assistant.trainer.compare import compare_folders, figures
from assistant.trainer.conversations import read
from assistant.trainer.coverage import gather
from tests.trainer.folders import BASE, folder_with

TALK = """who: the cook
shows: a trial
cause: battery-flat
turns:
  - says: the lamp is weak
  - says: 11.2 V
    answers: battery-voltage
"""


@pytest.fixture
def talk(tmp_path):
    """One conversation."""
    path = tmp_path / "talk.yaml"
    path.write_text(TALK)
    return path


def test_coverage_tells_never_tried_from_never_true(talk):
    """The lamp was spoken of, so its other rule was tried; nobody spoke of the joint, so its rules were not."""
    mind = Mind(load(BASE))
    made = gather(mind, [read(mind.book, talk)[0]]).tallies
    assert made["rules"].hit == {"dim-lamp-is-low-volts", "low-battery-is-flat"}
    assert made["rules"].never_true == ["dark-lamp-is-no-current"]
    assert made["rules"].never_tried == ["kick-only-needs-no-button", "moving-joint-is-bad", "slow-turning-is-low-volts"]
    assert made["outcomes"].hit == {"battery-voltage=low"} and made["outcomes"].never_true == ["battery-voltage=good"]
    assert made["outcomes"].never_tried == ["joint-wiggle=moves", "joint-wiggle=tight"]
    assert made["phrases"].hit & set(made["phrases"].places) == {"lamp=dim: lamp is (dim|weak)"} and made["phrases"].never_true == []
    assert made["faults"].hit == {"battery-flat"} and made["faults"].never_true == ["joint-bad"]
    assert round(made["rules"].percent) == 33


def test_a_phrase_is_tried_when_its_value_is_said_in_other_words(tmp_path):
    """Two phrases for one value: the one heard is exercised, the other tried and never true."""
    path = tmp_path / "talk.yaml"
    path.write_text("who: the cook\nshows: a trial\nturns:\n  - says: the lamp is dead\n")
    mind = Mind(load(BASE))
    phrases = gather(mind, [read(mind.book, path)[0]]).tallies["phrases"]
    assert phrases.never_true == ["lamp=dead: no lamp"]


def test_a_floor_fails_the_command(talk, capsys):
    """For all kinds, or for one; the cases beside the rules count on request."""
    arguments = ["knowledge", "coverage", str(talk), "--knowledge", str(BASE)]
    assert main(arguments) == 0
    assert "tried and never true: 1, never tried: 3" in capsys.readouterr().out
    assert main([*arguments, "--floor", "rules=30"]) == 0
    assert main([*arguments, "--floor", "rules=40"]) == 1
    assert "Under the floor: rules 33.3 % (floor 40 %)." in capsys.readouterr().err
    assert main([*arguments, "--cases", "--floor", "rules=100", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["rules"]["never_tried"] == []
    assert main([*arguments, "--floor", "wheels=3"]) == 2 and main([*arguments, "--floor", "much"]) == 2


def test_the_same_files_change_nothing(talk):
    """Every figure is the same under both."""
    (change,), unread = compare_folders(BASE, BASE, [talk])
    assert change.lines() == [] and unread == [] and figures([change.old]) == figures([change.new])


def test_compare_says_what_a_changed_number_does(talk, tmp_path, capsys):
    """Leader, steps, minutes and calibration; the true cause loses belief, so bits are lost."""
    new = folder_with(tmp_path)
    path = new / "rules" / "power.yaml"
    path.write_text(path.read_text().replace("    seen-in: {battery-flat: 90}\n    otherwise: 8", "    seen-in: {battery-flat: 10}\n    otherwise: 80"))
    (change,), _ = compare_folders(BASE, new, [talk])
    assert change.old.leader == "battery-flat" and change.new.leader == "joint-bad"
    assert any(line.startswith("leads: battery-flat (") for line in change.lines())
    old, now = figures([change.old]), figures([change.new])
    assert old["cause_leads"] == 1 and now["cause_leads"] == 0 and now["bits_lost"] > old["bits_lost"] and now["brier"] > old["brier"]
    assert main(["knowledge", "compare", str(BASE), str(new), str(talk)]) == 0
    out = capsys.readouterr().out
    assert "one conversation: 1 changed, 1 with another conclusion." in out and "bits lost on the cause, mean" in out


def test_compare_says_what_a_phrase_taken_out_does(talk, tmp_path, capsys):
    """Turn by turn, what is no longer heard, and which rule falls silent with it."""
    new = folder_with(tmp_path)
    path = new / "machine.yaml"
    path.write_text(path.read_text().replace("    dim: [lamp is (dim|weak)]\n", "    dim: [lamp is faint]\n"))
    assert main(["knowledge", "compare", str(BASE), str(new), str(talk), "--json"]) == 0
    (row,) = json.loads(capsys.readouterr().out)["conversations"]
    assert "turn 1 heard: -lamp=dim" in row["changes"] and "fired: -dim-lamp-is-low-volts" in row["changes"]


def test_a_conversation_that_one_version_cannot_read_is_named(talk, tmp_path, capsys):
    """With the reason; the exit status says that not all were compared."""
    new = folder_with(tmp_path)
    path = new / "checks.yaml"
    path.write_text(path.read_text().replace("battery-voltage", "battery-volts"))
    (new / "rules" / "power.yaml").write_text((new / "rules" / "power.yaml").read_text().replace("battery-voltage", "battery-volts"))
    (new / "faults.yaml").write_text((new / "faults.yaml").read_text().replace("battery-voltage", "battery-volts"))
    (new / "machine.yaml").write_text((new / "machine.yaml").read_text().replace("battery-voltage", "battery-volts"))
    assert main(["knowledge", "compare", str(BASE), str(new), str(talk)]) == 1
    assert "talk: the new files do not know what it names. 'battery-voltage' is not a" in capsys.readouterr().out


def test_calibration_is_taken_before_the_repair(tmp_path):
    """A repair clears away what led to it; what was believed when it was begun is what counts."""
    path = tmp_path / "talk.yaml"
    path.write_text(TALK + "  - says: done\n    answers: battery-flat\n  - says: \"yes\"\n")
    (change,), _ = compare_folders(BASE, BASE, [path])
    assert change.old.leads is True and change.old.cause_share > 0.8
