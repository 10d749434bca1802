"""Every fault can be reached by a truthful owner, on a machine it exists on (`python -m tests.reach` plays all machines)."""

from __future__ import annotations

import pytest

from assistant.evidence.ranking import lacking
from assistant.records import Known
from tests.reach.player import Play
from tests.reach.run import mind, missed, one_kind_each, plays
from tests.reach.table import cells, files, owner


@pytest.fixture(scope="module")
def played() -> dict[str, Play]:
    """Every fault played once, on one of its machines."""
    return {result.fault: result for result in plays(one_kind_each())}


def test_table_speaks_of_every_fault_and_of_no_other() -> None:
    """The independent table holds exactly the faults of the knowledge files."""
    assert set(mind().book.faults) == set(files()["faults"])


def test_table_answers_every_question_and_check() -> None:
    """What is normal is said for every check and for every sign that somebody may be asked for."""
    book, normal = mind().book, files()["normal"]
    assert set(normal["checks"]) == set(book.checks)
    asked = {f.id for f in book.facts.values() if f.ask and f.values and f.about not in ("machine", "manual")}
    assert set(normal["signs"]) == asked


@pytest.mark.parametrize("machine", sorted(files()["machines"]))
def test_machine_facts_are_values_of_the_files(machine: str) -> None:
    """A machine is described in words the files know."""
    for fact, value in files()["machines"][machine]["facts"].items():
        assert value in mind().book.values(fact)


def test_answers_are_values_of_the_files() -> None:
    """Every answer of every owner is a value, an outcome, or a number of a check that has numbers."""
    book = mind().book
    for fault, machine in cells():
        for topic, values in owner(fault, machine).answers.items():
            for value in values:
                if value not in book.values(topic):
                    assert topic in book.checks and book.checks[topic].reading is not None, (fault, topic, value)
                    float(value)


def test_sources_named_in_the_table_exist() -> None:
    """A number taken from a handbook names a source of the files."""
    for fault, entry in files()["faults"].items():
        named = entry.get("source", [])
        for source in [named] if isinstance(named, str) else named:
            assert source in mind().book.sources, (fault, source)


def test_fault_exists_on_each_machine_it_is_listed_for() -> None:
    """The rules about what a machine has do not take a fault away where the trade knows it."""
    book = mind().book
    for machine, entry in files()["machines"].items():
        _, firings = mind().engine.run([Known(fact, value) for fact, value in entry["facts"].items()])
        absent = lacking(book, firings)
        for fault, other in cells():
            if other == machine:
                assert absent.isdisjoint(book.faults[fault].parts), f"{fault} does not exist on {machine}: no {absent & set(book.faults[fault].parts)}"


@pytest.mark.parametrize("fault", list(files()["faults"]))
def test_truthful_owner_reaches_the_fault(fault: str, played: dict[str, Play]) -> None:
    """The fault is shown, or mended and the cure proved."""
    assert played[fault].reached, missed(played[fault])
