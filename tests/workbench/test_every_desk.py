"""The settings that every desk has are read without a data folder, so that a type checker may read them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

READ = """
import django
django.setup()
from django.conf import settings
import gristwright.workbench.urls
print(settings.ROOT_URLCONF)
"""


def test_to_read_the_settings_of_every_desk_makes_no_file(tmp_path: Path) -> None:
    home = tmp_path / "home"
    said = {"GRISTWRIGHT_HOME": str(home), "DJANGO_SETTINGS_MODULE": "gristwright.workbench.every_desk"}
    run = subprocess.run([sys.executable, "-c", READ], env=os.environ | said, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    assert run.stdout == "gristwright.workbench.urls\n"
    assert not home.exists()


def test_a_desk_adds_its_data_folder_alone() -> None:
    from gristwright.workbench import every_desk, settings

    theirs, mine = ({name for name in vars(module) if name.isupper()} for module in (every_desk, settings))
    assert mine - theirs == {"HOME", "SECRET_KEY", "STATICFILES_DIRS", "DATABASES"}
    assert all(getattr(settings, name) is getattr(every_desk, name) for name in theirs)
