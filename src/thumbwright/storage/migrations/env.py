"""Run the migrations on the connection that is handed over."""

from alembic import context

from thumbwright.storage.tables import metadata

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=metadata, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
