"""Numbers, units and times as people read and type them, and the one door for translation. It knows no cook."""
