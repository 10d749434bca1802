"""The proof of the planner: simulated owners, exact optima, untidy worlds, growing knowledge.

    python -m tests.benchmarks.planner             # owners, gaps, a perturbed world, sizes up to ten times
    python -m tests.benchmarks.planner --quick     # under 40 s
    python -m tests.benchmarks.planner --json      # one object with every figure by name
    python -m tests.benchmarks.planner --workers 8 --owners 2000 --plot docs/planner.svg
    python -m tests.benchmarks.planner --dask tcp://host:8786    # on a running cluster that has this project installed

Every policy is tried on the same owners; the draws and so the figures do not depend on the number of workers. Minutes are the
files' own: work, money and risk on one scale. An interval holds the true figure 95 times in 100.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the workers share the cores already

from tests.benchmarks.figures import calibration, curve, described, ratio
from tests.benchmarks.gaps import gaps
from tests.benchmarks.plot import plot
from tests.benchmarks.policies import OURS, WALKED
from tests.benchmarks.run import Outcome
from tests.benchmarks.scale import scale
from tests.benchmarks.simulate import Workers, known_policies, simulate
from tests.benchmarks.world import Noise

TIDY = Noise(seed=2)  # owners that no number of the planner was set by
UNTIDY = Noise(factor=2.0, seed=2)  # the same owners, with priors and frequencies off by up to a factor of two either way
MOST = 900.0  # minutes on the plot


def measure(asked: argparse.Namespace, workers: Workers) -> tuple[dict[str, Any], dict[str, list[Outcome]]]:
    """All of it."""
    names = list(known_policies())
    led = simulate(workers, names, asked.owners, TIDY)
    untidy = simulate(workers, names, asked.untidy, UNTIDY)
    result: dict[str, Any] = {
        "owners": asked.owners, "policies": {name: described(led[name]) for name in names},
        "against": {name: ratio(_minutes(led[OURS]), _minutes(led[name])) for name in names if name != OURS},
        "most questions in a row without an answer": max(o.dry for o in led[OURS]),
        "untidy": {"owners": asked.untidy, "policies": {name: described(untidy[name]) for name in names},
                   "against": {name: ratio(_minutes(untidy[OURS]), _minutes(untidy[name])) for name in names if name != OURS},
                   "advantage kept": {name: _kept(led, untidy, name) for name in names if name != OURS},
                   "calibration": calibration(untidy[OURS])},
        "calibration": calibration(led[OURS]),
        "gaps": gaps(workers, asked.random, asked.large, asked.real),
        "size": scale((1, 2) if asked.quick else (1, 3, 10), 20 if asked.quick else 200),
    }
    return result, led


def _minutes(outcomes: list[Outcome]) -> list[float]:
    return [o.minutes for o in outcomes]


def _kept(led: dict[str, list[Outcome]], untidy: dict[str, list[Outcome]], name: str) -> float:
    """The share of the planner's advantage over another policy that is left when the numbers of the files are off."""
    gain = lambda of: sum(_minutes(of[name][:count])) - sum(_minutes(of[OURS][:count]))  # noqa: E731
    count = min(len(led[OURS]), len(untidy[OURS]))  # the same owners in both
    return gain(untidy) / gain(led) if gain(led) else float("nan")


