"""The Tend page. It knows no other page."""
