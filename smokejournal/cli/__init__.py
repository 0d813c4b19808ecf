"""The command line: what is asked, what is printed, and the exit code. It opens no window."""
