"""The keeper: whatever the disk does, all that was said is somewhere, and one line says where."""

import errno

from assistant.session import log as log_module
from assistant.session.events import Event
from assistant.session.keeper import Keeper, now
from assistant.session.log import read
from assistant.session.store import Store


def said(text, at="2025-01-02T03:04:05Z"):
    """A message event."""
    return Event("said", {"text": text}, at)


def texts(path):
    """The messages in a log file."""
    return [e.data["text"] for e in read(path).events if e.kind == "said"]


def broken_store(tmp_path, name="file"):
    """A store whose folder can never be made: a file is in its place. Holds for every user, root too."""
    (tmp_path / name).write_text("in the way")
    return Store(tmp_path / name)


def full(monkeypatch, is_full):
    """The disk is full while is_full() says so."""
    real = log_module.os.write

    def write(handle, data):
        if is_full():
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(handle, data)

    monkeypatch.setattr(log_module.os, "write", write)


def test_nothing_on_the_disk_before_something_is_said(tmp_path):
    """Opening the chat and leaving it makes no file and no folder."""
    keeper = Keeper(Store(tmp_path / "data"))
    keeper.close()
    assert not (tmp_path / "data").exists()


def test_kept_before_it_returns(tmp_path):
    """After the call the event is in the file."""
    keeper = Keeper(Store(tmp_path))
    keeper(said("one"))
    assert texts(keeper.path) == ["one"]
    assert keeper.remarks == []
    keeper.close()


def test_a_folder_that_cannot_be_written(tmp_path):
    """The conversation is kept in another place, and one line says so."""
    keeper = Keeper(broken_store(tmp_path), lambda: Store(tmp_path / "other"))
    keeper(said("one"))
    keeper(said("two"))
    assert texts(keeper.path) == ["one", "two"]
    assert len(keeper.remarks) == 1 and str(keeper.path) in keeper.remarks[0] and "\n" not in keeper.remarks[0]
    keeper.close()


def test_full_in_the_middle_moves_everything(tmp_path, monkeypatch):
    """When the disk fills up, the other place gets all that was said, not only the rest."""
    keeper = Keeper(Store(tmp_path / "data"), lambda: Store(tmp_path / "other"))
    keeper(said("one"))
    first = keeper.path
    tries = iter([True])
    full(monkeypatch, lambda: next(tries, False))
    keeper(said("two"))
    keeper(said("three"))
    assert keeper.moved and texts(keeper.path) == ["one", "two", "three"]
    assert texts(first) == ["one"]
    keeper.close()


def test_full_everywhere_then_room_again(tmp_path, monkeypatch):
    """With no place at all, words wait in memory and are written in order when there is room; two lines tell of it."""
    state = {"full": False}
    keeper = Keeper(Store(tmp_path / "data"), lambda: broken_store(tmp_path))
    full(monkeypatch, lambda: state["full"])
    keeper(said("one"))
    state["full"] = True
    keeper(said("two"))
    keeper(said("three"))
    assert [e.data["text"] for e in keeper.unsaved] == ["two", "three"]
    state["full"] = False
    keeper(said("four"))
    assert texts(keeper.path) == ["one", "two", "three", "four"]
    assert len(keeper.remarks) == 2 and not keeper.unsaved
    keeper.close()


def test_a_last_try_at_the_end(tmp_path, monkeypatch):
    """What still waits in memory is tried once more on closing."""
    state = {"full": False}
    keeper = Keeper(Store(tmp_path / "data"), lambda: broken_store(tmp_path))
    full(monkeypatch, lambda: state["full"])
    keeper(said("one"))
    state["full"] = True
    keeper(said("two"))
    state["full"] = False
    path = keeper.path
    keeper.close()
    assert texts(path) == ["one", "two"] and not keeper.unsaved


def test_full_from_the_start_leaves_no_empty_file(tmp_path, monkeypatch):
    """A log that nothing could be written to is taken away again when another place serves."""
    tries = iter([True])
    full(monkeypatch, lambda: next(tries, False))
    store = Store(tmp_path / "data")
    keeper = Keeper(store, lambda: Store(tmp_path / "other"))
    keeper(said("one"))
    keeper.close()
    assert store.names() == [] and texts(keeper.store.find("1")[0]) == ["one"]


def test_a_clock_that_went_back_is_told_once(tmp_path):
    """The order of the lines stands, one line says that times may be wrong; a clock that goes on is no matter."""
    keeper = Keeper(Store(tmp_path))
    for at in ("2025-01-02T03:00:00Z", "2026-01-02T03:00:00Z", "2026-01-02T02:59:00Z"):
        keeper(said("a", at))
    assert keeper.remarks == []
    keeper(said("b", "2025-06-01T00:00:00Z"))
    keeper(said("c", "2025-05-01T00:00:00Z"))
    assert len(keeper.remarks) == 1 and "clock" in keeper.remarks[0]
    keeper.close()
    later = Keeper(Store(tmp_path))
    later.resume("1")
    later(said("d", "2025-05-01T00:00:00Z"))
    assert len(later.remarks) == 1 and texts(later.path) == ["a", "a", "a", "b", "c", "d"]
    later.close()


def test_resume_after_a_tear_goes_on(tmp_path):
    """A torn last line is told once, marked in the log, and the conversation grows on."""
    keeper = Keeper(Store(tmp_path))
    keeper(said("one"))
    keeper(said("two"))
    path = keeper.path
    keeper.close()
    path.write_bytes(path.read_bytes()[:-4])
    again = Keeper(Store(tmp_path))
    assert [e.data["text"] for e in again.resume("").events] == ["one"]
    again(said("three", now()))
    again.close()
    assert len(again.remarks) == 1 and texts(path) == ["one", "three"]
    third = Keeper(Store(tmp_path))
    third.resume("1")
    assert third.remarks == []
    third.close()
