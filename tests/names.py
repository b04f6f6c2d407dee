"""Names in many scripts: those that documents can show, and those that are refused, with how the fault begins."""

from __future__ import annotations

SHOWN = {
    "latin": "Größe & Söhne, Nº 4",
    "greek": "Ποτοποιία Άνω",
    "cyrillic": "Винокурня Ёлка",
    "vietnamese": "Dự Đoán",
    "accents apart": "Cafe\u0301 Zu\u0308rich",
    "wide spaces": "Upper\u2009House\u3000East",
    "other hyphen": "PD\u20111",
    "markup": "#let *x* _y_ $z$ @r <a> // /* \\ [b] ~ '",
}
REFUSED = {
    "chinese": ("酒厂", "酒 (U+9152, CJK UNIFIED IDEOGRAPH-9152)"),
    "emoji": ("Malt 🥃", "🥃 (U+1F943, TUMBLER GLASS)"),
    "thai": ("โรง", "โ (U+0E42, THAI CHARACTER SARA O)"),
    "arabic": ("مقطر", "م (U+0645, ARABIC LETTER MEEM)"),
    "nul": ("a\x00b", "a character that is not seen (U+0000, control character)"),
    "bel": ("a\x07b", "a character that is not seen (U+0007, control character)"),
    "override": ("a\u202eb", "a character that is not seen (U+202E, RIGHT-TO-LEFT OVERRIDE)"),
}
