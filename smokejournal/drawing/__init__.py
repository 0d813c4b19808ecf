"""The score as painted with QPainter, for screen and paper. It knows no widget and no page."""
