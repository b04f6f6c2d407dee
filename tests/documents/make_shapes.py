"""Makes tests/documents/shapes.txt anew: `PYTHONPATH=src:tests python tests/documents/make_shapes.py`.

It holds the keys of every object in every document's JSON, in their order. Run it when a format is changed on purpose.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from casework.full import with_claim
from gristwright.cli.main import cli
from gristwright.documents.dossier import write_dossier
from gristwright.documents.recommendation import write_recommendation
from house.places import EXAMPLES
from scenario import FOLDER

SHAPES = Path(__file__).with_name("shapes.txt")
# Their keys are names of figures, enzymes, settings, the law, of what stands in a sentence or an address: one object
# stands for all.
BY_NAME = ("figures", "changes", "tonnes", "alive_pct", "at", "address", "verdicts", "terms", "order_in")
# Pictures have a form of their own; problems come and go with the day.
LEFT = ("chart", "charts", "problems")
BILL = (str(FOLDER / "bill.toml"), "--lots", str(FOLDER / "lots.csv"))
LADDER, ARMS = (str(EXAMPLES / "ageing-programme" / name) for name in ("ladder.csv", "arms.csv"))
CASKS = str(EXAMPLES / "cask-stock" / "casks.csv")
FEW = ("--members", "8")
COMMANDS: dict[str, tuple[str, ...]] = {
    "check": ("check", *BILL),
    "forecast": ("run", *BILL, *FEW),
    "mash": ("run", *BILL, *FEW, "--stage", "mash"),
    "wash": ("run", *BILL, *FEW, "--stage", "wash"),
    "variation": ("vary", *BILL, *FEW, "--over", "mash.liquor_L_per_kg=2,3.5"),
    "law": ("law", *BILL),
    "order": ("order", *BILL, *FEW),
    "comparison": ("lots", "compare", "PD-1", "PD-2", "--bill", BILL[0], *BILL[1:], *FEW),
    "certificates": ("lots", BILL[2]),
    "specification": ("specify", *BILL, *FEW),
    "claim": ("ageing", "claim", LADDER, ARMS, "--claim", "3:6-8"),
    "plan": ("ageing", "plan", "--claim", "3:6-8"),
    "statement": ("cask", "statement", CASKS, "MK-12-001", "--climate", "cool humid store", "--on", "2026-11-25"),
}

WRITING = ("specification", "statement")


def documents(folder: Path) -> Iterator[tuple[str, Any]]:
    """Name and data of every document of the invented examples."""
    made = with_claim()
    for _, path in (write_recommendation(made.recommendation, folder), write_dossier(made, folder)[1:]):
        yield path.stem, json.loads(path.read_text(encoding="utf-8"))
    for name, words in COMMANDS.items():
        done = CliRunner().invoke(cli, [*words, *(("--out", str(folder)) if name in WRITING else ()), "--json"])
        assert done.exit_code == 0, done.output
        yield name, json.loads(done.stdout)


def shape(part: Any, path: str = "", name: str = "") -> Iterator[str]:
    """A line for every object below a part: where it stands and its keys in order."""
    if isinstance(part, list):
        for one in part:
            yield from shape(one, f"{path}[]", name)
    elif isinstance(part, dict):
        by_name = name in BY_NAME and not path.endswith("]")
        yield f"{path or '.'}: {'by name' if by_name else ' '.join(part)}"
        for key, value in part.items():
            if key not in LEFT:
                yield from shape(value, f"{path}.{'*' if by_name else key}", "" if by_name else key)


def shapes() -> str:
    """The shapes of all documents."""
    with tempfile.TemporaryDirectory() as folder:
        lines = [
            line for name, data in documents(Path(folder)) for line in (f"\n# {name}", *dict.fromkeys(shape(data)))
        ]
    return "\n".join(lines).strip() + "\n"


if __name__ == "__main__":
    SHAPES.write_text(shapes(), encoding="utf-8")
