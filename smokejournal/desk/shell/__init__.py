"""The window, its notices and its own dialogs. Nothing may rest on it."""
