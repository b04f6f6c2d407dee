"""docs/evidence.md is made from the rows and is current."""

from outside.evidence import PAGE, Row, page


def row(**changed: object) -> Row:
    given = {"room": "r", "id": "A", "what": "one", "call": "builtins.float", "arguments": "{}", "expected": 0.0}
    given |= {"tolerance": 0.05, "source": "Author 1990", "where": "Table 1", "standing": "published"}
    given |= {"used_to_fit": "no", "outcome": "holds", "note": ""}
    return Row(**(given | changed))  # type: ignore[arg-type]


def test_page_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run python tests/outside/evidence.py"


def test_misses_come_first_and_only_unfitted_published_rows_validate() -> None:
    rows = [row(), row(id="B", used_to_fit="yes"), row(id="C", standing="derived")]
    text = page([*rows, row(id="D", expected=1.0, outcome="miss", note="a misprint")])
    assert text.index("miss: a misprint") < text.index("## Counts") < text.index("A: one")
    assert "| r | 1 of 2 | 1 of 1 | - | 1 of 1 |" in text


def test_the_groups_of_a_row() -> None:
    assert row(standing="common practice").group == "practice"
    assert row(standing="from memory").group == "practice"
    assert row(standing="estimate").group == "practice"
    assert row(used_to_fit="yes").group == "published, used"
