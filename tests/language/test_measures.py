"""Numbers beside the words that say whose they are."""

import pytest

from tests.language.test_properties import READER


@pytest.mark.parametrize(("text", "wanted"), [
    ("compression left 150 right 60 psi", [(150.0, "left"), (60.0, "right")]), ("compression is 150 psi on the left and 60 on the right", [(150.0, "left"), (60.0, "right")]),
    ("compression left 150, 60 on the right", [(150.0, "left"), (60.0, "right")])])
def test_the_cylinder_stands_before_its_number_or_after(text, wanted):
    """Which way a list goes is told by its first number."""
    assert [(r.value, r.where) for r in READER.read(text).readings] == wanted


@pytest.mark.parametrize("text", ["fuse 10A blown", "a 10 amp fuse keeps blowing"])
def test_what_a_fuse_is_made_for_is_no_draw(text):
    """The current in a fuse's name was not measured."""
    assert all(r.value is None for r in READER.read(text).readings)
