"""The cook itself, in plain Python. It knows no Qt, no database, no clock and no file."""
