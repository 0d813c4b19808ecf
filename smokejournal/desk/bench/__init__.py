"""The Bench page. It knows no other page."""
