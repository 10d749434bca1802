"""How quick it is, as ratios within one run, so that the figures mean something on any machine.

    python -m tests.benchmarks.speed            # about three minutes
    python -m tests.benchmarks.speed --quick    # under 40 s: fewer repetitions, knowledge up to three times its size
    python -m tests.benchmarks.speed --json

Milliseconds of turns are of work (CPU time of the program), those of starts are of the clock. Other programs on the machine
disturb the latter most: the ratios are taken from runs in turn, and the quickest run counts.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any, Callable

from assistant.dialogue.case import Case
from assistant.dialogue.rehearse import rehearse
from assistant.dialogue.think import Mind
from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import examine, load
from assistant.session.events import Event

ANSWERS = ("skip", "no", "dunno", "yes", "1", "2", "nothing", "skip", "12.4 V", "it turns over fine", "no", "fine", "110 psi", "1", "still the same", "skip")
STORIES = ("it turns over fine but no spark at all, new plugs last week", "one click and nothing", "it ran fine until it rained, now it coughs and dies",
           "stood all winter, cranks slowly and the lights go dim", "no fuel comes out of the hose", "kickstart, 125 two stroke, no life in it")
FRONT = "import sys, time, os\nos.environ.setdefault('TERM', 'xterm')\n"
ALONE = "import prompt_toolkit, pydantic, rapidfuzz, assistant.engine.shim"
PROMPT = '''
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output
from prompt_toolkit.data_structures import Size
import assistant.cli
from assistant.chat.app import run as _
from assistant.chat.sitting import Sitting
from assistant.chat.terminal import Terminal
from assistant.chat.warm import Warm
from assistant.session.keeper import Keeper
from assistant.session.store import Store, data_folder

class Screen:
    encoding = "utf-8"
    def write(self, data):
        if "1m>" in data:  # the bold sign of the prompt
            os._exit(0)
    def flush(self): pass
    def fileno(self): return 1
    def isatty(self): return True

with create_pipe_input() as keys:
    front = Terminal(input=keys, output=Vt100_Output(Screen(), lambda: Size(40, 80), term="xterm"))
    front.run(Sitting(Warm(None), Keeper(Store(data_folder())), front.view))
'''
ASK = "from assistant.cli import main; sys.exit(main(['ask', 'it turns over fine but no spark at all']))"
MEMORY = '''
import random, resource
from tests.benchmarks.speed import made, talk
talk(made(), 0, 30)
try:  # the peak that rusage tells is that of the parent, if that was larger when it started this one
    lines = open("/proc/self/status").read().splitlines()
    print(int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) // 1024)
except (OSError, StopIteration):
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // (1024 if sys.platform != "darwin" else 1 << 20))
'''


def made() -> Mind:
    """The real files, read and compiled, as the chat gets them ready while the first message is typed."""
    mind = Mind(load(knowledge_folder()))
    rehearse(mind)
    return mind


def cpu(work: Callable[[], Any]) -> float:
    """Milliseconds of work."""
    start = time.process_time()
    work()
    return 1000 * (time.process_time() - start)


def talk(mind: Mind, seed: int, turns: int) -> tuple[Case, list[float]]:
    """A conversation answered by dice, and what each turn took."""
    dice, case, spent = random.Random(seed), Case(mind), []
    for turn in range(turns):
        text = STORIES[seed % len(STORIES)] if turn == 0 else dice.choice(ANSWERS)
        spent.append(cpu(lambda: case.say(text)))
    return case, spent


def run(code: str, **environment: str) -> float:
    """Seconds by the clock that a fresh program takes."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", FRONT + code], stdout=subprocess.DEVNULL, check=True, timeout=60, env={**os.environ, **environment})
    return time.perf_counter() - start


def starting(rounds: int) -> dict[str, float]:
    """Time to the first prompt, and to the first answer of `ask`, against importing the four packages alone."""
    with tempfile.TemporaryDirectory() as place:
        own = {"TICKOVER_DATA": f"{place}/data", "TICKOVER_CACHE": f"{place}/cache"}
        run(ASK, **own)
        times: dict[str, list[float]] = {"alone": [], "prompt": [], "ask": [], "uncached": []}
        for _ in range(rounds):
            times["alone"].append(run(ALONE))
            times["prompt"].append(run(PROMPT, **own))
            times["ask"].append(run(ASK, **own))
            times["uncached"].append(run(ASK, TICKOVER_DATA=own["TICKOVER_DATA"], TICKOVER_CACHE=""))
    best = {name: min(values) for name, values in times.items()}
    return {"packages_alone_s": best["alone"], "first_prompt_s": best["prompt"], "first_prompt_ratio": best["prompt"] / best["alone"],
            "ask_s": best["ask"], "ask_without_kept_files_s": best["uncached"]}


