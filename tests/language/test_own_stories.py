"""What is heard of the own stories may not grow worse: floors under the figures as they were last measured."""

from assistant.dialogue.think import Mind
from tests.language.test_properties import STORIES
from tests.real import BOOK
from tests.scoring import score_story, total

FLOORS = {"fact_precision": 0.76, "fact_recall": 0.83, "reading_precision": 0.75, "reading_recall": 0.685}  # over 233 stories


def test_the_stories_are_heard_as_well_as_before():
    """Facts and readings told in the stories: how many of those heard were told, and how many of those told were heard. None turned round."""
    mind = Mind(BOOK)
    figures = total([score_story(mind, story) for story in STORIES])
    assert {name: figures[name] for name, floor in FLOORS.items() if figures[name] < floor} == {}
    assert figures["reversed"] == 0
