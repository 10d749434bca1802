"""Knowledge files saved while somebody talks: taken up at the next message, what changed is told; broken ones change nothing."""

import os
import subprocess
import sys

import pytest

from assistant.chat.screen import View, to_text
from assistant.chat.sitting import Sitting
from assistant.chat.warm import Warm
from assistant.session.keeper import Keeper
from assistant.session.log import read
from assistant.session.store import Store
from tests.chat.test_app import FOOT, POSIX, AtTerminal
from tests.rulebook.test_reload import save
from tests.trainer.folders import folder_with

RULES = ("rules", "power.yaml")


@pytest.fixture
def talk(tmp_path):
    """A sitting on a small folder of its own: the folder, and what is shown when a message is said."""
    folder = folder_with(tmp_path)
    sitting = Sitting(Warm(str(folder)), Keeper(Store(tmp_path / "data")), lambda: View(80, "utf-8"))

    def say(text):
        return to_text(sitting.hear(text)[0])

    say.sitting = sitting
    yield folder, say
    sitting.end()


def edit(folder, before, after, name=RULES):
    """Save a file with one thing changed."""
    path = folder.joinpath(*name)
    text = path.read_text()
    assert text.count(before) == 1
    save(path, text.replace(before, after))


def flat(text):
    """On one line."""
    return " ".join(text.split())


def test_a_saved_change_is_in_force_at_the_next_message(talk):
    """What was said is gone through again; who leads and what comes next is told in a line or two, before the answer."""
    folder, say = talk
    say("no lamp")
    edit(folder, "seen-in: {joint-bad: 60, battery-flat: 30}", "seen-in: {joint-bad: 20, battery-flat: 40}")
    told = flat(say("why"))
    assert told.startswith("The knowledge files have changed; I go by the new ones, and went through what you said again. "
                           "Ahead is now flat battery, ")
    assert ", in place of loose joint at the battery. The next step" in told
    assert "40 of 100 with this fault" in told
    assert "knowledge files" not in say("why")


def test_a_change_that_moves_nothing_says_so(talk):
    """Another sentence in a rule: the ranking is the same, the next step stays."""
    folder, say = talk
    say("lamp is dim")
    edit(folder, "A dark lamp means that no current arrives.", "No light, no current.")
    assert "The ranking is the same. The next step stays: " in flat(say("why"))


def test_a_new_phrase_is_heard_in_what_was_said_before(talk):
    """The trainer adds the words that were missed, and the conversation has heard them."""
    folder, say = talk
    assert "lamp glimmers" in say("the lamp glimmers")
    edit(folder, "dim: [lamp is (dim|weak)]", "dim: [lamp is (dim|weak), lamp glimmers]", ("machine.yaml",))
    assert "went through what you said again. " in flat(say("why")) and say.sitting.case.state.notes[0].topic == "lamp"


def test_a_file_that_cannot_be_used_changes_nothing(talk):
    """Its first complaint and how many there are, once; the old files stay in force until they can be used."""
    folder, say = talk
    say("no lamp")
    mind, standing = say.sitting.case.mind, say.sitting.case.thinking.ranking
    good = folder.joinpath(*RULES).read_text()
    save(folder.joinpath(*RULES), good.replace("joint-bad: 60", "joint-bd: 60").replace("lamp: dim", "lamp: dimm"))
    told = flat(say("why"))
    assert told.startswith("The knowledge files have changed, but cannot be used: I go on by the old ones. There are 2; the first: "
                           "knowledge/rules/power.yaml:7:15 error unknown-fault")
    assert "Mend: write joint-bad" in told and "Because" not in told.split("Mend")[0] and "Why " in told
    assert say.sitting.case.mind is mind and say.sitting.case.thinking.ranking == standing
    assert "knowledge files" not in say("why")
    save(folder.joinpath(*RULES), good.replace("otherwise: 4", "otherwise: 5"))
    assert "The knowledge files have changed; I go by the new ones" in flat(say("why"))


def test_a_folder_that_is_gone_changes_nothing(talk):
    """Moved away while somebody talks: one complaint, and the talk goes on."""
    folder, say = talk
    say("no lamp")
    folder.rename(folder.with_name("away"))
    told = flat(say("turns slowly"))
    assert "folder-missing" in told and "Heard" in told
    folder.with_name("away").rename(folder)
    assert "Heard" in say("kick only")


