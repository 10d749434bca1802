"""One writer for each log: a lock that the system drops by itself when the program dies, however it dies."""

from __future__ import annotations

import os

_FAR = 1 << 30  # Windows locks bytes, not files: one far past any log's end, so that reading stays free

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]


def hold(handle: int) -> bool | None:
    """Take the lock of an open file without waiting.

    True: it is ours until the file is closed. False: another chat holds it. None: this place knows no locks
    (some network folders), so nobody can tell.
    """
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        else:
            import msvcrt

            where = os.lseek(handle, 0, os.SEEK_CUR)
            os.lseek(handle, _FAR, os.SEEK_SET)
            try:
                msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
            finally:
                os.lseek(handle, where, os.SEEK_SET)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return None
    return True


def to_disk(handle: int) -> None:
    """Wait until what was written lies on the disk itself. Raises OSError when it does not get there."""
    if fcntl is not None and hasattr(fcntl, "F_FULLFSYNC"):  # macOS: fsync alone stops at the drive's own memory
        try:
            fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
            return
        except OSError:
            pass  # not on every file system; the plain call is next
    os.fsync(handle)


def folder_to_disk(folder: str) -> None:
    """Make a new file's name as lasting as its content. Where a folder cannot be opened so, nothing is to be done."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
