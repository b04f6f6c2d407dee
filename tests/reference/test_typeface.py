"""Which texts can be shown, and what is said of one that cannot."""

from __future__ import annotations

import pytest

from gristwright.reference.typeface import composed, fault_in, spelled, unshown

SHOWN = (
    "Größe-Malz, Nº 4", "Ποτοποιία Αθηνών", "Винокурня Ёлка", "Café", "Cafe\u0301", "Šťastný mlýn", "Dự Đoán",
    "½ → 3 €, 5 °C ± 0.2", "two\nlines\tand a tab\r\n", "A\u00a0B", "A\u2009B", "A\u3000B", "PD\u20111", "PD\u20101",
    "", "#let x = 1 *bold* _em_ $y$ @ref <label> // \\ [x] = head",
)  # fmt: skip
UNSHOWN = {
    "酒厂": "酒 (U+9152, CJK UNIFIED IDEOGRAPH-9152), 厂 (U+5382, CJK UNIFIED IDEOGRAPH-5382)",
    "Malt 🥃": "🥃 (U+1F943, TUMBLER GLASS)",
    "โรง": "โ (U+0E42, THAI CHARACTER SARA O)",
    "مقطر": "م (U+0645, ARABIC LETTER MEEM)",
    "a\x00b": "a character that is not seen (U+0000, control character)",
    "a\x07b": "a character that is not seen (U+0007, control character)",
    "a\x7fb": "a character that is not seen (U+007F, control character)",
    "a\u202eb": "a character that is not seen (U+202E, RIGHT-TO-LEFT OVERRIDE)",
    "a\u200bb": "a character that is not seen (U+200B, ZERO WIDTH SPACE)",
    "a\ufeffb": "a character that is not seen (U+FEFF, ZERO WIDTH NO-BREAK SPACE)",
    "a\u00adb": "a character that is not seen (U+00AD, SOFT HYPHEN)",
    "a\ue000b": "a character that is not seen (U+E000, private use)",
    "a\ufffdb": "\ufffd (U+FFFD, REPLACEMENT CHARACTER)",
    f"a{chr(0xD800)}b": "a character that is not seen (U+D800, half of a character)",
}


@pytest.mark.parametrize("text", SHOWN)
def test_what_the_typeface_has_is_shown(text: str) -> None:
    assert unshown(text) == ()
    assert fault_in(text) == ""
    assert spelled(composed(text)) == composed(text)


@pytest.mark.parametrize(("text", "told"), UNSHOWN.items())
def test_what_it_lacks_is_named_by_code_point_and_name(text: str, told: str) -> None:
    assert fault_in(text).startswith(f"holds {told}")
    assert fault_in(text).endswith(", which the typeface of the documents cannot show.")


def test_an_accent_beside_its_letter_is_joined_to_it() -> None:
    assert composed("Cafe\u0301 Ангели\u0306") == "Café Ангелй"
    assert composed("A\u2009B\u3000C") == "A B C"
    assert composed("A\u202fB\u00a0C") == "A\u202fB\u00a0C"


def test_many_characters_are_told_once_each_and_not_all() -> None:
    told = fault_in("酒厂酒厂甲乙丙丁")
    assert told.count("U+9152") == 1
    assert "and 1 more" in told


def test_words_out_of_a_file_are_spelled_where_they_cannot_be_shown() -> None:
    assert spelled("heading '水' [%]") == "heading '[U+6C34]' [%]"
