"""The commands `sheet` and `compare`: a saved conversation on a sheet, and two of them side by side."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.dialogue.think import Mind
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from assistant.session.keeper import now
from assistant.session.log import LogError
from assistant.session.store import Store, data_folder
from assistant.sheet.escape import plain
from assistant.sheet.saved import Replay, find, to_case

if TYPE_CHECKING:
    import argparse


def sheet_command(options: "argparse.Namespace", replay: Replay) -> int:
    """`sheet NAME [--html] [FILE]`: to the file, or to the output where none is named. Returns the exit status."""
    from assistant.sheet.files import put
    from assistant.sheet.gather import gather
    from assistant.sheet.markdown import to_markdown
    from assistant.sheet.page import to_page

    try:
        kept = find(Store(data_folder()), options.name)
    except LogError as error:
        return _refuse(str(error))
    mind = Mind(load(knowledge_folder(options.knowledge)))
    case, remarks = to_case(mind, kept, replay)
    _tell(remarks)
    made = gather(mind, case.events, kept.name, now())
    text = to_page(made) if options.html or (options.file or "").lower().endswith((".html", ".htm")) else to_markdown(made)
    if not options.file:
        print(text.encode(sys.stdout.encoding or "ascii", "replace").decode(sys.stdout.encoding or "ascii"), end="")
        return 0
    path = Path(options.file).expanduser()
    try:
        put(path, text)
    except FileExistsError:
        return _refuse(f"{path} exists already; name another file.")
    except (OSError, ValueError) as error:
        return _refuse(f"The sheet could not be written to {path}: {getattr(error, 'strerror', None) or error}.")
    print(plain(f"The sheet of conversation {kept.name} is written to {path}."))
    return 0


def compare_command(options: "argparse.Namespace", replay: Replay) -> int:
    """`compare NAME NAME`. Returns the exit status."""
    from assistant.sheet.side_by_side import side_by_side

    try:
        both = [find(Store(data_folder()), name) for name in (options.first, options.second)]
    except LogError as error:
        return _refuse(str(error))
    mind, sides = Mind(load(knowledge_folder(options.knowledge))), []
    for kept in both:
        case, remarks = to_case(mind, kept, replay)
        _tell(remarks)
        sides.append((f"conversation {kept.name}" if kept.name.isdigit() else kept.name, case))
    encoding = sys.stdout.encoding or "ascii"
    for line in side_by_side(mind, sides[0], sides[1], min(shutil.get_terminal_size((100, 24)).columns, 120)):
        print(line.encode(encoding, "replace").decode(encoding))
    return 0


def _tell(remarks: list[str]) -> None:
    for remark in remarks:
        print(plain(remark), file=sys.stderr)


def _refuse(why: str) -> int:
    print(plain(why), file=sys.stderr)
    return 1
