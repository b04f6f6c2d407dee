"""How files are written: whole or not at all, several that belong together at once, and a full disk is a sentence.

What is to stand in a folder is first written into a folder of its own inside it and brought to the disk; then its
manifest makes it valid; then the files before move out and the new ones in. Whatever is killed on the way leaves the
old files, or a valid set that the next run here puts in place first. See docs/files.md.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import shutil
import stat
import time
from collections.abc import Iterable, Mapping
from pathlib import Path

from gristwright.basics import Address, Problem, Refused
from gristwright.scratch import holding

ASIDE = ".gristwright-aside-"
# The list of a valid set; under the second name it says that the set goes back, for it could not be put in place.
MANIFEST, GOING_BACK = "manifest.json", "back.json"
NEW, BEFORE = "new", "before"
# How long another run that writes into the same folder is waited for [s].
PATIENCE_S = 10.0
# Where folders cannot be locked, what is younger may belong to a living run [s].
SETTLED_S = 3600.0
NAME_ANOTHER = "Name another folder."
# What a system says when it will not write -> what is wrong, and the way out.
REASONS = {
    errno.ENOSPC: ("there is no room left on its disk.", "Make room there, or name another folder."),
    errno.EDQUOT: ("your share of its disk is used up.", "Make room there, or name another folder."),
    errno.EFBIG: ("it would grow larger than files may be there.", NAME_ANOTHER),
    errno.EROFS: ("its disk can only be read.", NAME_ANOTHER),
    errno.EACCES: ("you may not write there.", NAME_ANOTHER),
    errno.EPERM: ("you may not write there.", NAME_ANOTHER),
    errno.ENAMETOOLONG: ("its name is too long for the disk.", "Name a shorter one."),
    errno.ENOTDIR: ("a part of its path is a file and no folder.", NAME_ANOTHER),
    errno.EISDIR: ("it is a folder.", "Name a file."),
    errno.EEXIST: ("a file of that name stands there.", NAME_ANOTHER),
    errno.ELOOP: ("its links lead in a circle.", NAME_ANOTHER),
    errno.EIO: ("its disk does not answer as it should.", NAME_ANOTHER),
}


def unwritable(path: Path, error: OSError | ValueError, what: str = "cannot be written: ") -> Refused:
    """A refusal that says why a file or folder cannot be written, and the way out."""
    code = error.errno if isinstance(error, OSError) else None
    reason, way_out = REASONS.get(code or 0, (f"{getattr(error, 'strerror', None) or error}.", NAME_ANOTHER))
    return Refused([Problem(Address(str(path)), f"{what}{reason}", way_out)])


def write_file(path: Path, content: bytes, private: bool = False) -> None:
    """One file, whole or not at all; `private` for its owner alone. Raises Refused when it cannot be written."""
    write_set(path.parent, {path.name: content}, private)


def write_set(folder: Path, contents: Mapping[str, bytes], private: bool = False) -> tuple[Path, ...]:
    """Files of one folder, by name: all in place together, or the folder is as it was. Raises Refused."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        where = folder.resolve()
        with holding(where, PATIENCE_S) as alone:
            tidy(where, alone)
            _refuse_odd_targets(folder, contents)
            _put(where, contents, private)
    except TimeoutError:
        what = "is being written to by another run."
        raise Refused([Problem(Address(str(folder)), what, f"Wait for it, or {NAME_ANOTHER.lower()}")]) from None
    except (OSError, ValueError) as error:
        what = "cannot be written: " if len(contents) == 1 else f"{' and '.join(contents)} cannot be written there: "
        raise unwritable(folder / next(iter(contents)) if len(contents) == 1 else folder, error, what) from error
    return tuple(folder / name for name in contents)


def tidy(folder: Path, alone: bool = True) -> None:
    """What a killed run left in a folder: a valid set is put in place, any other is taken away.

    `alone` says that no living run can have left it. Raises OSError.
    """
    for aside in sorted(folder.glob(f"{ASIDE}*")):
        told = aside.lstat()
        ours = stat.S_ISDIR(told.st_mode) and (not hasattr(os, "getuid") or told.st_uid == os.getuid())
        if not ours or (not alone and time.time() - told.st_mtime < SETTLED_S):
            continue
        if (aside / MANIFEST).is_file():
            _in_place(folder, aside, _listed(aside / MANIFEST))
        if (aside / GOING_BACK).is_file():
            _back(folder, aside, _listed(aside / GOING_BACK))
        shutil.rmtree(aside)


