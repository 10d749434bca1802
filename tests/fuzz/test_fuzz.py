"""Whatever comes from outside is read, complained of or refused; and what failed once is tried for ever.

The long runs, guided by coverage: python -m tests.fuzz.run --seconds 3600
"""

import random
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.fuzz.inputs import Hands, failures, sound, words
from tests.fuzz.run import NAMES, guarded
from tests.fuzz.targets import TARGETS

ROUNDS = {"loader": 250, "front": 300, "log": 300, "ask": 6}
DICE = {"loader": 700, "front": 900, "log": 2500, "ask": 5}
KEPT = [(name, path) for name in NAMES for path in failures(name)]


def of(target: str) -> st.SearchStrategy[bytes]:
    """Inputs for a target: sound ones with pieces put in, and any bytes."""
    pieces = st.sampled_from(words(target))
    text = st.text(max_size=40).map(lambda t: t.encode("utf-8", "surrogatepass"))
    mixed = st.lists(st.one_of(pieces, st.sampled_from(sound(target)), text, st.binary(max_size=8)), max_size=8).map(b"".join)
    return st.one_of(mixed, st.binary(max_size=120))


def held(target: str) -> None:
    """Let hypothesis look for an input that breaks the target."""

    @settings(max_examples=ROUNDS[target], deadline=None, suppress_health_check=list(HealthCheck), database=None, derandomize=True)
    @given(of(target))
    def search(data: bytes) -> None:
        TARGETS[target](data)

    search()


def test_any_knowledge_file():
    """No content of a knowledge file raises; every complaint has a known code, a place, and reads on three harmless lines."""
    held("loader")


def test_any_message():
    """No message raises, whatever stands open; what is heard lies in the message, is known to the files and is finite."""
    held("front")


def test_any_conversation_file():
    """No content of a conversation file raises, nor does going through what can be read of it."""
    held("log")


def test_any_story():
    """Any lines are answered; the JSON of the answer is valid, and its probabilities sum to 1."""
    held("ask")


@pytest.mark.parametrize("target", NAMES)
def test_careless_changes_of_sound_inputs(target):
    """Sound inputs with pieces lost, doubled, swapped and foreign ones put in: none raises, none takes longer than a few seconds."""
    hands, start = Hands(target, random.Random(8)), time.process_time()
    for _ in range(DICE[target]):
        data = hands.next()
        assert guarded(TARGETS[target], data, 20) == "", data
        if time.process_time() - start > 5:
            break


@pytest.mark.parametrize(("target", "path"), KEPT, ids=[path.name for _, path in KEPT])
def test_what_failed_once(target, path):
    """Inputs that once raised, hung or took the memory do so no more."""
    assert guarded(TARGETS[target], path.read_bytes(), 20) == ""


def test_the_runner_finds_a_failure(tmp_path, monkeypatch, capsys):
    """A target that raises on some input is caught, told of, and the input is kept; one that hangs is stopped."""
    from tests.fuzz import run

    def breaks(data: bytes) -> None:
        if b"\n" in data:
            raise ZeroDivisionError

    monkeypatch.setitem(TARGETS, "front", breaks)
    monkeypatch.setattr(run, "SEEDS", tmp_path)
    monkeypatch.setattr(run, "sound", lambda target: [])
    monkeypatch.setattr(run.resource, "setrlimit", lambda *a: None)
    made = run.by_dice("front", 0.3, 1)
    assert made["inputs"] > made["failed"] > 0 and list((tmp_path / "front").glob("*.bin")) and "ZeroDivisionError" in capsys.readouterr().err
    assert "more than" in run.guarded(lambda data: [i for i in range(10**9)], b"", 0.1)
