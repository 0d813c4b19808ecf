"""The first journal.

Written out as it was made, so that it stays what it was when the models move on.
"""

from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.execute("""
CREATE TABLE cook (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	opened_ms INTEGER NOT NULL
)
 STRICT
    """)
    op.execute("""
CREATE TABLE pattern (
	name TEXT NOT NULL, 
	schedule TEXT NOT NULL, 
	CONSTRAINT pk_pattern PRIMARY KEY (name)
)
 STRICT
    """)
    op.execute("""
CREATE TABLE setting (
	"key" TEXT NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY ("key")
)
 STRICT
    """)
    op.execute("""
CREATE TABLE lot (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	name TEXT NOT NULL, 
	bag_kg REAL, 
	price REAL, 
	currency TEXT NOT NULL, 
	bags_bought REAL NOT NULL, 
	wood TEXT NOT NULL, 
	note TEXT NOT NULL, 
	retired INTEGER NOT NULL, 
	CONSTRAINT ck_lot_retired CHECK (retired IN (0, 1))
)
 STRICT
    """)
    op.execute("""
CREATE TABLE entry (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	cook_id INTEGER NOT NULL, 
	at_ms INTEGER NOT NULL, 
	recorded_ms INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	payload TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT fk_entry_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    op.execute("""
CREATE INDEX ix_entry_cook_id_id ON entry (cook_id, id)
    """)
    op.execute("""
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'what is in entry is never changed'); END
    """)
    op.execute("""
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'what is in entry is never changed'); END
    """)
    op.execute("""
CREATE TABLE channel (
	id INTEGER NOT NULL, 
	cook_id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	CONSTRAINT pk_channel PRIMARY KEY (id), 
	CONSTRAINT uq_channel_cook_id_key UNIQUE (cook_id, "key"), 
	CONSTRAINT fk_channel_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    op.execute("""
CREATE TABLE cook_line (
	cook_id INTEGER NOT NULL, 
	sort_ms INTEGER NOT NULL, 
	opened_ms INTEGER NOT NULL, 
	started_ms INTEGER, 
	closed_ms INTEGER, 
	title TEXT NOT NULL, 
	zone TEXT NOT NULL, 
	place TEXT NOT NULL, 
	simulated INTEGER NOT NULL, 
	state TEXT NOT NULL, 
	items TEXT NOT NULL, 
	pieces TEXT NOT NULL, 
	overall REAL, 
	search TEXT NOT NULL, 
	CONSTRAINT pk_cook_line PRIMARY KEY (cook_id), 
	CONSTRAINT ck_cook_line_simulated CHECK (simulated IN (0, 1)), 
	CONSTRAINT fk_cook_line_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    op.execute("""
CREATE INDEX ix_cook_line_sort_ms_cook_id ON cook_line (sort_ms, cook_id)
    """)
    op.execute("""
CREATE TABLE reading (
	channel_id INTEGER NOT NULL, 
	t_ms INTEGER NOT NULL, 
	value REAL NOT NULL, 
	CONSTRAINT pk_reading PRIMARY KEY (channel_id, t_ms), 
	CONSTRAINT fk_reading_channel_id_channel FOREIGN KEY(channel_id) REFERENCES channel (id)
)
 WITHOUT ROWID,
 STRICT
    """)
    op.execute("""
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'what is in reading is never changed'); END
    """)
    op.execute("""
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'what is in reading is never changed'); END
    """)
