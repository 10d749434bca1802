"""Numbers of the settings that the owner puts in place of the files' own."""

import json
import os
import subprocess
import sys

import pytest

from assistant.problems import KnowledgeError
from assistant.rulebook.load import load
from assistant.rulebook.rates import VARIABLE
from assistant.rulebook.reload import Watcher
from tests.rulebook.test_reload import save
from tests.trainer.folders import folder_with

NAME = "workshop-minutes"


@pytest.fixture
def folder(tmp_path):
    """A small folder with one setting."""
    made = folder_with(tmp_path)
    save(made / "rates.yaml", f"settings:\n  {NAME}: {{plain: cost of a workshop, value: 420}}\n")
    return made


def test_a_number_of_ones_own_is_in_force(folder, monkeypatch):
    """It takes the place of the file's, is told by the fingerprint, and holds for files that were kept as well."""
    plain = load(folder)
    monkeypatch.setenv(VARIABLE, f" {NAME} = 200 ,")
    for _ in range(2):  # the second time from the kept files
        own = load(folder)
        assert own.setting(NAME, 0) == 200 and own.fingerprint != plain.fingerprint
    monkeypatch.delenv(VARIABLE)
    assert load(folder).setting(NAME, 0) == 420 and load(folder).fingerprint == plain.fingerprint


def test_it_stays_in_force_when_files_are_saved(folder, monkeypatch):
    """A chat that picks a saved file up keeps the owner's number."""
    monkeypatch.setenv(VARIABLE, f"{NAME}=200")
    watcher = Watcher(folder, load(folder))
    save(folder / "rates.yaml", f"settings:\n  {NAME}: {{plain: cost of a workshop, value: 300}}\n")
    book = watcher.poll()
    assert book.setting(NAME, 0) == 200


@pytest.mark.parametrize(("text", "what"), [("workshop-minuts=200", "did you mean workshop-minutes?"), ("nothing-like-it=1", "`tickover knowledge list settings`"),
                                            (f"{NAME}=much", "write it so: workshop-minutes=420."), (f"{NAME}=-1", "write it so"), (f"{NAME}=nan", "write it so"), (NAME, "write it so")])
def test_what_is_no_rate_is_refused(folder, monkeypatch, text, what):
    """A name that is none, or a number that is none, is complained of with the way to mend it."""
    monkeypatch.setenv(VARIABLE, text)
    with pytest.raises(KnowledgeError) as error:
        load(folder)
    assert what in error.value.problems[0].text()


def test_the_command_takes_it():
    """`--set` before or after the command; a bad one ends with a complaint and status 3."""
    environment = {key: value for key, value in os.environ.items() if key != VARIABLE}

    def ask(*arguments):
        return subprocess.run([sys.executable, "-m", "assistant", *arguments], capture_output=True, text=True, env=environment)

    told = [json.loads(ask(*arguments).stdout) for arguments in (
        ("ask", "--json", "no spark"), ("--set", f"{NAME}=5", "--set", "workshop-known-minutes=5", "ask", "--json", "no spark"),
        ("ask", "--set", f"{NAME}=5", "--set", "workshop-known-minutes=5", "--json", "no spark"))]
    minutes = [t["next"]["expected_minutes_to_cure"] for t in told]
    assert minutes[1] == minutes[2] <= 5.5 < minutes[0]
    bad = ask("ask", "--set", "workshop-minuts=5", "no spark")
    assert bad.returncode == 3 and "did you mean workshop-minutes" in bad.stdout + bad.stderr and "Traceback" not in bad.stderr
