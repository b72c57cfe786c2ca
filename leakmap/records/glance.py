"""A job read from its file without a trace: nothing is written, nobody is kept out, an older file stays as it is."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from leakmap.model.job import Job
from leakmap.records import upgrades
from leakmap.records.database import refuse_others, speaking_of
from leakmap.records.reading import reading_of
from leakmap.records.rows import read_job

_PATIENCE_S: Final = 0.5
_AT: Final = datetime(1970, 1, 1, tzinfo=UTC)  # of upgrades in memory, whose journal nobody reads


def glance(path: Path) -> Job:
    """The job in a file.

    Raises:
        UnusableJobFile: It is not there, no job file, damaged, newer than this program, or another program has not
            finished with it.
    """
    refuse_others(path)
    uri = f"{path.absolute().as_uri()}?mode=ro"
    with speaking_of(path), closing(sqlite3.connect(uri, uri=True, timeout=_PATIENCE_S)) as connection:
        connection.isolation_level = None
        connection.execute("PRAGMA trusted_schema = OFF")
        connection.execute("BEGIN")  # one state of the file, however long it takes
        schema = upgrades.schema_of(connection, path)
        upgrades.refuse_newer(schema, path)
        shown = upgrades.upgraded_in_memory(connection, schema, user="", at=_AT)
        with reading_of(path, shown):
            return read_job(shown)[0]
