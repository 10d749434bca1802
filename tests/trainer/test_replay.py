"""Conversations replayed on the small folder: what counts as a difference, and what is worked out at all."""

import json

import pytest

from assistant.cli import main
from assistant.dialogue.think import Mind
from assistant.rulebook.load import load
from assistant.trainer.conversations import read
from assistant.trainer.replay import replay
from assistant.trainer.replaying import accept_all
from tests.trainer.folders import BASE

HEAD = "who: the cook\nshows: a trial\nturns:\n"


@pytest.fixture(scope="module")
def mind():
    """The small folder, compiled."""
    return Mind(load(BASE))


def played(tmp_path, mind, turns, **how):
    """The outcome of a conversation of these turns."""
    path = tmp_path / "talk.yaml"
    path.write_text(HEAD + turns)
    made, problems = read(mind.book, path, "talk.yaml")
    assert problems == []
    return replay(mind, made, **how)


def keys(outcome):
    """(turn, key) of every difference."""
    return [(d.turn, d.key) for d in outcome.differences]


@pytest.mark.parametrize(("expected", "key"), [
    ("heard: [{fact: lamp, value: dead, words: lamp is dead}]", None),
    ("heard: [{fact: lamp, value: dim}]", "heard"),
    ("heard: [{fact: lamp, value: dead, denied: yes}]", "heard"),
    ("heard: [{fact: lamp, value: dead, words: turning}]", "heard"),
    ("heard: []", None),
    ("fired: [dark-lamp-is-no-current]", None),
    ("fired: [dim-lamp-is-low-volts]", "fired"),
    ("ranked: [joint-bad, battery-flat]", None),
    ("ranked: [battery-flat]", "ranked"),
    ("ranked: open", None),
    ("must not: [lamp=dim, battery-flat]", None),
    ("must not: [lamp=dead]", "must not"),
    ("must not: [lamp]", "must not"),
    ("must not: [dark-lamp-is-no-current]", "must not"),
    ("missed: [sparrows sang]", None),
    ("missed: [gulls cried]", "missed"),
    ("meant: [why]", "meant"),
    ("kind: cured", "kind"),
    ("next: workshop", "next"),
    ("shown: [no such words]", "shown"),
])
def test_each_expectation_is_held_against_what_happened(expected, key, tmp_path, mind):
    """A difference names its key; what is as expected says nothing."""
    outcome = played(tmp_path, mind, f"  - says: the lamp is dead. It is turning. Sparrows sang. Gulls cried.\n    {expected}\n".replace("It is turning. ", "It was about turning. ")
                     if "turning" in expected else f"  - says: the lamp is dead. Sparrows sang near.\n    {expected}\n")
    assert keys(outcome) == ([(0, key)] if key else [])


def test_a_difference_says_what_was_heard_instead(tmp_path, mind):
    """Place, message and difference, as a trainer thinks."""
    outcome = played(tmp_path, mind, "  - says: the lamp is dead\n    heard: [{fact: lamp, value: dim}]\n")
    assert outcome.differences[0].text() == 'talk.yaml:4  turn 1  heard\n  "the lamp is dead"\n  not heard: lamp: dim. Heard instead: lamp: dead'


def test_a_strict_replay_counts_what_nobody_expected(tmp_path, mind):
    """Without it, more may be heard than is listed."""
    turns = "  - says: the lamp is dead and it turns slowly\n    heard: [{fact: lamp, value: dead}]\n"
    assert keys(played(tmp_path, mind, turns)) == []
    (difference,) = played(tmp_path, mind, turns, strict=True).differences
    assert difference.what == "heard too: turning: slow"


def test_a_number_is_held_against_the_number_and_against_its_word(tmp_path, mind):
    """The word is the one its band gives."""
    turns = "  - says: 11.4 V\n    answers: battery-voltage\n    heard: [{check: battery-voltage, value: VALUE}]\n"
    for value, right in (("11.4", True), ("low", True), ("11.5", False), ("good", False)):
        assert (keys(played(tmp_path, mind, turns.replace("VALUE", value))) == []) is right


def test_what_a_turn_answers_beats_what_was_asked(tmp_path, mind):
    """So that a test of understanding does not hang on the planner's taste."""
    outcome = played(tmp_path, mind, "  - says: the second\n    answers: turning\n    heard: [{fact: turning, value: slow}]\n")
    assert keys(outcome) == []


def test_nothing_is_planned_where_no_expectation_needs_it(tmp_path, mind):
    """Nor are the rules run; a later short message, or an expected step, makes the turns before it be planned."""
    long = "the lamp is dead and I have been standing in this yard for what feels like most of the night"
    plain = played(tmp_path, mind, f"  - says: {long}\n    heard: []\n  - says: {long}\n")
    assert all(t.thinking is None and t.ranking is None for t in plain.turns)
    ranked = played(tmp_path, mind, f"  - says: {long}\n    ranked: open\n")
    assert ranked.turns[0].ranking is not None and ranked.turns[0].thinking is None
    leaning = played(tmp_path, mind, f"  - says: {long}\n  - says: the second\n    heard: []\n")
    assert leaning.turns[0].thinking is not None and leaning.turns[1].thinking is None
    named = played(tmp_path, mind, f"  - says: {long}\n  - says: the second\n    answers: turning\n    heard: []\n")
    assert named.turns[0].thinking is None
    stepping = played(tmp_path, mind, f"  - says: {long}\n  - says: {long}\n    next: open\n")
    assert all(t.thinking is not None for t in stepping.turns)


