"""The commands about earlier conversations: list, export, delete. One plain line for each thing done or refused."""

from __future__ import annotations

import shutil
import sys
from typing import TYPE_CHECKING

from assistant.chat.text import for_encoding, safe
from assistant.session.log import LogError
from assistant.session.store import Store, data_folder, summary_line

if TYPE_CHECKING:
    import argparse


def past_command(options: "argparse.Namespace") -> int:
    """`past`, `export NAME FILE` and `delete NAME`. Returns the exit status."""
    store = Store(data_folder(getattr(options, "data", None)))
    try:
        if options.command == "export":
            lines = [store.export(options.name, options.file)]
        elif options.command == "delete":
            lines = [store.delete(options.name)]
        else:
            columns = shutil.get_terminal_size((80, 24)).columns
            lines = [summary_line(s, columns) for s in store.past()] or [f"There are no earlier conversations in {store.folder}."]
    except LogError as error:
        print(safe(str(error)), file=sys.stderr)
        return 1
    for line in lines:
        print(for_encoding(safe(line), sys.stdout.encoding or "ascii"))
    return 0
