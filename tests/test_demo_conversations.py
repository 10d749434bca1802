"""The recorded conversations of transcripts_demo, each replayed against the knowledge files."""

import pytest

from assistant.cli import drawn
from assistant.dialogue.think import Mind
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from assistant.trainer.conversations import find, read
from assistant.trainer.replay import replay
from assistant.trainer.replaying import demo_folder

FILES = find([demo_folder()])


@pytest.fixture(scope="module")
def mind():
    """The knowledge files, compiled once for all conversations."""
    return Mind(load(knowledge_folder()))


@pytest.mark.parametrize("path", FILES, ids=[p.stem for p in FILES])
def test_the_conversation_goes_as_it_should(path, mind):
    """What is heard, what fires, what leads, what comes next and what must not come, as its file says."""
    made, problems = read(mind.book, path, path.name)
    assert [p.text() for p in problems] == []
    assert [d.text() for d in replay(mind, made, drawn).differences] == []


def test_there_are_conversations():
    """An empty folder would pass unnoticed."""
    assert len(FILES) >= 5
