"""Complaints come all in one go, each once, each at its place, and one mistake does not make a crowd of others."""

import pytest

from assistant.problems import Problem, article, count, nearest, quoted
from assistant.rulebook.load import examine
from tests.rulebook.folders import codes_of, folder_with

WHOLE = """
rules:
  a-sign:
    kind: evidence
    says: A sign.
    when: {lights: %s}
    seen-in: {plug-fouled: %s}
    otherwise: %s
    source: common-practice
"""


def test_one_entry_with_many_mistakes(tmp_path):
    """Every mistake of one entry is told, in the order of the file."""
    found = examine(folder_with(tmp_path, many="""
checks:
  odd:
    need: [power]
    plain: odd
    minutes: a while
    skill: clever
    hazards: {}
    steps: [One., 2, [three]]
    slips: [5, {what: A slip., spoils: 0}]
    outcomes: {good: good}
    with: none
    reading: {unit: V, range: [0], spread: 1, bands: [{outcome: good, below: [1, 2]}]}
    colour: red
"""))[1]
    assert [(p.line, p.code) for p in found] == [
        (4, "not-a-text"), (6, "not-a-number"), (7, "unknown-word"), (8, "wrong-shape"), (9, "not-a-text"), (10, "wrong-shape"),
        (10, "number-out-of-range"), (12, "wrong-shape"), (13, "wrong-shape"), (13, "wrong-shape"), (14, "unknown-key")]
    assert "'below' takes a number or one word, not a list." in [p.what for p in found]


def test_mistakes_of_all_stages_in_one_go(tmp_path):
    """Syntax, shape, links and sums are all told at once."""
    folder = folder_with(tmp_path, a="parts: [\n", b=WHOLE % ("bright", 0, 10), c=WHOLE.replace("a-sign", "b-sign") % ("brigth", 30, 10),
                         d=WHOLE.replace("a-sign", "c-sign") % ("[dead, bright]", 96, 39))
    assert codes_of(folder) == ["yaml-syntax", "number-out-of-range", "unknown-value", "frequencies-over-100"]


def test_names_in_a_broken_file_are_not_called_unknown(tmp_path):
    """A fact in a file that does not parse may well exist: its users are left in peace, other unknown names are not."""
    folder = folder_with(tmp_path, facts_more="facts:\n  smell: {about: sign, plain: smell, values: {fuel: fuel}\n",
                         user=WHOLE.replace("{lights: %s}", "{smell: fuel, smelll: fuel}") % (30, 10))
    found = examine(folder)[1]
    assert [p.code for p in found] == ["yaml-syntax", "unknown-topic"]
    assert "'smelll'" in found[1].what


@pytest.mark.parametrize("broken", ["facts:\n  smell: {about: smells, plain: smell, values: {fuel: fuel}}\n", "facts:\n  smell: {about: sign, plain: &a smell, values: {fuel: *a}}\n",
                                    "facts:\n  smell: !!set {a}\n", "facts:\n  smell: words\n"])
def test_a_broken_entry_is_not_called_unknown(tmp_path, broken):
    """An entry with a mistake of its own still exists for those that name it."""
    folder = folder_with(tmp_path, broken=broken, user=WHOLE.replace("{lights: %s}", "{smell: fuel}") % (30, 10))
    assert len(codes_of(folder)) == 1


def test_a_wrong_value_with_many_phrases_is_one_complaint(tmp_path):
    """However many phrases stand under a wrong topic or value, it is told once, at the word that is wrong."""
    found = examine(folder_with(tmp_path, words="phrases:\n  lights:\n    dimm: [one, two, three]\n  lihgts:\n    dim: [four]\n    dead: [five]\n"))[1]
    assert [(p.line, p.column, p.code) for p in found] == [(3, 5, "unknown-value"), (4, 3, "unknown-topic")]


def test_the_place_is_that_of_the_wrong_one(tmp_path):
    """Where a topic stands twice in a condition, the complaint is at the wrong one, down to the item of a list."""
    found = examine(folder_with(tmp_path, two="""
rules:
  a-sign:
    kind: evidence
    says: A sign.
    when:
      any:
        - {lights: dead, cranking: none}
        - {lights: [dim, dimm]}
        - {unknown: work-dome}
        - {denied: {lights: blue}}
        - not: {air-temperature-c: cold}
    seen-in: {plug-fouled: 30}
    otherwise: 10
    source: common-practice
"""))[1]
    assert [(p.line, p.column, p.code) for p in found] == [(9, 26, "unknown-value"), (10, 12, "unknown-topic"), (11, 21, "unknown-value"), (12, 17, "unknown-value")]


