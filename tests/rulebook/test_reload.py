"""A saved change to the files is seen at the next look; a broken one is refused with its complaints."""

import os

from assistant.problems import Problem
from assistant.rulebook.book import Rulebook
from assistant.rulebook.load import load
from assistant.rulebook.reload import Watcher
from tests.trainer.folders import folder_with


def save(path, text):
    """Write a file with a date of its own, as an editor would some time later."""
    path.write_text(text)
    stamp = path.stat().st_mtime_ns + 1_000_000
    os.utime(path, ns=(stamp, stamp))


def test_nothing_new_is_no_news(tmp_path):
    """As often as one asks."""
    watcher = Watcher(folder_with(tmp_path))
    assert watcher.poll() is None and watcher.poll() is None


def test_a_changed_file_gives_a_new_rulebook_once(tmp_path):
    """With the new number in it."""
    folder = folder_with(tmp_path)
    watcher, path = Watcher(folder, load(folder)), folder / "rules" / "power.yaml"
    save(path, path.read_text().replace("joint-bad: 60", "joint-bad: 65"))
    book = watcher.poll()
    assert isinstance(book, Rulebook) and book.rules["dark-lamp-is-no-current"].seen_in["joint-bad"] == 65
    assert watcher.poll() is None


def test_a_broken_file_gives_its_complaints_once_and_then_waits(tmp_path):
    """Until the file is mended; then the new rulebook comes."""
    folder = folder_with(tmp_path)
    watcher, path = Watcher(folder, load(folder)), folder / "rules" / "power.yaml"
    good = path.read_text()
    save(path, good.replace("joint-bad: 60", "joint-bad: 600"))
    told = watcher.poll()
    assert isinstance(told, list) and isinstance(told[0], Problem) and told[0].file.endswith("rules/power.yaml")
    assert watcher.poll() is None
    save(path, good.replace("joint-bad: 60", "joint-bad: 61"))
    assert isinstance(watcher.poll(), Rulebook)


def test_files_added_and_taken_away_count_and_cases_do_not(tmp_path):
    """A new file is read, a removed one is missed; the cases beside the rules are no part of the rulebook."""
    folder = folder_with(tmp_path)
    watcher = Watcher(folder, load(folder))
    (folder / "rules" / "power.cases.yaml").unlink()
    assert watcher.poll() is None
    (folder / "more.yaml").write_text("parts:\n  bell: {plain: a bell}\n")
    book = watcher.poll()
    assert isinstance(book, Rulebook) and "bell" in book.parts
    (folder / "more.yaml").unlink()
    book = watcher.poll()
    assert isinstance(book, Rulebook) and "bell" not in book.parts


def test_a_file_saved_unchanged_is_no_news(tmp_path):
    """Only its date is new."""
    folder = folder_with(tmp_path)
    watcher = Watcher(folder, load(folder))
    path = folder / "machine.yaml"
    save(path, path.read_text())
    assert watcher.poll() is None


def test_a_folder_that_goes_away_is_complained_of(tmp_path):
    """The old rulebook stays in force; the chat says why."""
    folder = folder_with(tmp_path)
    watcher = Watcher(folder, load(folder))
    folder.rename(tmp_path / "elsewhere")
    told = watcher.poll()
    assert isinstance(told, list) and told[0].code == "folder-missing"
