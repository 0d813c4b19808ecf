"""The Stores page. It knows no other page."""
