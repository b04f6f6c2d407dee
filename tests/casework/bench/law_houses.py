"""Invented houses, bills and lots as files, for what the law makes of them: inputs, never a test's truth."""

from __future__ import annotations

from pathlib import Path

from gristwright.casework.bench import LawOfBill, law_of_bill
from gristwright.files.certificates import read_lots
from gristwright.files.jobs_in import read_bill

HEAD = """format = "gristwright.plant/2"
name = "{name} (invented)"
kind = "{kind}"
country = "{country}"
tonnes_per_year = 300
[mash]
kg_per_mash = 1500
wort_L_per_t = 5200
settled_mash_degC = 64
{cook}
[washbacks]
count = 4
volume_L = 9000
hours = 72
{still}
[cask]
climate = "cool humid store"
"""
POTS = "[pot_stills]\nwash_charge_L = 4000\nspirit_charge_L = 2500"
COLUMN = "[column]\nbeer_L_per_h = 3000"
COOK = "cook_degC = 100\n[mash.cooker]"


def house(folder: Path, country: str, cask: str, column: bool = False) -> None:
    """A plant file with these lines for its cask; with a column it mashes, ferments and distils with the grain in."""
    said = {"kind": "grain-in", "cook": COOK, "still": COLUMN} if column else {
        "kind": "separated", "cook": "", "still": POTS}  # fmt: skip
    text = HEAD.format(name="Far House", country=country, **said) + cask
    (folder / "plant.toml").write_text(text, encoding="utf-8")


def bill(folder: Path, grist: dict[str, tuple[str, float, float | None]], top: str = "") -> None:
    """A bill and its lots: lot = (type, share, moisture); `top` are further lines of the bill."""
    shares = "\n".join(f"{lot} = {share}" for lot, (_, share, _) in grist.items())
    head = 'format = "gristwright.bill/2"\nname = "theirs"\ndate = 2026-11-25\n'
    (folder / "bill.toml").write_text(f"{head}{top}\n[shares]\n{shares}\n", encoding="utf-8")
    rows = [f"{lot},{kind},{'' if wet is None else wet}" for lot, (kind, _, wet) in grist.items()]
    (folder / "lots.csv").write_text("\n".join(["lot,material,moisture [%]", *rows]) + "\n", encoding="utf-8")


def judged(folder: Path, **asked: object) -> LawOfBill:
    """The law of the folder's bill."""
    sheet, lots = read_bill(folder / "bill.toml").accepted(), read_lots(folder / "lots.csv").accepted()
    return law_of_bill(sheet, lots, **asked)  # type: ignore[arg-type]
