"""The small forms, one for each kind of entry. They make entries and write none."""
