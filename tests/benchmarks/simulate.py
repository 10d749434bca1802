"""Owners led by policies, on as many workers as there are: what comes out does not depend on how many."""

from __future__ import annotations

import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from typing import Any, Callable, Iterable

from assistant.planning.costs import Prices
from assistant.rulebook.book import Rulebook
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from tests.benchmarks.policies import Base, policies
from tests.benchmarks.run import Outcome, play
from tests.benchmarks.world import Noise, World

CHUNK = 10
Job = tuple[str, int, int, Noise]  # policy, first owner, one past the last, how untidy the world is


@cache
def book() -> Rulebook:
    """The knowledge files, once for each process."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    return load(knowledge_folder())


@cache
def world(noise: Noise) -> World:
    """One world for each process and kind of noise."""
    return World(book(), noise)


@cache
def known_policies() -> dict[str, Base]:
    """The policies, once for each process."""
    return policies(book())


def lead(job: Job) -> list[Outcome]:
    """Some owners led by one policy."""
    name, first, last, noise = job
    here, policy = world(noise), known_policies()[name]
    assert here.quick is not None
    return [play(book(), here.quick, Prices.of(book()), here.owner(i), policy) for i in range(first, last)]


class Workers:
    """Where the work is done: here, on other processes of this machine, or on a running cluster (`dask.distributed`) by its address."""

    def __init__(self, count: int = 1, address: str | None = None) -> None:
        self.count, self.client, self.pool = count, None, None
        if address:
            from dask.distributed import Client  # the optional extra `dask`

            self.client = Client(address)
        elif count > 1 and "fork" in multiprocessing.get_all_start_methods():
            known_policies()  # made before the fork, so that the processes share it
            self.pool = ProcessPoolExecutor(count, mp_context=multiprocessing.get_context("fork"))

    def map(self, work: Callable[[Any], Any], jobs: Iterable[Any]) -> list[Any]:
        """The results in the order of the jobs."""
        if self.client is not None:
            return self.client.gather(self.client.map(work, list(jobs), pure=False))
        return list(self.pool.map(work, jobs)) if self.pool is not None else [work(job) for job in jobs]

    def close(self) -> None:
        """Let the workers go; a cluster stays up."""
        if self.client is not None:
            self.client.close()
        if self.pool is not None:
            self.pool.shutdown()


def simulate(workers: Workers, names: Iterable[str], count: int, noise: Noise = Noise(), first: int = 0) -> dict[str, list[Outcome]]:
    """Every policy on the same owners, in the order of their numbers."""
    jobs = [(name, i, min(i + CHUNK, first + count), noise) for name in names for i in range(first, first + count, CHUNK)]
    led: dict[str, list[Outcome]] = {}
    for job, outcomes in zip(jobs, workers.map(lead, jobs)):
        led.setdefault(job[0], []).extend(outcomes)
    return led
