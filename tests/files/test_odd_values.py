"""A value that nobody means ends in a sentence, whichever value of whichever file it stands in.

A part of all that can be odd is drawn with one seed; `python tests/files/odd_values.py` reads them all.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from files.odd_values import READS, TABLES, TOMLS, OddFile, odd_tables, odd_tomls, read
from gristwright.basics import LONGEST_SENTENCE
from gristwright.files.jobs_in import read_enquiry

DRAWN = 150
DICE = random.Random(16)
FILES = [*DICE.sample(list(odd_tomls()), DRAWN), *DICE.sample(list(odd_tables()), DRAWN)]


@pytest.mark.parametrize("path", [*TOMLS, *TABLES], ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_files_are_read_while_nothing_in_them_is_odd(path: Path) -> None:
    READS.get(path.name, read_enquiry)(path).accepted()


@pytest.mark.parametrize("odd", FILES, ids=lambda odd: odd.what)
def test_what_nobody_means_is_read_or_refused_in_sentences(odd: OddFile, tmp_path: Path) -> None:
    for problem in read(odd, tmp_path / odd.folder.name).problems:
        assert problem.what
        assert len(problem.sentence()) <= 3 * LONGEST_SENTENCE
