"""The Journal page. It knows no other page."""
