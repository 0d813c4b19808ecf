"""Cooks beside one another: a few laid over each other, and what all together say; tells no causes."""
