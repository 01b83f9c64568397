"""The migrated file of the tests is kept only while all that it is made from stays the same."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests import migrated as making
from tests.migrated import fingerprint, made_from, migrated_file


def test_every_migration_in_the_file_is_one_of_its_sources(migrated: Path) -> None:
    with closing(sqlite3.connect(migrated)) as database:
        done = database.execute("SELECT app, name FROM django_migrations").fetchall()
    sources = {(path.parents[1].name, path.stem) for path in made_from()}
    assert {app for app, _name in done} >= {"auth", "axes", "contractor", "jobs", "scheduling"}
    assert set(done) <= sources


def test_the_seed_of_the_catalogue_is_one_of_its_sources() -> None:
    names = {path.name for path in made_from()}
    assert {"seed_attic.py", "seed_house.py", "seed_old.py", "seeding.py"} <= names


def test_a_changed_a_renamed_and_a_further_file_have_fingerprints_of_their_own(
    tmp_path: Path,
) -> None:
    one, two = tmp_path / "0001_a.py", tmp_path / "0002_b.py"
    one.write_text("a")
    two.write_text("a")
    first = fingerprint([one])
    assert len({first, fingerprint([two]), fingerprint([one, two])}) == 3
    one.write_text("b")
    assert fingerprint([one]) != first


def test_a_kept_file_is_taken_as_it_is_and_an_older_one_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Path] = []

    def migrate(folder: Path) -> Path:
        made.append(folder / "migrated.sqlite3")
        made[-1].write_text(str(len(made)))
        return made[-1]

    source = tmp_path / "0001_a.py"
    source.write_text("a")
    folder = tmp_path / "kept"
    monkeypatch.setattr(making, "_migrate", migrate)
    monkeypatch.setattr(making, "made_from", lambda: [source])
    first = migrated_file(folder)
    assert (migrated_file(folder), first.read_text(), len(made)) == (first, "1", 1)
    source.write_text("b")
    second = migrated_file(folder)
    assert second.read_text() == "2"
    assert {path.name for path in folder.iterdir()} == {second.name, "migrated.lock"}