def turning(mind: Mind, conversations: int) -> dict[str, float]:
    """Turns 21 to 30 of some conversations."""
    late = sorted(spent for seed in range(conversations) for spent in talk(mind, seed, 30)[1][20:])
    return {"turn_median_ms": statistics.median(late), "turn_p99_ms": late[min(len(late) - 1, int(0.99 * len(late)))], "turns": len(late)}


def growing(sizes: tuple[int, ...]) -> dict[str, Any]:
    """1, 3, 10 times the knowledge: reading, reading what is kept, compiling, and a turn; each against size 1."""
    rows: dict[int, dict[str, float]] = {}
    before = os.environ.get("TICKOVER_CACHE")
    with tempfile.TemporaryDirectory() as place:
        os.environ["TICKOVER_CACHE"] = f"{place}/cache"
        try:
            from tests.benchmarks.grown import grow

            for size in sizes:
                folder = grow(knowledge_folder(), size, Path(place, str(size)))
                row = {"read_ms": min(cpu(lambda: examine(folder)) for _ in range(2 if size == 1 else 1))}
                book = load(folder)
                row["read_kept_ms"] = min(cpu(lambda: load(folder)) for _ in range(2))
                mind = Mind(book)
                row["words_ms"] = cpu(lambda: mind.reader.lexicon)
                row["rules_ms"] = cpu(lambda: mind.engine)
                row["planner_ms"] = cpu(lambda: mind.planner)
                Case(mind).say("it will not start")
                row["turn_ms"] = statistics.median(talk(mind, 0, 5)[1])
                rows[size] = row
        finally:
            os.environ.pop("TICKOVER_CACHE")
            if before is not None:
                os.environ["TICKOVER_CACHE"] = before
    first = rows[sizes[0]]
    return {f"x{size}": {**row, "ratios": {name: value / first[name] for name, value in row.items() if first[name]}} for size, row in rows.items()}


def lasting(mind: Mind) -> dict[str, float]:
    """A conversation of 300 events: its last turns against its first ones, and going through it all again."""
    case, spent = Case(mind), []
    dice = random.Random(5)
    while len(case.events) < 300:
        text = dice.choice(ANSWERS) if case.events else STORIES[0]
        if len(case.events) < 30 or len(case.events) > 280:
            spent.append(cpu(lambda: case.say(text)))
        else:
            case.hear(text)
            case.add(Event("asked", {"what": "nothing", "id": "", "choices": [], "plain": []}))
    early, late = statistics.median(spent[1:15]), statistics.median(spent[-8:])
    again = Case(mind)
    replayed = cpu(lambda: again.replay(case.events))
    assert again.state == case.state
    return {"early_turn_ms": early, "late_turn_ms": late, "late_ratio": late / early, "replay_events_per_s": 1000 * len(case.events) / replayed}


def replaying(mind: Mind, number: int) -> dict[str, float]:
    """Short recorded conversations against the files, as a trainer replays them: two messages, of both what is heard, fired and ranked."""
    from assistant.trainer.conversations import Conversation, Turn
    from assistant.trainer.replay import replay

    talks = [Conversation("f", "w", "s", (Turn(1, f"{STORIES[n % len(STORIES)]}, since {n} days", heard=()),
                                           Turn(2, "about half", answers="fuel-level", heard=(), ranked=("open",), fired=("none",)))) for n in range(number)]
    replay(mind, talks[0])
    return {"short_a_second": 1000 * number / cpu(lambda: [replay(mind, talk) for talk in talks])}


def reading(times: int) -> dict[str, float]:
    """The front end alone: 200 words with all phrases and with ten times as many, and eight times the words."""
    from dataclasses import replace

    from assistant.language.read import Reader

    book = load(knowledge_folder())
    words = " ".join(STORIES * 60).split()
    more = replace(book, phrases=[replace(p, pattern=p.pattern.replace("(", f"(alias{n} ", 1)) if n else p for n in range(10) for p in book.phrases])

    def best(reader: Reader, count: int) -> float:
        text = " ".join(words[:count])
        reader.read(text)
        return min(cpu(lambda: reader.read(text)) for _ in range(times))

    reader = Reader(book)
    once, long = best(reader, 200), best(reader, 1600)
    return {"words_200_ms": once, "ten_times_the_phrases_ms": best(Reader(more), 200), "eight_times_the_words_ratio": long / once}


