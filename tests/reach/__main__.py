"""`python -m tests.reach [FAULT or MACHINE ...]`: play every fault on every machine it exists on, and print the table of reach."""

from __future__ import annotations

import sys
import time

from tests.reach.run import cells, plays, table


def main(arguments: list[str]) -> int:
    """Print the table; 1 when something was not reached."""
    wanted = [c for c in cells() if not arguments or set(arguments) & {*c, "/".join(c)}]
    started = time.perf_counter()
    results = plays(wanted)
    print(table(results))
    print(f"{time.perf_counter() - started:.0f} s")
    return 0 if all(r.reached for r in results) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
