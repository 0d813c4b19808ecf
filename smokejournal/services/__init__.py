"""What the program does, said once for screen and command line. It words and paints nothing."""
