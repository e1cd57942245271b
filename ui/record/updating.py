"""Bringing a database's schema up to date."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Connection, Engine, inspect, text

from ui.record.archive import DATABASE, pack
from ui.record.complaints import where
from ui.record.copying import copy_file
from ui.record.engine import writing
from ui.record.errors import RecordNewerError
from ui.record.place import WORKSHOP, Place

NEWEST = "0003"
"""The last step under ``migrations/versions``."""
MIGRATIONS = Path(__file__).parent / "migrations"


def bring_up_to_date(engine: Engine, place: Place) -> None:
    """Carry out the steps that the database lacks, all of them or none.

    An earlier schema is backed up first. Raises `RecordNewerError` for a later one.
    """
    with engine.connect() as connection:
        now = revision(connection)
    if now == NEWEST:
        return
    from alembic import command  # slow to import, and seldom needed
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    known = {step.revision for step in ScriptDirectory.from_config(config).walk_revisions()}
    if now is not None and now not in known:
        raise RecordNewerError(
            f"The class record at {where(place)} was written by a later Brinkangle (its schema is "
            f"{now}, this one knows up to {NEWEST}). It was left as it is. Update Brinkangle."
        )
    if now is not None and place.database:
        _back_up(engine, place)
    with writing(engine).begin() as connection:
        if revision(connection) is None:
            place.set_clips_aside()  # they are of a record that is not here
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def revision(connection: Connection) -> str | None:
    """The step the database is at; None for an empty one."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.scalar(text("SELECT version_num FROM alembic_version"))


def _back_up(engine: Engine, place: Place) -> None:
    now = datetime.now(UTC)
    with TemporaryDirectory(prefix=WORKSHOP, dir=place.folder) as folder:
        copy = Path(folder) / DATABASE
        copy_file(engine, copy)
        pack(place.backups / f"before-update-{now:%Y-%m-%d-%H%M%S}.zip", copy, (), now, False)
