"""What is no file is refused before it is opened, by every reader, and no more is read than may be."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from files.odd_values import READS
from gristwright.basics import Refused
from gristwright.files import opened
from gristwright.files.opened import read_bytes
from gristwright.files.provenance import fingerprints
from house.places import PACKAGE, sources


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(path.name)


def _ring(path: Path) -> None:
    path.symlink_to(path.name)


def _to(target: str) -> Callable[[Path], None]:
    return lambda path: path.symlink_to(target)


NO_FILES: dict[str, tuple[Callable[[Path], None], str]] = {
    "a pipe": (_pipe, "is a pipe, not a file"),
    "a socket": (_socket, "is a socket, not a file"),
    "a link to itself": (_ring, "is a link that leads back to itself"),
    "a link to nothing": (_to("nowhere.toml"), "is a link to nowhere.toml, which is not there"),
    "a link to zeros without end": (_to("/dev/zero"), "is a device, not a file"),
    "a link to a full device": (_to("/dev/full"), "is a device, not a file"),
    "a folder": (Path.mkdir, "is a folder"),
    "below a file": (lambda path: path.write_text("x"), "lies below a file"),
}


@pytest.mark.parametrize("name", READS)
@pytest.mark.parametrize(("make", "said"), NO_FILES.values(), ids=NO_FILES)
def test_what_is_no_file_is_refused_by_every_reader(
    name: str, make: Callable[[Path], None], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    path = Path("bill.toml" if name == "plant.toml" else name)
    make(path)
    if "below" in said:
        path = path / path.name
    with pytest.raises(Refused, match=said):
        READS[path.name](path).accepted()


@pytest.mark.parametrize("name", ["a\0b.toml", "a" * 300 + ".toml"])
def test_a_name_that_no_file_can_have_is_a_sentence(name: str, tmp_path: Path) -> None:
    with pytest.raises(Refused):
        read_bytes(tmp_path / name, "bill file")


def test_a_pipe_that_took_the_place_of_a_file_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo(tmp_path / "bill.toml")
    ordinary = (PACKAGE / "basics.py").stat()
    monkeypatch.setattr(opened.os, "stat", lambda path: ordinary)
    with pytest.raises(Refused, match="is a pipe, not a file"):
        read_bytes(tmp_path / "bill.toml", "bill file")


def test_no_more_is_read_than_may_be_whatever_the_system_says_of_the_size(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bill.toml"
    path.write_bytes(b"#" * 1_000)
    assert len(read_bytes(path, "bill file", 1_000)) == 1_000
    with pytest.raises(Refused, match=r"is larger than 0 MB\. Cut it"):
        read_bytes(path, "bill file", 999, "Cut it.")


def test_a_fingerprint_is_taken_of_files_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "lots.csv")
    with pytest.raises(Refused, match="is a pipe"):
        fingerprints([tmp_path / "lots.csv"])


def test_readers_open_nothing_by_themselves() -> None:
    own = ("opened.py", "writing.py", "data_folder.py", "workbook_child.py", "workbook.py")
    for path in sources():
        if path.is_relative_to(PACKAGE / "files") and path.name not in own:
            text = path.read_text(encoding="utf-8")
            assert not any(word in text for word in (".read_text(", '.open("', "path.read_bytes(", " open(")), path
