"""An owner at the desk, and the invented example as an enquiry."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client

from gristwright.store.mapping import save_enquiry
from gristwright.store.models import EnquiryRow
from gristwright.workbench import home, jobs
from once import once
from scenario import enquiry, lots

HERE = "127.0.0.1"


@pytest.fixture
def owner(db: None) -> Any:
    return get_user_model().objects.create_user("A.Example", password="barley-and-water-7")


@pytest.fixture
def desk(owner: Any) -> Client:
    client = Client(headers={"host": HERE})
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def asked(owner: Any) -> EnquiryRow:
    return save_enquiry(enquiry(), lots(), owner)


@pytest.fixture
def found_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same search of the same enquiry is made once a run; asking, printing and freezing it stay each test's own."""
    monkeypatch.setattr(jobs.recommend, "dossier", once(jobs.recommend.dossier))


@pytest.fixture(autouse=True)
def no_maps() -> Iterator[None]:
    """What one test had remembered as maps is no memory of the next one."""
    yield
    shutil.rmtree(home.folder() / "maps", ignore_errors=True)
