"""Another language lives in files: its words, its grammar and its short forms; the code knows none of them."""

import pytest

from tests.language.test_properties import READER, heard


@pytest.mark.parametrize(("text", "wanted"), [
    ("la moto no arranca, gira bien pero ni tose", {("cranking", "normal", False, "now"), ("firing", "none", False, "now")}),
    ("iba por la autopista y se paró de golpe", {("onset", "sudden-while-riding", False, "now"), ("power", "cuts-out-suddenly", False, "now")}),
    ("iba por la autopista y se paro de golpe", {("onset", "sudden-while-riding", False, "now"), ("power", "cuts-out-suddenly", False, "now")}),
    ("no hay chispa en la bujía", {("spark-at-plug", None, "none", None)}),
    ("la batería marca 11,9 no 12,9", {("battery-resting-voltage", 11.9, None, None)})])
def test_spanish_is_heard(text, wanted):
    """Sentences in Spanish, with and without their accents."""
    assert heard(text) == wanted


@pytest.mark.parametrize(("text", "kind"), [("no sé", "dont-know"), ("sí", "yes"), ("hecho", "done"), ("no tengo multímetro", "no-tool")])
def test_spanish_talk(text, kind):
    """Short answers in Spanish."""
    assert [i.kind for i in READER.read(text).intents] == [kind]


def test_one_language_does_not_colour_the_other():
    """An English story is read by the English files, whatever others there are."""
    assert ("cranking", "normal", False, "now") in heard("it turns over fine but no start")
