"""What is brought up unasked, and what is the answer to a question."""

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.session.events import Event
from tests.real import BOOK

MIND = Mind(BOOK)
TOPIC = "cranking"


def told(case: Case) -> dict[str, bool]:
    """Each fact heard with whether it counts as told unasked."""
    return {n.topic: n.unasked for n in case.state.notes}


def asked() -> Case:
    """A case with one question open."""
    case = Case(MIND)
    values = BOOK.facts[TOPIC].values or {}
    case.add(Event("asked", {"what": "question", "id": TOPIC, "choices": list(values), "plain": list(values.values())}))
    return case


def test_a_story_is_told_unasked_and_an_answer_is_not():
    """The same words count as unasked at the start, and as an answer after the question."""
    story, answer = Case(MIND), asked()
    story.hear("it turns over slowly")
    answer.hear("it turns over slowly")
    assert told(story)[TOPIC] and not told(answer)[TOPIC]


def test_what_comes_along_with_an_answer_is_part_of_it():
    """What is said in the same breath as the answer was drawn out by the question too."""
    case = asked()
    case.hear("it turns over slowly and the lights are dim")
    assert told(case)["lights-key-on"] is False


def test_another_thing_told_in_place_of_an_answer_is_unasked():
    """A question that is passed over for something else leaves that something of the person's own accord."""
    case = asked()
    case.hear("the lights are dim")
    assert told(case)["lights-key-on"] is True


def test_the_account_says_so_and_its_sum_still_adds_up():
    """The numbers of a reason name how many times it counts, and prior and reasons make the probability."""
    from assistant.dialogue.account_why import account_of
    from assistant.dialogue.account_words import frequencies

    case = Case(MIND)
    case.say("it turns over slowly and the lights are dim")
    made = account_of(MIND, case.state, case.thinking, case.thinking.ranking.standings[0].fault)
    assert made is not None
    assert made.adds_up
    lifted = [r for r in made.counted if r.emphasis > 1]
    assert lifted and all("told unasked" in frequencies(r) for r in lifted)
