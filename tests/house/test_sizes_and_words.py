"""Small modules, tests that say what they hold, and nothing of the workshop left lying about."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "assistant").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
PRODUCT = [*MODULES, *sorted((ROOT / "knowledge").rglob("*.yaml")), *sorted((ROOT / "transcripts_demo").rglob("*.yaml")),
           *(ROOT / name for name in ("README.md", "DEVELOPERS.md", "pyproject.toml"))]
MOST_LINES = 400


def names(paths: list[Path]) -> list[str]:
    """Paths from the root, for readable test ids."""
    return [path.relative_to(ROOT).as_posix() for path in paths]


@pytest.mark.parametrize("path", MODULES, ids=names(MODULES))
def test_modules_are_small(path):
    """No module has more than 400 lines: by then it does more than one job."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", MODULES, ids=names(MODULES))
def test_modules_say_what_they_are_for(path):
    """Every module opens with a docstring."""
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", TESTS, ids=names(TESTS))
def test_tests_say_what_they_hold(path):
    """Every test has a docstring that states the truth it holds, so that the list of tests reads as a specification."""
    silent = [node.name for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
              if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node)]
    assert silent == []


# The words that a rider may use for a fault are looked for in what the program says, not in what it listens for.
FORBIDDEN = re.compile(r"(?i)\bissues?\b")
PLACES = re.compile(r"(?<![\w.])/(work|tmp|home|root)/|\.\./shared|\bowner-stories\b|\bstyle-anchors\b|\btroubleshooting-theory\b|\breference-values\b")


@pytest.mark.parametrize("path", PRODUCT, ids=names(PRODUCT))
def test_nothing_of_the_workshop_is_left(path):
    """No file of the product names the place it was made in, or how the work on it was parcelled out."""
    text = path.read_text(encoding="utf-8")
    assert PLACES.findall(text) == []
    if path.parent.name != "phrases":
        assert FORBIDDEN.findall(text) == []
