"""A slip in the YAML itself is told in words that lead to it: the right line and column, and what to do."""

import pytest

from assistant.rulebook.source import Source, read_text

SLIPS = [
    ("a:\n  b: 1\n c: 2\n", (3, 2), "indentation fits none"),
    ("a:\n  b: c: d\n", (2, 7), "second colon stands in this line"),
    ("a:\n  b\n  c: 1\n", (3, 4), "second colon"),
    ("a:\n  b\n    c: 1\n", (2, 4), "No colon follows this: 'b'."),
    ("a:\n\tb: 1\n", (2, 1), "A tab stands here"),
    ("a: 1\n\t- b\n", (2, 1), "A tab stands here"),
    ("a: @b\n", (1, 4), "cannot start with '@'"),
    ("a: `b`\n", (1, 4), "cannot start with '`'"),
    ("a: * b\n", (1, 5), "cannot start with '*'"),
    ("a: &\n", (1, 5), "cannot start with '&'"),
    ("%a\n", (1, 3), "cannot start with"),
    ("a: 'b\nc: d\n", (1, 4), "never closed"),
    ('a: "\\q"\n', (1, 5), "backslash"),
    ("a: [b, c\nd: e\n", (2, 2), "bracket '[' opened at line 1"),
    ("a: {b: c\nd: e\n", (2, 2), "brace '{' opened at line 1"),
    ("a:\n  - b\n  c: d\n", (3, 3), "does not start with '- '"),
    ("a: 'b' c\n", (1, 8), "Text stands here where a new key"),
    ("a:\n  - |\n  b\n c\n", (3, 3), "No colon follows this: 'b'"),
    ("a: 1\n---\nb: 2\n", (2, 1), "second document"),
    ("a: [\n", (1, 4), "The bracket '[' opened here is never closed."),
    ("a:\n  b: {c: d\n", (2, 6), "The brace '{' opened here is never closed."),
    ("rules\n  b:\n    c: 1\n", (1, 6), "No colon follows this: 'rules'."),
    ("a: 1\n<<<<<<< ours\nb: 2\n=======\nb: 3\n>>>>>>> theirs\n", (2, 1), "left from a merge of two versions"),
]


@pytest.mark.parametrize(("text", "place", "words"), SLIPS)
def test_slips_are_told_in_words(text, place, words):
    """One complaint, at the slip, without the parser's own language."""
    problems = read_text(text, Source("x.yaml")).problems
    assert [(p.code, p.line, p.column) for p in problems] == [("yaml-syntax", *place)]
    assert words in problems[0].what
    assert "parsing" not in problems[0].what and "scanning" not in problems[0].what
    assert problems[0].mend.endswith(".")


def test_an_unknown_alias_is_an_alias():
    """A value that starts with a star is taken for an alias, known or not, and the mend speaks of quotes."""
    problems = read_text("a: *bold\n", Source("x.yaml")).problems
    assert [(p.code, p.line, p.column) for p in problems] == [("alias-used", 1, 4)]
    assert "quotes" in problems[0].mend


def test_what_no_text_may_hold():
    """A character that YAML does not know at all is a complaint at its column."""
    problems = read_text("a: b\uffff\n", Source("x.yaml")).problems
    assert [(p.code, p.line, p.column) for p in problems] == [("control-character", 1, 5)]
