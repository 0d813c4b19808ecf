"""Probes that the cook owns, and their calibrations.

Only adds: an older version leaves both tables alone.
"""

from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.execute("""
CREATE TABLE probe (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	name TEXT NOT NULL, 
	accuracy_class TEXT NOT NULL, 
	note TEXT NOT NULL, 
	retired INTEGER NOT NULL, 
	CONSTRAINT ck_probe_retired CHECK (retired IN (0, 1))
)
 STRICT
    """)
    op.execute("""
CREATE TABLE calibration (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	probe_id INTEGER NOT NULL, 
	at_ms INTEGER NOT NULL, 
	points TEXT NOT NULL, 
	CONSTRAINT fk_calibration_probe_id_probe FOREIGN KEY(probe_id) REFERENCES probe (id)
)
 STRICT
    """)
    op.execute("""
CREATE INDEX ix_calibration_probe_id_at_ms ON calibration (probe_id, at_ms)
    """)
    op.execute("""
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'what is in calibration is never changed'); END
    """)
    op.execute("""
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'what is in calibration is never changed'); END
    """)
