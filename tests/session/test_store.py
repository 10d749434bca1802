"""The folder of conversations: numbers, list, export, delete, and no way out of it."""

import os

import pytest

from assistant.session.events import VERSION, Event
from assistant.session.log import LogError
from assistant.session.store import VARIABLE, Store, data_folder, summary_line


def talk(store, *texts, at="2025-01-02T03:04:05Z"):
    """A closed conversation; returns its name."""
    name, log = store.create()
    for text in texts:
        log.append(Event("said", {"text": text}, at))
    log.close()
    return name


def test_numbers_go_up_and_are_never_taken_twice(tmp_path):
    """Two open chats get two numbers; a deleted one in the middle is not reused."""
    store = Store(tmp_path)
    one, first = store.create()
    two, second = store.create()
    assert (one, two) == ("1", "2")
    first.close()
    second.close()
    store.delete("1")
    assert talk(store, "x") == "3"


def test_the_last_one_is_the_last_used_whatever_the_clock_says(tmp_path):
    """'resume' without a name follows use, not file times."""
    store = Store(tmp_path)
    talk(store, "a")
    talk(store, "b")
    os.utime(store.find("2")[0], (4e9, 4e9))
    _, log, _ = store.open("1")
    log.close()
    assert store.open("")[0] == "1"


def test_the_last_one_without_its_note(tmp_path):
    """A missing or foolish note falls back to the highest number."""
    store = Store(tmp_path)
    talk(store, "a")
    talk(store, "b")
    for note in ("77", "../../x", "\x00"):
        (store.folder / "last").write_text(note)
        assert store.last() == "2"
    (store.folder / "last").unlink()
    assert store.last() == "2"


@pytest.mark.parametrize("name", ["../1", "..", "/etc/passwd", "1/../1", "conversation-0001.jsonl/../../x", "C:\\1", "1\n", "~", "-1", "1e0", "٣", "x" * 5000, "1\0"])
def test_no_name_leaves_the_folder(tmp_path, name):
    """Whatever is typed as a name, it is one of ours or nothing."""
    store = Store(tmp_path)
    talk(store, "a")
    (tmp_path / "1").write_text("outside")
    if name.strip() == "1":
        assert store.find(name)[0].parent == store.folder
        return
    for act in (store.open, store.delete, lambda n: store.export(n, str(tmp_path / "out"))):
        with pytest.raises(LogError) as caught:
            act(name)
        assert "\n" not in str(caught.value).replace(name, "")
    assert (tmp_path / "1").read_text() == "outside" and not (tmp_path / "out").exists()


def test_links_in_the_folder_are_not_ours(tmp_path):
    """A link that points outside is not listed, opened or deleted."""
    store = Store(tmp_path / "data")
    talk(store, "a")
    outside = tmp_path / "outside"
    outside.write_text("mine")
    (store.folder / "conversation-0002.jsonl").symlink_to(outside)
    assert store.names() == ["1"]
    with pytest.raises(LogError):
        store.delete("2")
    assert outside.read_text() == "mine"


def test_export_copies_and_never_overwrites(tmp_path):
    """The copy is the same to the byte; an existing file is left alone; a folder gets the file's own name."""
    store = Store(tmp_path / "data")
    talk(store, "a")
    store.export("1", str(tmp_path / "copy"))
    assert (tmp_path / "copy").read_bytes() == store.find("1")[0].read_bytes()
    with pytest.raises(LogError, match="exists"):
        store.export("1", str(tmp_path / "copy"))
    store.export("1", str(tmp_path))
    assert (tmp_path / "conversation-0001.jsonl").exists()
    with pytest.raises(LogError):
        store.export("1", str(tmp_path / "no" / "such" / "place"))
    for odd in ("a\0b", "~nobody-of-that-name/x"):
        with pytest.raises(LogError):
            store.export("1", odd)


def test_delete_spares_an_open_conversation(tmp_path):
    """What is open in another chat is not deleted under it."""
    store = Store(tmp_path)
    _, log = store.create()
    with pytest.raises(LogError, match="another chat"):
        store.delete("1")
    log.close()
    store.delete("1")
    assert store.names() == []


def test_the_list_is_one_line_each(tmp_path):
    """Newest first, with count and first words on one line; an unreadable one is listed too."""
    store = Store(tmp_path)
    talk(store, "it will\nnot start at all, and this goes on for quite a while, longer than any line", "second")
    talk(store)
    name = talk(store, "x")
    store.find(name)[0].write_text(f'{{"v":{VERSION + 1},"kind":"said"}}\n')
    lines = [summary_line(s, 80) for s in store.past()]
    assert len(lines) == 3 and not any("\n" in line for line in lines)
    assert "newer" in lines[0] and "nothing said" in lines[1] and "2 said" in lines[2] and len(lines[2]) <= 80


def test_where_the_folder_is(tmp_path, monkeypatch):
    """The parameter beats the variable, which beats the system's own place."""
    monkeypatch.setenv(VARIABLE, str(tmp_path / "env"))
    assert data_folder(str(tmp_path / "own")) == tmp_path / "own"
    assert data_folder() == tmp_path / "env"
    monkeypatch.delenv(VARIABLE)
    assert "tickover" in str(data_folder()).lower()


def test_an_empty_or_missing_folder_is_no_trouble(tmp_path):
    """Nothing there yet: an empty list, and a plain line for a resume."""
    store = Store(tmp_path / "not-yet")
    assert store.past() == []
    with pytest.raises(LogError, match="no earlier"):
        store.open("")


@pytest.mark.skipif(os.name == "nt", reason="other rights there")
def test_only_the_owner_can_read(tmp_path):
    """Stories are private: no rights for others on the file or its folder."""
    store = Store(tmp_path / "data")
    talk(store, "a")
    assert store.find("1")[0].stat().st_mode & 0o077 == 0
    assert store.folder.stat().st_mode & 0o077 == 0
