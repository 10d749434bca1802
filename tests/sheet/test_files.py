"""Sheets are written whole or not at all, over nothing, and in the first folder that takes them; saved conversations make them too."""

from __future__ import annotations

import os
import re

import pytest

from assistant.cli import main
from assistant.dialogue.case import Case
from assistant.session.keeper import Keeper
from assistant.session.log import LogError
from assistant.session.store import Store
from assistant.sheet.files import put, save, write
from assistant.sheet.saved import find, to_case
from assistant.sheet.side_by_side import side_by_side
from tests.explain.small import mind


def test_both_files_are_written(usual, tmp_path):
    """One to read, one to print, and the paths come back."""
    first, second = write(usual, tmp_path, "7")
    assert (first.name, second.name) == ("job-sheet-7.md", "job-sheet-7.html")
    assert first.read_text("utf-8").startswith("# Job sheet") and "Conversation 7, begun 2026-03-01" in first.read_text("utf-8")
    assert second.read_text("utf-8").startswith("<!DOCTYPE html>")


def test_nothing_is_ever_overwritten(usual, tmp_path):
    """A second sheet gets the next number, also where only one of the two names is taken, or by a link that leads nowhere."""
    (tmp_path / "job-sheet.html").write_text("mine")
    (tmp_path / "job-sheet-2.md").symlink_to(tmp_path / "nowhere")
    first, second = write(usual, tmp_path)
    assert (first.name, second.name) == ("job-sheet-3.md", "job-sheet-3.html")
    assert (tmp_path / "job-sheet.html").read_text() == "mine" and not (tmp_path / "nowhere").exists()
    assert write(usual, tmp_path)[0].name == "job-sheet-4.md"


def test_a_name_from_outside_stays_in_the_folder(usual, tmp_path):
    """Slashes and dots of a name do not lead out of the folder."""
    first, _ = write(usual, tmp_path / ".", "../../x")
    assert first.parent.resolve() == tmp_path.resolve() and first.name == "job-sheet-x.md"


def test_a_folder_that_cannot_be_written_is_passed_over(usual, tmp_path):
    """The next folder takes the sheet, and the line says so."""
    (tmp_path / "file").write_text("")
    (tmp_path / "good").mkdir()
    saved = save(usual, [tmp_path / "file", tmp_path / "missing", tmp_path / "good"])
    assert [p.parent.name for p in saved.paths] == ["good", "good"]
    assert str(saved.paths[0]) in saved.line and "cannot be written there" in saved.line


def test_where_nothing_can_be_written_the_line_says_why(usual, tmp_path):
    """No paths, one plain line, no exception."""
    saved = save(usual, [tmp_path / "missing"])
    assert saved.paths == () and saved.line.startswith("The job sheet could not be written (")
    assert "\n" not in saved.line


