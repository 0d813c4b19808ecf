"""What leaves the program on paper or as a page: PDF, web page, picture. It knows no widget and no database."""
