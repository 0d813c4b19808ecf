"""What is kept beside the cooks: stores, patterns, exported files. It knows no input."""
