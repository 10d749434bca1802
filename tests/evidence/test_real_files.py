"""The posterior on the knowledge files as they are, against exact enumeration and against another library's inference."""

import math
import random
import warnings
from functools import lru_cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.engine.run import Engine
from assistant.evidence.ranking import lacking, priors, rank
from assistant.evidence.weights import weigh
from assistant.explain.why import account
from assistant.records import Firing, Known, Ranking
from tests.evidence import independent
from tests.evidence.small import shares
from tests.real import BOOK, conversations

CONVERSATIONS = conversations(BOOK)
FAULTS = st.dictionaries(st.sampled_from(sorted(BOOK.faults)), st.sampled_from([50.0, 85.0, 99.0]), max_size=2)
real = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))


@lru_cache(None)
def engine() -> Engine:
    """The real rules, compiled once."""
    return Engine(BOOK)


def weighed(facts: list[Known], tried: dict[str, float] | None = None) -> tuple[Ranking, list[Firing], list[Known]]:
    """The product's own way from facts to a ranking."""
    derived, firings = engine().run(facts)
    known = [*facts, *derived]
    common = priors(BOOK, known, lacking(BOOK, firings))
    return rank(BOOK, common, weigh(BOOK, firings, common), firings, tried), firings, known


@given(facts=CONVERSATIONS, tried=FAULTS)
@real
def test_posterior_equals_exact_enumeration(facts, tried):
    """Every hypothesis has the share that exact fractions give it, to 1e-9, and no hypothesis is missing or too many."""
    ranking, firings, known = weighed(facts, tried)
    expected = independent.posterior(BOOK, known, firings, tried)
    got = shares(ranking)
    assert set(got) == set(expected)
    assert all(abs(got[name] - float(share)) <= 1e-9 for name, share in expected.items())


@given(facts=CONVERSATIONS)
@real
def test_weights_that_count_are_the_independent_ones(facts):
    """Exactly the weights that are neither replaced nor weaker than another of their aspect count, each 10 log10 of its ratio."""
    ranking, firings, _ = weighed(facts)
    expected = {pair: ratio for pair, ratio in independent.counted(BOOK, firings).items() if ranking.of(pair[1])}
    got = {(w.rule, w.fault): w.decibans for w in ranking.weights if w.counts}
    assert set(got) == set(expected)
    assert all(got[pair] == pytest.approx(10 * math.log10(ratio), abs=1e-9) for pair, ratio in expected.items())


@given(facts=CONVERSATIONS, tried=FAULTS)
@real
def test_shares_sum_to_one_with_the_unlisted(facts, tried):
    """Whatever was said, the shares of the faults and of what is not in the files are all above nothing and make one."""
    ranking, _, _ = weighed(facts, tried)
    assert math.fsum(shares(ranking).values()) == pytest.approx(1, abs=1e-12)
    assert 0 < ranking.unlisted < 1
    assert all(0 < s.probability < 1 for s in ranking.standings)
    assert [s.probability for s in ranking.standings] == sorted((s.probability for s in ranking.standings), reverse=True)


@given(facts=CONVERSATIONS)
@real
def test_what_does_not_exist_is_absent(facts):
    """A fault that needs a part this machine lacks has no standing, no prior and no weight; the priors of the others make one with the unlisted."""
    ranking, firings, known = weighed(facts)
    exists = set(independent.common(BOOK, known, independent.present(BOOK, firings)))
    assert {s.fault for s in ranking.standings} == set(ranking.priors) == exists
    assert {w.fault for w in ranking.weights} <= exists
    unlisted = BOOK.setting("unlisted-per-1000", 30.0)
    whole = float(sum(independent.common(BOOK, known, exists).values())) + unlisted
    assert math.fsum(ranking.priors.values()) == pytest.approx(1 - unlisted / whole, abs=1e-12)


def test_lacking_parts_of_the_files_take_faults_away():
    """At least one rule of the files says what a kind of machine lacks, and each such rule takes its faults out of the ranking."""
    rules = [r for r in BOOK.rules.values() if r.kind == "applies" and r.lacks]
    assert rules
    for rule in rules:
        firing = Firing(rule.id, "applies", ())
        gone = lacking(BOOK, [firing])
        left = priors(BOOK, [], gone)
        assert not [f for f in left if gone & set(BOOK.faults[f].parts)]
        assert set(BOOK.faults) - set(left) >= {f.id for f in BOOK.faults.values() if gone & set(f.parts)}


