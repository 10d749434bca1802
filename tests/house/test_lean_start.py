"""Starting up costs nothing that is not asked for."""

import json
import subprocess
import sys

import pytest

HEAVY = {"experta", "pydantic", "prompt_toolkit", "rapidfuzz", "yaml", "snowballstemmer", "platformdirs", "numpy"}


def imported_by(code: str) -> set[str]:
    """The top-level names of all modules that a piece of code leaves imported."""
    whole = f"{code}\nimport json, sys; print(json.dumps(sorted({{name.partition('.')[0] for name in sys.modules}})))"
    done = subprocess.run([sys.executable, "-c", whole], capture_output=True, text=True, check=True, timeout=60)
    return set(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize("code", ["import assistant", "import assistant.cli", "import assistant.cli; assistant.cli.parser()",
                                  "import assistant.cli; assistant.cli.main(['--version'])"])
def test_the_command_line_alone_imports_nothing_heavy(code):
    """Importing the command line, building its parser and printing the version load none of the libraries."""
    assert imported_by(code) & HEAVY == set()


def test_asking_does_not_load_the_terminal():
    """`ask` needs the rules and the words, but never the terminal library."""
    assert "prompt_toolkit" not in imported_by("import assistant.asking, assistant.dialogue.case, assistant.engine.run, assistant.planning.choose")


def test_loading_knowledge_does_not_load_the_engine():
    """Reading and checking the files does not load the rule library, the phrase matcher or the arrays of the planner."""
    found = imported_by("from assistant.rulebook.load import load; from assistant.rulebook.find import knowledge_folder; load(knowledge_folder())")
    assert found & {"experta", "rapidfuzz", "prompt_toolkit", "numpy"} == set()
    assert "yaml" in found
