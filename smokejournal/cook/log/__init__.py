"""What happened: readings, entries, which of them hold, and each in words. It draws no conclusions."""
