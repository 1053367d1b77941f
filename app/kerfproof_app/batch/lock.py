"""One batch at a time for an output folder: a lock of the system's, which ends with the process however it ends.

The file holds the process id for the sentence that others get; it is the lock that counts, not the file. So a run
that was killed leaves nothing to clear away.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import store

NAME = ".kerfproof-batch.lock"
_FAR = 1 << 20
"""The byte that is locked where locks are by byte, so that the process id before it can be read."""

if sys.platform == "win32":
    import msvcrt

    def _try(handle: int) -> None:
        os.lseek(handle, _FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _try(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


@contextlib.contextmanager
def locked(out: Path) -> Iterator[None]:
    """Keep other batches from writing to `out` meanwhile; where the disk knows no locks, go on without one.

    Raises
    ------
    KerfproofError
        If another batch is at it, or the lock file can't be made.
    """
    file = out / NAME
    handle = _taken(file)
    try:
        yield
    finally:
        if os.name != "nt":  # while it is held, so that nobody takes a file that is just going away
            _remove(file)
        os.close(handle)
        if os.name == "nt":  # an open file can't be removed there
            _remove(file)


def _taken(file: Path) -> int:
    """Return the handle of the lock file, locked as far as the disk knows locks."""
    while True:
        try:
            handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o666)
        except OSError as error:
            raise KerfproofError(f"can't be written: {store.reason_of(error)}", where=str(file)) from None
        try:
            _try(handle)
        except (BlockingIOError, PermissionError):
            os.close(handle)
            raise _busy(file) from None
        except OSError:  # some disks of a network know no locks
            return handle
        if os.name == "nt" or _is(file, handle):
            with contextlib.suppress(OSError):  # a full disk: others are told without the number
                os.lseek(handle, 0, os.SEEK_SET)
                os.write(handle, f"{os.getpid():<20}\n".encode("ascii"))  # as long as whatever stood there
            return handle
        os.close(handle)  # its holder took it away between our opening and locking it


def _is(file: Path, handle: int) -> bool:
    try:
        return os.path.samestat(file.stat(), os.fstat(handle))
    except OSError:
        return False


def _busy(file: Path) -> KerfproofError:
    try:
        holder = f" (process {int(file.read_text(encoding='ascii'))})"
    except (OSError, ValueError):
        holder = ""
    return KerfproofError(
        f"another batch is writing to this folder{holder}",
        where=str(file.parent),
        advice="wait for its end, or name another folder",
    )


def _remove(file: Path) -> None:
    with contextlib.suppress(OSError):
        file.unlink()
