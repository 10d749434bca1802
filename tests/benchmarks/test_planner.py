"""The proof of the planner can be trusted: the same whatever the workers, the same evidence as the product, exact where it says so."""

import json

import numpy as np
import pytest

from assistant.dialogue.state import Note, State
from assistant.dialogue.think import Mind
from assistant.records import Reading, Statement
from tests.benchmarks import planner
from tests.benchmarks.exact import Exact
from tests.benchmarks.figures import calibration, curve, figure, ratio
from tests.benchmarks.instances import carved, drawn
from tests.benchmarks.plot import plot
from tests.benchmarks.quick import Quick
from tests.benchmarks.run import Outcome
from tests.benchmarks.simulate import Workers, simulate
from tests.benchmarks.world import Noise, World
from tests.real import BOOK


def test_workers_do_not_change_the_results():
    """One process or two: the same owners, the same steps, the same minutes."""
    names = ["fixed walk", "information per minute"]
    two = Workers(2)
    try:
        assert simulate(Workers(1), names, 12) == simulate(two, names, 12)
    finally:
        two.close()


@pytest.mark.parametrize("number", range(12))
def test_quick_evidence_is_the_evidence_of_the_product(number):
    """The simulation's short way from facts to shares of belief gives what the rule engine gives."""
    owner, quick, mind = World(BOOK).owner(number), Quick(BOOK), Mind(BOOK)
    told = {**owner.story, **{t: (owner.answers[t],) for t in sorted(owner.answers)[number::17]}}
    notes = tuple(Note(0, Reading(t, outcome=v, words=v) if t in BOOK.checks else Statement(t, v, words=v)) for t, (v, *_) in told.items())
    ranking = mind.weigh_up(State(turn=1, notes=notes))[4]
    theirs, ours = {s.fault: s.probability for s in ranking.standings}, {s.fault: s.probability for s in quick.scene(told).ranking.standings}
    assert theirs == pytest.approx(ours, abs=1e-9)


def test_an_owner_is_the_same_for_everybody():
    """Owners are drawn by number: the same one gives the same answers however often it is drawn."""
    assert World(BOOK).owner(5) == World(BOOK).owner(5)
    assert World(BOOK).owner(5) != World(BOOK, Noise(seed=1)).owner(5)


def test_no_policy_beats_the_optimum():
    """Handing over at once costs no less than the optimum, on drawn problems and on one cut out of another."""
    for made in (drawn(0), drawn(1), carved(drawn(2), 4, 3)):
        assert Exact(made).of(lambda _: ("stop", 0)) >= Exact(made).optimum() - 1e-9


def test_figures():
    """Means with their intervals, ratios, calibration and curves of outcomes that are known."""
    assert figure([1.0] * 9) == {"value": 1.0, "low": 1.0, "high": 1.0}
    assert ratio([1, 2, 3], [2, 4, 6]) == pytest.approx({"value": 0.5, "low": 0.5, "high": 0.5})
    led = [Outcome(0, 10.0, "cured", belief=((0.9, True), (0.1, False)), brier=0.02), Outcome(1, 30.0, "workshop", belief=((0.9, False),), brier=0.81)]
    made = calibration(led)
    assert made["bins"][9] == {"from": 0.9, "to": 1.0, "count": 2, "said": 0.9, "found": 0.5}
    assert made["off"] == pytest.approx((2 * 0.4 + 0.1) / 3)
    assert curve(led) == [(0.0, 0.0), (10.0, 0.5)]
    assert plot({"a": curve(led)}, 60.0, "<cured>").startswith("<svg") and "&lt;cured&gt;" in plot({"a": curve(led)}, 60.0, "<cured>")


def test_the_command(capsys, monkeypatch, tmp_path):
    """One JSON object with every figure by name, and the picture."""
    monkeypatch.setattr(planner, "scale", lambda sizes, decisions: {"x1": {}})
    small = ["--owners", "2", "--untidy", "1", "--random", "2", "--large", "0", "--real", "0", "--workers", "1", "--json", "--plot", str(tmp_path / "p.svg")]
    assert planner.main(small) == 0
    made = json.loads(capsys.readouterr().out)
    assert set(made["policies"]) >= {"planner", "fixed walk", "commonest first", "probability over cost", "information per minute"}
    assert {"value", "low", "high"} == set(made["policies"]["planner"]["minutes, mean"])
    assert made["gaps"]["random"]["count"] == 2 and np.isfinite(made["gaps"]["random"]["gap"]["mean"]["value"])
    assert (tmp_path / "p.svg").read_text(encoding="utf-8").startswith("<svg")
