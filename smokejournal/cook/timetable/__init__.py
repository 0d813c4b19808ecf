"""A plan counted back from serving time. It writes nothing into the log."""
