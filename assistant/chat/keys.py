"""The keys of the prompt, and their own short help."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prompt_toolkit.key_binding import KeyBindings

HELP = ("Keys: Tab shows the quick answers; Enter sends; Alt-Enter begins a new line; the arrow keys bring back what you typed before.",
        "Ctrl-C drops the line, a second one leaves; Ctrl-D leaves. Everything said is kept.")
CANCELLED = "Line dropped. Ctrl-C once more leaves."


def bindings() -> "KeyBindings":
    """Enter sends, also when the message has several lines (a paste stays one message); Alt-Enter begins a new line."""
    from prompt_toolkit.key_binding import KeyBindings

    keys = KeyBindings()

    @keys.add("enter")
    def _send(event) -> None:
        event.current_buffer.validate_and_handle()

    @keys.add("escape", "enter")
    def _new_line(event) -> None:
        event.current_buffer.insert_text("\n")

    return keys
