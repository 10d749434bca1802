"""The trainer's guide in DEVELOPERS.md, followed literally: every command and every entry in it, in order, on a copy of the files."""

import re
import shutil
import shlex

import pytest

from assistant.cli import main
from assistant.dialogue.think import Mind
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from assistant.trainer.cases import run_folder
from assistant.trainer.conversations import read
from assistant.trainer.lint import essence, inspect
from assistant.trainer.replay import replay
from assistant.trainer.writing import Writing
from tests.trainer.folders import ROOT

GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Trainer's guide\n")[2].partition("\n## ")[0]
BLOCKS = [re.sub(r"(?m)^    ", "", block).strip("\n") for block in re.findall(r"(?m)(?:^    .*\n(?:^\n(?=    ))?)+", GUIDE)]
PLACE = re.compile(r"# in knowledge/(\S+), under (\w+):")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A copy of the knowledge files in which every rule has its case."""
    copy = shutil.copytree(knowledge_folder(), tmp_path_factory.mktemp("guide") / "knowledge")
    main(["knowledge", "new", "case", "--missing", "--knowledge", str(copy)])
    return copy


def test_the_guide_can_be_followed_to_the_letter(folder, capsys):
    """No step fails, nothing new is complained of in the end, all cases hold, and every entry is there."""
    first = inspect(folder)
    before = {essence(p) for p in first.problems}
    followed = 0
    for block in BLOCKS:
        place = PLACE.match(block)
        if place:
            with Writing(folder) as writing:
                writing.add_entry(folder / place[1], place[2], block.splitlines()[1:])
            new = [p.code for p in inspect(folder, first).problems if essence(p) not in before]
            assert new == ["fact-changes-nothing"]  # as the guide says
            followed += 1
        for line in block.splitlines():
            if line.startswith("tickover knowledge "):
                words = shlex.split(line, comments=True)[1:]
                status = main([*words, "--knowledge", str(folder)])
                told = capsys.readouterr()
                if "replay" in words:  # whether the conversations go as they should is a test of its own
                    assert status in (0, 1) and "as expected" in told.out, line + told.err
                elif "--missing" in words:
                    assert status == 1 and "every rule has its case already" in told.err
                else:
                    assert status == 0, line + told.err
                followed += 1
    assert followed >= 9
    assert [p.text() for p in inspect(folder, first).problems if essence(p) not in before] == []
    book = load(folder)
    assert run_folder(Mind(book), folder).passed
    assert {"tight-cover-keeps-the-damp", "damp-cover-and-green-terminals"} <= set(book.rules)
    assert "seat-hinge-wires-look" in book.checks and "seat-wires-chafed" in book.faults and "stood-under-cover" in book.facts


def test_the_case_that_the_guide_shows_is_the_one_that_is_written(folder):
    """Word for word."""
    shown = next(block for block in BLOCKS if block.startswith("- says: as if"))
    written = (folder / "phrases" / "signs-cranking.cases.yaml").read_text()
    assert "\n".join(f"  {line}" for line in shown.splitlines()) in written


def test_the_conversation_that_the_guide_shows_replays(tmp_path):
    """Read without a complaint, replayed without a difference."""
    path = tmp_path / "talk.yaml"
    path.write_text(next(block for block in BLOCKS if block.startswith("who: ")) + "\n")
    mind = Mind(load(knowledge_folder()))
    made, problems = read(mind.book, path)
    assert problems == [] and [d.text() for d in replay(mind, made).differences] == []


def test_every_action_of_the_trainer_is_in_the_guide():
    """Nothing a trainer can do is left for them to find out."""
    for action in ("check", "cases", "new phrase", "new rule", "new check", "new fault", "new case", "replay", "coverage", "compare", "show", "record", "learn"):
        assert f"tickover knowledge {action}" in GUIDE, action


README = (ROOT / "README.md").read_text(encoding="utf-8").partition("## For the trainer\n")[2].partition("\n## ")[0]
EXAMPLES = [command for command in re.findall(r"`(tickover [^`]+)`", README)]


def test_the_table_of_the_readme_names_every_action():
    """One example each, of every action there is."""
    from argparse import ArgumentParser

    from assistant.trainer import arguments

    actions = ArgumentParser().add_subparsers()
    arguments.add_to(actions, ArgumentParser(add_help=False))
    assert set(actions.choices) == {words[2] for words in map(shlex.split, EXAMPLES) if words[1] == "knowledge"}
    for name, made in actions.choices.items():
        takes = "--json" in made.format_help()
        assert takes == (f"`{name}`" in README.partition("take `--json`")[0].rpartition("\n\n")[2]), name


@pytest.mark.parametrize("command", EXAMPLES)
def test_the_examples_of_the_readme_run(command, folder, tmp_path, monkeypatch, capsys):
    """As they stand, on a copy of the files; what they name (a conversation, confirmed cases, folders) is there."""
    words = shlex.split(command)[1:]
    if words[0] != "knowledge":
        words = [*words, "knowledge", "list", "needs"]
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TICKOVER_DATA", str(tmp_path / "data"))
    monkeypatch.setattr("sys.stdin", __import__("io").StringIO("n\n" * 50))
    from assistant.session.events import Event
    from assistant.session.store import Store

    store = Store(tmp_path / "data")
    for _ in range(3):
        _, log = store.create()
        log.append(Event("said", {"text": "no spark at all"}))
        log.close()
    (tmp_path / "cases.jsonl").write_text('{"facts": {"cranking": "none"}, "faults": ["main-fuse-blown"]}\n')
    talk = tmp_path / "talk.yaml"
    talk.write_text(next(block for block in BLOCKS if block.startswith("who: ")) + "\n")
    words = [{"OLD": str(knowledge_folder()), "NEW": str(folder), "DIR": str(folder)}.get(w, w) for w in words]
    if words[1] in ("replay", "coverage", "compare") and words[0] == "knowledge":  # one conversation will do
        words.append(str(talk))
    if words[0] == "knowledge":
        words += ["--knowledge", str(folder)]
    status = main(words)
    told = capsys.readouterr()
    if words[1] == "coverage":  # a floor that one conversation cannot reach
        assert "Under the floor: rules" in told.err + told.out and status == 1
    elif words[1] == "replay":  # on files with stubs in them; that the conversation was gone through is what counts
        assert "one conversation" in told.out and "Traceback" not in told.err
    else:
        assert status == 0, told.err
