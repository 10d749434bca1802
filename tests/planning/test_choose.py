"""The next step on the real files: steady, within the budget of questions, safe, and every other step costed against it."""

import pytest

from assistant.planning.choose import Planner
from assistant.planning.scene import Scene
from tests.benchmarks.quick import Quick
from tests.benchmarks.world import Noise, World
from tests.real import BOOK

PLANNER, QUICK = Planner(BOOK), Quick(BOOK)
WORLD = World(BOOK, Noise(seed=9), QUICK)
STORIES = [{t: v for t, v in WORLD.owner(i).story.items()} for i in range(12)]


def scene(told, **more) -> Scene:
    """A moment in which this is known."""
    return QUICK.scene(told, **more)


@pytest.mark.parametrize("number", range(6))
def test_the_same_state_gets_the_same_advice(number):
    """A second planner on the same files chooses and costs everything the same."""
    assert Planner(BOOK).plan(scene(STORIES[number])) == PLANNER.plan(scene(STORIES[number]))


@pytest.mark.parametrize("number", range(len(STORIES)))
def test_after_three_questions_without_an_answer_none_is_asked(number):
    """Past the budget no question comes, not as an opening nor before a step whose parts are not certain."""
    best = PLANNER.plan(scene(STORIES[number], questions_in_a_row=3)).best
    assert best is not None and best.kind != "question"


@pytest.mark.parametrize("number", range(len(STORIES)))
def test_no_question_all_of_whose_answers_lead_to_the_same_step(number):
    """A question that is asked for its news has answers that lead to different steps."""
    best = PLANNER.plan(scene({**STORIES[number], "recent-work": ("nothing",)})).best
    assert best is not None
    if best.kind == "question" and best.outcomes and not BOOK.facts[best.id].opening and BOOK.facts[best.id].about != "machine":
        assert len({step for _, step in best.leads}) != 1


@pytest.mark.parametrize("number", range(6))
def test_every_step_that_can_be_done_is_costed(number):
    """Minutes now, minutes from here, outcomes whose chances sum to at most 1; and the tests among them name every outcome."""
    plan = PLANNER.plan(scene(STORIES[number]))
    assert len(plan.rivals) > 30
    for option in plan.rivals:
        assert 0 < option.minutes and option.expected_minutes > 0
        assert sum(chance for _, chance, _ in option.outcomes) <= 1 + 1e-9
        if option.kind in ("check", "question") and option.outcomes:
            assert {word for word, _, _ in option.outcomes} == set(BOOK.values(option.id))


def test_nothing_held_back_is_offered_or_named_as_a_rival():
    """With petrol about, no step that sparks is among the options, and what lifts the hold can be asked."""
    plan = PLANNER.plan(scene({"fuel-smell": ("strong",), "cranking": ("normal",), "firing": ("none",), "recent-work": ("nothing",)}))
    held = {b.what for b in plan.blocked}
    assert held and held.isdisjoint(o.id for o in (plan.best, *plan.rivals))
    assert plan.unblock is not None and BOOK.facts[plan.unblock].ask


def test_not_handed_over_while_a_cheap_test_would_pay():
    """A starter that only clicks gets a test before anything is handed over."""
    best = PLANNER.plan(scene({"cranking": ("none",), "starter-sound": ("single-click",), "lights-key-on": ("normal",), "recent-work": ("nothing",)})).best
    assert best is not None and best.kind in ("check", "question")


def test_the_advice_is_what_it_costs():
    """What the best saves is the difference between looking no further and doing it."""
    for told in STORIES[:6]:
        best = PLANNER.plan(scene({**told, "recent-work": ("nothing",)})).best
        assert best is not None
        if best.kind == "check":
            assert best.saves >= PLANNER.rules.saves_least
