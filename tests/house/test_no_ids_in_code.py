"""What the trade knows is in the files: code never names a particular fault, check, rule, fact or value."""

import ast
import importlib
from pathlib import Path
from typing import Iterator

from tests.real import BOOK

ROOT = Path(__file__).parents[2]

CONVENTION = {
    "yes", "no", "none",  # what a question that takes no other word is answered with
    "cured", "no-change",  # what a repair, or a trial that is one, comes to
    "recent-work",  # a kind that `knowledge list --json` promises to other programs; the facts under it are found by `about: work`
}
OWN_WORDS = {"year"}  # one-word ids of entries that the code also uses for something of its own: here a kind of number in words
CARRIERS = {"topic", "fact", "check", "fault", "rule", "value", "outcome", "values", "outcomes"}  # names of what holds an id or a value of the files
# The tables that tie a computation to the check or fact it speaks about. They may name these and nothing else of the files.
TABLES = ("assistant/trade/questions_engine.py", "assistant/trade/questions_power.py")


def sources() -> Iterator[tuple[str, ast.Module]]:
    """Every module of the program: its path from the root and its tree."""
    for path in sorted((ROOT / "assistant").rglob("*.py")):
        yield path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def entries() -> set[str]:
    """The ids of all faults, checks, facts and rules."""
    return {*BOOK.faults, *BOOK.checks, *BOOK.facts, *BOOK.rules}


def values() -> set[str]:
    """The values of all facts and the outcomes of all checks."""
    return {value for topic in (*BOOK.facts, *BOOK.checks) for value in BOOK.values(topic)}


def constants(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Every string in a tree, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value


def test_no_string_is_an_id():
    """No string in the code is a fault, check, fact, rule or value of the files. Plain words of one piece are free: they may mean anything.

    The computations of the trade take words such as a battery kind as arguments; they are held to the ids of entries only.
    """
    found = []
    for name, tree in sources():
        if name not in TABLES:
            known = entries() if name.startswith("assistant/trade/") else entries() | values()
            forbidden = {i for i in known if "-" in i} - CONVENTION
            found += [f"{name}:{line} '{text}'" for line, text in constants(tree) if text in forbidden]
    assert found == []


def test_nothing_is_looked_up_by_an_id():
    """No entry of the files is compared with or looked up by its id, be it a plain word or not."""
    forbidden = entries() - CONVENTION - OWN_WORDS
    found = [f"{name}:{line} '{text}'" for name, tree in sources() if not name.startswith("assistant/trade/") for line, text in compared(tree) if text in forbidden]
    assert found == []


def test_what_carries_an_id_is_never_compared_with_a_word():
    """A topic, fault, rule, value or outcome is never held against a word in the code, whichever word it is, but for those fixed by convention."""
    found = []
    for name, tree in sources():
        for node in ast.walk(tree):
            if isinstance(node, ast.Compare) and not name.startswith(("assistant/trade/", "assistant/rulebook/")):
                operands = (node.left, *node.comparators)
                if any(getattr(part, "attr", getattr(part, "id", "")) in CARRIERS for part in operands):
                    plain = [part for part in operands if isinstance(part, (ast.Constant, ast.Tuple, ast.List, ast.Set))]
                    found += [f"{name}:{line} '{text}'" for part in plain for line, text in constants(part) if text not in CONVENTION]
    assert found == []


def compared(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Strings in comparisons, subscripts, look-ups and match cases."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            yield from (pair for part in (node.left, *node.comparators) for pair in constants(part))
        elif isinstance(node, ast.Subscript):
            yield from constants(node.slice)
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") in ("get", "startswith", "endswith", "index", "count", "pop"):
            yield from (pair for argument in node.args[:1] for pair in constants(argument))
        elif isinstance(node, ast.MatchValue):
            yield from constants(node.value)


def test_the_tables_name_nothing_that_is_gone():
    """Every topic, reading and manual that the tables of computations name is a fact or a check of the files."""
    topics = {*BOOK.facts, *BOOK.checks}
    for name in TABLES:
        module = importlib.import_module(name.removesuffix(".py").replace("/", "."))
        rows = [row for table in vars(module).values() if isinstance(table, tuple) for row in table if hasattr(row, "arguments")]
        named = {word for row in rows for word in (row.reading, row.manual, *(a.topic for a in row.arguments)) if word}
        assert rows and named - topics == set()


def test_no_allowance_is_idle():
    """Every word that is allowed is one that some module really has: an allowance for nothing hides the next mistake."""
    used = {text for _, tree in sources() for _, text in constants(tree)}
    assert (CONVENTION | OWN_WORDS) - used == set()
