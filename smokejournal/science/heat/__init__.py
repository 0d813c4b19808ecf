"""Heat in a piece and out of a cooker. It knows nothing of a cook's log."""
