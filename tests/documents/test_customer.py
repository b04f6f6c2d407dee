"""The customer's pages of every example: two of them in each language, and what was kept says the same again."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import pypdf
import pytest

from gristwright import casework
from gristwright.documents.customer import printed
from gristwright.documents.data import as_data
from gristwright.documents.recommendation import recommendation_pages
from gristwright.documents.view import recommendation_view
from gristwright.files.certificates import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.results import Recommendation
from house.places import EXAMPLES

ENQUIRIES = sorted(EXAMPLES.glob("*/enquiry.toml"))
ANNEX = {"en": "Annex, for whoever checks the answer", "de": "Anhang für alle, die die Antwort prüfen"}


@cache
def answer(path: Path) -> Recommendation:
    lots = next(name for name in ("lots.csv", "certificates.xlsx") if (path.parent / name).exists())
    return casework.advise(read_enquiry(path).accepted(), read_lots(path.parent / lots).accepted(), members=256)


@pytest.mark.parametrize("language", ANNEX)
@pytest.mark.parametrize("path", ENQUIRIES, ids=lambda path: path.parent.name)
def test_the_customers_part_is_two_pages(path: Path, language: str) -> None:
    made = answer(path)
    (pdf,) = recommendation_pages(recommendation_view(made), made.present.ledger, language=language)
    texts = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    assert [number for number, text in enumerate(texts, 1) if ANNEX[language] in text] == [3]


def test_what_is_kept_is_said_again_in_either_language() -> None:
    view = as_data(recommendation_view(answer(EXAMPLES / "all-rye" / "enquiry.toml")))
    german = printed(view, "de")
    again = printed(german, "en")
    assert again["customer_pages"] == printed(view)["customer_pages"]
    assert german["customer_pages"]["headline"].endswith("so nicht.")
    assert "Läufe" in " ".join(german["customer_pages"]["bills"][0]["lines"])
