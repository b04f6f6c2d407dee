"""What importing a floor loads: the library stays light, the command line starts quickly."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from house.places import sources

HEAVY = (
    "click",
    "typst",
    "vl_convert",
    "jinja2",
    "django",
    "pandas",
    "statsmodels",
    "sklearn",
    "scipy.optimize",
    "scipy.stats",
)


def loaded(module: str, names: tuple[str, ...]) -> str:
    """Which of the names a fresh interpreter has loaded after importing a module."""
    code = f"import sys, {module}; print([n for n in {names!r} if n in sys.modules])"
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip()


def test_the_library_loads_nothing_of_the_edges() -> None:
    assert loaded("gristwright.casework", HEAVY) == "[]"


@pytest.mark.parametrize("module", ["gristwright.cli.main", "gristwright"])
def test_the_command_line_starts_without_numbers(module: str) -> None:
    assert loaded(module, ("numpy", "scipy", "typst", "vl_convert", "gristwright.casework")) == "[]"


def test_nothing_of_the_library_turns_the_output_of_its_process_aside() -> None:
    """A notebook, a server and a pipe share it: what is written there is the user's. A command has its own."""
    turned = re.compile(r"\bdup2?\(|\bredirect_std|\bsys\.std(?:out|err)\s*=")
    assert [path.name for path in sources() if turned.search(path.read_text(encoding="utf-8"))] == ["streams.py"]