def show(result: dict[str, Any]) -> None:
    """The figures as text, with what is aimed at."""
    print(f"{result['owners']} owners, the same for all                 (in brackets: 95 % intervals)")
    _table(result)
    print(f"most questions in a row without an answer: {result['most questions in a row without an answer']}   aim: 3")
    untidy = result["untidy"]
    print(f"\n{untidy['owners']} owners of a world whose numbers are off by up to a factor of two")
    _table(untidy)
    print("share of the planner's advantage kept: " + ", ".join(f"{name} {share:.2f}" for name, share in untidy["advantage kept"].items()) + "   aim: 0.85")
    for where, made in (("as the files say", result["calibration"]), ("off by two", untidy["calibration"])):
        bins = "  ".join(f"{b['said']:.2f}:{b['found']:.2f} ({b['count']})" for b in made["bins"] if b["count"])
        print(f"calibration, {where}: Brier {_with(made['brier'], 3)}, mean distance {made['off']:.3f}\n  said:found (count)  {bins}")
    print("\nabove the exact optimum, in %                            mean                  95th    worst   at the optimum")
    for name, made in result["gaps"].items():
        for which in ("gap", "gap with the rules", "price of the rule"):
            if which in made:
                g = made[which]
                print(f"  {name + ', ' + str(g['count']) + ' problems':28} {which:20} {_with({k: 100 * v for k, v in g['mean'].items()}, 2):22} "
                      f"{100 * g['95th percentile']:6.2f}  {100 * g['worst']:6.2f}   {100 * g['at the optimum']:4.0f} %")
    print("  aim: mean 1, 95th percentile 5, worst 15\n")
    for name, row in result["size"].items():
        print(f"knowledge {name:4} {row['faults']:5} faults: a decision {row['median_ms']:.0f} ms (median), {row['95th_ms']:.0f} (95th), {row['most_ms']:.0f} (most) of {row['decisions']}")


def _table(made: dict[str, Any]) -> None:
    print(f"{'':24} {'minutes, mean':>22} {'90th percentile':>22} {'to cure, mean':>22} {'questions':>10} {'checks':>7} {'wrong parts':>19} {'given up':>19} {'planner against it':>20}")
    for name, row in made["policies"].items():
        against = made["against"].get(name)
        print(f"{name:24} {_with(row['minutes, mean'], 0):>22} {_with(row['minutes, 90th percentile'], 0):>22} "
              f"{_with(row['minutes to cure, mean'], 0) if 'minutes to cure, mean' in row else '-':>22} {row['questions']['value']:10.1f} {row['checks']['value']:7.1f} "
              f"{_with(row['wrong parts'], 2):>19} {_with(row['given up'], 2):>19} {_with(against, 2) if against else '':>20}")


def _with(made: dict[str, float], digits: int) -> str:
    return f"{made['value']:.{digits}f} ({made['low']:.{digits}f} to {made['high']:.{digits}f})"


def main(arguments: list[str]) -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.planner", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--workers", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--dask", metavar="ADDRESS", help="the address of a running scheduler (extra `dask`)")
    parser.add_argument("--owners", type=int, help="how many (1000; quick: 4)")
    parser.add_argument("--untidy", type=int, help="how many of the perturbed world (400; quick: 2)")
    parser.add_argument("--random", type=int, help="random problems solved exactly (500; quick: 8)")
    parser.add_argument("--large", type=int, help="larger ones, as far as they can be solved (20; quick: none)")
    parser.add_argument("--real", type=int, help="problems cut out of real moments (40; quick: 1)")
    parser.add_argument("--plot", type=Path, metavar="FILE", help="where to write the picture")
    asked = parser.parse_args(arguments)
    for name, full, quick in (("owners", 1000, 4), ("untidy", 400, 2), ("random", 500, 8), ("large", 20, 0), ("real", 40, 1)):
        if getattr(asked, name) is None:
            setattr(asked, name, quick if asked.quick else full)
    started = time.perf_counter()
    workers = Workers(asked.workers, asked.dask)
    try:
        result, led = measure(asked, workers)
    finally:
        workers.close()
    result["seconds"] = round(time.perf_counter() - started, 1)
    if asked.plot:
        asked.plot.parent.mkdir(parents=True, exist_ok=True)
        asked.plot.write_text(plot({name: curve(outcomes) for name, outcomes in led.items()}, MOST, "Share of machines cured against minutes"), encoding="utf-8")
    if asked.json:
        print(json.dumps(result))
    else:
        show(result)
        print(f"{result['seconds']} s")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
