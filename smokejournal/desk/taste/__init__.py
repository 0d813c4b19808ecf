"""The Taste page. It knows no other page."""