def test_saving_the_planning_changes_nothing_that_is_expected(tmp_path, mind):
    """A whole replay, with everything worked out, hears and ranks the same."""
    turns = "  - says: the lamp is dead\n    heard: []\n  - says: the second\n    heard: []\n  - says: 11.2 V\n    ranked: open\n"
    quick, whole = played(tmp_path, mind, turns), played(tmp_path, mind, turns, whole=True)
    assert [t.state.heard for t in quick.turns] == [t.state.heard for t in whole.turns]
    assert quick.turns[-1].ranking == whole.turns[-1].ranking


def test_accepting_rewrites_one_expectation_and_leaves_every_other_line(tmp_path, mind, capsys):
    """Comments stay; what is not agreed to stays; quitting leaves the rest."""
    path = tmp_path / "talk.yaml"
    text = (HEAD + "  # the first evening\n  - says: the lamp is dead   # as she typed it\n    heard:\n      - {fact: lamp, value: dim}   # wrong\n    # and then\n"
            "    ranked: [battery-flat, joint-bad]\n    next: open\n  - says: it turns slowly\n    ranked: [battery-flat]\n")
    path.write_text(text)
    outcome = replay(mind, read(mind.book, path)[0])
    answers = iter(["y", "n", "y"])
    assert accept_all(mind, [outcome], lambda question: next(answers)) == 1
    now = path.read_text()
    step = outcome.turns[0].next
    assert now == (text.replace("      - {fact: lamp, value: dim}   # wrong\n", "      - {fact: lamp, value: dead, words: lamp is dead}\n").replace("next: open", f"next: {step}"))
    assert "expected: ['battery-flat', 'joint-bad']" in capsys.readouterr().out
    again = replay(mind, read(mind.book, path)[0])
    assert keys(again) == [(0, "ranked")]
    assert accept_all(mind, [again], lambda question: "q") == 1 and path.read_text() == now
    assert accept_all(mind, [again], lambda question: "yes") == 0
    assert "    # and then\n    ranked: [joint-bad, battery-flat]\n" in path.read_text()


def test_the_command_prints_json_and_fails_on_a_difference(tmp_path, capsys):
    """Exit status 1 with a difference, 0 without, 2 with nothing to replay."""
    path = tmp_path / "talk.yaml"
    path.write_text(HEAD + "  - says: the lamp is dead\n    ranked: [battery-flat]\n")
    arguments = ["knowledge", "replay", str(path), "--knowledge", str(BASE)]
    assert main([*arguments, "--json"]) == 1
    made = json.loads(capsys.readouterr().out)
    assert made["conversations"] == 1 and made["differences"][0]["key"] == "ranked" and made["problems"] == []
    path.write_text(HEAD + "  - says: the lamp is dead\n    ranked: [joint-bad]\n")
    assert main(arguments) == 0
    assert capsys.readouterr().out.startswith("one conversation: 1 as expected, 0 different.")
    assert main(["knowledge", "replay", str(tmp_path / "none"), "--knowledge", str(BASE)]) in (1, 2)


def test_a_long_run_shows_a_bar_to_a_person_only():
    """Nothing is drawn where nobody looks, and nothing for a moment's work."""
    import io

    from assistant.trainer import progress as module

    class Screen(io.StringIO):
        def isatty(self):
            return True

    assert module.bar(3, 12, "conversations") == "[########......................] 3 of 12 conversations"
    screen, pipe = Screen(), io.StringIO()
    patience, module._PATIENCE = module._PATIENCE, -1.0
    try:
        assert list(module.progress([1, 2, 3], "things", screen)) == [1, 2, 3] == list(module.progress([1, 2, 3], "things", pipe))
    finally:
        module._PATIENCE = patience
    assert "2 of 3 things" in screen.getvalue() and screen.getvalue().endswith("\r") and pipe.getvalue() == ""


def test_a_screen_is_compared_at_its_width_and_filled_in_where_it_is_open(tmp_path, mind, capsys):
    """Whoever owns a screen draws it; here the chat, through the command line."""
    from assistant.cli import drawn

    path = tmp_path / "talk.yaml"
    path.write_text(HEAD + "  - says: the lamp is dead\n    screen: {60: open}\n  - says: why\n")
    outcome = replay(mind, read(mind.book, path)[0], drawn)
    assert outcome.differences == () and outcome.unsettled == 1
    assert accept_all(mind, [outcome], lambda question: "y", drawn) == 0
    text = path.read_text()
    assert "    screen:\n      60: |2\n" in text and "Heard" in text and text.endswith("\n  - says: why\n")
    again = replay(mind, read(mind.book, path)[0], drawn)
    assert again.differences == () and again.unsettled == 0
    path.write_text(text.replace("Heard", "Hoard"))
    assert keys(replay(mind, read(mind.book, path)[0], drawn)) == [(0, "screen")]
