"""Where readings come from: serial lines, recorded tables, the simulated pit. It knows no cook and no Qt."""
