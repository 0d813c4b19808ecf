"""A whole cook after the fact, and its sheet. It knows no page size."""
