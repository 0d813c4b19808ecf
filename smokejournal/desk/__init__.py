"""What is on screen. It asks and shows; it computes nothing and knows no database."""
