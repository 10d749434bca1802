"""From a number to a word: whose limit counts, how sure the word is near it, and what several cylinders say together."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.evidence import bands
from assistant.evidence.bands import judge, judge_all, limit
from assistant.records import Known, Reading
from assistant.rulebook.book import Rulebook
from assistant.rulebook.models import Check, Limit
from tests.real import BOOK


def check(**reading) -> Check:
    """A check with a number: bad below 10, fair below the limit `edge`, good above."""
    scale = {"unit": "V", "range": [0, 30], "spread": 0.5, "bands": [{"outcome": "bad", "below": 10}, {"outcome": "fair", "below": "edge"}, {"outcome": "good"}], **reading}
    return Check.model_validate({"id": "volts", "file": "c.yaml", "line": 1, "need": "power", "plain": "measure", "minutes": 1, "steps": ["Look."],
                                 "outcomes": dict.fromkeys(("bad", "fair", "good", "uneven"), "so"), "reading": scale})


def book(**keys) -> Rulebook:
    """A rulebook with the limit `edge` at 12 and the check; keys as in the files, with underscores for hyphens."""
    more = {name.replace("_", "-"): value for name, value in keys.items()}
    edge = Limit.model_validate({"id": "edge", "file": "l.yaml", "line": 1, "plain": "least", "unit": "V", "value": 12, "source": ["common-practice"], **more})
    return Rulebook(limits={"edge": edge}, checks={"volts": check()})


def number(topic: str, value: float) -> Known:
    """A number that was told."""
    return Known(topic, str(value), value)


def word(value: float, facts=(), limits: Rulebook | None = None, **reading) -> str | None:
    """The outcome of one number."""
    return judge(limits or book(), check(**reading), value, facts).outcome


@pytest.mark.parametrize(("value", "outcome"), [(0, "bad"), (9.99, "bad"), (10, "fair"), (11.99, "fair"), (12, "good"), (30, "good")])
def test_a_band_runs_up_to_its_end(value, outcome):
    """A number on the edge of two bands belongs to the upper one; the ends of the range are inside it."""
    assert word(value) == outcome


@pytest.mark.parametrize("value", [-0.1, 30.1, math.nan, math.inf, -math.inf])
def test_what_cannot_be_is_impossible(value):
    """A number outside the range is a slip of the meter or the typing, not an outcome."""
    judged = judge(book(), check(), value, ())
    assert (judged.outcome, judged.impossible, judged.confidence) == (None, True, 0.0)


@given(st.floats(0, 30))
def test_a_word_is_as_sure_as_the_scatter_allows(value):
    """The sureness is the chance that a meter with this scatter (one sigma) is on the same side of the nearest edge: half on it, and more further off."""
    judged = judge(book(), check(), value, ())
    distance = min(abs(value - 10), abs(value - 12))
    assert judged.confidence == pytest.approx(0.5 * (1 + math.erf(distance / (0.5 * math.sqrt(2)))), abs=1e-12)
    assert judged.borderline == (judged.confidence < 0.84)


@pytest.mark.parametrize(("value", "borderline"), [(12, True), (12.4, True), (12.6, False), (11.4, False), (10.3, True)])
def test_within_one_sigma_of_an_edge_is_borderline(value, borderline):
    """The normal distribution has 0.84 of its mass up to one sigma (any table of it): nearer than that is borderline."""
    assert judge(book(), check(), value, ()).borderline is borderline


def test_without_scatter_every_word_is_sure():
    """A check that names no scatter is taken at its word."""
    assert judge(book(), check(spread=0), 12, ()).confidence == 1.0


def test_a_reading_without_bands_has_no_word():
    """Where there are no bands, or the check has no number at all, nothing is made of it."""
    assert word(12, bands=[]) is None
    assert judge(book(), check().model_copy(update={"reading": None}), 12, ()).outcome is None


def test_the_manual_beats_everything():
    """A limit that the owner read in the service manual is used before the computed and the plain one, and named as such."""
    limits = book(manual="manual-volts", computed_by="battery.cranking_volts_limit", given={"temperature_c": "air"})
    facts = [number("manual-volts", 13), number("air", 10)]
    used = limit(limits, "edge", facts)
    assert (used.value, used.origin, used.unit, used.source) == (13, "manual", "V", ("common-practice",))
    assert word(12.5, facts, limits) == "fair"


def test_a_computed_limit_moves_with_the_machine(monkeypatch):
    """A limit computed from facts says from which; a fact that is not told leaves the plain value, and so does a computation that refuses."""
    def edge_at(temperature_c: float, kind: str = "flooded") -> float:
        if temperature_c < -50:
            raise ValueError("too cold to be true")
        return 12 + temperature_c / 100 + (1 if kind == "gel" else 0)

    from assistant.trade import battery

    monkeypatch.setattr(battery, "edge_at", edge_at, raising=False)
    limits = book(computed_by="battery.edge_at", given={"temperature_c": "air", "kind": "battery-kind"})
    both = [number("air", 20), Known("battery-kind", "gel")]
    assert limit(limits, "edge", both).value == pytest.approx(13.2)
    assert (limit(limits, "edge", both).origin, limit(limits, "edge", both).given) == ("computed", (("kind", "gel"), ("temperature_c", "20")))
    assert limit(limits, "edge", both[:1]).value == pytest.approx(12.2)
    for facts in ([], both[1:], [number("air", -60)], [Known("air", "20", 20.0, denied=True)]):
        assert (limit(limits, "edge", facts).value, limit(limits, "edge", facts).origin) == (12, "files")


@pytest.mark.parametrize("name", ["battery.no_such_thing", "no_such_module.x", "battery._private", "battery", "os.system", "..cli.main", "battery.constants.x"])
def test_only_computations_of_the_trade_are_called(name):
    """A name that leads nowhere, or anywhere else, is not called: the plain value stands."""
    assert bands._compute(name, {}) is None


def readings(*values: float | None) -> list[Reading]:
    """One reading for each cylinder."""
    return [Reading("volts", value, "V", where=str(n)) for n, value in enumerate(values)]


@pytest.mark.parametrize(("values", "outcome"), [((14, 14), "good"), ((14, 11), "fair"), ((9, 11), "bad"), ((11,), "fair"), ((14, None), "good"), ((None,), None), ((), None)])
def test_the_worst_cylinder_counts(values, outcome):
    """Of several cylinders the lowest gives the word; readings without a number say nothing."""
    assert judge_all(book(), check(), readings(*values), ()).outcome == outcome


@pytest.mark.parametrize(("values", "outcome"), [((11, 14), "good"), ((11, 9), "bad"), ((11, 9, 14), "bad"), ((11, 11.5), "fair")])
def test_worst_is_what_is_not_normal(values, outcome):
    """Where the check names the normal band, a cylinder outside it counts before those inside, too high as well as too low."""
    assert judge_all(book(), check(normal="fair"), readings(*values), ()).outcome == outcome


def test_one_impossible_cylinder_makes_the_reading_impossible():
    """A number that cannot be, in any cylinder, is asked about and not judged."""
    for values in ((14, 99), (99, 14)):
        assert judge_all(book(), check(), readings(*values), ()).impossible


@pytest.mark.parametrize(("above", "values", "outcome"), [(2, (14, 12.5), "good"), (2, (14, 12), "good"), (2, (14.1, 12), "uneven"), (2, (16, 14, 12), "uneven"), ("edge", (25, 12.9), "uneven"),
                                                          ("edge", (25, 13.1), "good"), (2, (20,), "good")])
def test_uneven_cylinders(above, values, outcome):
    """Cylinders that differ by more than the check allows are uneven, whatever each of them is alone; a single one is never."""
    assert judge_all(book(), check(uneven={"outcome": "uneven", "above": above}), readings(*values), ()).outcome == outcome


def test_uneven_is_as_sure_as_two_scatters_allow():
    """The difference of two readings scatters by the root of two more than one; the limits used are all named."""
    uneven = {"outcome": "uneven", "above": "edge"}
    judged = judge_all(book(), check(uneven=uneven), readings(27, 14), ())
    assert judged.confidence == pytest.approx(0.5 * (1 + math.erf((13 - 12) / (0.5 * math.sqrt(2) * math.sqrt(2)))))
    assert [used.id for used in judged.limits] == ["edge", "edge"]
    assert judge_all(book(), check(uneven=uneven, spread=0), readings(27, 14), ()).confidence == 1.0


@given(data=st.data())
def test_every_number_in_range_has_a_word_in_the_files(data):
    """On the real checks, whatever number in its range is read, it has one of the check's outcomes, at least half sure."""
    chosen = data.draw(st.sampled_from([c for _, c in sorted(BOOK.checks.items()) if c.reading]))
    low, high = chosen.reading.range
    judged = judge(BOOK, chosen, data.draw(st.floats(low, high)), ())
    assert judged.outcome in chosen.outcomes
    assert 0.5 <= judged.confidence <= 1
