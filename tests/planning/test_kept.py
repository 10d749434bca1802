"""What is kept from one planning to the next changes nothing: a scene met again, or met by another way, gets the same plan."""

import random

import pytest

from assistant.dialogue.case import Case
from assistant.dialogue.think import Mind
from assistant.planning.choose import Planner
from assistant.planning.search import Effort, Search
from tests.benchmarks.instances import drawn
from tests.benchmarks.speed import ANSWERS, STORIES
from tests.real import BOOK


def told(search):
    """Everything that is read off a search."""
    def action(a):
        return (a.kind, a.index, a.cost, a.value, a.near, a.depth, [(c.label, c.mass, c.value, c.actions and c.actions[0].index) for c in a.children or ()])

    return ([action(a) for a in search.root.actions], search.hope, search.base, search.at_once.tolist(), search.settling.tolist(), search.chances.tolist())


@pytest.mark.parametrize("seed", range(12))
def test_a_search_is_kept_as_it_was(seed):
    """Looking further into some actions of one search leaves the next one on the same problem as it would have been."""
    problem = drawn(seed, large=seed % 2 == 1)
    first = Search(problem)
    first.run()
    plain = told(first)
    for action in list(first.root.actions):
        first.deepen(action)
    deep = told(first)
    again = Search(problem)
    again.run()
    assert told(again) == plain
    for action in list(again.root.actions):
        again.deepen(action)
    assert told(again) == deep
    other = Search(problem, Effort(work=2_000))  # another amount of work is another search
    other.run()
    assert other is not again and len(problem.kept) == 2


def test_scenes_by_another_way():
    """Plans of the scenes of a conversation, each twice and in an order drawn by dice, are those that came of them in turn."""
    scenes, plans = [], []
    mind = Mind(BOOK)
    real = mind.planner.plan
    mind.planner.plan = lambda scene: (scenes.append(scene), plans.append(real(scene)), plans[-1])[-1]
    dice, case = random.Random(4), Case(mind)
    for text in (STORIES[3], "why", *(dice.choice(ANSWERS) for _ in range(7)), "how sure are you"):
        case.say(text)
    planner = Planner(BOOK)
    places = [*range(len(scenes))] * 2
    dice.shuffle(places)
    for place in places:
        assert planner.plan(scenes[place]) == plans[place], place
