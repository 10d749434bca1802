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
    before = {essence(p) for p in inspect(folder).problems}
    followed = 0
    for block in BLOCKS:
        place = PLACE.match(block)
        if place:
            with Writing(folder) as writing:
                writing.add_entry(folder / place[1], place[2], block.splitlines()[1:])
            new = [p.code for p in inspect(folder).problems if essence(p) not in before]
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
    assert [p.text() for p in inspect(folder).problems if essence(p) not in before] == []
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
