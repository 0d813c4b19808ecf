"""What searches look at: a row for each cook, which of them are behind, and the index of words.

Only adds. A version that doesn't know of it leaves its cooks behind, by the trigger, and they are
brought up to date when the journal is opened; so are the cooks that are there already.
"""

from alembic import op

from smokejournal.journal.tables import TEXT_TRIGGER, WORD_INDEX
from smokejournal.journal.text_table import can_index

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.execute("""
CREATE TABLE cook_text (
	position INTEGER NOT NULL, 
	cook_id INTEGER NOT NULL, 
	in_index INTEGER NOT NULL, 
	day INTEGER NOT NULL, 
	foods TEXT NOT NULL, 
	lots TEXT NOT NULL, 
	air_low_c REAL, 
	air_high_c REAL, 
	wind_m_s REAL, 
	parts TEXT NOT NULL, 
	words TEXT NOT NULL, 
	CONSTRAINT pk_cook_text PRIMARY KEY (position), 
	CONSTRAINT uq_cook_text_cook_id UNIQUE (cook_id), 
	CONSTRAINT ck_cook_text_in_index CHECK (in_index IN (0, 1)), 
	CONSTRAINT fk_cook_text_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    op.execute("""
CREATE INDEX ix_cook_text_waiting ON cook_text (in_index) WHERE in_index = 0
    """)
    op.execute("""
CREATE TABLE text_behind (
	cook_id INTEGER NOT NULL, 
	CONSTRAINT pk_text_behind PRIMARY KEY (cook_id), 
	CONSTRAINT fk_text_behind_cook_id_cook FOREIGN KEY(cook_id) REFERENCES cook (id)
)
 STRICT
    """)
    op.execute("INSERT INTO text_behind (cook_id) SELECT id FROM cook")
    op.execute(TEXT_TRIGGER)
    if can_index(op.get_bind()):
        op.execute(WORD_INDEX)
