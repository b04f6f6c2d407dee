"""The tables that lay the present bill and the offers side by side, built from their views."""

from __future__ import annotations

from collections.abc import Callable

from gristwright.documents.entries import View
from gristwright.quantities.shown import NOTHING

STRENGTH = "wash_abv_pct"
MAIN = "lpa_per_t"


def comparison(present: View, offers: list[View]) -> View:
    """Today and each offer in columns; shares, litres, cost, strength, law and the worst board in rows."""
    bills = [present, *(offer["bill"] for offer in offers)]
    rows = [_share_row(lot, what, bills) for lot, what in _lots(bills)]
    rows += _figure_row(MAIN, bills)
    for key in dict.fromkeys(key for offer in offers for key in offer["changes"]):
        unsaid = all("withheld" in offer["changes"].get(key, {}) for offer in offers)
        # Without a change to be told of, what each bill gives itself still stands there.
        rows += _figure_row(key, bills) if unsaid and key != MAIN else _change_row(key, present, offers)
    rows += _figure_row(STRENGTH, bills)
    rows.append(_row("The categories asked for", "", [bill["law_summary"] for bill in bills]))
    rows.append(
        _row("Worst board, and the chance it is not in order", "", [_worst(bill["worst_board"]) for bill in bills])
    )
    return {"columns": [bill["letter"] for bill in bills], "rows": rows}


def _row(label: str, unit: str, cells: list[View]) -> View:
    return {"label": label, "unit": unit, "cells": cells}


def _cell(text: str, under: str = "") -> View:
    return {"text": text, "under": under}


def _worst(worst: View) -> View:
    under = (worst["chance"],) if worst["light"] == "in order" else (worst["title"], worst["chance"])
    return _cell(worst["light"], ", ".join(text for text in under if text))


def _number(number: View | None) -> View:
    return _cell(number["at"], number["range"]) if number else _cell(NOTHING)


def _lots(bills: list[View]) -> list[tuple[str, str]]:
    return list({share["key"]: share["label"] for bill in bills for share in bill["shares"]}.items())


def _share_row(lot: str, what: str, bills: list[View]) -> View:
    found = [next((share for share in bill["shares"] if share["key"] == lot), None) for bill in bills]
    return _row(what, "%", [_number(share) for share in found])


def _figure_row(key: str, bills: list[View]) -> list[View]:
    found = [bill["figures"].get(key) for bill in bills]
    first = next((number for number in found if number), None)
    return [_row(first["label"], first["unit"], [_number(number) for number in found])] if first else []


def _change_row(key: str, present: View, offers: list[View]) -> list[View]:
    changes = [offer["changes"].get(key) for offer in offers]
    first = next(change for change in changes if change)
    today = None if key == MAIN else present["figures"].get(key)
    label = first["label"] if today is None else f"{today['label']}: today, then change"
    return [_row(label, first["unit"], [_number(today), *(_number(change) for change in changes)])]


def board_table(bills: list[View]) -> View:
    """A row for each board, a column for each bill: the word, and how likely it is not in order.

    Boards that repeat a category stand in the table of the law alone.
    """
    lawful = {answer["title"] for bill in bills for answer in bill["law"]}
    titles = {b["key"]: b for bill in bills for b in bill["boards"] if b["title"] not in lawful}
    rows = []
    for key, board in titles.items():
        found = [next((b for b in bill["boards"] if b["key"] == key), None) for bill in bills]
        rows.append(
            {
                **_row(board["title"], "", [_board_cell(b) for b in found]),
                "under": board["standing"],
                "rests": board["source"],
            }
        )
    return {"columns": [bill["letter"] for bill in bills], "rows": rows, "notes": _board_notes(bills, lawful)}


def _board_cell(board: View | None) -> View:
    if board is None:
        return _cell(NOTHING)
    surely = (board["light"], board["chance"]) == ("in order", "0 %")
    return _cell(board["light"], "" if surely or board["light"] == "unknown" else board["chance"])


def _grouped(bills: list[View], rows: Callable[[View], list[tuple[str, ...]]]) -> list[tuple[tuple[str, ...], str]]:
    """Equal lines said once, with the bills they hold for."""
    held: dict[tuple[str, ...], list[str]] = {}
    for bill in bills:
        for line in dict.fromkeys(rows(bill)):
            held.setdefault(line, []).append(bill["letter"])
    every = len(bills) > 1
    return [(line, "all" if every and len(on) == len(bills) else ", ".join(on)) for line, on in held.items()]


def _board_notes(bills: list[View], lawful: set[str]) -> list[View]:
    """What each board that is not in order says: once for each word it stands at, in the words of the first bill."""

    def lines(bill: View) -> list[tuple[str, ...]]:
        return [
            (b["title"], b["light"]) for b in bill["boards"] if b["light"] != "in order" and b["title"] not in lawful
        ]

    notes = []
    for (title, light), on in _grouped(bills, lines):
        said = next(b for bill in bills for b in bill["boards"] if (b["title"], b["light"]) == (title, light))
        notes.append({"title": title, "bills": on, "sentence": said["sentence"], "remedy": said["remedy"]})
    return notes


def law_table(bills: list[View]) -> View:
    """A row for each category with the dates of its text; the reasons of every answer that is not a pass."""
    titles = {answer["category"]: answer for bill in bills for answer in bill["law"]}
    rows = []
    for key, answer in titles.items():
        found = [next((a for a in bill["law"] if a["category"] == key), None) for bill in bills]
        cells = [_cell(a["verdict"] if a else NOTHING) for a in found]
        dates = f"text of {answer['version_date']['text']}, read {answer['read_on']['text']}"
        rows.append({**_row(answer["title"], "", cells), "under": dates})
    return {"columns": [bill["letter"] for bill in bills], "rows": rows, "reasons": _law_reasons(bills)}


def _law_reasons(bills: list[View]) -> list[View]:
    """Every answer that is not a plain pass and every note, said once with the categories and bills it holds for."""

    def lines(bill: View) -> list[tuple[str, ...]]:
        rules = [(a, r) for a in bill["law"] for r in a["answers"] if r["verdict"] != "pass" or r["flag"]]
        stated: list[tuple[str, ...]] = [
            (a["title"], r["rule"], r["verdict"], r["reason"], r["source"], r["flag"]) for a, r in rules
        ]
        return stated + [(a["title"], "", "note", note, "", "") for a in bill["law"] for note in a["warnings"]]

    held: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for line, on in _grouped(bills, lines):
        held.setdefault((line[1:], on), []).append(line[0])
    names = ("rule", "verdict", "reason", "source", "flag")
    every = list(dict.fromkeys(answer["title"] for bill in bills for answer in bill["law"]))
    return [
        {"title": _named(titles, every), "bills": on, **dict(zip(names, line, strict=True))}
        for (line, on), titles in held.items()
    ]


def _named(titles: list[str], every: list[str]) -> str:
    return "All categories" if len(every) > 1 and len(titles) == len(every) else "; ".join(titles)
