"""What else is known of a lot; salts, woods and rubs.

Only adds: an older version leaves the new columns and the new table alone. The table of lots is made
anew all the same, for a column that is added to a table stands behind its constraints.
"""

from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.execute("ALTER TABLE lot RENAME TO lot_before")
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
	label TEXT DEFAULT '' NOT NULL, 
	moisture_pct REAL, 
	net_mj_kg REAL, 
	low_below_kg REAL, 
	CONSTRAINT ck_lot_retired CHECK (retired IN (0, 1))
)
 STRICT
    """)
    op.execute("""
INSERT INTO lot (id, name, bag_kg, price, currency, bags_bought, wood, note, retired)
SELECT id, name, bag_kg, price, currency, bags_bought, wood, note, retired FROM lot_before
    """)
    op.execute("DROP TABLE lot_before")
    op.execute("""
CREATE TABLE ware (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	sort TEXT NOT NULL, 
	name TEXT NOT NULL, 
	bought_kg REAL, 
	bought_count REAL, 
	price REAL, 
	currency TEXT NOT NULL, 
	low_below REAL, 
	grain TEXT NOT NULL, 
	cup_g REAL, 
	form TEXT NOT NULL, 
	recipe TEXT NOT NULL, 
	salt_pct REAL, 
	note TEXT NOT NULL, 
	retired INTEGER NOT NULL, 
	CONSTRAINT uq_ware_sort_name UNIQUE (sort, name), 
	CONSTRAINT ck_ware_retired CHECK (retired IN (0, 1))
)
 STRICT
    """)
