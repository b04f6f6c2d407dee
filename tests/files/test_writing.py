"""Files that belong together are old together or new together, wherever the writing is cut off."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gristwright.basics import Refused
from gristwright.files import writing
from gristwright.files.writing import REASONS, refuse_same_file, tidy, write_file, write_set
from gristwright.scratch import holding

OLD = {"a.pdf": b"old a", "b.json": b"old b", "c.html": b"old c"}
NEW = {"a.pdf": b"new a", "b.json": b"new b", "c.html": b"new c"}
CUT = 9


def standing(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if not path.name.startswith(".")}


def cut_off_at(step: int, folder: Path) -> bool:
    """Whether a run that ends without a word at its n-th step on the disk got that far."""
    child = os.fork()
    if child == 0:
        left = iter(range(step))

        def until_cut(what: Callable[..., Any]) -> Callable[..., Any]:
            def done(*given: Any, **named: Any) -> Any:
                if next(left, None) is None:
                    os._exit(CUT)
                return what(*given, **named)

            return done

        for module, name in ((os, "replace"), (os, "fsync"), (os, "mkdir"), (os, "rmdir"), (os, "unlink")):
            setattr(module, name, until_cut(getattr(module, name)))
        write_set(folder, NEW)
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == CUT


def test_wherever_a_run_is_cut_off_the_next_one_finds_all_old_or_all_new(tmp_path: Path) -> None:
    ends = []
    for step in range(100):
        folder = tmp_path / str(step)
        write_set(folder, OLD)
        (folder / "own.txt").write_bytes(b"the user's")
        cut = cut_off_at(step, folder)
        seen = {name: content for name, content in standing(folder).items() if name != "own.txt"}
        # Never beside each other, not even before the next run.
        assert seen.items() <= OLD.items() or seen.items() <= NEW.items()
        tidy(folder)
        assert standing(folder) in ({**OLD, "own.txt": b"the user's"}, {**NEW, "own.txt": b"the user's"})
        assert sorted(path.name for path in folder.iterdir()) == sorted([*OLD, "own.txt"])
        ends.append(standing(folder)["a.pdf"])
        if not cut:
            break
    assert ends[0] == OLD["a.pdf"]
    assert ends[-1] == NEW["a.pdf"]
    assert len(ends) > 10


def failing(monkeypatch: pytest.MonkeyPatch, code: int) -> None:
    def full(*_: object) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", full)


@pytest.mark.parametrize("code", REASONS)
def test_a_disk_that_will_not_is_a_sentence_and_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    write_set(tmp_path, OLD)
    failing(monkeypatch, code)
    with pytest.raises(Refused) as refused:
        write_set(tmp_path, NEW)
    (problem,) = refused.value.problems
    assert problem.sentence().startswith(f"{tmp_path}: a.pdf and b.json and c.html cannot be written there: ")
    assert REASONS[code][0] in problem.what
    assert problem.way_out
    assert standing(tmp_path) == OLD
    assert len(list(tmp_path.iterdir())) == len(OLD)


def test_a_set_that_cannot_be_put_in_place_goes_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_set(tmp_path, OLD)
    rename = os.replace

    def until_the_last(source: Path, target: Path) -> None:
        if Path(target) == tmp_path / "c.html" and Path(source).parent.name == writing.NEW:
            raise OSError(errno.EIO, "no answer")
        rename(source, target)

    monkeypatch.setattr(os, "replace", until_the_last)
    with pytest.raises(Refused, match="does not answer"):
        write_set(tmp_path, NEW)
    assert standing(tmp_path) == OLD
    assert len(list(tmp_path.iterdir())) == len(OLD)


def test_what_is_no_file_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "target").write_bytes(b"elsewhere")
    (tmp_path / "link").symlink_to(tmp_path / "target")
    os.mkfifo(tmp_path / "pipe")
    said = {"folder": "it is a folder", "link": f"it is a link to {tmp_path / 'target'}", "pipe": "it is a pipe"}
    for name, words in said.items():
        with pytest.raises(Refused, match=words):
            write_file(tmp_path / name, b"new")
    with pytest.raises(Refused, match="it is a pipe or a device and no file"):
        write_file(Path("/dev/null"), b"new")
    assert (tmp_path / "target").read_bytes() == b"elsewhere"
    assert (tmp_path / "link").is_symlink()


def test_paths_that_cannot_be_are_sentences(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    for path, words in (
        (tmp_path / "file" / "below" / "x.pdf", "is a file and no folder"),
        (tmp_path / ("n" * 300), "too long"),
        (tmp_path / "nul\0.pdf", "null"),
    ):
        with pytest.raises(Refused, match=words):
            write_file(path, b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_who_may_read_a_file_stays(tmp_path: Path) -> None:
    write_file(tmp_path / "x", b"old")
    (tmp_path / "x").chmod(0o640)
    write_file(tmp_path / "x", b"new")
    assert (tmp_path / "x").stat().st_mode & 0o777 == 0o640
    write_file(tmp_path / "key", b"secret", private=True)
    assert (tmp_path / "key").stat().st_mode & 0o777 == 0o600


def test_an_output_that_is_read_is_refused(tmp_path: Path) -> None:
    (tmp_path / "lots.csv").write_bytes(b"lot")
    with pytest.raises(Refused, match="is read by this command and would be written over"):
        refuse_same_file([tmp_path / "." / "lots.csv"], [tmp_path / "lots.csv", tmp_path / "none.csv"])


def test_what_another_run_is_writing_is_left_to_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writing, "PATIENCE_S", 0.1)
    write_set(tmp_path, OLD)
    with holding(tmp_path, 1.0), pytest.raises(Refused, match="is being written to by another run"):
        write_set(tmp_path, NEW)
    assert standing(tmp_path) == OLD


def test_a_planted_list_moves_nothing_out_of_its_folder(tmp_path: Path) -> None:
    aside = tmp_path / "here" / f"{writing.ASIDE}1-1"
    for part in (writing.NEW, writing.BEFORE):
        (aside / part).mkdir(parents=True)
    (aside / "x").write_bytes(b"planted")
    (aside / writing.MANIFEST).write_text('["../x", "../../y", 7]')
    tidy(tmp_path / "here")
    assert [path.name for path in tmp_path.rglob("*")] == ["here"]
    shutil.rmtree(tmp_path / "here")