def test_no_half_sheet_is_left(usual, tmp_path, monkeypatch):
    """When the second file fails, the first is taken away again, and no scratch file stays."""
    real, done = os.link, []

    def link(source, target):
        if done:
            raise OSError(28, "No space left on device")
        done.append(target)
        real(source, target)

    def full(self, *arguments, **named):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "link", link)
    monkeypatch.setattr("builtins.open", full)
    with pytest.raises(OSError):
        write(usual, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_putting_refuses_a_taken_name(tmp_path):
    """A file that is there stays as it is."""
    (tmp_path / "a.md").write_text("old")
    with pytest.raises(FileExistsError):
        put(tmp_path / "a.md", "new")
    assert [p.name for p in tmp_path.iterdir()] == ["a.md"] and (tmp_path / "a.md").read_text() == "old"


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """Two conversations on the small trade, kept in a data folder of their own."""
    monkeypatch.setenv("TICKOVER_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("TICKOVER_KNOWLEDGE", mind().book.folder)
    for messages in (("it cranks slowly", "battery reads 11.2 V"), ("it cranks fine", "battery reads 12.7 V")):
        keeper = Keeper(Store(tmp_path / "data"))
        case = Case(mind(), keeper)
        for message in messages:
            case.hear(message)
        keeper.close()
    return tmp_path


def run(capsys, *arguments):
    """A command's status, output and complaints."""
    status = main(list(arguments))
    out = capsys.readouterr()
    return status, out.out, out.err


def test_the_command_prints_a_sheet(kept, capsys):
    """Markdown by default, a page when asked for; nothing but the sheet on the output."""
    status, out, err = run(capsys, "sheet", "1")
    assert status == 0 and out.startswith("# Job sheet") and "11.2 V" in out and err == ""
    status, out, _ = run(capsys, "sheet", "1", "--html")
    assert status == 0 and out.startswith("<!DOCTYPE html>")


def test_the_command_writes_a_new_file(kept, capsys):
    """The ending chooses the form, one line says where it is, and a second time it refuses."""
    target = kept / "out.html"
    status, out, _ = run(capsys, "sheet", "2", str(target))
    assert status == 0 and out == f"The sheet of conversation 2 is written to {target}.\n"
    assert target.read_text("utf-8").startswith("<!DOCTYPE html>")
    status, out, err = run(capsys, "sheet", "2", str(target))
    assert status == 1 and out == "" and err == f"{target} exists already; name another file.\n"


def test_a_wrong_name_or_place_is_said_in_a_line(kept, capsys):
    """No such conversation, no such folder: one line each, status 1."""
    for arguments in (("sheet", "9"), ("sheet", "../../etc/passwd\x1b[31m"), ("sheet", "1", str(kept / "no" / "x.md")), ("compare", "1", "9")):
        status, out, err = run(capsys, *arguments)
        assert status == 1 and out == "" and err.count("\n") == 1 and "\x1b" not in err


def test_an_exported_log_makes_a_sheet(kept, capsys):
    """What somebody else exported and sent can be read without being taken in."""
    Store(kept / "data").export("1", str(kept / "sent.jsonl"))
    status, out, _ = run(capsys, "sheet", str(kept / "sent.jsonl"))
    assert status == 0 and "Conversation sent" in out
    (kept / "empty.jsonl").write_text("")
    assert run(capsys, "sheet", str(kept / "empty.jsonl"))[0] == 1


def test_reading_a_saved_conversation_leaves_its_log_alone(kept):
    """Not a byte of the log changes, no lock is left, and the last conversation stays the last."""
    from assistant.chat.reopen import replay

    store = Store(kept / "data")
    path, _ = store.find("1")
    before, last = path.read_bytes(), store.last()
    found = find(store, "1")
    case, remarks = to_case(mind(), found, replay)
    assert found.name == "1" and remarks == [] and len(case.state.notes) > 0
    assert path.read_bytes() == before and store.last() == last
    with pytest.raises(LogError):
        find(store, "77")


def test_entries_that_do_not_fit_the_files_are_told_about(kept):
    """A log of other knowledge files makes a sheet of what still fits, and says how much did not."""
    from assistant.chat.reopen import replay
    from assistant.session.events import Event
    from assistant.sheet.saved import Kept

    events = (Event("given", {"fact": "wheels", "value": "three"}), Event("said", {"text": "it cranks slowly"}))
    case, remarks = to_case(mind(), Kept("old", events), replay)
    assert remarks == ["one entry of old could not be followed with these knowledge files."]
    assert [n.topic for n in case.state.notes] == ["cranking"]


def test_two_conversations_side_by_side(kept, capsys, monkeypatch):
    """What differs stands in one table, the chances in another, and the rules of one side only with their places."""
    monkeypatch.setenv("COLUMNS", "80")
    status, out, _ = run(capsys, "compare", "1", "2")
    assert status == 0
    assert re.search(r"11\.2 V, low +12\.7 V, good$", out, re.M), out
    assert "What differs" in out and "Rules that fired only for conversation 1" in out
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_the_columns_keep_to_the_width(usual, conversation, width):
    """No line is wider than the screen, down to forty columns."""
    other = conversation("it cranks fine", "no spark")
    lines = side_by_side(mind(), ("a conversation with a long name", usual), ("b", other), width)
    assert max(map(len, lines)) <= width


def test_a_conversation_beside_itself(usual):
    """Nothing differs, and it says so for the fault in front."""
    lines = side_by_side(mind(), ("a", usual), ("a", usual))
    assert "What differs" not in lines and any("it stands the same on both." in line for line in lines)


def test_the_printed_shift_adds_up(usual, conversation):
    """The reason why the leader stands elsewhere is a sum that can be done again."""
    from tests.dialogue.test_accounts import add_up

    lines = side_by_side(mind(), ("a", usual), ("b", conversation("it cranks fine", "no spark")), 400)
    for line in lines:
        if " = " in line and "from a to b" in line:
            add_up(line.rstrip("."))


def test_a_cured_conversation_is_compared_by_what_the_cure_rests_on(usual, conversation):
    """Beside another one stand the chances and signs from before its repair, not what is left after it."""
    cured = conversation("it cranks slowly and the lights are dim", ("repair", "battery-flat"), "charged it", ("proof", "battery-flat"), "yes")
    assert cured.state.cured == "battery-flat"
    lines = side_by_side(mind(), ("a", conversation("it cranks fine")), ("b", cured), 100)
    assert any(line.startswith("Stands") and "cured: flat battery" in line for line in lines)
    row = next(line for line in lines if line.startswith("Flat battery") and "in 100" in line)
    assert float(row.split()[-3]) > 70
