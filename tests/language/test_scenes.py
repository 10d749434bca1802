"""Phrases told over several sentences: what may stand between their parts, how near they stand, and what follows from one part."""

from assistant.language.lexicon import Scene
from assistant.language.scenes import _first
from assistant.records import Span
from tests.language.test_properties import READER
from tests.language.test_scope import stated


def places(**spots: tuple[int, int]) -> dict:
    """Part -> its sentence and where it starts, three characters long."""
    return {name: [(number, Span(start, start + 3))] for name, (number, start) in spots.items()}


def scene(*parts: str, barred: tuple = (), close: tuple = ()) -> Scene:
    """A scene of these parts."""
    return Scene("topic", "value", "", parts, barred or ((),) * len(parts), close or (False,) * len(parts))


def test_parts_follow_one_another():
    """In order, and no more than a few sentences apart."""
    assert _first(scene("a", "b"), places(a=(0, 0), b=(3, 50)))
    assert not _first(scene("a", "b"), places(a=(0, 60), b=(0, 50)))
    assert not _first(scene("a", "b"), places(a=(0, 0), b=(4, 50)))


def test_a_close_part_stands_in_the_same_sentence_or_the_next():
    """A plus before a part asks for that."""
    near = scene("a", "b", close=(False, True))
    assert _first(near, places(a=(0, 0), b=(1, 50))) and not _first(near, places(a=(0, 0), b=(2, 50)))


def test_a_barred_part_must_not_come_up_before_the_next():
    """An exclamation mark bars words before the part that follows it, from the part before on."""
    between = scene("a", "b", barred=((), ("x",)))
    assert not _first(between, places(a=(0, 0), x=(0, 20), b=(0, 50)))
    assert _first(between, places(x=(0, 0), a=(0, 20), b=(0, 50)))
    before = scene("a", "b", barred=(("x",), ()))
    assert not _first(before, places(x=(0, 0), a=(0, 20), b=(0, 50)))
    assert _first(before, places(a=(0, 0), x=(0, 20), b=(0, 50)))


def test_what_follows_from_a_sign_gives_way_to_what_is_said():
    """A starter that only clicks turns nothing, unless the message says that it turns."""
    assert ("cranking", "none") in stated("I press it and hear one click from the solenoid.")
    assert ("cranking", "none") not in stated("The solenoid clicks once and it cranks fine.")


def test_a_phrase_may_deny_its_value():
    """'There is some fuel in it' says that the tank is not empty, and not how full it is."""
    told = {(s.fact, s.value, s.denied) for s in READER.read("There is definitely fuel in it.").statements}
    assert ("fuel-level", "empty", True) in told and not any(f == "fuel-level" and not d for f, _, d in told)


def test_a_list_of_work_is_heard_part_by_part():
    """One verb, several parts."""
    found = stated("Fitted a new plug, coil and air filter last week.")
    assert {("recent-work", v) for v in ("plugs-replaced", "coil-or-leads", "air-filter")} <= found


def test_the_first_word_of_a_name_is_not_heard_alone():
    """A tank bag is no tank, and a spark plug no spark."""
    assert ("fuel-age", "fresh") not in stated("I have a new tank bag on it.")
    assert not READER.read("I have a spark plug here.").readings


def test_a_number_in_brackets_counts_and_a_distance_in_thousands_is_one():
    """'plug (2)' are two plugs, '32k miles' no kilohms."""
    assert not READER.read("New plug (2), coil, box. It has 32k miles.").readings
