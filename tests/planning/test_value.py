"""Expected minutes of repairs in the best order: published examples, and all orders tried on small trees.

Sources: J. B. Kadane and H. A. Simon, "Optimal strategies for a class of constrained sequential problems", Annals of
Statistics 5, 1977 (order by chance over cost); D. Heckerman, J. Breese and K. Rommelse, "Decision-theoretic
troubleshooting", CACM 38(3), 1995 (observe, then repair; one question first); M. Pinedo, "Scheduling", Springer, chains
example 3.1.5 (weights and times with precedence); T. J. Ottosen and F. V. Jensen, "The Cost of Troubleshooting Cost Clusters
with Inside Information", 2010 (arXiv 1203.3502; access as a tree); V. Lin, "Decision-theoretic troubleshooting: hardness of
approximation", 2014 (call service). Where a source prints no numbers, the vector was computed by trying all orders.
"""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.planning.value import Repairs
from tests.planning.brute import best_at_all, best_order, cost_of

NEVER = 1e6  # minutes of a hand-over that is never worth it


def repairs(jobs, tree=None, hand_over=NEVER) -> tuple[Repairs, dict[str, float]]:
    """The product's repairs and belief for name -> (chance, minutes, node); each repair cures its fault for certain."""
    return (Repairs([(name, minutes, 1.0, node) for name, (_, minutes, node) in jobs.items()], tree or {}, hand_over),
            {name: chance for name, (chance, _, _) in jobs.items()})


def minutes(jobs, tree=None, hand_over=NEVER) -> float:
    """Expected minutes in the product's order."""
    made, belief = repairs(jobs, tree, hand_over)
    return made.in_order(belief)


FIVE = {"a": (0.30, 12, None), "b": (0.15, 3, None), "c": (0.25, 10, None), "d": (0.20, 4, None), "e": (0.10, 8, None)}


def test_chance_over_cost():
    """Kadane and Simon's rule on five repairs: 18.5 minutes, as the best of all 120 orders; likeliest, cheapest and worst first are 22.35, 20.70 and 26.65."""
    assert minutes(FIVE) == pytest.approx(18.5, abs=1e-6)
    assert best_order(FIVE, {}) == pytest.approx(18.5, abs=1e-9)
    assert cost_of("acdbe", FIVE, {}) == pytest.approx(22.35, abs=1e-9)
    assert cost_of("bdeca", FIVE, {}) == pytest.approx(20.70, abs=1e-9)
    assert max(cost_of(order, FIVE, {}) for order in permutations(FIVE)) == pytest.approx(26.65, abs=1e-9)


OBSERVE = {"0": (0.4, 2, None), "1": (0.3, 1, None), "2": (0.2, 4, None), "3": (0.1, 1, None)}
REPAIR = {"0": 10, "1": 20, "2": 5, "3": 30}


def observed(belief: dict[str, float]) -> tuple[float, tuple[str, ...]]:
    """Minutes and order of observing each part and repairing the one that is found: the repair's own cost does not depend on the order."""
    made, _ = repairs(OBSERVE)
    return made.in_order(belief) + sum(belief[name] * REPAIR[name] for name in belief), made.order(belief).names


def test_observe_then_repair():
    """Heckerman, Breese and Rommelse: sort by chance over the cost of observing. Order 1 0 3 2, 17.5 minutes, of 24 orders tried."""
    cost, order = observed({name: chance for name, (chance, _, _) in OBSERVE.items()})
    assert (cost, order) == (pytest.approx(17.5, abs=1e-6), ("1", "0", "3", "2"))


def test_one_question_first():
    """A question of half a minute with yes for .9 .1 .2 .5 of each fault is worth asking: 17.46 instead of 17.5; after yes 15.020833, after no 18.75."""
    yes = {"0": 0.9, "1": 0.1, "2": 0.2, "3": 0.5}
    chance = sum(OBSERVE[name][0] * yes[name] for name in yes)
    after_yes, order_yes = observed({name: OBSERVE[name][0] * yes[name] / chance for name in yes})
    after_no, order_no = observed({name: OBSERVE[name][0] * (1 - yes[name]) / (1 - chance) for name in yes})
    assert chance == pytest.approx(0.48)
    assert (after_yes, order_yes) == (pytest.approx(15.020833, abs=1e-6), ("0", "3", "1", "2"))
    assert (after_no, order_no) == (pytest.approx(18.75, abs=1e-6), ("1", "3", "2", "0"))
    assert 0.5 + chance * after_yes + (1 - chance) * after_no == pytest.approx(17.46, abs=1e-6)


def test_pinedo_chains():
    """Pinedo 3.1.5: chains 1-2-3-4 and 5-6-7 give the order 1 2 5 6 3 7 4; recomputed over all 35 orders, the weighted cost is 1967."""
    weights, times = (6, 18, 12, 8, 8, 17, 18), (3, 6, 6, 5, 4, 8, 10)
    parents = {"1": None, "2": "1", "3": "2", "4": "3", "5": None, "6": "5", "7": "6"}
    # Each job is an access state that takes its time, holding a repair that takes none.
    tree = {name: (parents[name], float(times[int(name) - 1])) for name in parents}
    jobs = {f"job {name}": (weights[int(name) - 1] / sum(weights), 0.0, name) for name in parents}
    made, belief = repairs(jobs, tree)
    assert made.order(belief).names == tuple(f"job {name}" for name in "1256374")
    assert made.in_order(belief) * sum(weights) == pytest.approx(1967, abs=1e-6)


NODES = {"seat": (None, 3.0), "tank": ("seat", 10.0), "airbox": ("tank", 6.0), "side": (None, 2.0)}
SEVEN = {"A1": (0.10, 2.0, None), "A2": (0.15, 5.0, "seat"), "A3": (0.05, 1.0, "seat"), "A4": (0.30, 4.0, "tank"), "A5": (0.10, 3.0, "tank"),
         "A6": (0.22, 5.0, "airbox"), "A7": (0.08, 4.0, "side")}


