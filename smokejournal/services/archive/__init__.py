"""Whole cooks, or the whole journal, as one file that is taken in again without loss. It knows no input."""
