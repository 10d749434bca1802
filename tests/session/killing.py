"""Kills a program that keeps a conversation, again and again, and looks whether anything it acknowledged is missing.

    python -m tests.session.killing --kills 300        # about a minute

The child keeps numbered messages and prints each number after it was kept. The parent kills it (SIGKILL) at a random moment,
sometimes before it has begun, and the next child goes on with the same conversation.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from assistant.session.events import Event
from assistant.session.keeper import Keeper, now
from assistant.session.log import read
from assistant.session.store import Store


def child(folder: str) -> None:
    """Keep messages for ever; a number on standard output says that the message with it is kept."""
    store = Store(Path(folder))
    keeper = Keeper(store, lambda: Store(Path("/dev/null/nowhere")))  # no other place: a move would hide a loss
    number = 0
    if store.names():
        said = [e for e in keeper.resume("").events if e.kind == "said"]
        number = int(said[-1].data["text"].split()[0]) + 1 if said else 0
    while True:
        keeper(Event("said", {"text": f"{number} " + "long story " * (number % 7 * 150)}, now()))
        assert not keeper.unsaved
        print(number, flush=True)
        number += 1


def kill_often(folder: Path, kills: int, seed: int) -> tuple[int, int]:
    """Run it; returns how many messages were acknowledged, and how many torn lines were met. Raises AssertionError on a loss."""
    rng = random.Random(seed)
    acknowledged: set[int] = set()
    for _ in range(kills):
        process = subprocess.Popen([sys.executable, "-m", "tests.session.killing", "--child", str(folder)], stdout=subprocess.PIPE)
        assert process.stdout is not None
        head = b""
        if rng.random() < 0.75:
            head = process.stdout.readline()
            time.sleep(rng.random() * 0.02)
        else:
            time.sleep(rng.random() * 0.15)
        process.kill()
        rest = process.stdout.read()
        process.wait()
        lines = (head + rest).split(b"\n")[:-1]  # a number cut off was not acknowledged
        acknowledged.update(int(line) for line in lines)
        check(folder, acknowledged)
    store = Store(folder)
    torn = sum(len(e.data["lines"]) for name in store.names() for e in read(store.find(name)[0]).events if e.kind == "mended")
    return len(acknowledged), torn


def check(folder: Path, acknowledged: set[int]) -> None:
    """Every acknowledged number is in the log once, in order."""
    store = Store(folder)
    kept = [int(e.data["text"].split()[0]) for name in store.names() for e in read(store.find(name)[0]).events if e.kind == "said"]
    assert kept == sorted(set(kept)), "out of order or twice"
    missing = acknowledged - set(kept)
    assert not missing, f"acknowledged and missing: {sorted(missing)[:5]}"


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--kills", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--child", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.child:
        child(options.child)
        return
    with tempfile.TemporaryDirectory() as folder:
        kept, torn = kill_often(Path(folder), options.kills, options.seed)
    print(f"{options.kills} kills, {kept} messages acknowledged, none missing; {torn} torn lines met")


if __name__ == "__main__":
    main()