@pytest.mark.parametrize(("line", "words"), [
    ("when: {}", "not an empty one"), ("when:", "not nothing"), ("when: [lights]", "not a list"), ("when: {lights: true}", "not true or false"),
    ("when: {lights: []}", "not an empty list"), ("when: {lights: [dim, null]}", "not nothing"), ("when: {all: {lights: dim}}", "'all' takes a list"),
    ("when: {any: []}", "'any' takes a list"), ("when: {not: dim}", "not a text"), ("when: {unknown: [lights]}", "'unknown' takes one topic"),
    ("when: {denied: lights}", "'denied' takes one topic"), ("when: {air-temperature-c: {}}", "has no bound"),
    ("when: {air-temperature-c: {under: 3}}", "'under: 3' is not a bound"), ("when: {air-temperature-c: {below: cold}}", "'below: cold' is not a bound"),
    ("when: {air-temperature-c: {below: 1e999}}", "'below: 1e999' is not a bound")])
def test_conditions_that_make_no_sense(tmp_path, line, words):
    """Every way to write a condition wrongly is one complaint that says what was found."""
    found = examine(folder_with(tmp_path, bad=WHOLE.replace("when: {lights: %s}", line) % (30, 10)))[1]
    assert [p.code for p in found] == ["condition-shape"]
    assert words in found[0].what


def test_64_alternatives_are_allowed_and_65_are_not(tmp_path):
    """A condition may branch into 64 alternatives; one more is refused by the loader and never reaches the engine."""
    values = "facts:\n  a: {about: sign, plain: a, values: {" + ", ".join(f"v{n}: v" for n in range(70)) + "}}\n"
    for size, codes in ((64, []), (65, ["too-many-alternatives"])):
        when = "{any: [" + ", ".join(f"{{a: v{n}}}" for n in range(size)) + "]}"
        folder = folder_with(tmp_path / str(size), values=values, branching=WHOLE.replace("{lights: %s}", when) % (30, 10))
        assert codes_of(folder) == codes


def test_separate_circles_are_each_told(tmp_path):
    """Two knots of rules that feed themselves are two complaints, and a rule that feeds itself is one."""
    def derive(name, when, then):
        return f"  {name}: {{kind: derive, says: Odd., when: {when}, then: {then}, source: common-practice}}\n"

    found = examine(folder_with(tmp_path, circles="rules:\n" + derive("a", "{lights: dim}", "{cranking: slow}") + derive("b", "{cranking: slow}", "{lights: dim}")
                                + derive("c", "{unknown: work-done}", "{work-done: plug-work}") + derive("d", "{cranking: normal}", "{lights: bright}")))[1]
    assert [(p.code, p.line) for p in found] == [("rules-feed-themselves", 2), ("rules-feed-themselves", 4)]
    assert found[0].what == ("These 2 rules feed one another round in a circle: 'a' (knowledge/circles.yaml:2), 'b' (knowledge/circles.yaml:3).")
    assert found[1].what.startswith("'c' feeds itself")


def test_a_limit_with_a_wrong_argument_is_a_warning(tmp_path):
    """A computation that exists but is given what it does not take would silently fall back to the plain value; so it is said."""
    found = examine(folder_with(tmp_path, limit="limits:\n  odd: {plain: odd, unit: V, value: 9, computed-by: battery.cranking_volts_limit, given: {colour: start-by}}\n"))[1]
    assert [(p.level, p.code) for p in found] == [("warning", "unknown-computation")]
    assert "no argument 'colour'" in found[0].what


def test_a_missing_value_next_to_a_misspelt_key_is_one_mistake(tmp_path):
    """A key that is there under a misspelt name is not called missing as well."""
    assert codes_of(folder_with(tmp_path, key="parts:\n  coil: {plian: a coil}\n")) == ["unknown-key"]


@pytest.mark.parametrize("name", ["id", "file", "line"])
def test_the_loaders_own_keys_cannot_be_given(tmp_path, name):
    """Id and place are put there by the loader; a file that gives them is told so."""
    assert codes_of(folder_with(tmp_path, own=f"parts:\n  coil: {{plain: a coil, {name}: 3}}\n")) == ["unknown-key"]


def test_problems_sort_by_place_and_have_two_forms():
    """A complaint prints as three lines and gives the same fields to machines; lists of them read down the file."""
    one, two = Problem("a.yaml", 2, 1, "error", "x-y", "It is so.", "do this."), Problem("a.yaml", 10, 1, "warning", "x-y", "It is so.", "do this.")
    assert sorted([two, one]) == [one, two]
    assert one.text() == "a.yaml:2:1  error  x-y\n  It is so.\n  Mend: do this."
    assert one.as_json() == {"file": "a.yaml", "line": 2, "column": 1, "level": "error", "code": "x-y", "what": "It is so.", "mend": "do this."}


def test_small_words():
    """Counts and articles agree, long values are cut, and near names come nearest first."""
    assert [count(n, "rule") for n in (0, 1, 3)] == ["no rules", "one rule", "3 rules"]
    assert [article(noun) for noun in ("fault", "access state")] == ["a fault", "an access state"]
    assert quoted("two\nlines") == "'two lines'"
    assert len(quoted("x" * 500)) == 62
    assert nearest("coil-bda", ["plug", "coil-good", "coil-bad"])[0] == "coil-bad"
    assert nearest("coil-bda", ["plug"]) == []
