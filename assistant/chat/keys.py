"""The keys of the prompt, and their own short help."""

from __future__ import annotations

from typing import TYPE_CHECKING, Callable

if TYPE_CHECKING:
    from prompt_toolkit.key_binding import KeyBindings

HELP = ("Keys: Tab shows the quick answers; Enter sends; Alt-Enter begins a new line; the arrow keys bring back what you typed before.",
        "Ctrl-C drops the line, a second one leaves; Ctrl-D leaves. Everything said is kept.")
CANCELLED = "Line dropped. Ctrl-C once more leaves."


def bindings(limit: int, refuse: Callable[[int], None]) -> "KeyBindings":
    """Enter sends, also when the message has several lines (a paste stays one message); Alt-Enter begins a new line.

    A paste that would pass `limit` characters is not taken in, since drawing it could take minutes: `refuse` is told its length.
    """
    from prompt_toolkit.key_binding import KeyBindings
    from prompt_toolkit.keys import Keys

    keys = KeyBindings()

    @keys.add("enter")
    def _send(event) -> None:
        event.current_buffer.validate_and_handle()

    @keys.add("escape", "enter")
    def _new_line(event) -> None:
        event.current_buffer.insert_text("\n")

    @keys.add(Keys.BracketedPaste)
    def _paste(event) -> None:
        text = event.data.replace("\r\n", "\n").replace("\r", "\n")
        if len(text) + len(event.current_buffer.text) > limit:
            refuse(len(text))
        else:
            event.current_buffer.insert_text(text)

    return keys
