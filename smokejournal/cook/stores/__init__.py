"""Lots and wares: what is left, what is to be bought. It knows no database."""
