"""Files of an earlier version as the newest one would say them, and what the file itself calls each field.

Every upgrade is pure: data in, data out. Faults found behind it are told by the names of the file as it was written.
See docs/files.md.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from gristwright.basics import Address, FieldPath, Problem
from gristwright.records.cask import CaskKind
from gristwright.records.fields import fields_of
from gristwright.records.plant import WATERS

# Where a field of the newest version stands in the file as it was written; a path stands for all below it.
Names = dict[FieldPath, FieldPath]


def upgraded(kind: str, version: int, data: Mapping[str, Any]) -> tuple[dict[str, Any], Names]:
    """Data of a file of that kind and version in the newest version, and the names it used."""
    names: Names = {}
    tree = {key: value for key, value in data.items() if key != "format"}
    if version < 2 and kind in FROM_1:
        FROM_1[kind](tree, names)
    return tree, names


def as_written(problems: list[Problem], names: Names, file: str) -> list[Problem]:
    """Problems of one file with the names that it uses itself."""
    return [
        replace(one, where=_renamed(one.where, names)) if isinstance(one.where, Address) and one.where.file == file
        else one
        for one in problems
    ]  # fmt: skip


def _renamed(where: Address, names: Names) -> Address:
    for length in range(len(where.path), 0, -1):
        if where.path[:length] in names:
            return replace(where, path=names[where.path[:length]] + where.path[length:])
    return where


def _move(tree: dict[str, Any], key: str, to: str, names: Names, above: FieldPath = ()) -> None:
    if key in tree:
        tree[to] = tree.pop(key)
    names[(*above, to)] = (*above, key)


def _plant(tree: dict[str, Any], names: Names) -> None:
    """A whole mash had a name of its own, waters stood by name, their analysis and the kind of cask a step apart."""
    if isinstance(tree.get("mash"), dict):
        tree["mash"] = _mash(dict(tree["mash"]), names, tree.get("kind") == "grain-in")
    if isinstance(tree.get("cask"), dict):
        tree["cask"] = _cask(dict(tree["cask"]), names)


def _mash(mash: dict[str, Any], names: Names, grain_in: bool) -> dict[str, Any]:
    if grain_in:
        stray = mash.pop("wort_L_per_t", None)
        _move(mash, "mash_L_per_t", "wort_L_per_t", names, ("mash",))
        if stray is not None:
            mash["wort"] = stray
            names["mash", "wort"] = ("mash", "wort_L_per_t")
    water = mash.get("water")
    if isinstance(water, dict):
        for key in ("calcium_mg_per_L", "alkalinity_mg_per_L"):
            if key in water:
                mash[key] = water[key]
            names["mash", key] = ("mash", "water", key)
        left = {key: value for key, value in water.items() if ("mash", key) not in names}
        mash.pop("water")
        if left:
            mash["water"] = left
    if isinstance(mash.get("waters"), dict):
        mash["waters"] = _waters(mash["waters"], names)
    return mash


def _waters(table: dict[str, Any], names: Names) -> list[Any]:
    order = sorted(table, key=lambda name: WATERS.index(name) if name in WATERS else len(WATERS))
    for number, name in enumerate(order, start=1):
        names["mash", "waters", number] = ("mash", "waters", name)
        names["mash", "waters", number, "name"] = ("mash", "waters", name)
    return [{"name": name, **table[name]} if isinstance(table[name], dict) else table[name] for name in order]


def _cask(cask: dict[str, Any], names: Names) -> dict[str, Any]:
    own = [name for name in fields_of(CaskKind) if name != "name"]
    kind = {name: cask.pop(name) for name in own if name in cask}
    if "kind" in cask:
        kind["name"] = cask.pop("kind")
    for name in own:
        names["cask", "kind", name] = ("cask", name)
    names["cask", "kind", "name"] = ("cask", "kind")
    return {**cask, "kind": kind} if kind else cask


def _bill(tree: dict[str, Any], names: Names) -> None:
    """Prices were called by what they are for."""
    _move(tree, "price_per_t", "prices", names)


def _enquiry(tree: dict[str, Any], names: Names) -> None:
    """Lots on offer, bounds and the search had names of their own; the bill and the record stood in one table."""
    present = tree.get("present")
    if isinstance(present, dict):
        rest = dict(present)
        bill, record = rest.pop("bill", None), rest.pop("record", None)
        tree.pop("present")
        tree |= {key: value for key, value in (("present", bill), ("record", record)) if value is not None}
        for key, value in rest.items():
            tree[f"present_{key}"] = value
            names[f"present_{key}",] = ("present", key)
    names["present",], names["record",] = ("present", "bill"), ("present", "record")
    _search(tree, names)
    for key, to, inner in (("material", "offered", {"lot": "lot_id"}), ("group", "groups", {"lots": "lot_ids"})):
        _move(tree, key, to, names)
        items = tree.get(to)
        if isinstance(items, list):
            tree[to] = [_item(one, inner, names, (to, n), (key, n)) for n, one in enumerate(items, start=1)]


def _search(tree: dict[str, Any], names: Names) -> None:
    """A search stood in a table of its own."""
    search = tree.get("search")
    if not isinstance(search, dict):
        return
    rest = dict(tree.pop("search"))
    for key, to in (("step_pct", "grid_pct"), ("most_materials", "most_materials")):
        if key in rest:
            tree[to] = rest.pop(key)
        names[to,] = ("search", key)
    for key, value in rest.items():
        tree[f"search_{key}"] = value
        names[f"search_{key}",] = ("search", key)


def _item(one: Any, inner: Mapping[str, str], names: Names, to: FieldPath, key: FieldPath) -> Any:
    if not isinstance(one, dict):
        return one
    changed = dict(one)
    for before, after in inner.items():
        if before in changed:
            changed[after] = changed.pop(before)
        names[(*to, after)] = (*key, before)
    names[to] = key
    return changed


FROM_1: dict[str, Callable[[dict[str, Any], Names], None]] = {"plant": _plant, "bill": _bill, "enquiry": _enquiry}
