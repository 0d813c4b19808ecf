"""The Plan page. It knows no other page."""
