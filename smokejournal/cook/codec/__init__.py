"""The written form of entries, schedules and pattern files, read strictly. It opens no file."""
