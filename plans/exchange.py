"""Put a finished folder in another's place in one step, so that no reader ever sees a mixture."""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

if sys.platform != "win32":  # Windows has no such locks; leftovers of a killed run stay there
    import fcntl

AT_FDCWD = -100
RENAME_EXCHANGE = 2  # Linux, renameat2(2)
RENAME_SWAP = 2  # macOS, renamex_np(2)


@contextlib.contextmanager
def staging(target: Path) -> Iterator[Path]:
    """A new folder beside `target`, on the same disk, held by a lock and gone afterwards.

    Leftovers of runs that were killed are swept first, and a target that was moved aside is brought back. Errors:
    OSError.
    """
    recover(target)
    made = Path(tempfile.mkdtemp(prefix=_prefix(target, "new"), dir=target.parent))
    try:
        with _held(made):
            yield made
    finally:
        shutil.rmtree(made, ignore_errors=True)
        with contextlib.suppress(OSError):
            recover(target)


def put_in_place(staged: Path, target: Path) -> Path | None:
    """Make `staged` the new `target`. Returns where the old one lies now, None if there was none. Errors: OSError."""
    _sync_folder(staged)
    if _renamed(staged, target):
        displaced = None
    elif exchange(staged, target):
        displaced = staged
    else:
        displaced = _two_renames(staged, target)
    _sync_folder(target.parent)
    return displaced


def exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step; False where the system or the disk has no such call. Errors: OSError."""
    if os.name != "posix":
        return False
    library = ctypes.CDLL(None, use_errno=True)
    if hasattr(library, "renameat2"):
        done = library.renameat2(AT_FDCWD, os.fsencode(one), AT_FDCWD, os.fsencode(other), RENAME_EXCHANGE)
    elif sys.platform == "darwin" and hasattr(library, "renamex_np"):
        done = library.renamex_np(os.fsencode(one), os.fsencode(other), RENAME_SWAP)
    else:
        return False
    if done == 0:
        return True
    number = ctypes.get_errno()
    if number in {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}:
        return False
    raise OSError(number, os.strerror(number), str(other))


def put_back(displaced: Path, target: Path) -> None:
    """Undo `put_in_place`: what it displaced is the target again, what it had put there is gone. Errors: OSError."""
    if exchange(displaced, target):
        shutil.rmtree(displaced, ignore_errors=True)
        return
    spare = Path(tempfile.mkdtemp(prefix=_prefix(target, "new"), dir=target.parent))
    spare.rmdir()
    target.rename(spare)
    displaced.rename(target)  # if this fails, `recover` brings it back: nothing lies at the target then
    shutil.rmtree(spare, ignore_errors=True)


def recover(target: Path) -> None:
    """Bring back a target that a killed run had moved aside, and sweep what such runs left. Errors: OSError."""
    for aside in sorted(target.parent.glob(_literal(_prefix(target, "old")) + "*")):
        if target.exists():
            shutil.rmtree(aside, ignore_errors=True)
        else:
            aside.rename(target)
    for left in target.parent.glob(_literal(_prefix(target, "new")) + "*"):
        if _abandoned(left):
            shutil.rmtree(left, ignore_errors=True)


def write_synced(path: Path, content: bytes) -> None:
    """Write a file and see it on the disk. Errors: OSError."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _renamed(staged: Path, target: Path) -> bool:
    """Rename where nothing lies yet; False where something does, or came there meanwhile."""
    if target.exists():
        return False
    try:
        staged.rename(target)
    except OSError:
        if target.exists():
            return False
        raise
    return True


def _two_renames(staged: Path, target: Path) -> Path:
    aside = Path(tempfile.mkdtemp(prefix=_prefix(target, "old"), dir=target.parent))
    aside.rmdir()
    target.rename(aside)
    try:
        staged.rename(target)
    except OSError:
        aside.rename(target)
        raise
    return aside


@contextlib.contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Hold the folder's lock: it falls with the process, however that ends."""
    if sys.platform == "win32":
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # a disk without locks
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(handle)


def _abandoned(folder: Path) -> bool:
    if sys.platform == "win32":
        return False
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    finally:
        os.close(handle)
    return True


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _prefix(target: Path, age: str) -> str:
    return f".{target.name}.scantling-{age}-"


def _literal(text: str) -> str:
    return "".join(f"[{char}]" if char in "*?[" else char for char in text)
