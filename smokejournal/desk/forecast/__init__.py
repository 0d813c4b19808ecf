"""The forecast on screen: the line, what-ifs, track record, lessons. It runs no model."""