def test_shared_access():
    """Seven repairs behind a seat, a tank, an airbox and a side panel: 24.63 minutes, the best of 5040 orders; without regard to access 27.67."""
    made, belief = repairs(SEVEN, NODES)
    assert made.order(belief).names == ("A1", "A3", "A2", "A4", "A5", "A6", "A7")
    assert made.in_order(belief) == pytest.approx(24.63, abs=1e-6)
    assert best_order(SEVEN, NODES) == pytest.approx(24.63, abs=1e-9)
    assert cost_of(sorted(SEVEN, key=lambda a: -SEVEN[a][0] / SEVEN[a][1]), SEVEN, NODES) == pytest.approx(27.67, abs=1e-9)


def test_calling_service():
    """Lin's problem: with 40 minutes for handing over, b, c, a, e and not d is best at 29.90; doing all five is 29.98."""
    jobs = {**FIVE, "d": (0.02, 4, None), "e": (0.08, 8, None)}
    made, belief = repairs(jobs, hand_over=40)
    assert made.in_order(belief) == pytest.approx(29.90, abs=1e-9)
    order = made.order(belief)
    assert set(order.names[: order.stop]) == set("bcae")
    assert best_at_all(jobs, {}, 40) == pytest.approx(29.90, abs=1e-9)
    assert best_order(jobs, {}, 40) == pytest.approx(29.98, abs=1e-9)


def test_the_first_repair_that_does_not_pay_is_no_reason_to_stop():
    """Two repairs of 10 minutes at .4 and 24 to hand over: none 24.0, one 24.4, both 20.8."""
    jobs = {"a": (0.4, 10, None), "b": (0.4, 10, None)}
    assert [cost_of("ab"[:n], jobs, {}, 24) for n in range(3)] == pytest.approx([24.0, 24.4, 20.8])
    assert minutes(jobs, hand_over=24) == pytest.approx(20.8, abs=1e-9)


@st.composite
def small(draw: st.DrawFn):
    """A tree of up to four states with up to five repairs in and outside it."""
    names = draw(st.integers(0, 4))
    tree = {f"n{i}": (draw(st.sampled_from([None, *(f"n{j}" for j in range(i))])), float(draw(st.integers(0, 12)))) for i in range(names)}
    size = draw(st.integers(1, 5))
    masses = [draw(st.integers(1, 50)) for _ in range(size)]
    whole = sum(masses) + draw(st.integers(0, 40))
    jobs = {f"j{i}": (mass / whole, float(draw(st.integers(1, 15))), draw(st.sampled_from([None, *tree]))) for i, mass in enumerate(masses)}
    return jobs, tree


@given(small())
@settings(max_examples=200, deadline=None)
def test_bottom_up_is_the_best_of_all_orders(case):
    """On any small tree the order found from the bottom up costs what the best of all orders costs, and is an order that costs it."""
    jobs, tree = case
    made, belief = repairs(jobs, tree)
    order = made.order(belief)
    whole = sum(belief.values())
    free = best_order(jobs, tree)
    assert cost_of(order.names, jobs, tree) == pytest.approx(free, abs=1e-9)
    assert order.minutes == pytest.approx(made.in_order(belief), abs=1e-9)
    assert made.in_order(belief) == pytest.approx(free + max(1 - whole, 0) * NEVER, rel=1e-9, abs=1e-6)


@given(small(), st.integers(1, 300))
@settings(max_examples=200, deadline=None)
def test_the_best_point_to_hand_over(case, hand_over):
    """With a price for handing over, stopping at the best point of the bottom-up order is the best of all orders of all subsets."""
    jobs, tree = case
    made, belief = repairs(jobs, tree, hand_over)
    assert made.in_order(belief) == pytest.approx(best_at_all(jobs, tree, hand_over), abs=1e-9)
    order = made.order(belief)
    assert cost_of(order.names[: order.stop], jobs, tree, hand_over) == pytest.approx(order.minutes, abs=1e-9)


@given(small(), st.integers(1, 300), st.data())
@settings(max_examples=100, deadline=None)
def test_dearer_is_never_cheaper(case, hand_over, data):
    """Expected minutes do not fall when a repair, an opening or the hand-over gets dearer, nor rise when a state is open already."""
    jobs, tree = case
    before = minutes(jobs, tree, hand_over)
    name = data.draw(st.sampled_from(sorted(jobs)))
    chance, cost, node = jobs[name]
    assert minutes({**jobs, name: (chance, cost + 5, node)}, tree, hand_over) >= before - 1e-9
    assert minutes(jobs, tree, hand_over + 7) >= before - 1e-9
    if tree:
        state = data.draw(st.sampled_from(sorted(tree)))
        assert minutes(jobs, {**tree, state: (tree[state][0], tree[state][1] + 5)}, hand_over) >= before - 1e-9
        assert minutes(jobs, {**tree, state: (tree[state][0], 0.0)}, hand_over) <= before + 1e-9


def test_a_repair_may_fail_on_the_right_fault():
    """What a repair does not cure is handed over with the rest: 10 + (1 - .5 x .8) x 100."""
    made = Repairs([("a", 10, 0.8, None)], {}, 100)
    assert made.in_order({"a": 0.5}) == pytest.approx(10 + 0.6 * 100)


def test_nothing_to_repair_is_handed_over():
    """Without a repair that could help, the expected minutes are those of handing over."""
    assert Repairs([], {}, 240).in_order({}) == 240
    assert Repairs([("a", 10, 0.9, None)], {}, 240).in_order({"b": 1.0}) == 240
