"""How common the faults are: a budget by need that adds up, and odds that stay sane on every kind of machine."""

from __future__ import annotations

import pytest

from assistant.evidence.ranking import lacking, priors
from assistant.records import Known
from tests.reach.run import mind
from tests.reach.table import files
from tests.real import BOOK

# Of 1000 no-starts of machines nothing is known of. The rest is what the files do not hold.
BUDGET = {"rider": 130, "power": 270, "cranking": 90, "spark": 150, "fuel": 240, "air": 40, "compression": 40}


@pytest.mark.parametrize("need", sorted(BUDGET))
def test_budget_of_a_need(need: str) -> None:
    """The plain lines of all faults of a need come to its share, within a twentieth."""
    total = sum(f.per_1000[0].usually for f in BOOK.faults.values() if f.need == need)
    assert total == pytest.approx(BUDGET[need], rel=0.05)


def test_the_whole_leaves_room_for_what_is_not_in_the_files() -> None:
    """Listed and unlisted together are about a thousand."""
    total = sum(f.per_1000[0].usually for f in BOOK.faults.values())
    assert 920 <= total + BOOK.setting("unlisted-per-1000", 30) <= 1030


@pytest.mark.parametrize("machine", sorted(files()["machines"]))
def test_no_machine_is_one_fault_only(machine: str) -> None:
    """On every kind of machine the commonest fault stays under a seventh of all, and the sum stays of the order of a thousand."""
    facts = [Known(fact, value) for fact, value in files()["machines"][machine]["facts"].items()]
    _, firings = mind().engine.run(facts)
    common = priors(BOOK, facts, lacking(BOOK, firings))
    assert 350 <= sum(common.values()) <= 1500
    assert max(common.values()) / sum(common.values()) < 1 / 7


def test_only_one_line_of_a_fault_has_no_condition() -> None:
    """The first line says how common it is in general; each later one says when it is otherwise."""
    for fault in BOOK.faults.values():
        assert fault.per_1000[0].when is None and all(line.when is not None for line in fault.per_1000[1:]), fault.id
