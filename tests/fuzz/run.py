"""Fuzzes what takes anything from outside: knowledge files, messages, conversation files and `ask`.

    python -m tests.fuzz.run --seconds 600                     # all targets, one after the other
    python -m tests.fuzz.run --seconds 600 --target front      # one of them
    python -m pip install -e '.[fuzz]'                         # with it the runs are guided by coverage (atheris), else by plain dice

Prints for each target how many inputs were really run. An input that raises, hangs (more than 10 s of work) or takes the memory is
written to tests/fuzz/seeds/TARGET, where the suite finds it from then on; the exit status is then 1.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

from tests.fuzz.inputs import SEEDS, Hands, sound

HANG, MEMORY = 10, 2048  # seconds for one input, megabytes for the whole
NAMES = ("loader", "front", "log", "ask")


class Hung(BaseException):
    """An input took too long. No Exception, so that nothing on the way catches it."""


def guarded(run, data: bytes, seconds: float = HANG) -> str:
    """Run one input; what went wrong in a few words, or nothing."""

    def ring(number: int, frame: object) -> None:
        raise Hung

    before = signal.signal(signal.SIGPROF, ring)  # the clock of the work done: on a busy machine the other one says little
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        run(data)
    except Hung:
        return f"took more than {seconds:g} s"
    except Exception as error:
        return "".join(traceback.format_exception(error)[-3:])
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    return ""


def by_dice(target: str, seconds: float, seed: int) -> dict:
    """The fallback: sound inputs changed at random until the time is up."""
    from tests.fuzz.targets import TARGETS

    resource.setrlimit(resource.RLIMIT_AS, (4 * MEMORY << 20, 4 * MEMORY << 20))
    run, hands = TARGETS[target], Hands(target, random.Random(seed))
    for data in sound(target):
        run(data)
    number = failed = 0
    slowest, told = 0.0, set()
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        data = hands.next()
        start = time.perf_counter()
        trouble = guarded(run, data)
        number += 1
        slowest = max(slowest, time.perf_counter() - start)
        if trouble:
            failed += 1
            kind = re.sub(r"0x[0-9a-f]+|\d+", "", trouble)[-200:]
            if kind not in told and len(told) < 40:
                told.add(kind)
                print(f"{target}: {keep(target, data)}\n{trouble}", file=sys.stderr, flush=True)
    return {"target": target, "engine": "dice", "inputs": number, "failed": failed, "slowest_s": round(slowest, 3),
            "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024}


def keep(target: str, data: bytes) -> Path:
    """Write a failing input to where the suite looks for it."""
    path = SEEDS / target / f"{hashlib.sha256(data).hexdigest()[:16]}.bin"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


def by_coverage(target: str, seconds: float, seed: int) -> dict:
    """atheris in a process of its own, which it ends itself."""
    with tempfile.TemporaryDirectory() as place:
        corpus, found = Path(place, "corpus"), Path(place, "found")
        corpus.mkdir()
        found.mkdir()
        for data in sound(target):
            (corpus / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)
        command = [sys.executable, "-m", "tests.fuzz.guided", target, f"-max_total_time={int(seconds)}", f"-seed={seed}", f"-timeout={12 * HANG}", f"-rss_limit_mb={MEMORY}",
                   "-max_len=4096", "-print_final_stats=1", "-verbosity=1", f"-artifact_prefix={found}/", str(corpus)]
        done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace")
        kept = [keep(target, path.read_bytes()) for path in sorted(found.iterdir()) if path.name.startswith(("crash", "timeout", "oom"))]
        if kept or done.returncode:
            print(f"{target}: {', '.join(map(str, kept)) or 'ended with ' + str(done.returncode)}\n{done.stdout[-4000:]}", file=sys.stderr, flush=True)
        executed = re.findall(r"number_of_executed_units:\s+(\d+)", done.stdout) or re.findall(r"^#(\d+)\t", done.stdout, re.MULTILINE) or ["0"]
        memory = re.findall(r"peak_rss_mb:\s+(\d+)", done.stdout) or ["0"]
        return {"target": target, "engine": "atheris", "inputs": int(executed[-1]), "failed": len(kept), "peak_mb": int(memory[-1])}


def has_atheris() -> bool:
    """Whether the coverage-guided fuzzer is installed."""
    import importlib.util

    return importlib.util.find_spec("atheris") is not None


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--seconds", type=float, default=120, help="for all targets together")
    parser.add_argument("--target", choices=NAMES, action="append")
    parser.add_argument("--engine", choices=("atheris", "dice"), default="atheris" if has_atheris() else "dice")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    os.chdir(Path(__file__).parents[2])
    targets, results = options.target or list(NAMES), []
    for target in targets:
        made = (by_coverage if options.engine == "atheris" else by_dice)(target, options.seconds / len(targets), options.seed)
        results.append(made)
        if not options.json:
            print(f"{made['target']:7} {made['inputs']:>9,} inputs by {made['engine']}, {made['failed']} failed, peak {made['peak_mb']} MB", flush=True)
    if options.json:
        print(json.dumps(results))
    return int(any(made["failed"] for made in results))


if __name__ == "__main__":
    sys.exit(main())
