"""The trainer's tools on the knowledge files themselves."""

import time

import pytest

from assistant.dialogue.think import Mind
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from assistant.trainer.cases import run_folder
from assistant.trainer.lint import inspect


@pytest.fixture(scope="module")
def mind():
    """The knowledge files, compiled."""
    return Mind(load(knowledge_folder()))


def test_the_files_have_no_errors():
    """The trainer's check finds none. How long it takes is measured in tests.benchmarks.speed."""
    assert [p.text() for p in inspect(knowledge_folder()).errors] == []


def test_every_warning_on_the_files_is_mended_or_allowed_with_its_reason():
    """A trainer's own warning must not drown among old ones, so there are none."""
    assert [p.text() for p in inspect(knowledge_folder()).problems] == []


def test_every_rule_has_a_case_and_all_cases_hold(mind):
    """Facts in; what fires and what stays silent."""
    result = run_folder(mind, knowledge_folder())
    assert [f.text() for f in result.failures] == [] and result.problems == () and result.without == ()
    assert result.cases > 1000
