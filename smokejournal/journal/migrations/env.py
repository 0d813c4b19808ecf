"""How Alembic runs the migrations: on the connection that it is given, in its transaction."""

from alembic import context

from smokejournal.journal.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
)
context.run_migrations()
