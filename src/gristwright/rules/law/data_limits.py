"""Faults of rule files: what a category and a rule must say, and the arguments of each kind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from gristwright.basics import Address, Problem, Standing
from gristwright.rules.law.finding import OPERATORS
from gristwright.rules.law.words import Words

FORMAT = "gristwright.law/1"
CATEGORY_FIELDS = ("key", "title", "version_date", "source", "seen", "confidence")
RULE_FIELDS = ("id", "sentence", "kind", "source", "standing")
# The grammar: what each kind must be told, and what it may be told.
ARGUMENTS: dict[str, tuple[set[str], set[str]]] = {
    "share": ({"where", "op", "limit_pct"}, set()),
    "strength": ({"of", "op", "limit_abv_pct"}, {"when_stored"}),
    "distillation": ({"which", "op", "limit_abv_pct"}, set()),
    "runs": ({"least", "most"}, set()),
    "one_of": ({"of", "allowed"}, {"unclear"}),
    "additions": ({"allowed"}, {"unclear"}),
    "is_true": ({"of"}, set()),
    "place": ({"steps", "allowed"}, set()),
    "casks": ({"which", "casks"}, {"none_ok", "unclear_woods"}),
    "age": ({"months", "casks"}, set()),
    "season": (set(), set()),
    "not_all": ({"rules"}, set()),
    "not_judged": (set(), set()),
}
CHOICES = {
    ("strength", "of"): ("bottle", "entry"),
    ("distillation", "which"): ("every", "last"),
    ("one_of", "of"): ("enzymes", "ferment_agents", "still"),
    ("is_true", "of"): ("one_distillery", "warehouse"),
    ("casks", "which"): ("every", "any", "no"),
}
SELECTORS = ("species", "species_not", "malted", "form", "form_not", "process", "process_not")
CASK_FIELDS = ("woods", "woods_not", "capacity_most_L", "new", "charred")
OWN = {*RULE_FIELDS, "flag", "flag_when", "note", "from", "until", "transition_until", "transition"}
DAYS = ("from", "until", "transition_until")
Table = Mapping[str, Any]


def missing(where: Address, entry: Table, names: tuple[str, ...]) -> list[Problem]:
    """A fault for each field that must be there and is not, or says nothing."""
    lacking = [name for name in names if entry.get(name) in (None, "")]
    return [Problem(where, f'"{name}" is missing.', "Add it to the rule file.") for name in lacking]


def is_number(value: Any) -> bool:
    """Whether a limit is a whole number or an exact decimal."""
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def is_whole(value: Any) -> bool:
    """Whether a value is a whole number."""
    return is_number(value) and isinstance(value, int)


def is_share(value: Any) -> bool:
    """Whether a limit is a share from 0 to 100 % in steps of 0.01."""
    return is_number(value) and 0 <= value <= 100 and Decimal(value) * 100 % 1 == 0


def is_words(value: Any) -> bool:
    """Whether a value is a list of words."""
    return isinstance(value, list) and all(isinstance(word, str) for word in value)


def is_yes_no(value: Any) -> bool:
    """Whether a value is true or false."""
    return isinstance(value, bool)


def is_table(value: Any) -> bool:
    """Whether a value is a table of names."""
    return isinstance(value, Mapping)


def is_date(value: Any) -> bool:
    """Whether a value is a plain date."""
    return isinstance(value, dt.date) and not isinstance(value, dt.datetime)


# What the value of a name must be, wherever the name stands, and how to say so.
FORMS = (
    (is_number, ("limit_abv_pct", "capacity_most_L"), "a number", "Write it without quotes, as 94.8."),
    (is_share, ("limit_pct",), "a share from 0 to 100 in steps of 0.01", "Mend the limit."),
    (is_whole, ("months", "least", "most"), "a whole number", "Write it without quotes or decimals."),
    (is_words, ("allowed", "unclear", "steps", "rules", "includes", "drops"), "a list of words", "Put it in [ ]."),
    (
        is_words,
        ("woods", "woods_not", "unclear_woods", *SELECTORS[:2], *SELECTORS[3:]),
        "a list of words",
        "Put it in [ ].",
    ),
    (is_yes_no, ("malted", "new", "charred", "none_ok", "when_stored"), "true or false", "Write true or false."),
    (is_table, ("where", "casks", "flag_when"), "a table", "Write it in { }."),
    (
        is_date,
        ("version_date", "read_on", "from", "until", "transition_until"),
        "a date",
        "Write it as 2024-05-13, without quotes.",
    ),
)


def form_problems(where: Address, entry: Table) -> list[Problem]:
    """Faults of values that are not what their name asks: a number, a list, a date; tables are looked into."""
    faults = [
        Problem(where, f"{name} = {entry[name]!r} is not {what}.", way_out)
        for fits, names, what, way_out in FORMS
        for name in names
        if name in entry and not fits(entry[name])
    ]
    inner = [entry[name] for name in ("where", "casks") if is_table(entry.get(name))]
    return faults + [problem for table in inner for problem in form_problems(where, table)]


def operator_problems(where: Address, rule: Table) -> list[Problem]:
    """A fault when a comparison is not one of those known."""
    if rule.get("op", ">=") in tuple(OPERATORS):
        return []
    return [Problem(where, f'"{rule["op"]}" is not a comparison.', f"Use one of {' '.join(OPERATORS)}")]


def choice_problems(where: Address, rule: Table) -> list[Problem]:
    """Faults of arguments that must be one of a few words."""
    kind = rule.get("kind")
    return [
        Problem(where, f'{name} = "{rule[name]}" is not known.', f"Use one of: {', '.join(words)}.")
        for (of, name), words in CHOICES.items()
        if of == kind and name in rule and rule[name] not in words
    ]


def selector_problems(where: Address, rule: Table, words: Words) -> list[Problem]:
    """Faults of what a rule selects among parts, casks or words."""
    tables = [(rule[name], known) for name, known in (("where", SELECTORS), ("casks", CASK_FIELDS)) if name in rule]
    tables = [(table, known) for table, known in tables if is_table(table)]
    faults = [
        Problem(where, f'"{name}" selects nothing.', f"Use one of: {', '.join(known)}.")
        for table, known in tables
        for name in table
        if name not in known
    ]
    lists = [value for table in (rule, *(table for table, _ in tables)) for value in table.values() if is_words(value)]
    return faults + [
        Problem(where, f'"{word}" is not a list of words.toml.', "Mend the name or add the list.")
        for word in (word for value in lists for word in value)
        if word[:1] == "@" and word[1:] not in words.lists
    ]


def word_problems(where: Address, rule: Table, words: Words) -> list[Problem]:
    """Faults of words that no fact can be: a rule that names one would judge nothing, and nobody would know."""
    part = rule["flag_when"].get("part", {}) if is_table(rule.get("flag_when")) else {}
    tables: list[Any] = [rule.get("where"), part]
    chosen = [item for table in tables if is_table(table) for item in table.items()]
    asked = [(name.removesuffix("_not"), value) for name, value in chosen]
    own = {"one_of": rule.get("of"), "additions": "additions"}.get(rule.get("kind", ""))
    asked += [(own, rule.get(name, ())) for name in ("allowed", "unclear") if own]
    asked += [("steps", rule.get("steps", ()))]
    return [
        Problem(where, f'"{word}" is no {of} that the rules know.', f"Use one of: {', '.join(known)}.")
        for of, value in asked
        if is_words(value) and (known := known_words(of, words))
        for word in value
        if word[:1] != "@" and word not in known
    ]


def known_words(of: str, words: Words) -> tuple[str, ...]:
    """Every word that a fact of that name may be; nothing where any is good."""
    lists = ["@cereals", "@pseudocereals"] if of == "species" else [f"@{of}"] if of in words.lists else []
    return words.named(lists)


def argument_problems(where: Address, rule: Table) -> list[Problem]:
    """Faults of the arguments of a rule's kind: missing, or not its own."""
    if rule.get("kind") not in ARGUMENTS:
        return [Problem(where, f'kind "{rule.get("kind")}" is not known.', f"Use one of: {', '.join(ARGUMENTS)}.")]
    must, may = ARGUMENTS[rule["kind"]]
    extra = set(rule) - must - may - OWN
    strange = [
        Problem(where, f'"{name}" means nothing to kind "{rule["kind"]}".', "Take it out.") for name in sorted(extra)
    ]
    return missing(where, rule, tuple(sorted(must))) + strange


