"""Any logger's table of readings, guessed, asked about and read into arrays. It knows no cook and no Qt."""
