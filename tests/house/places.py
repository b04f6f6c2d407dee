"""Where the tests of the house look: the files of the repository, without what tools leave behind."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "gristwright"
DOCS = ROOT / "docs"
EXAMPLES = ROOT / "examples"
LEFT_BEHIND = {"build", "out", "__pycache__"}


def kept(path: Path) -> bool:
    """Whether a folder or file belongs to the repository and not to a tool."""
    hidden = path.name.startswith(".") and path.name not in (".ci", ".gitignore")
    return not hidden and path.name not in LEFT_BEHIND and not path.name.endswith(".egg-info")


def files(folder: Path = ROOT) -> Iterator[Path]:
    """Every file below a folder that belongs to the repository."""
    for path in sorted(folder.iterdir()):
        if not kept(path):
            continue
        if path.is_dir():
            yield from files(path)
        else:
            yield path


def text_of(path: Path) -> str | None:
    """The file as text, None when it is a picture or a font."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None


def sources() -> list[Path]:
    """Every Python file of the package."""
    return [path for path in files(PACKAGE) if path.suffix == ".py"]


def pages() -> list[Path]:
    """The pages people read: docs, the README files, how to contribute, what is promised."""
    tops = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "SECURITY.md"]
    return [path for path in [*files(DOCS), *files(EXAMPLES), *tops] if path.suffix == ".md"]
