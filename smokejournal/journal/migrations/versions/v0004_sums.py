"""Checksums of entries, and of each minute of readings.

What is there already gets them as it stands: from now on it can't change without a word either. A
version that doesn't keep the sums would make what it adds look damaged, so it may not write here.
"""

from alembic import op

from smokejournal.journal.connections import driver_of
from smokejournal.journal.reading_table import sum_all_readings
from smokejournal.journal.sums import entry_sum

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.execute("ALTER TABLE entry RENAME TO entry_before")
    op.execute("""
CREATE TABLE entry (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	cook_id INTEGER NOT NULL, 
	at_ms INTEGER NOT NULL, 
	recorded_ms INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	payload TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	sum INTEGER NOT NULL, 
	CONSTRAINT fk_entry_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    connection = op.get_bind()
    driver_of(connection).create_function("entry_sum", 6, entry_sum, deterministic=True)
    op.execute("""
INSERT INTO entry (id, cook_id, at_ms, recorded_ms, kind, payload, version, sum)
SELECT id, cook_id, at_ms, recorded_ms, kind, payload, version,
	entry_sum(cook_id, at_ms, recorded_ms, CAST(kind AS BLOB), CAST(payload AS BLOB), version)
FROM entry_before ORDER BY id
    """)
    op.execute("DROP TABLE entry_before")
    op.execute("""
CREATE INDEX ix_entry_cook_id_id ON entry (cook_id, id)
    """)
    for doing in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER entry_no_{doing.lower()} BEFORE {doing} ON entry"
            " BEGIN SELECT RAISE(ABORT, 'what is in entry is never changed'); END"
        )
    op.execute("""
CREATE TABLE reading_sum (
	cook_id INTEGER NOT NULL, 
	minute INTEGER NOT NULL, 
	channel_id INTEGER NOT NULL, 
	count INTEGER NOT NULL, 
	sum INTEGER NOT NULL, 
	CONSTRAINT pk_reading_sum PRIMARY KEY (cook_id, minute, channel_id), 
	CONSTRAINT fk_reading_sum_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id), 
	CONSTRAINT fk_reading_sum_channel_id_channel FOREIGN KEY(channel_id) REFERENCES channel (id)
)
 WITHOUT ROWID,
 STRICT
    """)
    sum_all_readings(connection)
