"""What leaves the program on paper: the summary as a PDF. It knows no widget and no database."""