def rule_problems(where: Address, rule: Table, words: Words) -> list[Problem]:
    """Every fault of one rule."""
    faults = missing(where, rule, RULE_FIELDS) + argument_problems(where, rule) + transition_problems(where, rule)
    if rule.get("standing") not in (*Standing, None):
        known = ", ".join(Standing)
        faults.append(Problem(where, f'standing "{rule["standing"]}" is not known.', f"Use one of: {known}."))
    faults += form_problems(where, rule) + operator_problems(where, rule) + choice_problems(where, rule)
    return faults + selector_problems(where, rule, words) + word_problems(where, rule, words)


def transition_problems(where: Address, rule: Table) -> list[Problem]:
    """A fault of a transition that has a day and no sentence, or the other way round."""
    pair = ("transition_until", "transition")
    return missing(where, rule, pair) if any(name in rule for name in pair) else []


def category_problems(name: str, entry: Table, words: Words) -> list[Problem]:
    """Every fault of one category."""
    where = Address(name).to(entry.get("key") or "a category")
    faults = missing(where, entry, CATEGORY_FIELDS) + form_problems(where, entry)
    if not entry.get("rule") and not entry.get("includes"):
        faults.append(Problem(where, "it has no rule.", "Give it rules, or let it include those of another."))
    for rule in entry.get("rule", ()):
        faults += rule_problems(where.to(f"rule {rule.get('id', 'without id')}"), rule, words)
    return faults


