"""One target under atheris. Started by `tests.fuzz.run`; takes the target and then libFuzzer's own arguments."""

from __future__ import annotations

import sys


def main() -> None:
    """Fuzz until libFuzzer has had enough; it ends the process itself."""
    import atheris

    target = sys.argv.pop(1)
    with atheris.instrument_imports(include=["assistant"]):
        from tests.fuzz.targets import TARGETS, mind

        mind()
        TARGETS[target](b"")
    atheris.Setup(sys.argv, TARGETS[target])
    atheris.Fuzz()


if __name__ == "__main__":
    main()