@given(facts=CONVERSATIONS, tried=FAULTS)
@real
def test_every_account_adds_up(facts, tried):
    """Prior plus the counted reasons is the score, and the score less what all hypotheses have in common is the probability, for every fault."""
    ranking, firings, known = weighed(facts, tried)
    scores = {}
    for standing in ranking.standings:
        weight = 10 * math.log10(1 - tried[standing.fault] / 100) if standing.fault in tried else 0.0
        made = account(BOOK, ranking, firings, standing.fault, tried=weight)
        assert made is not None and made.adds_up
        assert made.probability == standing.probability
        assert made.score - made.normal == pytest.approx(10 * math.log10(standing.probability), abs=1e-6)
        assert sum(r.decibans for r in made.reasons if r.counts) == pytest.approx(sum(w.decibans for w in ranking.weights if w.fault == standing.fault and w.counts), abs=1e-9)
        for reason in made.reasons:
            ratio = (reason.confidence * reason.seen + (1 - reason.confidence) * reason.otherwise) / reason.otherwise
            assert reason.decibans == pytest.approx(10 * math.log10(ratio), abs=1e-9)
        scores[standing.fault] = made.score
    unlisted = 1 - math.fsum(ranking.priors.values())
    normal = 10 * math.log10(math.fsum(10 ** (score / 10) for score in scores.values()) + unlisted)
    assert made.normal == pytest.approx(normal, abs=1e-6)


def test_an_account_that_leaves_something_out_does_not_add_up():
    """The check is a check: without the repair that was tried, the sum of the account no longer meets the probability."""
    fault = sorted(BOOK.faults)[0]
    ranking, firings, _ = weighed([], {fault: 90.0})
    assert account(BOOK, ranking, firings, fault, tried=-10.0).adds_up
    assert not account(BOOK, ranking, firings, fault).adds_up


def test_a_fault_that_does_not_exist_has_no_account():
    """There is nothing to explain about a fault that is not possible on this machine."""
    ranking, firings, _ = weighed([])
    assert account(BOOK, ranking, firings, "no-such-fault") is None


def test_posterior_equals_a_library_of_bayesian_networks():
    """pgmpy, told the same as a network of one cause and many signs, infers the same shares to 1e-9 on conversations drawn with dice."""
    pgmpy = pytest.importorskip("pgmpy")
    assert pgmpy
    dice = random.Random(11)
    topics = sorted(t for t, rules in BOOK.single.items() if len(rules) > 1)
    for _ in range(6):
        facts = [Known(t, dice.choice(sorted(BOOK.values(t))), None, dice.random() < 0.25, dice.choice([0.6, 0.9, 1.0])) for t in dice.sample(topics, 9)]
        ranking, firings, known = weighed(facts)
        expected = _infer(independent.common(BOOK, known, independent.present(BOOK, firings)), independent.counted(BOOK, firings), firings)
        got = shares(ranking)
        assert set(got) == set(expected)
        assert all(abs(got[name] - share) <= 1e-9 for name, share in expected.items())


def _infer(common, counted, firings) -> dict[str, float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork
    mass = {**{f: float(p) for f, p in common.items()}, "unlisted": BOOK.setting("unlisted-per-1000", 30.0)}
    whole = math.fsum(mass.values())
    names = list(mass)
    state = {"cause": names}
    signs = [f for f in firings if any(rule == f.rule and fault in common for rule, fault in counted)]
    net = DiscreteBayesianNetwork([("cause", f.rule) for f in signs])
    net.add_cpds(TabularCPD("cause", len(names), [[mass[name] / whole] for name in names], state_names=state))
    for firing in signs:
        rule = BOOK.rules[firing.rule]
        flip = (lambda p: 100 - p) if firing.denial else (lambda p: p)
        without = flip(rule.otherwise) / 100
        yes = [firing.confidence * flip(rule.seen_in[n]) / 100 + (1 - firing.confidence) * without if (firing.rule, n) in counted else without for n in names]
        net.add_cpds(TabularCPD(firing.rule, 2, [yes, [1 - p for p in yes]], ["cause"], [len(names)], state_names={firing.rule: ["yes", "no"], **state}))
    if not signs:
        return {name: value / whole for name, value in mass.items()}
    found = VariableElimination(net).query(["cause"], evidence={f.rule: "yes" for f in signs}, show_progress=False)
    return {name: float(found.get_value(cause=name)) for name in names}
