"""Published numbers on weighing evidence, each with its source.

Sources: I. J. Good, "Weight of Evidence: A Brief Survey", Bayesian Statistics 2, 1985, and the General Report on Tunny, p. 39
(www.ellsbury.com/tunny/tunny-039.htm) for decibans; G. Gigerenzer and U. Hoffrage, "How to Improve Bayesian Reasoning Without
Instruction: Frequency Formats", Psychological Review 102, 1995, for the screening tests; F. V. Jensen and T. D. Nielsen,
"Bayesian Networks and Decision Graphs", 2nd ed., Springer 2007, p. 35, for the car that does not start; D. Heckerman,
"Probabilistic Interpretations for MYCIN's Certainty Factors", 1986 (arXiv 1304.3419), for the product of ratios.
"""

import math

import pytest

from assistant.evidence.weights import decibans
from tests.evidence.small import book_of, fault, fires, of_decibans, ranked, rule, shares


def test_double_headed_penny():
    """Tunny report: odds of 1 to 10 000 and twenty heads at a factor of two. The report rounds to 3 decibans and 100 to 1; exact is 104.8576."""
    book = book_of([fault("double-headed", 1)], [rule(f"head-{n}", {"double-headed": 80}, 40) for n in range(20)], unlisted=10_000)
    ranking = ranked(book, fires(book, *book.rules))
    assert round(decibans(80, 40)) == 3
    assert sum(w.decibans for w in ranking.weights) == pytest.approx(60.205999, abs=1e-6)
    assert 10 * math.log10(ranking.priors["double-headed"] / (1 - ranking.priors["double-headed"])) == pytest.approx(-40, abs=1e-9)
    assert ranking.of("double-headed").probability / ranking.unlisted == pytest.approx(104.8576, abs=1e-9)


def test_loaded_die():
    """Good: a die that throws a third of sixes gives about 3 decibans for a six and about -1 for another number."""
    assert decibans(100 / 3, 100 / 6) == pytest.approx(3.0103, abs=1e-4)
    assert decibans(100 / 3, 100 / 6, denial=True) == pytest.approx(-0.9691, abs=1e-4)


def test_evidence_against_a_truth_is_worth_nothing_on_average():
    """Turing and Good: if the hypothesis is false, the likelihood ratio of an experiment is 1 in the mean."""
    for seen, otherwise in ((100 / 3, 100 / 6), (80, 9.6), (0.5, 60), (99, 1)):
        ratio, opposite = 10 ** (decibans(seen, otherwise) / 10), 10 ** (decibans(seen, otherwise, denial=True) / 10)
        assert otherwise / 100 * ratio + (1 - otherwise / 100) * opposite == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize(("prior", "seen", "otherwise", "expected"), [(10, 80, 9.6, 0.0776398), (8, 90, 7, 0.0939457)])
def test_screening(prior, seen, otherwise, expected):
    """Gigerenzer and Hoffrage: 10 (or 8) of 1000 are ill, 80 (90) of 100 of them test positive, and 9.6 (7) of 100 of the others."""
    book = book_of([fault("ill", prior)], [rule("positive", {"ill": seen}, otherwise)], unlisted=1000 - prior)
    assert ranked(book, fires(book, "positive")).of("ill").probability == pytest.approx(expected, abs=5e-8)


def test_screening_in_decibans():
    """The same test as a sum: prior -19.9564 dB, weight 9.2082 dB, posterior -10.7482 dB, in odds; as a count, 8 of 8 + 95."""
    assert decibans(80, 9.6) == pytest.approx(9.2082, abs=1e-4)
    assert 10 * math.log10(10 / 990) + decibans(80, 9.6) == pytest.approx(-10.7482, abs=1e-4)
    assert 8 / (8 + 95) == pytest.approx(0.0776699, abs=1e-7)


@pytest.mark.parametrize(("value", "expected"), [(-20, 0.0099), (-10, 0.0909), (-3, 0.3339), (0, 0.5), (3, 0.6661), (10, 0.9091), (20, 0.9901)])
def test_decibans_as_a_probability(value, expected):
    """From even odds, so many decibans are this chance (arithmetic; computed for this table)."""
    assert of_decibans(value) == pytest.approx(expected, abs=5e-5)


def test_weights_add_as_ratios_multiply():
    """Heckerman: combining pieces of evidence is multiplying their likelihood ratios: 4 and 3 are 12, 10 and 0.2 are 2."""
    assert decibans(40, 10) + decibans(30, 10) == pytest.approx(10 * math.log10(12), abs=1e-12)
    assert decibans(50, 5) + decibans(10, 50) == pytest.approx(10 * math.log10(2), abs=1e-12)


def test_the_unlisted_can_come_to_lead():
    """Two answers that no listed fault explains well make 'something not in the files' the leader (arithmetic, checked by hand)."""
    book = book_of([fault("a", 500), fault("b", 300)], [rule("first", {"a": 90, "b": 20}, 50), rule("second", {"a": 10, "b": 10}, 50)], unlisted=200)
    assert shares(ranked(book, fires(book, "first", "second"))) == pytest.approx({"a": 0.445545, "b": 0.059406, "unlisted": 0.495050}, abs=5e-7)


@pytest.mark.parametrize(("signs", "neither", "no_fuel", "dirty_plugs"), [(("dead",), 0.139551, 0.284799, 0.575650), (("dead", "half"), 0.194993, 0.000663, 0.804344)])
def test_the_car_that_does_not_start(signs, neither, no_fuel, dirty_plugs):
    """Jensen and Nielsen's car with one fault at a time: it does not start, then the gauge also stands at half.

    With both faults allowed the book gives .29 and .58, then .001 and .804: one fault at a time costs about a point. Only the
    ratios of the likelihoods matter, so each is scaled to stay inside 0 and 100.
    """
    book = book_of([fault("no-fuel", 19.2), fault("dirty-plugs", 39.2)],
                   [rule("dead", {"no-fuel": 50, "dirty-plugs": 49.5}, 0.5), rule("half", {"no-fuel": 0.1, "dirty-plugs": 60}, 60)], unlisted=940.8)
    assert shares(ranked(book, fires(book, *signs))) == pytest.approx({"unlisted": neither, "no-fuel": no_fuel, "dirty-plugs": dirty_plugs}, abs=5e-7)


@pytest.mark.parametrize(("cures", "expected"), [(80, [0.117647, 0.441176, 0.294118, 0.147059]), (99.9999999, [0, 0.5, 0.333333, 0.166667])])
def test_a_repair_that_did_not_help(cures, expected):
    """After a failed repair of the first fault (.4 .3 .2 .1), the others gain in proportion (Heckerman, Breese and Rommelse, CACM 38(3), 1995)."""
    book = book_of([fault(name, share) for name, share in zip("abcd", (400, 300, 200, 100))], unlisted=1e-7)
    result = shares(ranked(book, [], {"a": cures}))
    assert [result[name] for name in "abcd"] == pytest.approx(expected, abs=1e-6)
