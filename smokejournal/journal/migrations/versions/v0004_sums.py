"""Checksums of entries, and of each minute of readings; two more columns of the list of cooks.

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
    # What the list of cooks shows too. The lines are compared with the entries at the next start, and
    # mended there.
    op.execute("ALTER TABLE cook_line RENAME TO cook_line_before")
    op.execute("DROP INDEX ix_cook_line_sort_ms_cook_id")
    op.execute("""
CREATE TABLE cook_line (
	cook_id INTEGER NOT NULL, 
	sort_ms INTEGER NOT NULL, 
	opened_ms INTEGER NOT NULL, 
	started_ms INTEGER, 
	closed_ms INTEGER, 
	wanted_ms INTEGER, 
	title TEXT NOT NULL, 
	zone TEXT NOT NULL, 
	place TEXT NOT NULL, 
	simulated INTEGER NOT NULL, 
	away INTEGER NOT NULL, 
	state TEXT NOT NULL, 
	items TEXT NOT NULL, 
	pieces TEXT NOT NULL, 
	overall REAL, 
	search TEXT NOT NULL, 
	CONSTRAINT pk_cook_line PRIMARY KEY (cook_id), 
	CONSTRAINT ck_cook_line_simulated CHECK (simulated IN (0, 1)), 
	CONSTRAINT ck_cook_line_away CHECK (away IN (0, 1)), 
	CONSTRAINT fk_cook_line_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    op.execute("""
INSERT INTO cook_line (cook_id, sort_ms, opened_ms, started_ms, closed_ms, title, zone, place,
	simulated, away, state, items, pieces, overall, search)
SELECT cook_id, sort_ms, opened_ms, started_ms, closed_ms, title, zone, place,
	simulated, 0, state, items, pieces, overall, search FROM cook_line_before
    """)
    op.execute("DROP TABLE cook_line_before")
    op.execute("""
CREATE INDEX ix_cook_line_sort_ms_cook_id ON cook_line (sort_ms, cook_id)
    """)
