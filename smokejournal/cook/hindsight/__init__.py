"""A finished cook, counted again as if something had been otherwise. It must not know what is drawn."""
