"""The score on screen, live; the only user of pyqtgraph. It reads no log."""