def checking() -> dict[str, float]:
    """The trainer's check of all files, as the command runs it, with no stem remembered."""
    from assistant.language.text import stem
    from assistant.trainer.lint import inspect

    def once() -> None:
        stem.cache_clear()
        inspect(knowledge_folder())

    return {"seconds": min(cpu(once) for _ in range(2)) / 1000}


def deriving(mind: Mind, sets: int) -> dict[str, float]:
    """Facts to conclusions, against CLIPS on the same rules and facts."""
    from tests.engine.clips_engine import ClipsEngine

    book, dice = mind.book, random.Random(3)
    told = _some(book, sets, dice)
    theirs = ClipsEngine(book)
    for facts in told[:5]:
        mind.engine.run(facts)
        theirs.run(facts)
    ours = cpu(lambda: [mind.engine.run(facts) for facts in told]) / sets
    anchor = cpu(lambda: [theirs.run(facts) for facts in told]) / sets
    return {"ours_ms": ours, "clips_ms": anchor, "ratio": ours / anchor}


def _some(book: Rulebook, number: int, dice: random.Random) -> list[list[Known]]:
    names = sorted({t for c in book.conditions.values() for t in topics(c) if book.values(t)})
    return [[Known(t, dice.choice(list(book.values(t))), None, False, 1.0) for t in dice.sample(names, 12)] for _ in range(number)]


def memory() -> float:
    """Megabytes at the peak of a conversation of 30 turns in a fresh program."""
    done = subprocess.run([sys.executable, "-c", FRONT + MEMORY], capture_output=True, text=True, check=True)
    return float(done.stdout.split()[-1])


def measure(quick: bool) -> dict[str, Any]:
    """All of it."""
    result: dict[str, Any] = {"start": starting(2 if quick else 9)}
    mind = made()
    result["turn"] = turning(mind, 1 if quick else 12)
    result["long"] = lasting(mind)
    result["replay"] = replaying(mind, 60 if quick else 600)
    result["reading"] = reading(2 if quick else 7)
    result["check"] = checking()
    result["engine"] = deriving(mind, 100 if quick else 1000)
    result["memory_mb"] = memory()
    result["size"] = growing((1, 3) if quick else (1, 3, 10))
    return result


def show(result: dict[str, Any]) -> None:
    """The figures as text, with what is aimed at."""
    start, turn, long, engine = result["start"], result["turn"], result["long"], result["engine"]
    print(f"first prompt        {start['first_prompt_s']:.2f} s, {start['first_prompt_ratio']:.2f} times the four packages alone ({start['packages_alone_s']:.2f} s)   aim: 1.5 times, 0.5 s")
    print(f"one `ask`           {start['ask_s']:.2f} s; without the kept files {start['ask_without_kept_files_s']:.2f} s")
    print(f"turns 21 to 30      median {turn['turn_median_ms']:.0f} ms, 99th percentile {turn['turn_p99_ms']:.0f} ms of {turn['turns']}   aim: 30 and 100 ms")
    print(f"300 events          a late turn {long['late_turn_ms']:.0f} ms, {long['late_ratio']:.2f} times an early one; replay {long['replay_events_per_s']:.0f} events a second")
    print(f"replay              {result['replay']['short_a_second']:.0f} short conversations a second and core   aim: 200")
    read = result["reading"]
    print(f"200 words           {read['words_200_ms']:.0f} ms, with ten times the phrases {read['ten_times_the_phrases_ms']:.0f} ms; eight times the words {read['eight_times_the_words_ratio']:.1f} times   aim: 20 and 100 ms, linear")
    print(f"knowledge check     {result['check']['seconds']:.2f} s of work   aim: 2 s")
    print(f"engine              {engine['ours_ms']:.2f} ms a run, {engine['ratio']:.1f} times CLIPS ({engine['clips_ms']:.2f} ms)")
    print(f"memory              {result['memory_mb']:.0f} MB at the peak   aim: 100 MB")
    for name, row in result["size"].items():
        print(f"knowledge {name:4}      " + ", ".join(f"{key.removesuffix('_ms').replace('_', ' ')} {value:.0f} ms ({row['ratios'].get(key, 1):.1f})" for key, value in row.items() if key != "ratios"))


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    start = time.perf_counter()
    result = measure(options.quick)
    result["seconds"] = round(time.perf_counter() - start, 1)
    if options.json:
        print(json.dumps(result))
    else:
        show(result)
        print(f"{result['seconds']} s, peak of this program {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