def refuse_same_file(outputs: Iterable[Path], inputs: Iterable[Path]) -> None:
    """Raise Refused for an output that is one of the files that were read."""
    read = [path for path in inputs if path.is_file()]
    same = [out for out in outputs for path in read if out.exists() and out.samefile(path)]
    if same:
        what = "is read by this command and would be written over."
        raise Refused([Problem(Address(str(path)), what, "Name another file.") for path in dict.fromkeys(same)])


def _refuse_odd_targets(folder: Path, names: Iterable[str]) -> None:
    """A folder, link, pipe or device of that name is none that a file may take the place of."""
    problems = []
    for name in names:
        path = folder / name
        with contextlib.suppress(FileNotFoundError):
            if what := _odd(path, path.lstat().st_mode):
                problems.append(Problem(Address(str(path)), f"cannot be written: {what}", "Name another one."))
    if problems:
        raise Refused(problems)


def _odd(path: Path, mode: int) -> str:
    """Why nothing may take the place of what stands there; nothing for a file like others."""
    if stat.S_ISREG(mode):
        return "" if os.access(path, os.W_OK) else "the file there may not be changed."
    if stat.S_ISDIR(mode):
        return "it is a folder."
    if stat.S_ISLNK(mode):
        return f"it is a link to {os.readlink(path)}."
    return "it is a pipe or a device and no file."


def _put(folder: Path, contents: Mapping[str, bytes], private: bool) -> None:
    """Aside, valid, in place: until the manifest stands nothing has happened, and from then on it can be finished."""
    aside = folder / f"{ASIDE}{os.getpid()}-{time.monotonic_ns():x}"
    aside.mkdir(mode=0o700)
    try:
        for part in (NEW, BEFORE):
            (aside / part).mkdir()
        for name, content in contents.items():
            _write(aside / NEW / name, content, _mode(folder / name, private))
        _to_disk(aside / NEW)
        _write(aside / f"{MANIFEST}.new", json.dumps(list(contents), allow_nan=False).encode(), None)
        os.replace(aside / f"{MANIFEST}.new", aside / MANIFEST)
        _to_disk(aside)
    except BaseException:
        shutil.rmtree(aside, ignore_errors=True)
        raise
    try:
        _in_place(folder, aside, list(contents))
    except OSError:
        # Where this cannot be done either, everything stays aside: the next run finishes what is valid.
        os.replace(aside / MANIFEST, aside / GOING_BACK)
        _back(folder, aside, contents)
        shutil.rmtree(aside, ignore_errors=True)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _write(path: Path, content: bytes, mode: int | None) -> None:
    with path.open("xb") as file:
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(file.fileno(), mode)
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _mode(target: Path, private: bool) -> int | None:
    """Who may read it: its owner alone, or whoever might before; None as this system makes files."""
    if private:
        return 0o600
    return stat.S_IMODE(target.stat().st_mode) if target.exists() else None


def _listed(manifest: Path) -> list[str]:
    """The names that a manifest says belong together; a damaged one says none."""
    try:
        names = json.loads(manifest.read_bytes())
    except ValueError:
        return []
    return [name for name in names if isinstance(name, str) and name == Path(name).name]


def _in_place(folder: Path, aside: Path, names: Iterable[str]) -> None:
    """Old files out, then new ones in, as far as that is not done: at no moment do old and new stand side by side."""
    waiting = [name for name in names if (aside / NEW / name).exists()]
    for name in waiting:
        if (folder / name).exists() and not (aside / BEFORE / name).exists():
            os.replace(folder / name, aside / BEFORE / name)
    for name in waiting:
        os.replace(aside / NEW / name, folder / name)
    _to_disk(folder)


def _back(folder: Path, aside: Path, names: Iterable[str]) -> None:
    """As it was, as far as it is not yet: new files that are in place go out, old ones come back."""
    for name in names:
        if (folder / name).exists() and not (aside / NEW / name).exists():
            os.replace(folder / name, aside / NEW / name)
        if (aside / BEFORE / name).exists():
            os.replace(aside / BEFORE / name, folder / name)
    _to_disk(folder)


def _to_disk(folder: Path) -> None:
    """Names of a folder brought to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
