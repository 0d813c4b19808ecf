"""Help where it is looked for: keys, legend, guide, about. Knows of no page; loaded when it is asked for."""
