"""Static files in production: a script imports the files that pages and the worker name."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.conf import settings as usual
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.management import call_command

from scheduling.crew_days.views import phone_worker

IMPORTED = re.compile(r'^import .*? from "\./([^"]+)";', re.MULTILINE | re.DOTALL)


@pytest.fixture
def collected(settings: LazySettings, tmp_path: Path) -> Path:
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = {
        **usual.STORAGES,
        "staticfiles": {"BACKEND": "contractor.assets.HashedFiles"},
    }
    call_command("collectstatic", "--no-input", verbosity=0)
    return tmp_path


def test_a_script_imports_files_by_their_hashed_names(collected: Path) -> None:
    names = [staticfiles_storage.url(name) for name in phone_worker.ASSETS]
    storage: Any = staticfiles_storage
    script = collected / storage.stored_name("scheduling/crew_days/phone.js")
    imported = IMPORTED.findall(script.read_text())
    source = Path(str(finders.find("scheduling/crew_days/phone.js"))).read_text()
    assert len(imported) == len(IMPORTED.findall(source)) == 3
    for name in imported:
        assert f"{usual.STATIC_URL}scheduling/crew_days/{name}" in names
        assert name not in source