def reference_problems(tables: Mapping[str, Table]) -> list[Problem]:
    """Faults between categories: keys or ids given twice, and names of categories or rules that are not there."""
    entries = [(name, entry) for name, table in tables.items() for entry in table["category"]]
    keys = [entry.get("key") for _, entry in entries]
    rules = [(name, rule) for name, entry in entries for rule in entry.get("rule", ())]
    ids = [rule.get("id") for _, rule in rules]
    faults = [
        Problem("rules", f'"{x}" is given twice.', "Rename one.") for x in {*keys, *ids} if (keys + ids).count(x) > 1
    ]
    used = [(name, key, keys) for name, entry in entries for key in entry.get("includes", ())]
    used += [(name, rule_id, ids) for name, entry in entries for rule_id in entry.get("drops", ())]
    used += [(name, rule_id, ids) for name, rule in rules for rule_id in rule.get("rules", ())]
    return faults + [
        Problem(Address(name), f'"{word}" is named but is not in the book.', "Add it or mend the name.")
        for name, word, known in used
        if word not in known
    ]


def chain_problems(tables: Mapping[str, Table]) -> list[Problem]:
    """A fault when categories include each other in a ring."""
    includes = {e["key"]: e.get("includes", ()) for table in tables.values() for e in table["category"] if "key" in e}

    def reaches(key: str, goal: str, depth: int) -> bool:
        return depth > 0 and any(name == goal or reaches(name, goal, depth - 1) for name in includes.get(key, ()))

    ring = [key for key in includes if reaches(key, key, len(includes))]
    return [Problem("rules", f'"{key}" includes itself.', "Break the ring of includes.") for key in ring]


def table_problems(tables: Mapping[str, Table], words: Words) -> list[Problem]:
    """Every fault of the rule files of a book (name -> parsed table)."""
    faults: list[Problem] = []
    for name, table in tables.items():
        where = Address(name)
        faults += missing(where, table, ("format", "market", "read_on", "category")) + form_problems(where, table)
        if table.get("format", FORMAT) != FORMAT:
            faults.append(Problem(where, f'format "{table["format"]}" is not known.', f'Write format = "{FORMAT}".'))
        for entry in table.get("category", ()):
            faults += category_problems(name, entry, words)
    if any("category" not in table for table in tables.values()):
        return faults
    return faults + reference_problems(tables) + chain_problems(tables)
