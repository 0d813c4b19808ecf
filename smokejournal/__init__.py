"""smokejournal: a cook journal for people who smoke meat and fish."""

__version__ = "0.1.0"
