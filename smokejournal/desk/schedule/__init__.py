"""The schedule editor. It writes nothing into the log."""