def test_before_anything_was_said(talk):
    """One short line, and nothing in the log but the files that are in force."""
    folder, say = talk
    say.sitting.warm.mind()
    edit(folder, "otherwise: 4", "otherwise: 5")
    told = flat(say("no lamp"))
    assert told.startswith("The knowledge files have changed; I go by the new ones. ") and "went through" not in told


def test_the_log_says_which_files_and_keeps_what_was_said_once(talk):
    """The change is an entry of the log; nothing that was said is written again; resuming finds the files unchanged."""
    folder, say = talk
    say("no lamp")
    edit(folder, "otherwise: 4", "otherwise: 5")
    say("turns slowly")
    say.sitting.end()
    events = read(say.sitting.keeper.path).events
    assert [e.data["text"] for e in events if e.kind == "said"] == ["no lamp", "turns slowly"]
    assert [e.data["knowledge"] for e in events if e.kind == "resumed"] == [say.sitting.case.mind.book.fingerprint]
    again = Keeper(say.sitting.keeper.store)
    sitting = Sitting(Warm(str(folder)), again, lambda: View(80, "utf-8"), again.resume(""))
    assert "have changed" not in to_text(sitting.begin())
    sitting.end()


def test_what_was_asked_and_is_gone_is_asked_no_more(talk):
    """The check on offer has another name in the new files: a letter is no answer to what is gone, and the talk goes on."""
    folder, say = talk
    save(folder / "dear.yaml", "settings:\n  question-minutes: {plain: asking one question, value: 8}\n")  # so that a check comes first
    say("kick only")
    pending, told = say.sitting.case.state.pending, len(say.sitting.case.state.notes)
    assert pending.kind == "check"
    for path in folder.rglob("*.yaml"):
        save(path, path.read_text().replace(pending.id, "another-name"))
    shown = flat(say("1"))
    assert "knowledge files have changed" in shown and len(say.sitting.case.state.notes) == told
    assert say.sitting.case.state.pending.id == "another-name"


def test_a_change_in_mid_talk_through_a_pipe(tmp_path):
    """The whole program: a saved number moves the ranking, a broken file is complained of, and the talk goes on."""
    folder = folder_with(tmp_path)
    process = subprocess.Popen([sys.executable, "-m", "assistant", "--knowledge", str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, env={**os.environ, "TICKOVER_DATA": str(tmp_path / "data")}, text=True)

    def say(text):
        process.stdin.write(text + "\n")
        process.stdin.flush()

    def until(wanted):
        seen = ""
        while wanted not in seen:
            line = process.stdout.readline()
            assert line, seen
            seen += line
        return flat(seen)

    say("no lamp")
    until("Because")
    edit(folder, "seen-in: {joint-bad: 60, battery-flat: 30}", "seen-in: {joint-bad: 20, battery-flat: 40}")
    say("turns slowly")
    assert "Ahead is now flat battery" in until("Heard")
    save(folder.joinpath(*RULES), "rules: [\n")
    say("kick only")
    assert "cannot be used: I go on by the old ones." in until("Heard")
    out, err = process.communicate("quit\n", timeout=60)
    assert process.returncode == 0 and err == ""


@POSIX
def test_a_change_at_a_real_terminal(tmp_path):
    """The line about the files comes above the answer, at the prompt as well."""
    folder = folder_with(tmp_path)
    with AtTerminal(tmp_path, TICKOVER_KNOWLEDGE=str(folder)) as terminal:
        terminal.until(FOOT)
        terminal.type(b"no lamp\r")
        terminal.until(b"Why")
        terminal.until(FOOT)
        edit(folder, "seen-in: {joint-bad: 60, battery-flat: 30}", "seen-in: {joint-bad: 20, battery-flat: 40}")
        terminal.type(b"turns slowly\r")
        between = terminal.until(b"Ahead is now")
        assert b"The knowledge files have changed" in between and b"Heard" not in between
        terminal.until(b"Why")
        terminal.until(FOOT)
        terminal.type(b"\x04")
        terminal.until(b"Kept as")
        terminal.until(b"resume 1")
        assert terminal.status() == 0
