"""The chat from beginning to end: what it is kept in, which kind of screen it has, and how it is left."""

from __future__ import annotations

import os
import signal
import sys
from typing import TYPE_CHECKING, Any

from assistant.chat.sitting import Sitting
from assistant.chat.text import safe
from assistant.chat.warm import Warm
from assistant.session.keeper import Keeper
from assistant.session.log import LogError
from assistant.session.store import Store, data_folder

if TYPE_CHECKING:
    from assistant.chat.lines import Lines
    from assistant.chat.terminal import Terminal

FAILED = 1


class HungUp(SystemExit):
    """The terminal went away, or the system wants the program to end. An exit, so that event loops let it through."""


def run(knowledge: str | None, resume: str | None = None, data: str | None = None) -> int:
    """Open the chat. `resume` names an earlier conversation ("" is the last one); `data` beats TICKOVER_DATA.

    Returns the exit status. Raises KnowledgeError when the knowledge files are bad; all else is told in a line.
    """
    store = Store(data_folder(data))
    keeper = Keeper(store)
    contents = None
    if resume is not None:
        try:
            contents = keeper.resume(resume)
        except LogError as error:
            print(safe(str(error)), file=sys.stderr)
            return FAILED
    before = _watch_signals()
    try:
        front, help_lines = _front(store)
        sitting = Sitting(Warm(knowledge), keeper, front.view, contents, help_lines)
        return front.run(sitting)
    except HungUp as left:
        return int(left.code or FAILED)
    except OSError as error:
        _give_up_output()
        if not isinstance(error, BrokenPipeError):
            _last_word(f"The screen cannot be written to ({error.strerror or error}). What was said is kept.")
        return FAILED
    finally:
        keeper.close()
        for number, handler in before.items():
            signal.signal(number, handler)


def interactive() -> bool:
    """Whether there is a terminal on both sides that can do more than print lines."""
    from assistant.chat.lines import DUMB

    return sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM", "") not in DUMB


def _front(store: Store) -> "tuple[Terminal | Lines, tuple[str, ...]]":
    if not interactive():
        from assistant.chat.lines import Lines

        return Lines(ask=sys.stdin.isatty() and sys.stdout.isatty()), ()
    from assistant.chat.history import TolerantHistory
    from assistant.chat.keys import HELP
    from assistant.chat.terminal import Terminal

    return Terminal(TolerantHistory(store.data / "typed")), HELP


def _watch_signals() -> dict[int, Any]:
    """A lost terminal or a request to end leaves by the ordinary way out. Everything said is on the disk by then.

    Returns the handlers that were there before.
    """

    def leave(number: int, frame: Any) -> None:
        raise HungUp(128 + number)

    before: dict[int, Any] = {}
    for name in ("SIGHUP", "SIGTERM"):
        number = getattr(signal, name, None)
        if number is not None:
            try:
                before[number] = signal.signal(number, leave)
            except ValueError:
                break  # not the main thread: whoever runs us sees to signals
    return before


def _give_up_output() -> None:
    """Nobody reads any more: what is still buffered must not fail again when the program ends."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        pass


def _last_word(line: str) -> None:
    try:
        print(safe(line), file=sys.stderr)
    except OSError:
        pass
